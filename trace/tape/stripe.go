package tape

import (
	"math"
)

const (
	// columnMM is the step along the outline, rowMM inwards.
	columnMM = 0.5
	rowMM    = 0.5
	// Rows begin where neither the optics nor a frayed cut mix in the mat.
	firstMM = 1.0
	// edgeRows are the rows that tell what lies along the edge: 1 to 2.5 mm in.
	edgeRows = 4
	// strokeMM is half the width over which pen strokes are voted down.
	strokeMM = 2.0
)

// stripe is the strip of a piece just inside its outline laid straight. Its
// colours are relative to the piece's own colour close by.
type stripe struct {
	*walk
	o Options
	n int
	// step is the distance between columns, columnMM or a little more.
	step float64
	rows int
	// cells[i*rows+k] is column i, row k; usable where depth allows.
	cells  []lab
	usable []bool
	// edge is the colour along the edge, strokes voted down; raw before that.
	edge, raw []lab
	known     []bool
	shown     []rgb
	usual     rgb
}

// newStripe reads the stripe of a piece.
func newStripe(in Input, g *ground, o Options) *stripe {
	w := g.walk
	s := &stripe{walk: w, o: o, n: int(w.length / columnMM), usual: g.own.usual}
	s.step = w.length / float64(s.n)
	s.rows = int((o.WidestMM-firstMM)/rowMM) + 1
	s.cells, s.usable = make([]lab, s.n*s.rows), make([]bool, s.n*s.rows)
	s.raw, s.known, s.shown = make([]lab, s.n), make([]bool, s.n), make([]rgb, s.n)
	s.read(in, g.inside, g.own)
	s.voteDown()
	return s
}

// ground is what is known of a piece before its stripe is read.
type ground struct {
	walk   *walk
	inside *inside
	own    *own
}

// newGround surveys a piece; false where there is too little to read.
func newGround(in Input, p Piece, o Options) (*ground, bool) {
	if len(p.Outline.Segments) == 0 || !p.Outline.Closed {
		return nil, false
	}
	w := newWalk(p.Outline)
	const longestMM = 1e5
	if !(w.length > 2*o.ShortestMM) || w.length > longestMM {
		return nil, false
	}
	m := newInside(p)
	if m == nil {
		return nil, false
	}
	own, ok := newOwn(in, m)
	return &ground{w, m, own}, ok
}

// read fills the cells.
func (s *stripe) read(in Input, m *inside, own *own) {
	usual := own.usual.toLab()
	var here rgb
	for i := range s.n {
		at := float64(i) * s.step
		p, in1 := s.point(at), s.inward(at)
		if i%4 == 0 {
			here = own.near(plus(p, in1, 5))
		}
		var sum rgb
		count := 0.0
		for k := range s.rows {
			q := plus(p, in1, firstMM+float64(k)*rowMM)
			if d := m.depthMM(q); d < shallowMM-0.3 || (k > 1 && d < shallowMM) {
				break
			}
			c := colourAt(in.Photo, in.View.ToPhoto(q))
			if k < edgeRows {
				for j := range sum {
					sum[j] += c[j]
				}
				count++
			}
			s.cells[i*s.rows+k] = relative(c, here, own.usual).toLab().minus(usual)
			s.usable[i*s.rows+k] = true
		}
		if count == 0 {
			continue
		}
		s.known[i] = true
		for j := range sum {
			sum[j] /= count
		}
		s.shown[i] = sum
		s.raw[i] = relative(sum, here, own.usual).toLab().minus(usual)
	}
}

// relative carries a colour seen where the piece looks like here to the light
// in which the piece looks usual (von Kries scaling, channel by channel).
func relative(c, here, usual rgb) rgb {
	for k := range c {
		c[k] *= (usual[k] + floorLight) / (here[k] + floorLight)
	}
	return c
}

// voteDown takes the median along the edge, which removes strokes that run
// inwards, and fills columns that were not known from their neighbours.
func (s *stripe) voteDown() {
	s.edge = make([]lab, s.n)
	reach := int(math.Round(strokeMM / s.step))
	var v []float64
	for i := range s.edge {
		for k := range s.edge[i] {
			v = v[:0]
			for j := -reach; j <= reach; j++ {
				if c := s.wrap(i + j); s.known[c] {
					v = append(v, s.raw[c][k])
				}
			}
			s.edge[i][k] = median(v)
		}
	}
}

func (s *stripe) wrap(i int) int { return ((i % s.n) + s.n) % s.n }
