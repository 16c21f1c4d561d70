package pattern

import (
	"math"
	"slices"
	"strings"
	"testing"

	"flatwright/trace/curve"
)

// of returns the findings of a kind.
func of(found []Finding, kind FindingKind) []Finding {
	var out []Finding
	for _, f := range found {
		if f.Kind == kind {
			out = append(out, f)
		}
	}
	return out
}

func TestCheckFindsAndMends(t *testing.T) {
	bevelled := func(p Pattern, deg float64, edges ...string) Pattern {
		for _, e := range edges {
			if err := p.SetCut(e, CutOf(deg)); err != nil {
				t.Fatal(err)
			}
		}
		return p
	}
	for _, c := range []struct {
		name   string
		make   func() Pattern
		kind   FindingKind
		mm     float64
		deg    float64
		says   string
		x, y   float64
		reach  float64
		mended bool
	}{
		{
			"sides 6 mm apart, between the marks at 20 and 50",
			func() Pattern { return strips(t, 106, []float64{20, 50, 80}, []float64{20, 56, 86}) },
			SeamLength, 6, 0, "between the 1st mark and the 2nd mark, 20 to 50 mm along edge A2", 50, 35, 1, true,
		},
		{
			"a mark without partner",
			func() Pattern { return strips(t, 100, []float64{20, 50}, []float64{20}) },
			SeamMarks, 50, 0, "no partner", 50, 50, 1e-6, true,
		},
		{
			"marks that do not meet",
			func() Pattern { return strips(t, 100, []float64{50}, []float64{53}) },
			SeamMarks, 3, 0, "do not meet", 80, 53, 1e-6, true,
		},
		{
			"a bare seam",
			func() Pattern {
				p := strips(t, 100, nil, nil)
				p.Limits.BareSeamMM = 90
				return p
			},
			BareSeam, 100, 0, "no registration mark", 50, 50, 0.1, true,
		},
		{
			"bevels too sharp",
			func() Pattern { return bevelled(strips(t, 100, []float64{50}, []float64{50}), 75, "A2", "B4") },
			SeamAngle, 0, 30, "", 0, 0, -1, false,
		},
		{
			"not the wanted angle",
			func() Pattern {
				p := strips(t, 100, []float64{50}, []float64{50})
				p.Seams[0].WantDeg = 90
				return p
			},
			SeamAngle, 0, 90, "90.0° is wanted", 50, 0, 1e-6, true,
		},
		{
			"one edge takes the whole turn",
			func() Pattern { return bevelled(strips(t, 100, []float64{50}, []float64{50}), 60, "A2") },
			SeamStep, -10, 0, "unequal in width", 50, 0, 1e-6, true,
		},
		{
			"the back face vanishes",
			func() Pattern {
				return bevelled(strips(t, 100, []float64{50}, []float64{50}), 70, "A1", "A2", "A3", "A4")
			},
			BackFace, 0, 0, "cannot be made", 0, 0, -1, false,
		},
		{
			"edges in no seam",
			func() Pattern { return strips(t, 100, []float64{50}, []float64{50}) },
			Unpaired, 200, 0, "A1, A3 and A4", 25, 0, 1e-6, false,
		},
		{
			"one name twice",
			func() Pattern {
				p := strips(t, 100, []float64{50}, []float64{50})
				p.Pieces[0].Name, p.Pieces[1].Name = "brow ", "Brow"
				return p
			},
			SameName, 0, 0, "A and B", 80, 0, 1e-6, true,
		},
		{
			"too large, even aslant",
			func() Pattern {
				p := strips(t, 100, []float64{50}, []float64{50})
				p.Limits.SheetWidthMM, p.Limits.SheetHeightMM = 90, 200
				p.Pieces[0].Outline = p.Pieces[0].Outline.Rotate(pt(0, 0), 0.5)
				p.Pieces[0].Marks = nil
				p.Limits.SheetHeightMM = 80
				return p
			},
			TooLarge, 10, 0, "Part it with a seam", 0, 0, 0.2, false,
		},
	} {
		p := c.make()
		found := of(Check(p), c.kind)
		if c.name == "bevels too sharp" {
			// 180 - 150 = 30 is the limit itself: nothing to say.
			if len(found) != 0 {
				t.Errorf("%s: %+v", c.name, found)
			}
			p.Limits.LeastDeg = 40
			found = of(Check(p), c.kind)
		}
		if len(found) == 0 {
			t.Errorf("%s: not found in %+v", c.name, Check(p))
			continue
		}
		f := found[0]
		if c.mm != 0 && math.Abs(f.AmountMM-c.mm) > 0.3 || c.deg != 0 && math.Abs(f.AmountDeg-c.deg) > 1e-6 || !strings.Contains(f.Text, c.says) {
			t.Errorf("%s: %+v", c.name, f)
		}
		if c.reach >= 0 && apartMM(f.At, pt(c.x, c.y)) > c.reach {
			t.Errorf("%s: found at %v, want (%g, %g)", c.name, f.At, c.x, c.y)
		}
		if !c.mended {
			continue
		}
		if f.Mend.Label() == "" {
			t.Errorf("%s: no mend is offered", c.name)
			continue
		}
		before, _ := Encode(p)
		q := p.clone()
		if err := q.Apply(f.Mend); err != nil {
			t.Errorf("%s: mending failed: %v", c.name, err)
			continue
		}
		if still := of(Check(q), c.kind); len(still) >= len(found) {
			t.Errorf("%s: mended by %q, but %+v", c.name, f.Mend.Label(), still)
		}
		if after, _ := Encode(p); string(before) != string(after) {
			t.Errorf("%s: mending a copy changed the first", c.name)
		}
	}
}

func TestLimitsSwitchOff(t *testing.T) {
	p := strips(t, 106, []float64{20, 50}, nil)
	p.Limits = Limits{SeamMM: -1, MarkMM: -1, BareSeamMM: -1, LeastDeg: -1, MostDeg: -1, AngleDeg: -1, RadiusThicknesses: -1, DartMM: -1}
	for _, f := range Check(p) {
		if f.Kind != Unpaired {
			t.Errorf("switched off, but %+v", f)
		}
	}
}

// A dart: a wedge of 50 mm mouth cut into a square, its sides joined to each
// other.
func TestDart(t *testing.T) {
	p, err := New("dart", Piece{
		Outline:     curve.Polygon(pt(0, 0), pt(75, 0), pt(100, 80), pt(125, 0), pt(200, 0), pt(200, 150), pt(0, 150)),
		ThicknessMM: 5,
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Pair(Facing("A2", "A3")); err != nil {
		t.Fatal(err)
	}
	m, err := p.MeasureSeam("s1")
	if err != nil || math.Abs(m.DifferenceMM()) > 1e-9 {
		t.Fatalf("sides of %.3f and %.3f mm, %v", m.A.LengthMM, m.B.LengthMM, err)
	}
	found := of(Check(p), WideDart)
	if len(found) != 1 || math.Abs(found[0].AmountMM-50) > 1e-9 || apartMM(found[0].At, pt(100, 0)) > 1e-9 {
		t.Errorf("found %+v", found)
	}
}

// A leaning cut round a disc of 20 mm radius in 10 mm sheet.
func TestTooTight(t *testing.T) {
	p, err := New("disc", Piece{Outline: disc(20), ThicknessMM: 10})
	if err != nil {
		t.Fatal(err)
	}
	if found := of(Check(p), TooTight); len(found) != 0 {
		t.Errorf("cut straight: %+v", found)
	}
	if err := p.SetCut("A1", CutOf(30)); err != nil {
		t.Fatal(err)
	}
	found := of(Check(p), TooTight)
	if len(found) != 1 || math.Abs(found[0].AmountMM-20) > 0.2 {
		t.Fatalf("found %+v", found)
	}
	if err := p.Apply(found[0].Mend); err != nil || len(of(Check(p), TooTight)) != 0 {
		t.Errorf("not mended: %v", err)
	}
}

func TestSeveritiesComeFirst(t *testing.T) {
	p := strips(t, 140, []float64{20, 50}, nil)
	found := Check(p)
	if !slices.IsSortedFunc(found, func(a, b Finding) int { return int(b.Severity) - int(a.Severity) }) || found[0].Severity != Fault {
		t.Errorf("in the order %+v", found)
	}
	for _, f := range found {
		if f.Text == "" || f.Severity.String() == "" || f.Kind == "" {
			t.Errorf("a finding without words: %+v", f)
		}
	}
}

// Made 1.3 times as large, lengths are 1.3 times as long, and what belongs to
// the sheet and the knife stays.
func TestScale(t *testing.T) {
	p := strips(t, 100, []float64{40}, []float64{40})
	if err := p.SetCut("A2", CutOf(30)); err != nil {
		t.Fatal(err)
	}
	old := p.clone()
	if err := p.ScaleToLength("A2", 130); err != nil {
		t.Fatal(err)
	}
	for i := range p.Pieces {
		a, b := old.Pieces[i], p.Pieces[i]
		if math.Abs(b.PerimeterMM()-1.3*a.PerimeterMM()) > 1e-6 || math.Abs(b.AreaMM2()-1.69*a.AreaMM2()) > 1e-6 || b.ThicknessMM != a.ThicknessMM {
			t.Errorf("piece %s: %g mm round, %g mm²", b.ID, b.PerimeterMM(), b.AreaMM2())
		}
		if math.Abs(apartMM(b.Marks[0].At, b.Marks[0].In)-apartMM(a.Marks[0].At, a.Marks[0].In)) > 1e-9 {
			t.Errorf("piece %s: the mark's length changed", b.ID)
		}
	}
	if p.Pieces[0].Edges[1].Cut != old.Pieces[0].Edges[1].Cut {
		t.Error("the bevel changed")
	}
	back, err := p.Pieces[0].OtherEdge(1)
	if err != nil {
		t.Fatal(err)
	}
	if d := 65 - back.Segments[0].P0.X; math.Abs(d-10*math.Tan(math.Pi/6)) > 0.01 {
		t.Errorf("the back edge lies %.3f mm inside", d)
	}
	if m, err := p.MeasureSeam("s1"); err != nil || math.Abs(m.A.LengthMM-130) > 1e-6 {
		t.Errorf("the seam is %.3f mm long, %v", m.A.LengthMM, err)
	}
	for _, bad := range []float64{0, -1, 50, math.NaN()} {
		if p.Scale(bad) == nil {
			t.Errorf("scaled by %g", bad)
		}
	}
}

// A bevel that grows from 0 to 45° along an edge draws the back edge aslant.
func TestVaryingCut(t *testing.T) {
	p := sheet(t, rectangle())
	p.ThicknessMM = 10
	p.Edges[0].Cut = Cut{Kind: Straight, Varies: true, ToDeg: 45}
	back, err := p.OtherEdge(0)
	if err != nil {
		t.Fatal(err)
	}
	// The bevel's angle, not its inset, grows evenly.
	for _, share := range []float64{0, 0.25, 0.5, 0.9} {
		x := 100 * share
		want := 10 * math.Tan(45*share*radPerDeg)
		at, err := back.Nearest(pt(x, want))
		if err != nil || at.DistanceMM > 0.05 {
			t.Errorf("at %g mm the back edge misses (%.1f, %.2f) by %.3f mm", x, x, want, at.DistanceMM)
		}
	}
	p.Edges[0].Cut.ToDeg = 80
	if _, err := p.OtherEdge(0); err == nil {
		t.Error("a bevel of 80° was drawn")
	}
}

// A thickness that is not known hides nothing else.
func TestFaultThatHidesNothing(t *testing.T) {
	p := strips(t, 106, []float64{20, 50, 80}, []float64{20, 56, 86})
	p.Pieces[0].ThicknessMM = 0
	if err := p.SetCut("A1", CutOf(30)); err != nil {
		t.Fatal(err)
	}
	found := Check(p)
	if len(of(found, Faulty)) != 1 || len(of(found, SeamLength)) != 1 || len(of(found, Unpaired)) != 2 {
		t.Errorf("found %+v", found)
	}
}
