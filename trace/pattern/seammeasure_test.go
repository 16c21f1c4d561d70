package pattern

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/trace/curve"
)

// strips are two strips, 100 mm high, side by side: A's right edge is A2, B's
// left edge is B4. The marks given lie on them, from the top.
func strips(t *testing.T, bHigh float64, marksA, marksB []float64) Pattern {
	t.Helper()
	p, err := New("strips",
		Piece{Outline: curve.Polygon(pt(0, 0), pt(50, 0), pt(50, 100), pt(0, 100)), ThicknessMM: 10},
		Piece{Outline: curve.Polygon(pt(80, 0), pt(130, 0), pt(130, bHigh), pt(80, bHigh)), ThicknessMM: 10})
	if err != nil {
		t.Fatal(err)
	}
	for _, y := range marksA {
		p.Pieces[0].Marks = append(p.Pieces[0].Marks, Mark{At: pt(50, y), In: pt(45, y)})
	}
	for _, y := range marksB {
		p.Pieces[1].Marks = append(p.Pieces[1].Marks, Mark{At: pt(80, y), In: pt(85, y)})
	}
	if _, err := p.Pair(Facing("A2", "B4")); err != nil {
		t.Fatal(err)
	}
	return p
}

func TestMeasureSeam(t *testing.T) {
	p := strips(t, 106, []float64{20, 50, 80}, []float64{20, 56, 86})
	m, err := p.MeasureSeam("s1")
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(m.DifferenceMM()-6) > 1e-6 || math.Abs(m.Part()-6.0/103) > 1e-9 {
		t.Errorf("difference %.4f mm, %.4f of it", m.DifferenceMM(), m.Part())
	}
	if len(m.Joints) != 3 || len(m.A.Alone)+len(m.B.Alone) != 0 {
		t.Fatalf("joints %v, alone %v and %v", m.Joints, m.A.Alone, m.B.Alone)
	}
	// The 6 mm arise between the first mark and the second.
	if s, ok := m.WorstStretch(); !ok || math.Abs(s.DifferenceMM-6) > 1e-6 || math.Abs(s.AFromMM-20) > 1e-6 || math.Abs(s.BToMM-56) > 1e-6 {
		t.Errorf("the difference arises at %+v", s)
	}
}

func TestMarksWithoutPartner(t *testing.T) {
	for _, c := range []struct {
		name           string
		a, b           []float64
		joints         int
		aloneA, aloneB int
	}{
		{"one missing on B", []float64{15, 50, 70}, []float64{15, 70}, 2, 1, 0},
		{"one missing on A", []float64{50}, []float64{20, 50.3}, 1, 0, 1},
		{"none", nil, nil, 0, 0, 0},
		{"at the corners", []float64{0.2, 99.5}, []float64{50}, 0, 0, 1},
	} {
		p := strips(t, 100, c.a, c.b)
		m, err := p.MeasureSeam("s1")
		if err != nil {
			t.Fatal(err)
		}
		if len(m.Joints) != c.joints || len(m.A.Alone) != c.aloneA || len(m.B.Alone) != c.aloneB {
			t.Errorf("%s: joints %v, alone %v and %v", c.name, m.Joints, m.A.Alone, m.B.Alone)
		}
		for _, j := range m.Joints {
			if math.Abs(j.OffMM) > 0.5 {
				t.Errorf("%s: the joint %v is off", c.name, j)
			}
		}
	}
}

// The stretches of a seam add up to its sides, whatever marks there are.
func TestStretchesAddUp(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		marks := rapid.SliceOfN(rapid.Float64Range(2, 98), 0, 6)
		p := strips(t, rapid.Float64Range(99, 120).Draw(r, "height"), marks.Draw(r, "a"), marks.Draw(r, "b"))
		m, err := p.MeasureSeam("s1")
		if err != nil {
			r.Fatal(err)
		}
		var a, b, d float64
		for _, s := range m.Stretches {
			a, b, d = a+s.AToMM-s.AFromMM, b+s.BToMM-s.BFromMM, d+s.DifferenceMM
		}
		if math.Abs(a-m.A.LengthMM)+math.Abs(b-m.B.LengthMM)+math.Abs(d-m.DifferenceMM()) > 1e-9 {
			r.Errorf("the stretches sum to %g and %g of %g and %g", a, b, m.A.LengthMM, m.B.LengthMM)
		}
		if want := min(len(m.A.Marks), len(m.B.Marks)); len(m.Joints) != want {
			r.Errorf("%d joints of %d and %d marks", len(m.Joints), len(m.A.Marks), len(m.B.Marks))
		}
	})
}

// A piece lifted off the back is measured along its front, which its bevels
// move outwards: 10 mm at 45 degrees lengthen 100 mm by 10 mm at either end.
func TestMeasureAlongTheFront(t *testing.T) {
	p := strips(t, 100, nil, []float64{30})
	p.Pieces[1].Face = Back
	for i := range p.Pieces[1].Edges {
		p.Pieces[1].Edges[i].Cut = Cut{Kind: Bevel, AngleDeg: 45}
	}
	m, err := p.MeasureSeam("s1")
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(m.B.LengthMM-120) > 0.05 || math.Abs(m.A.LengthMM-100) > 1e-9 {
		t.Errorf("sides of %.3f and %.3f mm", m.A.LengthMM, m.B.LengthMM)
	}
	if got := m.B.Marks[0].AlongMM; math.Abs(got-40) > 0.05 {
		t.Errorf("the mark lies %.2f mm along", got)
	}
}
