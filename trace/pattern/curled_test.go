package pattern

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"flatwright/trace/curve"
)

// Pieces as they are traced: edges wiggle by hundredths of a millimetre, curl
// within their last tenth, and meet at right angles. Whichever edge is bevelled
// in 10 mm sheet, the back face can be made, and lies where it should; but for
// the corner of K that is rounder than the bevel is broad.
func TestTracedPiecesHaveABackFace(t *testing.T) {
	all := curled(t)
	tried := 0
	for _, p := range all.Pieces {
		p.ThicknessMM = 10
		for k := range p.Edges {
			for _, deg := range []float64{5, 15, 22.5, 30, 45} {
				q := p
				q.Edges = append([]Edge(nil), p.Edges...)
				q.Edges[k].Cut = Cut{Kind: Bevel, AngleDeg: deg}
				name := fmt.Sprintf("%s at %g°", q.Edges[k].ID, deg)
				loops, found := OtherFace(q)
				if name == "K1 at 45°" {
					if len(found) != 1 || !strings.Contains(found[0].Text, "bends too tightly") {
						t.Errorf("%s: %v", name, found)
					}
					continue
				}
				if len(found) > 0 {
					t.Errorf("%s: %s", name, found[0].Text)
					continue
				}
				checkInset(t, name, &q, k, loops[0])
				tried++
			}
		}
	}
	if tried < 50 {
		t.Errorf("only %d cuts were tried", tried)
	}
}

func curled(t *testing.T) Pattern {
	t.Helper()
	raw, err := os.ReadFile("testdata/curled.json")
	if err != nil {
		t.Fatal(err)
	}
	all, err := Decode(raw)
	if err != nil {
		t.Fatal(err)
	}
	// A box whose left side runs on into a round top: where it meets the straight
	// bottom, one side ends on the other's line but for rounding.
	box := Piece{ID: "X", Quantity: 1, Face: Front, Outline: curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Line(pt(30, 25), pt(130, 25)), curve.Line(pt(130, 25), pt(130, 100)),
		{P0: pt(130, 100), P1: pt(105, 112), P2: pt(30, 125), P3: pt(30, 70)},
		curve.Line(pt(30, 70), pt(30, 25)),
	}}}
	box.Edges = []Edge{{ID: "X1", Count: 1}, {ID: "X2", First: 1, Count: 1}, {ID: "X3", First: 2, Count: 2}}
	for i := range box.Edges {
		box.Edges[i].Cut.Kind = Straight
	}
	all.Pieces = append(all.Pieces, box)
	return all
}

// So it is however the pieces lie, with any set of edges bevelled: a corner must
// not hang on the last digits of its coordinates.
func TestTracedPiecesHaveABackFaceHoweverTheyLie(t *testing.T) {
	all := curled(t)
	rapid.Check(t, func(r *rapid.T) {
		p := rapid.SampledFrom(all.Pieces).Draw(r, "piece")
		p = p.Moved(curve.Rotation(pt(0, 0), rapid.Float64Range(0, 2*math.Pi).Draw(r, "turn")))
		p.ThicknessMM = rapid.Float64Range(2, 8).Draw(r, "thickness")
		one := -1
		for k := range p.Edges {
			if rapid.Bool().Draw(r, "bevelled") {
				p.Edges[k].Cut = Cut{Kind: Bevel, AngleDeg: rapid.Float64Range(3, 35).Draw(r, "angle")}
				one = k
			}
		}
		loops, found := OtherFace(p)
		if len(found) > 0 {
			r.Fatalf("%s: %s", p.ID, found[0].Text)
		}
		if one >= 0 {
			inset := InsetMM(p.Edges[one].Cut, p.ThicknessMM)
			for _, at := range loops[0].Flatten(0.01) {
				if d, err := p.EdgePath(one).Nearest(at); err != nil || d.DistanceMM < inset-0.3 {
					r.Fatalf("%s: (%.2f, %.2f) lies %.3f mm from edge %s, not %.3f", p.ID, at.X, at.Y, d.DistanceMM, p.Edges[one].ID, inset)
				}
			}
		}
	})
}

// checkInset holds the back face to the distance of the bevelled edge, and to the
// outline elsewhere; what wiggles may be cut across.
func checkInset(t *testing.T, name string, q *Piece, edge int, back curve.Path) {
	t.Helper()
	const wiggleMM = 0.3
	inset := InsetMM(q.Edges[edge].Cut, q.ThicknessMM)
	path := q.EdgePath(edge)
	near := 0
	for _, at := range back.Flatten(0.01) {
		d, err := path.Nearest(at)
		if err != nil {
			t.Fatal(err)
		}
		if d.DistanceMM < inset-wiggleMM {
			t.Errorf("%s: (%.2f, %.2f) lies %.3f mm from the edge, not %.3f", name, at.X, at.Y, d.DistanceMM, inset)
			return
		}
		on, err := q.Outline.Nearest(at)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case d.DistanceMM < inset+wiggleMM:
			near++
		case on.DistanceMM > wiggleMM:
			t.Errorf("%s: (%.2f, %.2f) lies %.3f mm off the outline, on no bevel", name, at.X, at.Y, on.DistanceMM)
			return
		}
	}
	if near < 2 {
		t.Errorf("%s: nothing lies beside the bevelled edge", name)
	}
}
