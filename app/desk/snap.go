package desk

import (
	"math"

	"flatwright/app/desk/session"
	"flatwright/rectify/photo"
)

// snap returns the crossing next to a click. The job looks near a position in
// the photograph; a click on a photograph shown small may be farther off than
// that, so places around it are tried as well and the nearest crossing within
// reach is taken.
func (d *desk) snap(at photo.Point, reachPx float64) (photo.Point, bool) {
	p := d.s.Photo()
	if p == nil {
		return at, false
	}
	if to, ok := d.o.Job.Snap(p, at); ok {
		return to, true
	}
	best, near, found := at, reachPx, false
	for _, r := range []float64{0.5, 1} {
		for k := range 8 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 4)
			try := photo.Point{X: at.X + r*reachPx*cos, Y: at.Y + r*reachPx*sin}
			if !p.Inside(try, 0) {
				continue
			}
			to, ok := d.o.Job.Snap(p, try)
			if far := math.Hypot(to.X-at.X, to.Y-at.Y); ok && far <= near {
				best, near, found = to, far, true
			}
		}
	}
	return best, found
}

// cornerPlaced leads the keyboard to the count of a corner that needs one.
func (d *desk) cornerPlaced(i int) {
	p := d.squarePanel().corners
	corners := d.s.Document().Corners
	if d.stage != session.StageSquareUp || i < 0 || i >= len(corners) || i >= len(p.rows) || corners[i].Known {
		return
	}
	d.win.Canvas().Focus(p.rows[i].column)
}
