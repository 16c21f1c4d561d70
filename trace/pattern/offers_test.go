package pattern

import (
	"testing"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// A strip 12 mm wide of 10 mm sheet: bevelled on both sides its back vanishes.
// One edge cut gentler is enough, and a degree more is too much.
func TestBackFaceIsMended(t *testing.T) {
	p, err := New("strip", Piece{ThicknessMM: 10, Outline: curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 12), pt(0, 12))})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range []string{"A1", "A3"} {
		if err := p.SetCut(e, CutOf(40)); err != nil {
			t.Fatal(err)
		}
	}
	found := of(Check(p), BackFace)
	if len(found) != 1 || found[0].Mend.Kind != CutGentler {
		t.Fatalf("%+v", found)
	}
	// 12 mm less 10·tan 40° = 8.391 leaves 3.609 mm: atan 0.3609 = 19.84°.
	m := found[0].Mend
	if m.Deg != 19 || m.Label() != "Cut edge "+m.Edge+" at 19°" {
		t.Errorf("%+v: %q", m, m.Label())
	}
	more := m
	more.Deg++
	q := p.clone()
	if err := q.Apply(more); err != nil || len(of(Check(q), BackFace)) == 0 {
		t.Errorf("a degree more does as well, %v", err)
	}
	if err := p.Apply(m); err != nil || len(of(Check(p), BackFace)) != 0 {
		t.Errorf("not mended: %v, %+v", err, of(Check(p), BackFace))
	}
}

// A piece cut aslant whose thickness was forgotten is offered that of the
// others; where they differ, both.
func TestThicknessIsOffered(t *testing.T) {
	p := sheetsOf(t, 0, 8)
	if err := p.SetCut("A3", CutOf(30)); err != nil {
		t.Fatal(err)
	}
	found := of(Check(p), Faulty)
	if len(found) != 1 || found[0].Mend.Label() != "Piece A is 8 mm thick" {
		t.Fatalf("%+v", found)
	}
	if err := p.Apply(found[0].Mend); err != nil || len(of(Check(p), Faulty)) != 0 {
		t.Errorf("not mended: %v", err)
	}
	p.Pieces[0].ThicknessMM = 0
	third := p.Pieces[1].Translate(pt(0, 200))
	third.ID, third.Edges, third.ThicknessMM = "C", nil, 5
	if err := EdgesFromCorners(&third); err != nil {
		t.Fatal(err)
	}
	p.Pieces = append(p.Pieces, third)
	if found := of(Check(p), Faulty); len(found) != 1 || found[0].Mend.MM != 5 || found[0].Other.MM != 8 {
		t.Errorf("others of 8 and 5 mm: %+v", found)
	}
}

// Sides that differ by more than a fifth belong to no seam.
func TestHopelessSeamIsTakenApart(t *testing.T) {
	p := sheetsOf(t, 10, 10)
	if err := p.Unpair("s1"); err != nil {
		t.Fatal(err)
	}
	id, err := p.Pair(Facing("A3", "B2"))
	if err != nil {
		t.Fatal(err)
	}
	found := of(Check(p), SeamLength)
	if len(found) != 1 || found[0].Mend.Label() != "Take seam "+id+" apart" {
		t.Fatalf("%+v", found)
	}
	if err := p.Apply(found[0].Mend); err != nil || len(p.Seams) != 0 {
		t.Errorf("%d seams, %v", len(p.Seams), err)
	}
}

// With a marked seam open, the finding of its edge offers the mate.
func TestUnpairedEdgeIsOfferedItsMate(t *testing.T) {
	p := strips(t, 100, []float64{17, 52, 71}, []float64{17, 52, 71})
	// Not of one shape, or they would be taken for left and right.
	var corners []mat.Point
	for _, g := range p.Pieces[1].Outline.Segments {
		c := g.P0
		if c.X > p.Pieces[1].Marks[0].At.X+1 {
			c.X += 23
		}
		corners = append(corners, c)
	}
	p.Pieces[1].Outline = curve.Polygon(corners...)
	a, b := p.Seams[0].A[0], p.Seams[0].B[0]
	// A seam elsewhere, so that pairing has begun.
	far, err := New("far", Piece{ID: "X", ThicknessMM: 10, Outline: curve.Polygon(pt(500, 0), pt(533, 0), pt(533, 21), pt(500, 21))},
		Piece{ID: "Y", ThicknessMM: 10, Outline: curve.Polygon(pt(600, 0), pt(633, 0), pt(633, 44), pt(600, 44))})
	if err != nil {
		t.Fatal(err)
	}
	p.Pieces = append(p.Pieces, far.Pieces...)
	if err := p.Unpair(p.Seams[0].ID); err != nil {
		t.Fatal(err)
	}
	if _, err := p.Pair(Facing("X1", "Y1")); err != nil {
		t.Fatal(err)
	}
	offered := 0
	for _, f := range of(Check(p), Unpaired) {
		if f.Mend.Kind != JoinMates {
			continue
		}
		offered++
		if ids := [2]string{f.Mend.Sides[0].Edge, f.Mend.Sides[1].Edge}; ids != [2]string{a.Edge, b.Edge} && ids != [2]string{b.Edge, a.Edge} {
			t.Errorf("%s is offered; %s and %s belong together", f.Mend.Label(), a.Edge, b.Edge)
		}
		r := p.clone()
		if err := r.Apply(f.Mend); err != nil {
			t.Fatal(err)
		}
		if s, ok := r.SeamOf(a.Edge); !ok || !s.has(b.Edge) {
			t.Errorf("joined: %+v", r.Seams)
		}
	}
	if offered == 0 {
		t.Errorf("no mate is offered: %+v", p.ProposeMates(MateOptions{}))
	}
}
