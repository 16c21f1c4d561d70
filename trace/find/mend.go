package find

import (
	"math"

	"flatwright/rectify/photo"
)

// spot is one point of a finished border in the photograph.
type spot struct {
	photo.Point
	out photo.Point
	// sigma is its standard error in px; bridged when it was not measured.
	sigma   float64
	bridged bool
}

// spots strings the readings together.
func (b *border) spots(r []reading, bad []bool) []spot {
	out := make([]spot, len(b.at))
	for i, p := range b.at {
		out[i] = spot{Point: p, out: b.out[i], sigma: sigmaPx(r[i]), bridged: bad[i]}
	}
	return out
}

const (
	mendArm    = 22 // px of good border looked at on each side of a gap
	mendEnough = 6
)

// mend replaces every stretch that was not measured by the continuation of
// its two sides: to the corner where they meet (a dart's tip included, up to
// maxAhead px ahead), or by a smooth bridge when they do not. Between the two
// the photograph decides, where it may be looked at.
func mend(s []spot, maxAhead float64, look *lookout) []spot {
	n := len(s)
	start := -1
	for i := range s {
		if !s[i].bridged && s[wrap(i-1, n)].bridged {
			start = i
			break
		}
	}
	if start < 0 {
		return s
	}
	out := make([]spot, 0, n)
	for i := 0; i < n; {
		j := wrap(start+i, n)
		if !s[j].bridged {
			out = append(out, s[j])
			i++
			continue
		}
		run := 0
		for run < n-i && s[wrap(j+run, n)].bridged {
			run++
		}
		out = append(out, bridgeGap(s, j, run, maxAhead, look)...)
		i += run
	}
	return out
}

// bridgeGap makes the points for the run of unmeasured spots from j on.
func bridgeGap(s []spot, j, run int, maxAhead float64, look *lookout) []spot {
	n := len(s)
	before, ok1 := sideOf(s, j-1, -1)
	after, ok2 := sideOf(s, j+run, 1)
	if !ok1 || !ok2 {
		return rough(s, j, run)
	}
	a, b := s[wrap(j-1, n)].Point, s[wrap(j+run, n)].Point
	gap := math.Hypot(b.X-a.X, b.Y-a.Y)
	facing := faces(a, before, b, after, gap)
	if x, ok := meeting(a, before, b, after, gap, maxAhead); ok {
		if sharp := before.tx*after.tx+before.ty*after.ty < -0.7; sharp {
			if look != nil && look.tip != nil {
				d := dartOf(x, before, after)
				if before.tx*after.ty-before.ty*after.tx < 0 {
					x = look.tip(wrap(j-1, n), d, gap)
				} else {
					x = d.until(gap, func(p photo.Point) bool { return look.tape(wrap(j-1, n), p) })
				}
			}
			return append(line(a, x), line(x, b)...)
		}
		corner := append(line(a, x), line(x, b)...)
		round := rounded(a, x, b)
		convex := before.tx*after.ty-before.ty*after.tx > 0
		switch {
		case look == nil || !facing || len(round) < 4:
			if reaches(s, j, run, x, before, after) {
				return corner
			}
		case look.isCorner(s, j, run, a, x, b, round, convex):
			return corner
		}
		if facing {
			return round
		}
	}
	if !facing {
		return rough(s, j, run)
	}
	return hermite(a, before, b, after, gap)
}

// isCorner reports whether the photograph shows a corner at x rather than a
// round end: by the light in it, or else by its colours.
func (look *lookout) isCorner(s []spot, j, run int, a, x, b photo.Point, round []spot, convex bool) bool {
	if look.filled != nil {
		// Between what a corner and what a round end hold.
		const convexPart, concavePart = 5. / 6, 1. / 6
		if part, ok := look.filled(wrap(j-1, len(s)), wrap(j+run, len(s)), a, x, b); ok {
			return convex && part > convexPart || !convex && part < concavePart
		}
	}
	return fills(s, j, run, x, round[len(round)/2].Point, look.tape) == convex
}

// fills reports whether the corner between a round end and where its sides
// meet has the piece's colour.
func fills(s []spot, j, run int, corner, round photo.Point, tape func(i int, p photo.Point) bool) bool {
	n := 0
	for _, t := range [3]float64{0.3, 0.5, 0.7} {
		p := photo.Point{X: round.X + t*(corner.X-round.X), Y: round.Y + t*(corner.Y-round.Y)}
		for _, i := range [2]int{j - 1, j + run} {
			if tape(wrap(i, len(s)), p) {
				n++
			}
		}
	}
	return n >= 3
}

// faces reports whether both sides of a gap look across it within 60
// degrees, so that a smooth bridge between them stays beside the gap. Short
// gaps may hide a corner, whose sides look past each other.
func faces(a photo.Point, before lineFit, b photo.Point, after lineFit, gap float64) bool {
	const short, slant = 8, 0.5
	x, y := b.X-a.X, b.Y-a.Y
	return gap < short || before.tx*x+before.ty*y > slant*gap && after.tx*x+after.ty*y > slant*gap
}

// rough is the run of unmeasured spots from j on as it was.
func rough(s []spot, j, run int) []spot {
	kept := make([]spot, run)
	for k := range kept {
		kept[k] = s[wrap(j+k, len(s))]
	}
	return kept
}

// sideOf fits the side that ends (step -1) or begins (step 1) at spot i.
func sideOf(s []spot, i, step int) (lineFit, bool) {
	n := len(s)
	var part loop
	for k := 0; k < mendArm+10 && len(part) < mendArm; k++ {
		q := s[wrap(i+k*step, n)]
		if q.bridged {
			if len(part) >= mendEnough {
				break
			}
			continue
		}
		part = append(part, q.Point)
	}
	if len(part) < mendEnough {
		return lineFit{}, false
	}
	// Nearer points count as many times as it takes to bend with the side:
	// shrink the arm until a straight line serves.
	for len(part) > 2*mendEnough && fitLine(part, 0, len(part)-1).rms > 0.25 {
		part = part[:len(part)*2/3]
	}
	f := fitLine(part, 0, len(part)-1)
	if step < 0 {
		f.tx, f.ty = -f.tx, -f.ty
	}
	return f, true
}

// meeting returns where two sides meet ahead of the gap between them; sides
// that turn by less than 35 degrees are taken for one bent side.
func meeting(a photo.Point, before lineFit, b photo.Point, after lineFit, gap, maxAhead float64) (photo.Point, bool) {
	cross := before.tx*after.ty - before.ty*after.tx
	dot := before.tx*after.tx + before.ty*after.ty
	if math.Abs(cross) < 0.57 && dot > 0 || math.Abs(cross) < 0.03 {
		return photo.Point{}, false
	}
	gx, gy := after.x-before.x, after.y-before.y
	t := (gx*after.ty - gy*after.tx) / cross
	x := photo.Point{X: before.x + t*before.tx, Y: before.y + t*before.ty}
	u := (x.X-a.X)*before.tx + (x.Y-a.Y)*before.ty
	v := (b.X-x.X)*after.tx + (b.Y-x.Y)*after.ty
	limit := 3*gap + 8
	if dot < -0.7 {
		limit = maxAhead
	}
	// Over a long gap the sides' directions may be a little off, so that one
	// of them seems to have passed the corner already.
	back := math.Max(1, 0.08*gap)
	if u < -back || v < -back || u+v > 2*limit {
		return photo.Point{}, false
	}
	return x, true
}

// reaches reports whether a corner rebuilt from its sides is borne out: one
// that sticks out must lie near the rough border, or else the end was round.
// Sharp tips and darts are exempt: the rough border loses them.
func reaches(s []spot, j, run int, x photo.Point, before, after lineFit) bool {
	convex := before.tx*after.ty-before.ty*after.tx > 0
	sharp := before.tx*after.tx+before.ty*after.ty < -0.7
	if !convex || sharp {
		return true
	}
	const near = 8 // px
	for k := 0; k < run; k++ {
		q := s[wrap(j+k, len(s))]
		if math.Hypot(q.X-x.X, q.Y-x.Y) < near {
			return true
		}
	}
	return false
}

// line returns unmeasured points one px apart from a to b, a left out.
func line(a, b photo.Point) []spot {
	d := math.Hypot(b.X-a.X, b.Y-a.Y)
	n := int(d)
	out := make([]spot, 0, n)
	for k := 1; k <= n; k++ {
		t := float64(k) / float64(n+1)
		out = append(out, unmeasured(a.X+(b.X-a.X)*t, a.Y+(b.Y-a.Y)*t, b.X-a.X, b.Y-a.Y))
	}
	return out
}

func unmeasured(x, y, dx, dy float64) spot {
	d := math.Max(math.Hypot(dx, dy), 1e-9)
	return spot{Point: photo.Point{X: x, Y: y}, out: photo.Point{X: dy / d, Y: -dx / d}, bridged: true}
}

// rounded bridges a corner at x by the parabola that leaves a and reaches b
// along its sides, one point a px, a left out. It keeps within the triangle of
// the three even where the corner lies at one of the ends.
func rounded(a, x, b photo.Point) []spot {
	n := int(math.Hypot(x.X-a.X, x.Y-a.Y) + math.Hypot(b.X-x.X, b.Y-x.Y))
	out := make([]spot, 0, n)
	for k := 1; k <= n; k++ {
		t := float64(k) / float64(n+1)
		u, v, w := (1-t)*(1-t), 2*t*(1-t), t*t
		out = append(out, unmeasured(u*a.X+v*x.X+w*b.X, u*a.Y+v*x.Y+w*b.Y, b.X-a.X, b.Y-a.Y))
	}
	return out
}

// hermite bridges with the cubic that leaves and arrives along the sides.
func hermite(a photo.Point, before lineFit, b photo.Point, after lineFit, gap float64) []spot {
	n := int(gap)
	out := make([]spot, 0, n)
	m := gap
	for k := 1; k <= n; k++ {
		t := float64(k) / float64(n+1)
		h1, h2, h3 := 1-3*t*t+2*t*t*t, t-2*t*t+t*t*t, t*t*t-t*t
		x := a.X*h1 + b.X*(1-h1) + m*(before.tx*h2+after.tx*h3)
		y := a.Y*h1 + b.Y*(1-h1) + m*(before.ty*h2+after.ty*h3)
		out = append(out, unmeasured(x, y, b.X-a.X, b.Y-a.Y))
	}
	return out
}

// crowd finds border points that face each other across a slit.
type crowd struct {
	cell map[[2]int32][]crowdPoint
}

type crowdPoint struct {
	at, out photo.Point
	border  *border
	index   int
}

const crowdCell = 8.0 // px

func newCrowd(all []*border) *crowd {
	c := &crowd{cell: map[[2]int32][]crowdPoint{}}
	for _, b := range all {
		for i := 0; i < len(b.at); i += 2 {
			k := cellOf(b.at[i])
			c.cell[k] = append(c.cell[k], crowdPoint{b.at[i], b.out[i], b, i})
		}
	}
	return c
}

func cellOf(p photo.Point) [2]int32 {
	return [2]int32{int32(math.Floor(p.X / crowdCell)), int32(math.Floor(p.Y / crowdCell))}
}

// facing returns how far outward of a border point another stretch of border
// lies that looks back at it, px; +Inf when none is within 8 px.
func (c *crowd) facing(b *border, i int) float64 {
	p, n := b.at[i], b.out[i]
	best := math.Inf(1)
	k := cellOf(p)
	for dy := int32(-1); dy <= 1; dy++ {
		for dx := int32(-1); dx <= 1; dx++ {
			for _, q := range c.cell[[2]int32{k[0] + dx, k[1] + dy}] {
				if q.out.X*n.X+q.out.Y*n.Y > -0.6 || q.border == b && abs(q.index-i) < 3 {
					continue
				}
				x, y := q.at.X-p.X, q.at.Y-p.Y
				ahead, aside := x*n.X+y*n.Y, math.Abs(x*n.Y-y*n.X)
				if ahead > 0 && aside < 2.5 && ahead < best {
					best = ahead
				}
			}
		}
	}
	return best
}
