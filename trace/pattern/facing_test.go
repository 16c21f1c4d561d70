package pattern

import (
	"math"
	"testing"
)

func TestFacingMarks(t *testing.T) {
	p := strips(t, 106, []float64{25, 75}, []float64{50})
	for _, c := range []struct {
		piece int
		edge  string
		x     float64
		want  []float64
	}{
		{1, "A2", 80, []float64{26.5, 79.5}},
		{0, "B4", 50, []float64{50 / 1.06}},
	} {
		got, err := p.FacingMarks(p.Pieces[c.piece].ID)
		if err != nil || len(got) != len(c.want) {
			t.Fatalf("%d places face the marks, %v", len(got), err)
		}
		for k, f := range got {
			if math.Abs(f.At.X-c.x) > 1e-6 || math.Abs(f.At.Y-c.want[k]) > 1e-4 || f.Edge != c.edge {
				t.Errorf("the mark on %s faces %v, want %g, %g and %s", f.Edge, f.At, c.x, c.want[k], c.edge)
			}
		}
	}
	if _, err := p.FacingMarks("Z"); err == nil {
		t.Error("a piece that is not there faces something")
	}
}

// A mark put where it faces another is its partner, without any miss.
func TestAFacingMarkMeetsItsPartner(t *testing.T) {
	p := strips(t, 100, []float64{31}, nil)
	got, err := p.FacingMarks("B")
	if err != nil || len(got) != 1 {
		t.Fatalf("%v, %v", got, err)
	}
	if _, err := p.Pieces[1].AddMark(got[0].At); err != nil {
		t.Fatal(err)
	}
	m, err := p.MeasureSeam("s1")
	if err != nil || len(m.Joints) != 1 || math.Abs(m.Joints[0].OffMM) > 1e-4 {
		t.Errorf("joints %v, %v", m.Joints, err)
	}
}
