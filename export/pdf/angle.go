package pdf

import "math"

// sincos returns sine and cosine, exact for whole quarter turns so that
// upright text is written without crumbs.
func sincos(rad float64) (sin, cos float64) {
	quarter := rad / (math.Pi / 2)
	if n := math.Round(quarter); math.Abs(quarter-n) < 1e-12 {
		i := ((int(n) % 4) + 4) % 4
		return []float64{0, 1, 0, -1}[i], []float64{1, 0, -1, 0}[i]
	}
	return math.Sincos(rad)
}
