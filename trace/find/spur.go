package find

import (
	"math"

	"flatwright/rectify/photo"
)

// Bounds on what is taken for a spur, px.
const (
	spurLongPx = 400 // the way out and back
	spurArmPx  = 12  // of the side on both ends
)

// cutSpurs removes thin fingers that stick out of a straight side: the rough
// border has run out along a printed line, a tick or a number and back. The
// side goes on in one direction behind the finger, which tells it from the
// tip of a piece; slits and darts run inwards. Fingers as thin as widthPx are
// lines, not tape.
func cutSpurs(s []spot, widthPx float64) []spot {
	n := len(s)
	if n < 2*spurLongPx {
		return s
	}
	gone := make([]bool, n)
	cut := false
	for i := 0; i < n; i++ {
		if k := spurAt(s, i, widthPx); k > 0 {
			for d := 1; d < k; d++ {
				gone[wrap(i+d, n)] = true
			}
			cut = true
			i += k - 1
		}
	}
	if !cut {
		return s
	}
	out := make([]spot, 0, n)
	first := 0
	for first < n && (gone[first] || gone[wrap(first-1, n)]) {
		first++
	}
	for d := 0; d < n; d++ {
		j := wrap(first+d, n)
		if !gone[j] {
			out = append(out, s[j])
			continue
		}
		if k := wrap(j-1, n); !gone[k] {
			end := j
			for gone[end] {
				end = wrap(end+1, n)
			}
			out = append(out, line(s[k].Point, s[end].Point)...)
		}
	}
	return out
}

// spurAt returns how many points a spur that leaves the side at point i
// takes; 0 when none does.
func spurAt(s []spot, i int, widthPx float64) int {
	n := len(s)
	a := s[i].Point
	best := 0
	for k := 8; k < spurLongPx; k++ {
		b := s[wrap(i+k, n)].Point
		chord := math.Hypot(b.X-a.X, b.Y-a.Y)
		if chord > 2.5*widthPx || float64(k) < 2*chord+6 {
			continue
		}
		if straightThrough(s, i, wrap(i+k, n)) && isFinger(s, i, k, widthPx) {
			best = k
		}
	}
	return best
}

// straightThrough reports whether the side before point i goes on behind
// point j.
func straightThrough(s []spot, i, j int) bool {
	n := len(s)
	p, a, b, q := s[wrap(i-spurArmPx, n)].Point, s[i].Point, s[j].Point, s[wrap(j+spurArmPx, n)].Point
	ux, uy := unit(p, a)
	vx, vy := unit(b, q)
	wx, wy := unit(p, q)
	const along = 0.94 // 20 degrees
	return ux*wx+uy*wy > along && vx*wx+vy*wy > along
}

func unit(a, b photo.Point) (x, y float64) {
	x, y = b.X-a.X, b.Y-a.Y
	d := math.Max(math.Hypot(x, y), 1e-9)
	return x / d, y / d
}

// isFinger reports whether k points from i on enclose a strip of the piece no
// wider than widthPx.
func isFinger(s []spot, i, k int, widthPx float64) bool {
	n := len(s)
	o := s[i].Point
	area, way := 0.0, 0.0
	for d := 0; d < k; d++ {
		p, q := s[wrap(i+d, n)].Point, s[wrap(i+d+1, n)].Point
		area += (p.X-o.X)*(q.Y-o.Y) - (q.X-o.X)*(p.Y-o.Y)
		way += math.Hypot(q.X-p.X, q.Y-p.Y)
	}
	area /= 2
	return area > 0 && area < widthPx*way/2
}
