package session

import (
	"math"

	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
)

// Needle is how far a stretch of a printed line lies from where the solution
// puts it.
type Needle struct {
	// At is the middle of the stretch on the solution's line, in the space that
	// was asked for, and To that place moved by the miss.
	At, To view.Point
	// MissPx is the mean miss of its samples, in px of the photograph.
	MissPx float64
}

// Needles returns the misses of the found lines in a space, the mean of so
// many neighbouring stretches each. They are made once for every solution and
// grouping.
func (s *Session) Needles(in Space, group int) []Needle {
	k := &s.needles[in]
	if k.group != group {
		*k = needleCache{group: group}
	}
	return k.of(s.work, func() []Needle {
		var out []Needle
		lines := s.FoundLines()
		for i := range lines {
			out = lines[i].needles(out, s, in, group)
		}
		return out
	})
}

type needleCache struct {
	cache[[]Needle]
	group int
}

func (l *FoundLine) needles(out []Needle, s *Session, in Space, group int) []Needle {
	for first := 0; first < len(l.MissPx); first += group {
		last := min(first+group, len(l.MissPx))
		if n, ok := l.needle(s, in, first, last); ok {
			out = append(out, n)
		}
	}
	return out
}

// needle is the needle of the stretches from first to before last.
func (l *FoundLine) needle(s *Session, in Space, first, last int) (Needle, bool) {
	sum, count := 0.0, 0
	for i := first; i < last; i++ {
		if l.Counts[i] > 0 {
			sum, count = sum+l.MissPx[i]*float64(l.Counts[i]), count+l.Counts[i]
		}
	}
	pts := l.Line.InPhoto
	if count == 0 || last >= len(pts) {
		return Needle{}, false
	}
	a, b := pts[first], pts[last]
	at := view.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
	dx, dy := b.X-a.X, b.Y-a.Y
	length := math.Hypot(dx, dy)
	if !(length > 0) {
		return Needle{}, false
	}
	n := Needle{At: at, MissPx: sum / float64(count)}
	// Columns run down and miss towards growing X, rows run across and miss
	// towards growing Y; no solution is mirrored.
	k := n.MissPx / length
	n.To = view.Point{X: at.X + dy*k, Y: at.Y - dx*k}
	if l.Family == mat.Rows {
		n.To = view.Point{X: at.X - dy*k, Y: at.Y + dx*k}
	}
	if in == OnMat {
		return n.onMat(s)
	}
	return n, true
}

// onMat takes a needle to the mat.
func (n Needle) onMat(s *Session) (Needle, bool) {
	v, ok := s.MatView()
	if !ok {
		return n, false
	}
	at, okA := toMat(v, n.At)
	to, okB := toMat(v, n.To)
	n.At, n.To = at, to
	return n, okA && okB
}
