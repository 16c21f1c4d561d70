package pattern

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// A long strap seen in two photographs, each of which shows a part of it and
// how it goes on for a while, is one piece again: as long and as large as it
// was, whatever way the second lay.
func TestJoinPartsGivesTheWholeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slant := rapid.Float64Range(-15, 15).Draw(t, "slant")
		strap := Piece{
			ThicknessMM: 4, Outline: curve.Polygon(pt(0, 0), pt(900, slant), pt(900, 80+slant), pt(0, 80)),
			Marks: []Mark{{At: pt(450, slant/2), In: pt(450, 6+slant/2)}, {At: pt(450, 80+slant/2), In: pt(450, 74+slant/2)}, {At: pt(100, slant/9), In: pt(100, 6)}},
		}
		whole1, err := New("strap", strap)
		if err != nil {
			t.Fatal(err)
		}
		left, right := whole1.clone(), whole1.clone()
		if _, err := left.keepSide("A", pt(500, -20), pt(500, 120), 1); err != nil { // as far as 500 mm
			t.Fatal(err)
		}
		if _, err := right.keepSide("A", pt(400, -20), pt(400, 120), -1); err != nil { // from 400 mm on
			t.Fatal(err)
		}
		lies := curve.Rotation(pt(0, 0), rapid.Float64Range(-3, 3).Draw(t, "turn")).Then(curve.Translation(pt(70, 300)))
		letters := left.Append(right, lies)
		if letters["A"] != "B" {
			t.Fatal(letters)
		}
		noise := func(name string) float64 { return rapid.Float64Range(-0.2, 0.2).Draw(t, name) }
		a := []mat.Point{pt(450, slant/2), pt(450, 80+slant/2)}
		b := []mat.Point{lies.Apply(pt(450+noise("x0"), slant/2+noise("y0"))), lies.Apply(pt(450+noise("x1"), 80+slant/2+noise("y1")))}
		if rapid.Bool().Draw(t, "third point") {
			a, b = append(a, pt(430, 40)), append(b, lies.Apply(pt(430, 40)))
		}
		out, err := left.JoinParts("A", a, "B", b)
		if err != nil {
			t.Fatal(err)
		}
		whole(t, left)
		p := &left.Pieces[0]
		if len(left.Pieces) != 1 || p.ThicknessMM != 4 || len(p.Marks) != 3 {
			t.Errorf("%d pieces, %d marks", len(left.Pieces), len(p.Marks))
		}
		// Noise of 0.2 mm at 80 mm apart turns the far end by 0.2·√2/40 at most.
		if out.Fit.WorstMM > 0.3 || out.EndsMM > 0.5 {
			t.Errorf("points miss by %.2f, ends by %.2f mm", out.Fit.WorstMM, out.EndsMM)
		}
		if d := p.Outline.Area() - 72000; math.Abs(d) > 80*0.6 {
			t.Errorf("the area changed by %.1f mm²", d)
		}
		// The long sides run over the join in one edge each.
		if len(p.Edges) != 4 {
			t.Errorf("edges %v", edgeIDs(p))
		}
	})
}

func TestJoinPartsRefuses(t *testing.T) {
	p := window(t)
	near := []mat.Point{pt(100, 0), pt(100, 60)}
	for name, try := range map[string]func() (Parted, error){
		"one point":  func() (Parted, error) { return p.JoinParts("A", near[:1], "B", near[:1]) },
		"one piece":  func() (Parted, error) { return p.JoinParts("A", near, "A", near) },
		"far misses": func() (Parted, error) { return p.JoinParts("A", near, "B", []mat.Point{pt(0, 100), pt(0, 140)}) },
		"one side":   func() (Parted, error) { return p.JoinParts("A", near, "B", []mat.Point{pt(100, 80), pt(100, 140)}) },
	} {
		if _, err := try(); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
	whole(t, p)
	if len(p.Pieces) != 2 {
		t.Errorf("%d pieces", len(p.Pieces))
	}
}

func TestAppendKeepsSeamsAndTapes(t *testing.T) {
	p, other := window(t), window(t)
	blue := other.AddTape("blue", [3]uint8{0, 0, 200})
	other.Pieces[0].Edges[1].Tape = blue
	if _, err := other.Pair(Facing("A1", "B3")); err != nil {
		t.Fatal(err)
	}
	if _, err := p.Pair(Facing("A1", "B3")); err != nil {
		t.Fatal(err)
	}
	d := p.Below(other)
	letters := p.Append(other, curve.Translation(d))
	whole(t, p)
	if letters["A"] != "C" || letters["B"] != "D" || len(p.Seams) != 2 || p.Seams[1].A[0].Edge != "C1" || p.Seams[1].B[0].Edge != "D3" {
		t.Errorf("%v, %+v", letters, p.Seams)
	}
	if got := p.TapedEdges(p.Tapes[0].ID); len(got) != 1 || got[0] != "C2" {
		t.Errorf("taped %v", got)
	}
	if p.Pieces[2].Outline.Bounds().Min.Y < p.Pieces[1].Outline.Bounds().Max.Y+19 {
		t.Error("the pieces of the other lie on those there were")
	}
}
