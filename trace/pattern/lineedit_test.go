package pattern

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// linedPiece is a square of 100 mm with an opening and a curved line of two
// segments.
func linedPiece() *Piece {
	p := markPiece()
	p.Openings = []curve.Path{curve.Polygon(pt(40, 60), pt(60, 60), pt(60, 80), pt(40, 80))}
	p.Lines = []InsideLine{{Path: curve.Path{Segments: []curve.Segment{
		{P0: pt(10, 10), P1: pt(20, 20), P2: pt(30, 20), P3: pt(40, 10)},
		curve.Line(pt(40, 10), pt(80, 10)),
	}}, Work: LineWork{Kind: Score, DepthMM: 2}}}
	return p
}

// notchedPiece is a sheet of 200 by 60 mm with a notch 20 mm wide at the middle
// of its upper side, and an opening; a line runs below them.
func notchedPiece() *Piece {
	p := &Piece{ID: "A", Outline: curve.Polygon(
		pt(0, 0), pt(110, 0), pt(110, 40), pt(130, 40), pt(130, 0), pt(200, 0), pt(200, 60), pt(0, 60))}
	p.Openings = []curve.Path{curve.Polygon(pt(30, 20), pt(33, 20), pt(33, 30), pt(30, 30))}
	p.Lines = []InsideLine{{Path: curve.Polyline(pt(10, 50), pt(100, 50), pt(190, 50))}}
	return p
}

// Nowhere does a line leave the piece, however narrow what is cut out of it, and
// moving a node of one that does only brings it closer.
func TestLinesStayOnThePiece(t *testing.T) {
	for _, c := range []struct {
		name     string
		from, to mat.Point
		want     error
	}{
		{"across the notch", pt(10, 30), pt(190, 30), ErrLineOutside},
		{"across the notch, unevenly", pt(60, 35), pt(190, 35), ErrLineOutside},
		{"across the opening", pt(5, 25), pt(105, 25), ErrLineOutside},
		{"below the notch", pt(10, 41), pt(190, 41), nil},
		{"along the notch", pt(110, 0), pt(110, 60), nil},
		{"along the bottom of the notch", pt(100, 40), pt(140, 40), nil},
		{"a hair above its bottom", pt(100, 39.6), pt(140, 39.6), nil},
		{"along the outline", pt(0, 60), pt(200, 60), nil},
	} {
		if _, err := notchedPiece().AddInsideLine(c.from, c.to); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	for _, c := range []struct {
		name string
		node int
		by   mat.Point
		want error
	}{
		{"an end off the piece", 0, pt(-500, 0), ErrLineOutside},
		{"the middle into the notch", 1, pt(20, -20), ErrLineOutside},
		{"a stretch across the notch", 2, pt(0, -45), ErrLineOutside},
		{"onto its neighbour", 0, pt(90, 0), ErrShortStretch},
		{"close to its neighbour", 1, pt(89.7, 0), ErrShortStretch},
		{"onto the outline", 0, pt(-10, 10), nil},
		{"within the piece", 1, pt(0, -40), nil},
	} {
		p := notchedPiece()
		if c.name == "within the piece" {
			p.Outline = curve.Polygon(pt(0, 0), pt(200, 0), pt(200, 60), pt(0, 60))
		}
		err := p.MoveLineNode(0, c.node, c.by)
		if !errors.Is(err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
		if moved := p.Lines[0].Nodes()[c.node] != notchedPiece().Lines[0].Nodes()[c.node]; moved != (err == nil) {
			t.Errorf("%s: moved: %t, %v", c.name, moved, err)
		}
	}
	p := notchedPiece()
	p.Lines[0].Path = curve.Polyline(pt(10, 50), pt(100, 50), pt(100, 65))
	if err := p.MoveLineNode(0, 2, pt(0, -2)); err != nil {
		t.Errorf("back towards the piece: %v", err)
	}
	if err := p.MoveLineNode(0, 2, pt(0, 1)); !errors.Is(err, ErrLineOutside) {
		t.Errorf("further off again: %v", err)
	}
	if err := p.MoveLineNode(0, 0, pt(0, 5)); err != nil {
		t.Errorf("its other end: %v", err)
	}
}

// Whichever node is moved: it lies where it was moved to, the others stay, the
// path stays joined, and moved back it is as it was. Work along it stays.
func TestMoveLineNode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := linedPiece()
		was := p.Lines[0]
		node := rapid.IntRange(0, 2).Draw(t, "node")
		d := mat.Point{X: rapid.Float64Range(-9, 9).Draw(t, "x"), Y: rapid.Float64Range(-9, 9).Draw(t, "y")}
		if err := p.MoveLineNode(0, node, d); err != nil {
			t.Fatal(err)
		}
		for k, q := range p.Lines[0].Nodes() {
			want := was.Nodes()[k]
			if k == node {
				want = plus(want, d)
			}
			if math.Hypot(q.X-want.X, q.Y-want.Y) > 1e-9 {
				t.Errorf("node %d lies at %v, want %v", k, q, want)
			}
		}
		s := p.Lines[0].Path.Segments
		if s[0].P3 != s[1].P0 || !s[1].Line || p.Lines[0].Work != was.Work {
			t.Errorf("the line came apart, or its work was lost: %+v", p.Lines[0])
		}
		if was.Path.Segments[0].P0 != pt(10, 10) {
			t.Fatal("another copy of the piece was changed")
		}
		if err := p.MoveLineNode(0, node, mat.Point{X: -d.X, Y: -d.Y}); err != nil {
			t.Fatal(err)
		}
		for k, q := range p.Lines[0].Nodes() {
			if w := was.Nodes()[k]; math.Hypot(q.X-w.X, q.Y-w.Y) > 1e-9 {
				t.Errorf("moved back node %d lies at %v, was at %v", k, q, w)
			}
		}
	})
	p := linedPiece()
	for _, x := range [][2]int{{1, 0}, {-1, 0}, {0, 3}, {0, -1}} {
		if p.MoveLineNode(x[0], x[1], mat.Point{}) == nil {
			t.Errorf("node %d of line %d was moved", x[1], x[0])
		}
	}
	p.Lines[0].Path = curve.Polyline(pt(10, 10), pt(20, 10))
	if err := p.MoveLineNode(0, 1, mat.Point{X: -9.5}); !errors.Is(err, ErrShortLine) {
		t.Errorf("drawn together: %v", err)
	}
}

func TestLineNodesAreAddedWhereTheLineStays(t *testing.T) {
	p := linedPiece()
	length := p.Lines[0].Path.Length()
	k, err := p.AddLineNode(0, pt(25, 30))
	if err != nil || k != 1 || len(p.Lines[0].Nodes()) != 4 || math.Abs(p.Lines[0].Path.Length()-length) > 1e-6 {
		t.Errorf("node %d of %v, %v", k, p.Lines[0].Nodes(), err)
	}
	if k, err := p.AddLineNode(0, pt(79.7, 10)); err != nil || k != 3 || len(p.Lines[0].Nodes()) != 4 {
		t.Errorf("close to the end: node %d of %v, %v", k, p.Lines[0].Nodes(), err)
	}
	if k, err := p.AddLineNode(0, pt(90, 10)); err != nil || k != 3 || len(p.Lines[0].Nodes()) != 4 {
		t.Errorf("at the end: node %d of %v, %v", k, p.Lines[0].Nodes(), err)
	}
}

func TestAddAndRemoveInsideLine(t *testing.T) {
	p := linedPiece()
	for _, c := range []struct {
		name     string
		from, to mat.Point
		want     error
	}{
		{"across", pt(0, 40), pt(100, 40), nil},
		{"on the outline", pt(0, 0), pt(100, 0), nil},
		{"too short", pt(20, 20), pt(20.5, 20), ErrShortLine},
		{"beyond the outline", pt(50, 20), pt(-50, 20), ErrLineOutside},
		{"across the opening", pt(10, 70), pt(90, 70), ErrLineOutside},
		{"elsewhere", pt(-50, -50), pt(-20, -50), ErrLineOutside},
	} {
		q := *p
		k, err := q.AddInsideLine(c.from, c.to)
		if !errors.Is(err, c.want) || err == nil && (k != 1 || len(q.Lines) != 2 || q.Lines[1].Path.Segments[0].P3 != c.to) {
			t.Errorf("%s: line %d of %d, %v", c.name, k, len(q.Lines), err)
		}
		if len(p.Lines) != 1 {
			t.Fatal("another copy of the piece was changed")
		}
	}
	if err := p.RemoveInsideLine(0); err != nil || len(p.Lines) != 0 {
		t.Errorf("%d lines are left, %v", len(p.Lines), err)
	}
	if p.RemoveInsideLine(0) == nil {
		t.Error("a line that is not there was taken away")
	}
}
