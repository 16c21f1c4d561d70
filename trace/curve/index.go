package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// polyIndex answers nearest-distance questions about a polyline quickly: its
// chords are sorted into square cells.
type polyIndex struct {
	q      []mat.Point
	closed bool
	cell   float64
	min    mat.Point
	nx, ny int
	cells  [][]int32
}

// newPolyIndex sorts the chords of the polyline into cells about as wide as
// a chord is long.
func newPolyIndex(q []mat.Point, closed bool) *polyIndex {
	x := &polyIndex{q: q, closed: closed}
	b := emptyBox()
	total := 0.0
	for i, p := range q {
		b = b.with(p)
		if i > 0 {
			total += dist(p, q[i-1])
		}
	}
	if len(q) == 0 {
		return x
	}
	w, h := b.Max.X-b.Min.X, b.Max.Y-b.Min.Y
	x.cell = max(max(2*total/float64(len(q)), max(w, h)/256), 1e-6)
	x.min = b.Min
	x.nx, x.ny = int(w/x.cell)+1, int(h/x.cell)+1
	x.cells = make([][]int32, x.nx*x.ny)
	for i := range x.chords() {
		x.place(i)
	}
	return x
}

func (x *polyIndex) chords() int {
	if x.closed {
		return len(x.q)
	}
	return len(x.q) - 1
}

func (x *polyIndex) chord(i int) (a, b mat.Point) { return x.q[i], x.q[(i+1)%len(x.q)] }

// place enters chord i in every cell that it passes.
func (x *polyIndex) place(i int) {
	a, b := x.chord(i)
	x.cellsOf(a, b, func(cell int) { x.cells[cell] = append(x.cells[cell], int32(i)) })
}

// cellsOf calls f for every cell of each column that the chord a b passes.
func (x *polyIndex) cellsOf(a, b mat.Point, f func(cell int)) {
	if a.X > b.X {
		a, b = b, a
	}
	c0, c1 := x.column(a.X), x.column(b.X)
	for c := c0; c <= c1; c++ {
		ya, yb := a.Y, b.Y
		if c1 > c0 {
			k := (b.Y - a.Y) / (b.X - a.X)
			left := max(a.X, x.min.X+float64(c)*x.cell)
			right := min(b.X, x.min.X+float64(c+1)*x.cell)
			ya, yb = a.Y+k*(left-a.X), a.Y+k*(right-a.X)
		}
		for r := x.row(min(ya, yb) - 1e-9); r <= x.row(max(ya, yb)+1e-9); r++ {
			f(r*x.nx + c)
		}
	}
}

func (x *polyIndex) column(v float64) int { return clampInt(int((v-x.min.X)/x.cell), x.nx-1) }

func (x *polyIndex) row(v float64) int { return clampInt(int((v-x.min.Y)/x.cell), x.ny-1) }

func clampInt(v, hi int) int { return max(0, min(v, hi)) }

// distance returns how far p lies from the polyline, in mm.
func (x *polyIndex) distance(p mat.Point) float64 {
	if len(x.cells) == 0 {
		return math.Inf(1)
	}
	c, r := x.column(p.X), x.row(p.Y)
	best := math.Inf(1)
	for ring := 0; ring <= max(x.nx, x.ny); ring++ {
		x.ringDistance(p, c, r, ring, &best)
		// Cells of the next ring lie at least this far off.
		if best <= float64(ring)*x.cell {
			break
		}
	}
	return best
}

func (x *polyIndex) ringDistance(p mat.Point, c, r, ring int, best *float64) {
	for row := r - ring; row <= r+ring; row++ {
		if row < 0 || row >= x.ny {
			continue
		}
		step := 2 * ring
		if row == r-ring || row == r+ring || ring == 0 {
			step = 1
		}
		for col := c - ring; col <= c+ring; col += step {
			if col < 0 || col >= x.nx {
				continue
			}
			for _, i := range x.cells[row*x.nx+col] {
				a, b := x.chord(int(i))
				*best = min(*best, pointToChord(p, a, b))
			}
		}
	}
}

func pointToChord(p, a, b mat.Point) float64 {
	d := sub(b, a)
	n := dot(d, d)
	if n == 0 {
		return dist(p, a)
	}
	t := min(1, max(0, dot(sub(p, a), d)/n))
	return dist(p, along(a, d, t))
}

// densePoints returns points along the path no more than stepMM apart,
// measured along the control polygon.
func densePoints(p Path, stepMM float64) []mat.Point {
	var out []mat.Point
	for _, s := range p.Segments {
		hull := dist(s.P0, s.P1) + dist(s.P1, s.P2) + dist(s.P2, s.P3)
		n := int(math.Ceil(hull/stepMM)) + 1
		for i := range n {
			out = append(out, s.Eval(float64(i)/float64(n)))
		}
	}
	if n := len(p.Segments); n > 0 && !p.Closed {
		out = append(out, p.Segments[n-1].P3)
	}
	return out
}
