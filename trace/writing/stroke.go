package writing

import (
	"math"

	"flatwright/rectify/mat"
)

// stroke is a patch of ink that hangs together.
type stroke struct {
	cells                  []int
	minX, minY, maxX, maxY int
	// longMM and broadMM are its extents along and across its own direction;
	// dir is that direction.
	longMM, broadMM float64
	dir, mid        mat.Point
	// touches is set when it comes to a border of the piece.
	touches bool
}

// strokes gathers the ink into patches that hang together, over one empty
// cell.
func (s *sheet) strokes() []stroke {
	ink := s.ink()
	seen := make([]bool, len(ink))
	var out []stroke
	for k, on := range ink {
		if !on || seen[k] {
			continue
		}
		p := s.grow(ink, seen, k)
		p.measure(s)
		if p.longMM >= 0.7 {
			out = append(out, p)
		}
	}
	return out
}

func (s *sheet) grow(ink, seen []bool, k int) stroke {
	p := stroke{minX: s.w, minY: s.h}
	todo := []int{k}
	seen[k] = true
	for len(todo) > 0 {
		k := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		p.cells = append(p.cells, k)
		x, y := k%s.w, k/s.w
		p.minX, p.maxX, p.minY, p.maxY = min(p.minX, x), max(p.maxX, x), min(p.minY, y), max(p.maxY, y)
		for v := max(0, y-2); v <= min(s.h-1, y+2); v++ {
			for u := max(0, x-2); u <= min(s.w-1, x+2); u++ {
				q := v*s.w + u
				if ink[q] && !seen[q] {
					seen[q] = true
					todo = append(todo, q)
				}
				p.touches = p.touches || !s.in[q]
			}
		}
	}
	return p
}

// measure works out the patch's direction (principal axis of its cells) and
// extents.
func (p *stroke) measure(s *sheet) {
	p.mid, p.dir = principal(s, p.cells)
	lo, hi := extents(s, p.cells, p.mid, p.dir, 0)
	p.longMM = hi - lo + cellMM
	lo, hi = extents(s, p.cells, p.mid, mat.Point{X: -p.dir.Y, Y: p.dir.X}, 0)
	p.broadMM = hi - lo + cellMM
}

// principal returns the middle of cells and the unit direction in which they
// extend most.
func principal(s *sheet, cells []int) (mid, dir mat.Point) {
	for _, k := range cells {
		q := s.at(k)
		mid.X, mid.Y = mid.X+q.X, mid.Y+q.Y
	}
	n := float64(len(cells))
	mid.X, mid.Y = mid.X/n, mid.Y/n
	var xx, xy, yy float64
	for _, k := range cells {
		q := s.at(k)
		x, y := q.X-mid.X, q.Y-mid.Y
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
	}
	a := 0.5 * math.Atan2(2*xy, xx-yy)
	return mid, mat.Point{X: math.Cos(a), Y: math.Sin(a)}
}

// extents returns how far cells reach along a direction from a point, leaving
// out the outermost part of them at either end.
func extents(s *sheet, cells []int, from, dir mat.Point, part float64) (lo, hi float64) {
	v := make([]float64, len(cells))
	for i, k := range cells {
		q := s.at(k)
		v[i] = (q.X-from.X)*dir.X + (q.Y-from.Y)*dir.Y
	}
	return tails(v, part)
}
