package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// A bump on an otherwise straight edge no longer than bumpMM and no higher
// than bumpHeightMM is an error of measurement: a hair, a crumb, a printed
// line under the tape. Nobody cuts such a thing.
const (
	bumpMM       = 2.5
	bumpHeightMM = 0.7
)

// isBumpyLine tells whether a span is straight but for a few bumps, and if
// so takes their samples' weight and smooths the span again.
func (t *trail) isBumpyLine(p *span, l limits) bool {
	if p.start == nil || p.end == nil || len(p.knots) < 12 {
		return false
	}
	o, d := t.robustLine(p)
	limit := max(4*t.noise, 0.6*l.worst)
	var bumps []int
	all, run := 0, 0.0
	for i := p.from; i <= p.to; i++ {
		j := t.wrap(i)
		if t.bridged[j] {
			continue
		}
		all++
		off := math.Abs(cross(d, sub(t.at[j], o)))
		if off <= limit {
			run = 0
			continue
		}
		if i > p.from {
			run += t.arcAt(i) - t.arcAt(i-1)
		}
		if off > bumpHeightMM || run > bumpMM {
			return false
		}
		bumps = append(bumps, j)
	}
	if len(bumps)*12 > all {
		return false
	}
	weights := make([]float64, len(bumps))
	for k, j := range bumps {
		weights[k], t.w[j] = t.w[j], 0
	}
	t.smoothSpan(p)
	if t.spanIsLine(p, l) {
		return true
	}
	for k, j := range bumps {
		t.w[j] = weights[k]
	}
	t.smoothSpan(p)
	return false
}

// robustLine returns the line of a span's samples with outliers held down.
func (t *trail) robustLine(p *span) (o, d mat.Point) {
	o, d, _ = lineThrough(inner(p.knots, 0, len(p.knots)-1))
	for range 6 {
		var m moments
		for i := p.from; i <= p.to; i++ {
			j := t.wrap(i)
			q := sub(t.at[j], o)
			e := cross(d, q) / (2 * t.noise)
			w := t.w[j] / (1 + e*e)
			m = moments{m.w + w, m.x + w*q.X, m.y + w*q.Y, m.xx + w*q.X*q.X, m.xy + w*q.X*q.Y, m.yy + w*q.Y*q.Y}
		}
		if m.w == 0 {
			break
		}
		a := m.axis()
		if dot(a, d) < 0 {
			a = scale(a, -1)
		}
		o, d = add(o, mat.Point{X: m.x / m.w, Y: m.y / m.w}), a
	}
	return o, d
}
