package pattern

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// oval is an opening with four smooth nodes, or turned round where asked.
func oval(at mat.Point, rx, ry float64, other bool) curve.Path {
	const k = 0.5523 // the usual cubic for a quarter circle, from memory
	e := func(x, y float64) mat.Point { return pt(at.X+rx*x, at.Y+ry*y) }
	o := curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Cubic(e(1, 0), e(1, -k), e(k, -1), e(0, -1)),
		curve.Cubic(e(0, -1), e(-k, -1), e(-1, -k), e(-1, 0)),
		curve.Cubic(e(-1, 0), e(-1, k), e(-k, 1), e(0, 1)),
		curve.Cubic(e(0, 1), e(k, 1), e(1, k), e(1, 0)),
	}}
	if other {
		return o.Reverse()
	}
	return o
}

func TestSplitThroughAnOpening(t *testing.T) {
	p := window(t) // its opening is the square from (10, 20) to (20, 30)
	id, err := p.Split("A", pt(14, -5), pt(14, 70))
	if err != nil {
		t.Fatal(err)
	}
	whole(t, p)
	a, c := &p.Pieces[0], &p.Pieces[2]
	if c.ID != id || math.Abs(a.AreaMM2()-(14*60-40)) > 1e-6 || math.Abs(c.AreaMM2()-(86*60-60)) > 1e-6 {
		t.Errorf("areas %.2f and %.2f", a.AreaMM2(), c.AreaMM2())
	}
	if len(a.Openings) != 0 || len(c.Openings) != 0 {
		t.Errorf("openings %d %d", len(a.Openings), len(c.Openings))
	}
	// Three sides of the piece, two cuts and three sides of what is left of the
	// square, each.
	if len(a.Edges) != 8 || len(c.Edges) != 8 {
		t.Errorf("edges %v %v", edgeIDs(a), edgeIDs(c))
	}
	for _, e := range append(a.Edges, c.Edges...) {
		if e.Cut.Kind != Straight {
			t.Errorf("edge %s is cut %v", e.ID, e.Cut)
		}
	}
}

// A line may go straight through corners of an opening, whichever way its rim
// is travelled.
func TestSplitThroughCornersOfAnOpening(t *testing.T) {
	square := curve.Polygon(pt(40, 20), pt(40, 40), pt(60, 40), pt(60, 20))
	for _, o := range []curve.Path{square, square.Reverse()} {
		p, err := New("plate", Piece{Outline: curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 60), pt(0, 60)), Openings: []curve.Path{o}})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := p.Split("A", pt(10, -10), pt(90, 70)); err != nil {
			t.Fatal(err)
		}
		whole(t, p)
		a, b := &p.Pieces[0], &p.Pieces[1]
		if math.Abs(a.AreaMM2()-2800) > 1e-6 || math.Abs(b.AreaMM2()-2800) > 1e-6 || len(a.Openings)+len(b.Openings) != 0 {
			t.Errorf("areas %.3f and %.3f, openings %d and %d", a.AreaMM2(), b.AreaMM2(), len(a.Openings), len(b.Openings))
		}
	}
}

// Whatever line is drawn over a plate with openings, nothing of it is lost or
// made, and each part lies on its side of the line; and joined again along any
// of its new edges it is what it was.
func TestSplitAndUniteAmongOpenings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plate(t)
		a := &p.Pieces[0]
		for i := range rapid.IntRange(1, 4).Draw(t, "openings") {
			at := pt(15+20*float64(i), rapid.Float64Range(18, 42).Draw(t, "y"))
			rx, ry := rapid.Float64Range(1, 9).Draw(t, "rx"), rapid.Float64Range(1, 15).Draw(t, "ry")
			a.Openings = append(a.Openings, oval(at, rx, ry, rapid.Bool().Draw(t, "other way")))
		}
		was := a.Translate(mat.Point{})
		deg := rapid.Float64Range(0, 360).Draw(t, "deg")
		o := pt(rapid.Float64Range(20, 80).Draw(t, "x"), rapid.Float64Range(15, 45).Draw(t, "yy"))
		sin, cos := math.Sincos(deg * math.Pi / 180)
		id, err := p.Split("A", pt(o.X-200*cos, o.Y-200*sin), pt(o.X+200*cos, o.Y+200*sin))
		if err != nil {
			if len(p.Pieces) != 2 || len(p.Pieces[0].Openings) != len(was.Openings) {
				t.Errorf("refused, but changed: %v", err)
			}
			t.Skip(err)
		}
		whole(t, p)
		kept, _ := p.Piece("A")
		apart, _ := p.Piece(id)
		if d := kept.AreaMM2() + apart.AreaMM2() - was.AreaMM2(); math.Abs(d) > 1e-2 {
			t.Errorf("the parts' areas differ from the whole by %g mm²", d)
		}
		for side, part := range map[float64]*Piece{1: kept, -1: apart} {
			for _, q := range part.Outline.Flatten(0.1) {
				// The cut may go to a node that is there, half a millimetre away.
				if off := side * ((q.Y-o.Y)*cos - (q.X-o.X)*sin); off < -2*leastPartMM {
					t.Fatalf("a part reaches %.3f mm over the line at (%.1f, %.1f)", -off, q.X, q.Y)
				}
			}
		}
		joined(t, kept)
		joined(t, apart)
		joinAgain(t, &p, was, kept, apart)
	})
}

// joinAgain unites two parts along one of the edges that they share.
func joinAgain(t *rapid.T, p *Pattern, was Piece, kept, apart *Piece) {
	var pairs [][2]string
	for i := range kept.Edges {
		for k := range apart.Edges {
			if sealed(kept.EdgePath(i), apart.EdgePath(k)) {
				pairs = append(pairs, [2]string{kept.Edges[i].ID, apart.Edges[k].ID})
			}
		}
	}
	if len(pairs) == 0 {
		t.Fatal("the parts share no edge")
	}
	if a, b, ok := p.SharedEdge(kept.ID, apart.ID); !ok || !slices.Contains(pairs, [2]string{a, b}) {
		t.Errorf("the shared edge is %s, %s (%v)", a, b, ok)
	}
	pair := rapid.SampledFrom(pairs).Draw(t, "pair")
	if _, err := p.Unite(pair[0], pair[1]); err != nil {
		t.Fatal(err)
	}
	whole(t, *p)
	now, _ := p.Piece("A")
	joined(t, now)
	if len(now.Openings) != len(was.Openings) {
		t.Errorf("%d openings of %d", len(now.Openings), len(was.Openings))
	}
	if d := now.AreaMM2() - was.AreaMM2(); math.Abs(d) > 1e-2 {
		t.Errorf("joined again the area differs by %g mm²", d)
	}
	for _, q := range now.Outline.Flatten(0.1) {
		if at, _ := was.Outline.Nearest(q); at.DistanceMM > 1e-3 {
			t.Fatalf("%.5f mm off the outline before", at.DistanceMM)
		}
	}
}

func TestSplitRefusesAtOpenings(t *testing.T) {
	hook := curve.Polygon(pt(30, 15), pt(30, 45), pt(70, 45), pt(70, 35), pt(40, 35), pt(40, 25), pt(70, 25), pt(70, 15))
	for name, o := range map[string]curve.Path{
		"both arms of one opening": hook,
		"an opening at the edge":   curve.Polygon(pt(40, 0.3), pt(40, 20), pt(60, 20), pt(60, 0.3)),
	} {
		p, err := New("plate", Piece{Outline: curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 60), pt(0, 60)), Openings: []curve.Path{o}})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := p.Split("A", pt(50, -5), pt(50, 65)); err == nil {
			t.Errorf("%s: it was split", name)
		}
		if len(p.Pieces) != 1 || len(p.Pieces[0].Openings) != 1 {
			t.Errorf("%s: it was changed", name)
		}
	}
}

// joined fails where a segment of a piece's loops does not begin where the one
// before it ends.
func joined(t interface{ Errorf(string, ...any) }, p *Piece) {
	for k, loop := range append([]curve.Path{p.Outline}, p.Openings...) {
		for i, s := range loop.Segments {
			if next := loop.Segments[(i+1)%len(loop.Segments)]; s.P3 != next.P0 {
				t.Errorf("loop %d of piece %s: segment %d ends at %v, the next begins at %v", k, p.ID, i, s.P3, next.P0)
			}
		}
	}
}

// A half drawn with half of an opening beyond its centre line is whole with a
// whole opening.
func TestCompleteAboutALineThroughAnOpening(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plate(t)
		x := rapid.Float64Range(30, 40).Draw(t, "x")
		right := rapid.Bool().Draw(t, "other way")
		p.Pieces[0].Openings = []curve.Path{
			oval(pt(35, 30), 8, 12, right), oval(pt(35, 50), 7, 4, !right), oval(pt(80, 30), 8, 12, right),
		}
		from, to := pt(x, -9), pt(x, 70)
		if rapid.Bool().Draw(t, "upwards") {
			from, to = to, from
		}
		c, err := p.CompleteAbout("A", from, to)
		if err != nil {
			t.Fatal(err)
		}
		whole(t, p)
		a, _ := p.Piece("A")
		joined(t, a)
		if len(a.Openings) != 4 || math.Abs(c.AlongMM-60) > 1e-6 {
			t.Fatalf("%d openings, %.3f mm along the line", len(a.Openings), c.AlongMM)
		}
		for _, loop := range append([]curve.Path{a.Outline}, a.Openings[2:]...) {
			image := loop.Mirror(pt(x, 0), pt(0, 1))
			for _, q := range image.Flatten(0.2) {
				if at, _ := loop.Nearest(q); at.DistanceMM > 1e-3 {
					t.Fatalf("%.6f mm from symmetric", at.DistanceMM)
				}
			}
		}
	})
}

// Half of an opening may be a single curve from one place of the centre line to
// another: a cap that the line cuts off within one of its curves, or half of an
// eye from corner to corner. The oval keeps to 0.002 mm of a circle along 14 mm.
func TestCompleteAboutALineThatLeavesOneCurve(t *testing.T) {
	cap1mm := 36*math.Acos(5.0/6) - 5*math.Sqrt(36-25) // of a circle of 6 mm
	eye := curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Cubic(pt(60, 15), pt(70, 25), pt(70, 35), pt(60, 45)),
		curve.Cubic(pt(60, 45), pt(50, 35), pt(50, 25), pt(60, 15)),
	}}
	for name, c := range map[string]struct {
		opening curve.Path
		mm2     float64
	}{
		"a cap":  {oval(pt(65, 30), 6, 6, false).Rotate(pt(65, 30), math.Pi/4), 2 * cap1mm},
		"an eye": {eye, math.Abs(eye.Area())},
	} {
		p, err := New("plate", Piece{Outline: curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 60), pt(0, 60)), Openings: []curve.Path{c.opening}})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := p.CompleteAbout("A", pt(60, -5), pt(60, 65)); err != nil {
			t.Fatal(err)
		}
		whole(t, p)
		if a := &p.Pieces[0]; len(a.Openings) != 1 || math.Abs(a.AreaMM2()-(120*60-c.mm2)) > 0.03 {
			t.Errorf("%s: %d openings, %.3f mm² of %.3f", name, len(a.Openings), a.AreaMM2(), 120*60-c.mm2)
		}
	}
}

// Where two parts of a ring lie together again no registration mark is left of
// the edges that went, whichever of them they are joined along.
func TestRegistrationMarksGoWithTheEdgesThatGo(t *testing.T) {
	square := curve.Polygon(pt(40, 20), pt(40, 40), pt(60, 40), pt(60, 20))
	p, err := New("ring", Piece{Outline: curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 60), pt(0, 60)), Openings: []curve.Path{square}})
	if err != nil {
		t.Fatal(err)
	}
	id, err := p.Split("A", pt(50, -5), pt(50, 65))
	if err != nil {
		t.Fatal(err)
	}
	kept, _ := p.Piece("A")
	apart, _ := p.Piece(id)
	var pair [2]string
	for i := range kept.Edges {
		for k := range apart.Edges {
			if sealed(kept.EdgePath(i), apart.EdgePath(k)) {
				pair = [2]string{kept.Edges[i].ID, apart.Edges[k].ID}
			}
		}
	}
	for _, q := range []*Piece{kept, apart} {
		for _, y := range []float64{10, 50} {
			q.Marks = append(q.Marks, Mark{At: pt(50, y), In: pt(47, y)})
		}
		q.Marks = append(q.Marks, Mark{At: pt(50, 20), In: pt(50, 17)}, Mark{At: pt(50, 0), In: pt(50, 3)})
	}
	if _, err := p.Unite(pair[0], pair[1]); err != nil {
		t.Fatal(err)
	}
	whole(t, p)
	for _, m := range p.Pieces[0].Marks {
		if y := m.At.Y; y > 0.1 && y < 19.9 || y > 40.1 && y < 59.9 {
			t.Errorf("a mark is left at %v", m.At)
		}
	}
}
