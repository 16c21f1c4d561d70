package desk

// sideWords is every text about the sides of a seam, and about darts.
type sideWords struct {
	button, stop, turn    string
	needsSeam, how, would string
	lengths, differ       string
	equal                 string
	dart, dartOpen        string
}

func englishSide() sideWords {
	return sideWords{
		button: "More edges for a side", stop: "Sides are right", turn: "Other way round",
		needsSeam: "Pair two edges first; then a side can go on over the next edge.",
		how:       "Click the edge that goes on from a side; click it again to take it off. Esc ends.",
		would:     "With a click on %s:",
		lengths:   "Seam %s: %s is %s, %s is %s",
		differ:    "%s; they differ by %s.", equal: "%s; equally long.",
		dart: "Dart %s: %s · %s", dartOpen: "opens %s wide",
	}
}
