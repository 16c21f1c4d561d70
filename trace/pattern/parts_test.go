package pattern

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/align"
	"flatwright/trace/curve"
)

// window is a 100 x 60 mm piece with a hole near its left end, a pen line from
// end to end, and a mark on top and bottom.
func window(t interface{ Fatal(...any) }) Pattern {
	p, err := New("window", Piece{
		Name: "visor", ThicknessMM: 5,
		Outline:  curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 60), pt(0, 60)),
		Openings: []curve.Path{curve.Polygon(pt(10, 20), pt(10, 30), pt(20, 30), pt(20, 20))},
		Marks:    []Mark{{At: pt(20, 0), In: pt(20, 6)}, {At: pt(80, 60), In: pt(80, 54)}},
		Lines:    []InsideLine{{Path: curve.Polyline(pt(5, 45), pt(95, 45))}},
	}, Piece{Outline: curve.Polygon(pt(0, 100), pt(100, 100), pt(100, 140), pt(0, 140))})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestSplitSharesWhatThePieceHas(t *testing.T) {
	p := window(t)
	if _, err := p.Pair(Facing("A1", "B3")); err != nil {
		t.Fatal(err)
	}
	// Downwards, so that the right part lies on the line's left.
	id, err := p.Split("A", pt(60, -5), pt(60, 70))
	if err != nil || id != "C" {
		t.Fatalf("%q %v", id, err)
	}
	whole(t, p)
	a, c := &p.Pieces[0], &p.Pieces[2]
	if math.Abs(a.Outline.Area()-3600) > 1e-6 || math.Abs(c.Outline.Area()-2400) > 1e-6 {
		t.Errorf("areas %.1f and %.1f", a.Outline.Area(), c.Outline.Area())
	}
	if len(a.Openings) != 1 || len(c.Openings) != 0 || len(a.Marks) != 1 || len(c.Marks) != 1 {
		t.Errorf("openings %d %d, marks %d %d", len(a.Openings), len(c.Openings), len(a.Marks), len(c.Marks))
	}
	if len(a.Lines) != 1 || len(c.Lines) != 1 || math.Abs(a.Lines[0].Path.Length()-55) > 1e-6 {
		t.Errorf("lines %d %d", len(a.Lines), len(c.Lines))
	}
	if len(a.Edges) != 4 || len(c.Edges) != 4 || c.ThicknessMM != 5 || c.Name != "visor" {
		t.Errorf("edges %v %v, %+v", edgeIDs(a), edgeIDs(c), c)
	}
	s := p.Seams[0]
	if len(s.A) != 2 || s.A[0].Edge != "A1" || !strings.HasPrefix(s.A[1].Edge, "C") {
		t.Errorf("the seam's side is %v", s.A)
	}
	if m, err := p.MeasureSeam(s.ID); err != nil || math.Abs(m.A.LengthMM-100) > 1e-6 {
		t.Errorf("the seam's side is %.2f mm long (%v)", m.A.LengthMM, err)
	}
}

// Any line across a convex piece cuts it in two wholes of its whole area.
func TestSplitKeepsTheArea(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plate(t)
		deg := rapid.Float64Range(0, 360).Draw(t, "deg")
		o := pt(rapid.Float64Range(20, 80).Draw(t, "x"), rapid.Float64Range(15, 45).Draw(t, "y"))
		sin, cos := math.Sincos(deg * math.Pi / 180)
		was := p.Pieces[0].Outline.Area()
		id, err := p.Split("A", pt(o.X-200*cos, o.Y-200*sin), pt(o.X+200*cos, o.Y+200*sin))
		if err != nil {
			t.Fatal(err)
		}
		whole(t, p)
		c, _ := p.Piece(id)
		if d := p.Pieces[0].Outline.Area() + c.Outline.Area() - was; math.Abs(d) > 1e-3 {
			t.Errorf("the parts' areas differ from the whole by %g mm²", d)
		}
		// The mean of a convex part's nodes lies on the left of the line.
		var m mat.Point
		for _, s := range c.Outline.Segments {
			m.X, m.Y = m.X+s.P0.X-o.X, m.Y+s.P0.Y-o.Y
		}
		if m.X*sin-m.Y*cos < 0 {
			t.Errorf("the new part lies on the right of a line at %g degrees", deg)
		}
	})
}

func TestSplitRefuses(t *testing.T) {
	u := curve.Polygon(pt(0, 200), pt(90, 200), pt(90, 260), pt(60, 260), pt(60, 220), pt(30, 220), pt(30, 260), pt(0, 260))
	for name, line := range map[string][2]mat.Point{
		"A beside":         {pt(-20, -20), pt(120, -20)},
		"C over both legs": {pt(-5, 240), pt(95, 240)},
		"Q not there":      {pt(0, 0), pt(1, 1)},
	} {
		p := window(t)
		if _, err := p.Add(Piece{Outline: u}); err != nil {
			t.Fatal(err)
		}
		id := name[:1]
		if _, err := p.Split(id, line[0], line[1]); err == nil {
			t.Errorf("%s was split", name)
		}
		whole(t, p)
		if len(p.Pieces) != 3 {
			t.Errorf("%s: %d pieces", name, len(p.Pieces))
		}
	}
}

// What was split can be made one again, wherever the second part lies.
func TestUniteUndoesSplit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plate(t)
		was := p.Pieces[0].Outline
		x := rapid.Float64Range(30, 70).Draw(t, "x")
		id, err := p.Split("A", pt(x, -5), pt(x, 70))
		if err != nil {
			t.Fatal(err)
		}
		c, _ := p.Piece(id)
		cutA, cutC := p.Pieces[0].Edges[len(p.Pieces[0].Edges)-1].ID, c.Edges[len(c.Edges)-1].ID
		turn := curve.Rotation(pt(0, 0), rapid.Float64Range(-3, 3).Draw(t, "turn")).Then(curve.Translation(pt(40, 300)))
		*c = c.Moved(turn)
		u, err := p.Unite(cutA, cutC)
		if err != nil {
			t.Fatal(err)
		}
		whole(t, p)
		if u.EndsMM > 1e-6 || u.GapMM > 1e-6 || len(p.Pieces) != 2 {
			t.Errorf("%+v, %d pieces", u, len(p.Pieces))
		}
		if d := p.Pieces[0].Outline.Area() - was.Area(); math.Abs(d) > 1e-3 {
			t.Errorf("the area changed by %g mm²", d)
		}
		for _, q := range p.Pieces[0].Outline.Flatten(0.1) {
			if at, _ := was.Nearest(q); at.DistanceMM > 1e-4 {
				t.Fatalf("%.5f mm off the outline before", at.DistanceMM)
			}
		}
		if len(p.Pieces[0].Marks) != 2 {
			t.Errorf("%d marks", len(p.Pieces[0].Marks))
		}
	})
}

func TestUniteTellsWhatMisses(t *testing.T) {
	p, err := New("two", Piece{Outline: curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 60), pt(0, 60))},
		Piece{Outline: curve.Polygon(pt(0, 100), pt(50, 100), pt(50, 161), pt(0, 161))})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Unite("A2", "A3"); err == nil {
		t.Error("two edges of one piece were joined")
	}
	if _, err := p.Unite("A1", "B1"); err == nil {
		t.Error("edges of 100 and 50 mm were joined")
	}
	u, err := p.Unite("A2", "B4")
	// 60 and 61 mm: half a millimetre at each end.
	if err != nil || math.Abs(u.EndsMM-0.5) > 1e-9 || math.Abs(u.GapMM-0.5) > 1e-6 {
		t.Errorf("%+v %v", u, err)
	}
	whole(t, p)
	if w := p.Pieces[0].Outline.Bounds(); math.Abs(w.Max.X-w.Min.X-150) > 0.6 {
		t.Errorf("%.2f mm wide", w.Max.X-w.Min.X)
	}
}

func TestUniteByPoints(t *testing.T) {
	p := window(t)
	// The right end of A from (100, 10) to (100, 50) meets B's left end.
	u, err := p.UniteAt("A", [2]mat.Point{pt(100, 10), pt(100, 50)}, "B", [2]mat.Point{pt(0, 100), pt(0, 140)})
	if err != nil || u.GapMM > 1e-6 {
		t.Fatalf("%+v %v", u, err)
	}
	whole(t, p)
	if len(p.Pieces) != 1 || math.Abs(p.Pieces[0].Outline.Area()-10000) > 1e-3 {
		t.Errorf("%d pieces, area %.2f", len(p.Pieces), p.Pieces[0].Outline.Area())
	}
	if _, err := window(t).uniteAtOnePlace(); !errors.Is(err, align.ErrOnePlace) && err == nil {
		t.Error("one place was taken for two")
	}
}

func (p Pattern) uniteAtOnePlace() (United, error) {
	return p.UniteAt("A", [2]mat.Point{pt(100, 10), pt(100, 10)}, "B", [2]mat.Point{pt(0, 100), pt(0, 140)})
}

func TestMirrorCopy(t *testing.T) {
	p := window(t)
	p.Pieces[0].Edges[0].Cut = Cut{Kind: Bevel, AngleDeg: 30, Varies: true, ToDeg: 45}
	p.Pieces[0].Edges[1].Cut = Cut{Kind: Undercut, AngleDeg: 20}
	id, err := p.MirrorCopy("A")
	if err != nil || id != "C" {
		t.Fatal(id, err)
	}
	whole(t, p)
	a, c := &p.Pieces[0], &p.Pieces[2]
	if c.Outline.Area()*a.Outline.Area() < 0 || math.Abs(c.AreaMM2()-a.AreaMM2()) > 1e-6 || len(c.Marks) != 2 || len(c.Openings) != 1 || len(c.Lines) != 1 {
		t.Errorf("%+v", c)
	}
	if b := c.Outline.Bounds(); b.Min.X <= a.Outline.Bounds().Max.X {
		t.Error("the copy lies on the pieces")
	}
	// The opening is near the left end of the piece, and so near the right end
	// of the copy.
	if o, b := c.Openings[0].Bounds(), c.Outline.Bounds(); math.Abs(b.Max.X-o.Max.X-10) > 1e-9 {
		t.Errorf("the opening lies %.2f mm from the right end", b.Max.X-o.Max.X)
	}
	for i := range c.Edges {
		if e := c.Edges[i]; e.Cut.Varies && (e.Cut.AngleDeg != 45 || e.Cut.ToDeg != 30) {
			t.Errorf("the varying cut is %+v", e.Cut)
		}
	}
	back := c.Moved(curve.Mirroring(pt(0, 0), pt(0, 1)))
	if back.Outline.Area() < 0 || len(back.Edges) != len(a.Edges) {
		t.Error("mirrored twice it is another piece")
	}
}

func TestCompleteAHalf(t *testing.T) {
	p := window(t)
	c, err := p.Complete("A2") // the right end is the centre line
	if err != nil || c.OffMM > 1e-9 || math.Abs(c.AlongMM-60) > 1e-9 {
		t.Fatalf("%+v %v", c, err)
	}
	whole(t, p)
	a := &p.Pieces[0]
	if math.Abs(a.Outline.Area()-12000) > 1e-6 || len(a.Openings) != 2 || len(a.Marks) != 4 || len(a.Lines) != 2 {
		t.Errorf("area %.1f, %d openings, %d marks, %d lines", a.Outline.Area(), len(a.Openings), len(a.Marks), len(a.Lines))
	}
	// Top and bottom run straight over the centre line: one edge each.
	if len(a.Edges) != 4 {
		t.Errorf("edges %v", edgeIDs(a))
	}
	if _, err := p.Complete("B9"); err == nil {
		t.Error("an edge that is not there was taken")
	}
	bowed := plate(t)
	if _, err := bowed.Complete("A2"); err == nil {
		t.Error("a round end was taken for a centre line")
	}
	whole(t, bowed)
}

// A half with any slanted ends is symmetric about its centre line when whole.
func TestCompletedIsSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plate(t)
		x := rapid.Float64Range(20, 95).Draw(t, "x")
		left := 60 * x
		larger := max(left, p.Pieces[0].Outline.Area()-left)
		c, err := p.CompleteAbout("A", pt(x, -9), pt(x, 70))
		if err != nil {
			t.Fatal(err)
		}
		whole(t, p)
		if c.OffMM > 1e-6 || len(p.Pieces) != 2 {
			t.Errorf("%+v, %d pieces", c, len(p.Pieces))
		}
		a, _ := p.Piece("A")
		image := a.Outline.Mirror(pt(x, 0), pt(0, 1))
		for _, q := range image.Flatten(0.2) {
			if at, _ := a.Outline.Nearest(q); at.DistanceMM > 1e-6 {
				t.Fatalf("%.6f mm from symmetric", at.DistanceMM)
			}
		}
		if math.Abs(a.Outline.Area()-2*larger) > 0.5 {
			t.Errorf("area %.2f, want %.2f: the larger part is the half", a.Outline.Area(), 2*larger)
		}
	})
}

func TestLayApart(t *testing.T) {
	p := window(t)
	if moved, err := p.LayApart("A"); moved || err != nil {
		t.Errorf("a piece that lies free was moved (%v)", err)
	}
	for name, at := range map[string]mat.Point{"over an edge": pt(0, 90), "within": pt(30, 50), "around": pt(-20, -60)} {
		p := window(t)
		q := &p.Pieces[1]
		if name == "within" {
			q.Outline = curve.Polygon(pt(0, 100), pt(9, 100), pt(9, 110), pt(0, 110))
		}
		if name == "around" {
			q.Outline = curve.Polygon(pt(0, 100), pt(400, 100), pt(400, 400), pt(0, 400))
		}
		if err := EdgesFromCorners(q); err != nil {
			t.Fatal(err)
		}
		*q = q.Moved(curve.Translation(pt(at.X, at.Y-140)))
		if name == "over an edge" {
			*q = q.Moved(curve.Translation(pt(0, -10)))
		}
		if !p.Pieces[0].liesOn(p.Pieces[1]) || !p.Pieces[1].liesOn(p.Pieces[0]) {
			t.Fatalf("%s: %v does not lie on the other", name, q.Outline.Bounds())
		}
		if moved, err := p.LayApart("B"); !moved || err != nil || p.Pieces[0].liesOn(p.Pieces[1]) {
			t.Errorf("%s: moved %v (%v), at %v", name, moved, err, p.Pieces[1].Outline.Bounds())
		}
	}
	if _, err := p.LayApart("Q"); err == nil {
		t.Error("a piece that is not there was moved")
	}
}
