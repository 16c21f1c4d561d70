package pattern

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// cutApart is a pattern cut from one plane surface: a warped lattice of
// quadrilaterals, turned and strewn, with marks on the seams, and what belongs
// together.
type cutApart struct {
	columns, rows int
	noiseMM       float64
	missPart      float64
	// decoys is the part of the rim's edges that carry marks without a mate.
	decoys float64
	// cellMM is the size of a piece, warp how far its corners stray, in cells.
	cellMM, warp float64
}

func (c cutApart) make(t testing.TB, seed uint64) (Pattern, map[string]string) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 7))
	corner := make([][]mat.Point, c.rows+1)
	for j := range corner {
		corner[j] = make([]mat.Point, c.columns+1)
		for i := range corner[j] {
			corner[j][i] = pt(c.cellMM*(float64(i)+c.warp*(r.Float64()-0.5)), c.cellMM*(float64(j)+c.warp*(r.Float64()-0.5)))
		}
	}
	marks := map[[2]mat.Point][]mat.Point{}
	strew := func(a, b mat.Point) {
		n := 1 + r.IntN(4)
		for range n {
			s := 0.06 + 0.88*r.Float64()
			marks[[2]mat.Point{a, b}] = append(marks[[2]mat.Point{a, b}], pt(a.X+s*(b.X-a.X), a.Y+s*(b.Y-a.Y)))
		}
	}
	for j := range c.rows + 1 {
		for i := range c.columns + 1 {
			rimH, rimV := j == 0 || j == c.rows, i == 0 || i == c.columns
			if i < c.columns && (!rimH || r.Float64() < c.decoys) {
				strew(corner[j][i], corner[j][i+1])
			}
			if j < c.rows && (!rimV || r.Float64() < c.decoys) {
				strew(corner[j][i], corner[j+1][i])
			}
		}
	}
	var pieces []Piece
	name := map[[2]mat.Point][]string{}
	for j := range c.rows {
		for i := range c.columns {
			q := [4]mat.Point{corner[j][i], corner[j][i+1], corner[j+1][i+1], corner[j+1][i]}
			pieces = append(pieces, c.piece(r, q, marks, name, Letters(len(pieces))))
		}
	}
	p, err := New("cut apart", pieces...)
	if err != nil {
		t.Fatal(err)
	}
	mates := map[string]string{}
	for _, e := range name {
		if len(e) == 2 {
			mates[e[0]], mates[e[1]] = e[1], e[0]
		}
	}
	return p, mates
}

// piece turns a quadrilateral about, shakes its corners and marks, and notes
// the names of its edges.
func (c cutApart) piece(r *rand.Rand, q [4]mat.Point, marks map[[2]mat.Point][]mat.Point, name map[[2]mat.Point][]string, id string) Piece {
	shake := func(v mat.Point) mat.Point {
		return pt(v.X+c.noiseMM*r.NormFloat64(), v.Y+c.noiseMM*r.NormFloat64())
	}
	turn := curve.Rotation(pt(0, 0), 2*math.Pi*r.Float64()).Then(curve.Translation(pt(1000*r.Float64(), 1000*r.Float64())))
	var corners [4]mat.Point
	for k := range q {
		corners[k] = turn.Apply(shake(q[k]))
	}
	piece := Piece{ID: id, Outline: curve.Polygon(corners[:]...)}
	for k := range q {
		a, b := q[k], q[(k+1)%4]
		seam := [2]mat.Point{a, b}
		if k >= 2 {
			seam = [2]mat.Point{b, a}
		}
		name[seam] = append(name[seam], fmt.Sprintf("%s%d", id, k+1))
		for _, m := range marks[seam] {
			if r.Float64() < c.missPart {
				continue
			}
			at := turn.Apply(shake(m))
			piece.Marks = append(piece.Marks, Mark{At: at, In: at})
		}
	}
	return piece
}

// TestProposeMates: patterns cut from one surface, measured with a noise of
// 0.3 mm in every corner and mark, a tenth of the marks missing, and marks on
// rim edges that have no mate. What is called sure must be right; an edge of
// one mark that has gone missing on its mate cannot be told from a decoy.
func TestProposeMates(t *testing.T) {
	for _, c := range []struct {
		name         string
		cut          cutApart
		leastFound   float64
		leastSure    float64
		mostWrong    float64
		wrongAndSure int
	}{
		{"as it should be", cutApart{columns: 5, rows: 4, noiseMM: 0.3, cellMM: 120, warp: 0.5}, 0.98, 0.78, 0.01, 0},
		{"marks missing, decoys", cutApart{columns: 5, rows: 4, noiseMM: 0.3, missPart: 0.1, decoys: 0.7, cellMM: 120, warp: 0.5}, 0.86, 0.62, 0.02, 0},
		{"edges all of one length", cutApart{columns: 5, rows: 4, noiseMM: 0.3, cellMM: 150, warp: 0}, 0.94, 0.7, 0.04, 0},
		{"many pieces", cutApart{columns: 9, rows: 8, noiseMM: 0.3, missPart: 0.05, decoys: 0.5, cellMM: 130, warp: 0.4}, 0.86, 0.58, 0.01, 1},
	} {
		found, sure, wrong, wrongSure, all := 0, 0, 0, 0, 0
		const runs = 12
		for seed := range uint64(runs) {
			p, mates := c.cut.make(t, seed)
			all += len(mates) / 2
			for _, m := range p.ProposeMates(MateOptions{}) {
				right := mates[m.A[0].Edge] == m.B[0].Edge
				switch {
				case right && m.Sure:
					sure++
					found++
				case right:
					found++
				case m.Sure:
					wrongSure++
					wrong++
				default:
					wrong++
				}
				if !m.B[0].Reversed {
					t.Errorf("%s: mates of one face do not run against each other", c.name)
				}
			}
		}
		t.Logf("%s: of %d seams %d found, %d of them sure; %d wrong proposals, %d of them called sure", c.name, all, found, sure, wrong, wrongSure)
		n := float64(all)
		if float64(found) < c.leastFound*n || float64(sure) < c.leastSure*n || float64(wrong) > c.mostWrong*n || wrongSure > c.wrongAndSure {
			t.Errorf("%s: outside its bounds", c.name)
		}
	}
}

// A piece and its mirror image fit along every edge; none of that is sure.
func TestTwinsAreNotSure(t *testing.T) {
	left := Piece{Outline: curve.Polygon(pt(0, 0), pt(120, 10), pt(100, 90), pt(10, 60))}
	for _, m := range [][2]float64{{30, 2.5}, {75, 6.25}} {
		left.Marks = append(left.Marks, Mark{At: pt(m[0], m[1]), In: pt(m[0], m[1]+5)})
	}
	left.Marks = append(left.Marks, Mark{At: pt(110, 50), In: pt(105, 50)})
	right := left
	right.Outline = left.Outline.Mirror(pt(-20, 0), pt(0, 1))
	right.Marks = nil
	for _, m := range left.Marks {
		right.Marks = append(right.Marks, Mark{At: pt(-40-m.At.X, m.At.Y), In: pt(-40-m.In.X, m.In.Y)})
	}
	p, err := New("twins", left, right)
	if err != nil {
		t.Fatal(err)
	}
	found := p.ProposeMates(MateOptions{})
	if len(found) == 0 {
		t.Fatal("nothing fits")
	}
	for _, m := range found {
		if !m.Twins || m.Sure {
			t.Errorf("%v with %v: twins %v, sure %v", m.A, m.B, m.Twins, m.Sure)
		}
	}
}
