package lens

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// startLine is a printed line with its samples straightened by a trial bend,
// in normalised coordinates.
type startLine struct {
	family mat.Family
	index  float64
	at     []photo.Point
	// The straight line a x + b y + c = 0 with a² + b² = 1.
	a, b, c float64
}

// fit lays the line through two samples that has the least median distance
// from all (least median of squares, Rousseeuw 1984), then improves it by
// total least squares over the samples near it.
func (l *startLine) fit() bool {
	n := len(l.at)
	least, found := math.Inf(1), false
	d := make([]float64, n)
	for i := range n {
		// Pairs half the list apart span the line whatever the order of the
		// samples along it.
		trial := *l
		if !trial.through(l.at[i], l.at[(i+n/2)%n]) {
			continue
		}
		for k, p := range l.at {
			d[k] = math.Abs(trial.distance(p))
		}
		if m := median(d); m < least {
			least, found = m, true
			l.a, l.b, l.c = trial.a, trial.b, trial.c
		}
	}
	if found && n > 2 {
		l.improve(3*least + 1e-9)
	}
	return found
}

func (l *startLine) through(p, q photo.Point) bool {
	dx, dy := q.X-p.X, q.Y-p.Y
	length := math.Hypot(dx, dy)
	if length < 1e-6 {
		return false
	}
	l.a, l.b = -dy/length, dx/length
	l.c = -(l.a*p.X + l.b*p.Y)
	return true
}

func (l *startLine) distance(p photo.Point) float64 { return l.a*p.X + l.b*p.Y + l.c }

// improve refits the line by total least squares to the samples within a
// distance of it.
func (l *startLine) improve(within float64) {
	var n, sx, sy, sxx, sxy, syy float64
	for _, p := range l.at {
		if math.Abs(l.distance(p)) > within {
			continue
		}
		n++
		sx += p.X
		sy += p.Y
		sxx += p.X * p.X
		sxy += p.X * p.Y
		syy += p.Y * p.Y
	}
	if n < 3 {
		return
	}
	mx, my := sx/n, sy/n
	angle := math.Atan2(2*(sxy-n*mx*my), (sxx-n*mx*mx)-(syy-n*my*my)) / 2
	sin, cos := math.Sincos(angle)
	l.a, l.b, l.c = -sin, cos, sin*mx-cos*my
}

// crookedness is the median distance of the samples from the line.
func (l *startLine) crookedness() float64 {
	d := make([]float64, len(l.at))
	for i, p := range l.at {
		d[i] = math.Abs(l.distance(p))
	}
	return median(d)
}
