package pattern

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/trace/curve"
)

func TestTransferMarks(t *testing.T) {
	for _, c := range []struct {
		name  string
		fromB bool
		how   Transfer
		want  []float64
	}{
		{"by share", false, ByShare, []float64{26.5, 79.5}},
		{"by length", false, ByLength, []float64{25, 75}},
	} {
		p := strips(t, 106, []float64{25, 75}, nil)
		n, err := p.TransferMarks("s1", c.fromB, c.how)
		if err != nil || n != 2 {
			t.Fatalf("%s: %d marks, %v", c.name, n, err)
		}
		for k, m := range p.Pieces[1].Marks {
			if math.Abs(m.At.Y-c.want[k]) > 1e-4 || math.Abs(m.At.X-80) > 1e-9 || math.Abs(m.In.X-86) > 1e-6 {
				t.Errorf("%s: mark %d from %v to %v", c.name, k, m.At, m.In)
			}
		}
		if n, err := p.TransferMarks("s1", c.fromB, c.how); n != 0 || err != nil {
			t.Errorf("%s: transferred again: %d, %v", c.name, n, err)
		}
	}
	p := strips(t, 60, []float64{25, 75}, nil)
	if _, err := p.TransferMarks("s1", false, ByLength); err == nil || len(p.Pieces[1].Marks) != 0 {
		t.Error("a mark was put beyond the end")
	}
	if n, err := p.TransferMarks("s1", true, ByShare); n != 0 || err != nil {
		t.Errorf("from the bare side came %d marks, %v", n, err)
	}
}

func TestSpreadMarks(t *testing.T) {
	p := strips(t, 100, []float64{33}, []float64{10, 20})
	n, err := p.SpreadMarks("s1", Spread{SpacingMM: 20, Ticks: 2})
	if err != nil || n != 4 {
		t.Fatalf("%d marks, %v", n, err)
	}
	for i := range p.Pieces {
		if len(p.Pieces[i].Marks) != 4 {
			t.Fatalf("piece %d has %d marks", i, len(p.Pieces[i].Marks))
		}
		for k, m := range p.Pieces[i].Marks {
			if math.Abs(m.At.Y-20*float64(k+1)) > 1e-4 || m.Ticks != 2 {
				t.Errorf("mark %d of piece %d at %v with %d ticks", k, i, m.At, m.Ticks)
			}
		}
	}
	for _, bad := range []Spread{{}, {SpacingMM: 2}, {SpacingMM: 20, Ticks: 9}, {SpacingMM: math.NaN()}} {
		if _, err := p.SpreadMarks("s1", bad); err == nil {
			t.Errorf("%+v was spread", bad)
		}
	}
}

// A seam half straight, half a quarter circle: marks stand closer on the arc.
func TestSpreadCloserOnCurves(t *testing.T) {
	const k = 0.5522847498307936 // a quarter circle's arm (from memory)
	edge := []curve.Segment{
		curve.Line(pt(100, 0), pt(100, 78.5398)),
		curve.Cubic(pt(100, 78.5398), pt(100, 78.5398+50*k), pt(150-50*k, 128.5398), pt(150, 128.5398)),
	}
	a := curve.Path{Closed: true, Segments: append([]curve.Segment{curve.Line(pt(0, 0), pt(100, 0))}, append(edge,
		curve.Line(pt(150, 128.5398), pt(0, 128.5398)), curve.Line(pt(0, 128.5398), pt(0, 0)))...)}
	p, err := New("bent", Piece{Outline: a}, Piece{Outline: a.Mirror(pt(0, 0), pt(0, 1)).Translate(pt(-20, 0))})
	if err != nil {
		t.Fatal(err)
	}
	other := ""
	for _, e := range p.Pieces[1].Edges {
		if e.Count == 2 {
			other = e.ID
		}
	}
	if _, err := p.Pair(Facing("A2", other)); err != nil {
		t.Fatal(err)
	}
	if _, err := p.SpreadMarks("s1", Spread{SpacingMM: 26, OnCurves: 3}); err != nil {
		t.Fatal(err)
	}
	m, err := p.MeasureSeam("s1")
	if err != nil || len(m.Joints) != 7 {
		t.Fatalf("%d joints, %v", len(m.Joints), err)
	}
	// The arc bends through 26/50 of a right angle's 1.571 in one spacing, so
	// its marks stand 1 + 2·0.331 times closer.
	straight := m.A.Marks[1].AlongMM - m.A.Marks[0].AlongMM
	bent := m.A.Marks[6].AlongMM - m.A.Marks[5].AlongMM
	if ratio := straight / bent; math.Abs(ratio-1.662) > 0.02 {
		t.Errorf("marks stand %.2f mm apart on the straight half, %.2f on the arc, %.3f times closer", straight, bent, ratio)
	}
	for _, j := range m.Joints {
		if math.Abs(j.OffMM) > 0.01 {
			t.Errorf("joint %+v is off", j)
		}
	}
}

// A seam with odd spacing cannot be closed the wrong way round unnoticed.
func TestOneWay(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		high := rapid.Float64Range(25, 400).Draw(r, "height")
		p := strips(t, high, nil, nil)
		p.Pieces[0].Outline = curve.Polygon(pt(0, 0), pt(50, 0), pt(50, high), pt(0, high))
		n, err := p.SpreadMarks("s1", Spread{SpacingMM: rapid.Float64Range(8, 60).Draw(r, "spacing"), OneWay: true})
		if err != nil {
			r.Fatal(err)
		}
		var shares []float64
		for _, m := range p.Pieces[0].Marks {
			shares = append(shares, m.At.Y/high)
		}
		if len(shares) != n {
			r.Fatalf("%d marks of %d", len(shares), n)
		}
		if miss := missWhenTurned(shares) * high; miss < min(oneWayMM, high/6)-0.01 {
			r.Errorf("turned round, %d marks on %g mm miss by %g mm only", n, high, miss)
		}
	})
}

func TestStrokes(t *testing.T) {
	m := Mark{At: pt(10, 0), In: pt(10, 6), Ticks: 3}
	s := m.Strokes()
	if len(s) != 3 || s[1].At != m.At || math.Abs(s[0].At.X-13) > 1e-9 || s[2].In != pt(7, 6) {
		t.Errorf("strokes %+v", s)
	}
	if s := (Mark{At: pt(1, 1), In: pt(1, 1)}).Strokes(); len(s) != 1 {
		t.Errorf("a mark without length has %d strokes", len(s))
	}
}

// Neighbouring seams of a box of six squares get different ticks.
func TestTellTicks(t *testing.T) {
	p := strips(t, 100, nil, nil)
	for _, pair := range [][2]string{{"A1", "B1"}, {"A3", "B3"}} {
		if _, err := p.Pair(Facing(pair[0], pair[1])); err != nil {
			t.Fatal(err)
		}
	}
	ticks := p.TellTicks()
	if len(ticks) != 3 || ticks["s1"] == ticks["s2"] || ticks["s1"] == ticks["s3"] {
		t.Errorf("ticks %v", ticks)
	}
}
