package pattern

import (
	"math"
	"strings"
	"testing"

	"flatwright/trace/curve"
)

// darted is a plate of 200 x 150 mm with a dart of 50 mm cut 80 mm into its
// side at y = 0.
func darted(t *testing.T) Pattern {
	t.Helper()
	p, err := New("dart", Piece{
		Outline:     curve.Polygon(pt(0, 0), pt(75, 0), pt(100, 80), pt(125, 0), pt(200, 0), pt(200, 150), pt(0, 150)),
		ThicknessMM: 5,
		Marks:       []Mark{{At: pt(112.5, 40), In: pt(118, 42)}, {At: pt(0, 75), In: pt(6, 75)}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A dart without a seam is offered one, by which its sides meet from the apex
// on; the maker can leave it open instead.
func TestOpenDart(t *testing.T) {
	p := darted(t)
	found := of(Check(p), OpenDart)
	if len(found) != 1 || math.Abs(found[0].AmountMM-50) > 1e-9 || apartMM(found[0].At, pt(100, 0)) > 1e-9 {
		t.Fatalf("found %+v", found)
	}
	q := p.clone()
	if err := q.Apply(found[0].Mend); err != nil || len(of(Check(q), OpenDart)) != 0 {
		t.Fatalf("%v, still %+v", err, of(Check(q), OpenDart))
	}
	if mm, ok := q.DartOpenMM("s1"); !ok || math.Abs(mm-50) > 1e-9 {
		t.Errorf("the seam opens %g mm, %v", mm, ok)
	}
	m, err := q.MeasureSeam("s1")
	if err != nil || math.Abs(m.DifferenceMM()) > 1e-9 || apartMM(m.A.Start, pt(100, 80)) > 1e-9 || apartMM(m.B.Start, pt(100, 80)) > 1e-9 {
		t.Errorf("%+v, %v", m, err)
	}
	if err := p.Apply(found[0].Other); err != nil || len(of(Check(p), OpenDart)) != 0 {
		t.Errorf("left as the rim, and still %+v, %v", of(Check(p), OpenDart), err)
	}
	// An edge that is paired is no rim any more.
	if _, err := p.Pair(Facing("A2", "A3")); err != nil || p.Pieces[0].Edges[1].Rim {
		t.Errorf("%v, rim %v", err, p.Pieces[0].Edges[1].Rim)
	}
}

// A wide dart is shared between two half as wide; what is sewn up along the
// rim stays 200 - 50 = 150 mm, and each dart's sides are equally long.
func TestWideDartIsShared(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(p *Pattern)
	}{
		{"on the right", func(*Pattern) {}},
		{"on the left, where an opening takes the room on the right", func(p *Pattern) {
			p.Pieces[0].Openings = []curve.Path{curve.Polygon(pt(140, 30), pt(180, 30), pt(180, 70), pt(140, 70))}
		}},
	} {
		p := darted(t)
		if _, err := p.Pair(Run{{Edge: "A2", Reversed: true}}, Run{{Edge: "A3"}}); err != nil {
			t.Fatal(err)
		}
		c.change(&p)
		found := of(Check(p), WideDart)
		if len(found) != 1 || found[0].Mend.Kind != ShareTheDart {
			t.Fatalf("%s: %+v", c.name, found)
		}
		if err := p.Apply(found[0].Mend); err != nil {
			t.Fatal(err)
		}
		covers(t, p)
		if left := append(of(Check(p), WideDart), of(Check(p), OpenDart)...); len(left) != 0 {
			t.Errorf("%s: still %+v", c.name, left)
		}
		sewn := 0.0
		q := &p.Pieces[0]
		for k, e := range q.Edges {
			// The rim is what lies at y = 0, but for the slight slant where the
			// first dart was filled.
			if _, seam := p.SeamOf(e.ID); !seam && q.EdgePath(k).Bounds().Max.Y < 20 {
				sewn += q.EdgeLengthMM(k)
			}
		}
		if math.Abs(sewn-150) > 0.2 {
			t.Errorf("%s: the rim is %.2f mm", c.name, sewn)
		}
		for _, s := range p.Seams {
			mm, dart := p.DartOpenMM(s.ID)
			m, err := p.MeasureSeam(s.ID)
			if err != nil || !dart || math.Abs(mm-25) > 1 || math.Abs(m.DifferenceMM()) > 1e-6 {
				t.Errorf("%s: seam %s opens %.2f mm, sides %.3f and %.3f, %v", c.name, s.ID, mm, m.A.LengthMM, m.B.LengthMM, err)
			}
		}
		if len(p.Seams) != 2 || len(q.Marks) != 2 {
			t.Errorf("%s: %d seams, %d marks", c.name, len(p.Seams), len(q.Marks))
		}
	}
}

func TestDartThatCannotBeShared(t *testing.T) {
	p := darted(t)
	if _, err := p.Pair(Run{{Edge: "A2", Reversed: true}}, Run{{Edge: "A3"}}); err != nil {
		t.Fatal(err)
	}
	p.Pieces[0].Openings = []curve.Path{
		curve.Polygon(pt(130, 20), pt(195, 20), pt(195, 70), pt(130, 70)),
		curve.Polygon(pt(5, 20), pt(70, 20), pt(70, 70), pt(5, 70)),
	}
	if _, err := p.ShareDart("s1"); err == nil || !strings.Contains(err.Error(), "no room") {
		t.Errorf("%v", err)
	}
	if found := of(Check(p), WideDart); len(found) != 1 || found[0].Mend.Kind != TakeApart {
		t.Errorf("%+v", found)
	}
	if _, err := p.ShareDart("s9"); err == nil {
		t.Error("a seam that is not there was shared")
	}
}

// What the maker calls the rim is no more told of.
func TestRimIsLeft(t *testing.T) {
	p := strips(t, 100, []float64{41}, []float64{41})
	for range 2 {
		found := of(Check(p), Unpaired)
		if len(found) == 0 {
			t.Fatal("nothing unpaired")
		}
		m := found[0].Mend
		if m.Kind != LeaveRim {
			m = found[0].Other
		}
		if err := p.Apply(m); err != nil {
			t.Fatal(err)
		}
	}
	if found := of(Check(p), Unpaired); len(found) != 0 {
		t.Errorf("still %+v", found)
	}
	if m := p.ProposeMates(MateOptions{}); len(m) != 0 {
		t.Errorf("mates are proposed for the rim: %+v", m)
	}
	if q, k, _ := p.FindEdge("A2"); q.Edges[k].Rim {
		t.Error("an edge in a seam was called rim")
	}
}
