package pattern

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// A tape divides edges at its ends only, and marks just the edges within: the
// length marked is the tape's, the outline's shape stays, and the edges still
// cover it.
func TestLayTape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Piece{ID: "A", Outline: rectangle()}
		if rapid.Bool().Draw(t, "round") {
			p.Outline = disc(30)
		}
		if err := EdgesFromCorners(&p); err != nil {
			t.Fatal(err)
		}
		long, area := p.Outline.Length(), p.Outline.Area()
		from := rapid.Float64Range(0, 0.999).Draw(t, "from") * long
		mm := rapid.Float64Range(8, long).Draw(t, "length")
		if err := p.LayTape(from, from+mm, "T1"); err != nil {
			t.Fatal(err)
		}
		marked, all := 0.0, 0.0
		for k, e := range p.Edges {
			l := p.EdgePath(k).Length()
			all += l
			if e.Tape == "T1" {
				marked += l
			} else if e.Tape != "" {
				t.Fatalf("edge %s has tape %q", e.ID, e.Tape)
			}
		}
		if math.Abs(all-long) > 1e-6 || math.Abs(p.Outline.Area()-area) > 1e-6 {
			t.Fatalf("edges cover %.6f of %.6f mm, area %.6f was %.6f", all, long, p.Outline.Area(), area)
		}
		if math.Abs(marked-mm) > 2*tapeEndMM {
			t.Fatalf("%.3f mm are marked, the tape has %.3f", marked, mm)
		}
	})
}

func TestLayTapeRefuses(t *testing.T) {
	p := sheet(t, rectangle())
	before := p.Edges[0]
	for _, c := range [][2]float64{{-1, 5}, {5, 5}, {5, 4}, {0, 1e6}, {1e6, 1e6 + 1}, {math.NaN(), 5}, {0, math.NaN()}} {
		if err := p.LayTape(c[0], c[1], "T1"); err == nil {
			t.Errorf("a tape from %g to %g was laid", c[0], c[1])
		}
	}
	if p.Edges[0] != before {
		t.Error("a refused tape changed an edge")
	}
}

func TestTapeMeaning(t *testing.T) {
	p := Pattern{Pieces: []Piece{sheet(t, rectangle())}}
	e := p.Pieces[0].Edges
	blue, red := p.AddTape("blue", [3]uint8{0x2f, 0x6f, 0xb5}), p.AddTape("red", [3]uint8{200, 50, 40})
	e[0].Tape, e[2].Tape, e[3].Tape = blue, blue, red
	bevel := Cut{Kind: Bevel, AngleDeg: 30}
	if err := p.SetTapeMeaning(blue, bevel); err != nil {
		t.Fatal(err)
	}
	for k, want := range []Cut{bevel, {Kind: Straight}, bevel, {Kind: Straight}} {
		if e[k].Cut != want {
			t.Errorf("edge %s is cut %+v, want %+v", e[k].ID, e[k].Cut, want)
		}
	}
	if got := p.TapedEdges(blue); !reflect.DeepEqual(got, []string{e[0].ID, e[2].ID}) {
		t.Errorf("blue edges %v", got)
	}
	if err := p.SetTapeMeaning(blue, Cut{Kind: Bevel, AngleDeg: 89}); err == nil || e[0].Cut != bevel {
		t.Errorf("a bevel of 89°: %v, edge %+v", err, e[0].Cut)
	}
	// A tape laid by hand later brings its cut along.
	if err := p.SetEdgeTape(e[1].ID, blue); err != nil || e[1].Cut != bevel {
		t.Errorf("by hand: %v, %+v", err, e[1].Cut)
	}
	if err := p.MergeTapes(red, blue); err != nil {
		t.Fatal(err)
	}
	if got, err := p.Tape(red); err != nil || !got.Meant || got.Cut != bevel || e[3].Cut != bevel || len(p.TapedEdges(red)) != 4 {
		t.Errorf("merged: %+v %v, edge %+v", got, err, e[3])
	}
	if err := p.ForgetTapeMeaning(red); err != nil || p.Tapes[0].Meant || e[3].Cut != bevel {
		t.Errorf("forgotten: %v %+v", err, p.Tapes)
	}
	if err := p.RemoveTape(red); err != nil || len(p.Tapes) != 0 || e[3].Tape != "" {
		t.Errorf("removed: %v %+v", err, p.Tapes)
	}
	for _, err := range []error{
		p.SetTapeMeaning("T9", bevel), p.ForgetTapeMeaning("T9"), p.RenameTape("T9", ""), p.RemoveTape("T9"),
		p.MergeTapes("T9", "T8"), p.SetEdgeTape(e[0].ID, "T9"), p.SetEdgeTape("Z1", ""),
	} {
		if err == nil {
			t.Error("something was done with a tape or an edge that is not there")
		}
	}
}
