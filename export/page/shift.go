package page

import "math"

// shift moves the grid by what the setup asks for, over whole steps as far as
// it takes to go on covering the bounds: the joins then lie where they were
// moved to, and nothing is lost at the borders.
func (g *grid) shift(bounds Rect) {
	by := g.setup.ShiftMM
	if by.X == 0 && by.Y == 0 || g.setup.Paper.Roll {
		return
	}
	g.origin.X, g.cols = shifted(g.origin.X+by.X, g.stepX, g.content.Width(), bounds.MinX, bounds.MaxX)
	g.origin.Y, g.rows = shifted(g.origin.Y+by.Y, g.stepY, g.content.Height(), bounds.MinY, bounds.MaxY)
}

// shifted returns where windows that lie step apart begin to cover lo to hi,
// when one of them begins at origin, and how many it takes.
func shifted(origin, step, window, lo, hi float64) (float64, int) {
	origin -= math.Ceil((origin-lo)/step) * step
	if origin+step <= lo { // a whole number of steps, but for rounding
		origin += step
	}
	return origin, int(stepsFor(hi-origin, window, step))
}
