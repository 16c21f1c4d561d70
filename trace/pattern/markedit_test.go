package pattern

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// markPiece is a square of 100 mm with one round side and a slanting mark.
func markPiece() *Piece {
	at := func(x, y float64) mat.Point { return mat.Point{X: x, Y: y} }
	p := &Piece{ID: "A", Outline: curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Line(at(0, 0), at(100, 0)),
		{P0: at(100, 0), P1: at(130, 30), P2: at(130, 70), P3: at(100, 100)},
		curve.Line(at(100, 100), at(0, 100)),
		curve.Line(at(0, 100), at(0, 0)),
	}}, Marks: []Mark{{At: at(30, 0), In: at(32, 7), Ticks: 2}}}
	if err := EdgesFromCorners(p); err != nil {
		panic(err)
	}
	return p
}

// Wherever a mark is moved to, it lies on the outline where that is nearest,
// as long and as slanting as before; moved back, it is where it was.
func TestMovedMarksKeepLengthAndSlant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := markPiece()
		was := p.Marks[0]
		to := mat.Point{X: rapid.Float64Range(-40, 160).Draw(t, "x"), Y: rapid.Float64Range(-40, 140).Draw(t, "y")}
		if err := p.MoveMark(0, to); err != nil {
			t.Fatal(err)
		}
		m := p.Marks[0]
		near, err := p.Outline.Nearest(to)
		if err != nil {
			t.Fatal(err)
		}
		if d := math.Hypot(m.At.X-to.X, m.At.Y-to.Y); math.Abs(d-near.DistanceMM) > 1e-6 {
			t.Errorf("the mark lies %.6f mm away, the outline %.6f", d, near.DistanceMM)
		}
		if got := math.Hypot(m.In.X-m.At.X, m.In.Y-m.At.Y); math.Abs(got-math.Hypot(2, 7)) > 1e-9 || m.Ticks != 2 {
			t.Errorf("the mark is %.9f mm long with %d ticks", got, m.Ticks)
		}
		d := p.Outline.Segments[near.Segment].Tangent(near.T)
		v := mat.Point{X: m.In.X - m.At.X, Y: m.In.Y - m.At.Y}
		if along := v.X*d.X + v.Y*d.Y; math.Abs(along-2) > 1e-6 {
			t.Errorf("the mark leans by %.6f mm, before by 2", along)
		}
		if err := p.MoveMark(0, was.At); err != nil {
			t.Fatal(err)
		}
		if b := p.Marks[0]; math.Hypot(b.At.X-was.At.X, b.At.Y-was.At.Y) > 1e-6 || math.Hypot(b.In.X-was.In.X, b.In.Y-was.In.Y) > 1e-6 {
			t.Errorf("moved back it is %v, was %v", b, was)
		}
	})
}

func TestMarksAddedAndTakenAway(t *testing.T) {
	p := markPiece()
	before := p.Marks
	k, err := p.AddMark(mat.Point{X: 50, Y: 103})
	if err != nil || k != 1 {
		t.Fatal(k, err)
	}
	if m := p.Marks[1]; m.At != (mat.Point{X: 50, Y: 100}) || m.In != (mat.Point{X: 50, Y: 100 - MarkMM}) {
		t.Errorf("the mark is %v", m)
	}
	if err := p.RemoveMark(0); err != nil || len(p.Marks) != 1 || p.Marks[0].At.X != 50 {
		t.Errorf("left are %v, %v", p.Marks, err)
	}
	if len(before) != 1 || before[0].Ticks != 2 {
		t.Error("the marks that were there have been written to")
	}
	for _, err := range []error{p.RemoveMark(1), p.RemoveMark(-1), p.MoveMark(7, mat.Point{})} {
		if err == nil {
			t.Error("a mark that is not there is taken for one")
		}
	}
}
