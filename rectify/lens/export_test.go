package lens

// TrustLens makes fits believe that a lens has no terms but those fitted,
// until the function returned is called.
func TrustLens() (restore func()) {
	was := map[int]float64{}
	for _, i := range []int{iK3, iP1, iP2} {
		was[i], considered[i] = considered[i], 1e-6
	}
	return func() {
		for i, v := range was {
			considered[i] = v
		}
	}
}
