package pattern

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"flatwright/trace/curve"
)

// Pieces as they are traced: edges wiggle by hundredths of a millimetre, curl
// within their last tenth, and meet at right angles. Whichever edge is bevelled
// in 10 mm sheet, the back face can be made, and lies where it should; but for
// the corner of K that is rounder than the bevel is broad.
func TestTracedPiecesHaveABackFace(t *testing.T) {
	raw, err := os.ReadFile("testdata/curled.json")
	if err != nil {
		t.Fatal(err)
	}
	all, err := Decode(raw)
	if err != nil {
		t.Fatal(err)
	}
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
