package session_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// two returns a session with the practice pattern from each of two photographs,
// the second looked at.
func two(t *testing.T) *session.Session {
	t.Helper()
	s := traced(t)
	p := *photograph()
	p.Name = "second.jpg"
	s.AddPhoto(&p)
	squareAndTrace(t, s)
	return s
}

func squareAndTrace(t *testing.T, s *session.Session) {
	t.Helper()
	q, err := (&practice.Job{}).SquareUp(context.Background(), s.Photo(), rectify.Options{PitchMM: practice.PitchMM})
	if err != nil {
		t.Fatal(err)
	}
	s.SetSquared(q)
	s.SetTraced(&trace.Traced{Pattern: practice.Pattern()})
}

func letters(s *session.Session) string {
	var out []string
	for _, p := range s.Document().Pattern.Pieces {
		out = append(out, p.ID)
	}
	return strings.Join(out, "")
}

func valid(t *testing.T, s *session.Session) {
	t.Helper()
	for _, f := range pattern.Validate(s.Document().Pattern) {
		t.Errorf("%s", f.Text)
	}
}

func TestTwoPhotographsMakeOnePattern(t *testing.T) {
	s := two(t)
	valid(t, s)
	if letters(s) != "ABCDEFGH" {
		t.Fatalf("pieces %s", letters(s))
	}
	if o := s.Origin("F"); len(o.Shots) != 1 || o.Shots[0] != 1 {
		t.Errorf("F came from %+v", o)
	}
	doc := s.Document()
	b, _ := doc.Pattern.Piece("B")
	f, _ := doc.Pattern.Piece("F")
	if f.Outline.Bounds().Min.Y <= b.Outline.Bounds().Max.Y {
		t.Error("the second photograph's pieces lie on the first's")
	}
	parts := s.Parts()
	if len(parts) != 2 || len(parts[0].Nodes) != len(parts[1].Nodes) {
		t.Fatalf("%d parts", len(parts))
	}
	for i, q := range parts[1].Nodes {
		if p := parts[0].Nodes[i]; math.Hypot(p.X-q.X, p.Y-q.Y) > 1e-9 {
			t.Fatalf("node %d lies at %v on the first mat and at %v on the second", i, p, q)
		}
	}
	if mm, ok := s.PlusMinusMM(); !ok || mm > 0.2 {
		t.Errorf("± %.2f mm", mm)
	}
	// Each is shown where its own photograph shows it.
	for _, p := range s.Shapes().Pieces {
		if shown := len(p.Outline.InPhoto) > 0; shown != (p.ID > "D") {
			t.Errorf("piece %s is shown: %v", p.ID, shown)
		}
	}
	second := s.Shapes().Pieces[5].Outline.InPhoto[0]
	s.LookAt(0)
	first := s.Shapes().Pieces[1].Outline.InPhoto[0]
	if math.Hypot(first.X-second.X, first.Y-second.Y) > 1e-6 {
		t.Errorf("the same place of both photographs: %v and %v", first, second)
	}
	if s.Photo().Name != "p.jpg" || len(s.Shapes().Pieces[5].Outline.InPhoto) > 0 {
		t.Error("the second photograph is still looked at")
	}
	if s.NextUndo().Action != session.ActionTrace {
		t.Error("looking at a photograph left a step")
	}
}

func TestTracingAgainLeavesTheOtherPhotograph(t *testing.T) {
	s := two(t)
	s.SetThicknessOfAll(5)
	for _, id := range []string{"B2", "F2"} {
		if err := s.SetCut(id, bevel(30)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Pair("A1", "G1"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Pair("A2", "B2"); err != nil {
		t.Fatal(err)
	}
	for _, k := range []int{1, 0} {
		s.LookAt(k)
		if kept := s.SetTraced(&trace.Traced{Pattern: practice.Pattern()}); kept.Lost() > 0 {
			t.Errorf("photograph %d: lost %+v", k, kept)
		}
		valid(t, s)
		if letters(s) != "ABCDEFGH" {
			t.Fatalf("photograph %d: pieces %s", k, letters(s))
		}
	}
	doc := s.Document()
	for _, id := range []string{"B2", "F2"} {
		if q, i, err := doc.Pattern.FindEdge(id); err != nil || q.Edges[i].Cut != bevel(30) {
			t.Errorf("the cut of %s is lost (%v)", id, err)
		}
	}
	if len(doc.Pattern.Seams) != 2 {
		t.Errorf("seams %+v", doc.Pattern.Seams)
	}
}

func TestUndoGoesBackToOnePhotograph(t *testing.T) {
	s := two(t)
	for s.NextUndo().Action != session.ActionAddPhoto {
		if _, ok := s.Undo(); !ok {
			t.Fatal("adding the photograph is no step")
		}
	}
	s.Undo()
	if all, k := s.Photos(); len(all) != 1 || k != 0 || s.Photo().Name != "p.jpg" || letters(s) != "ABCD" {
		t.Errorf("%d photographs, %s", len(all), letters(s))
	}
	for {
		if _, ok := s.Redo(); !ok {
			break
		}
	}
	if all, k := s.Photos(); len(all) != 2 || k != 1 || letters(s) != "ABCDEFGH" {
		t.Errorf("%d photographs, %s", len(all), letters(s))
	}
}

func TestSquaringUpAgainMovesOwnPiecesOnly(t *testing.T) {
	s := two(t)
	if err := s.SetName("E", "mine"); err != nil { // so that the pieces come along
		t.Fatal(err)
	}
	was := s.Document().Pattern
	a, _ := was.Piece("A")
	e, _ := was.Piece("E")
	q, err := (&practice.Job{}).SquareUp(context.Background(), s.Photo(), rectify.Options{PitchMM: 2 * practice.PitchMM})
	if err != nil {
		t.Fatal(err)
	}
	kept := s.Take(session.Solution{Squared: q, With: s.Document().Settings, Along: true})
	now := s.Document().Pattern
	a2, _ := now.Piece("A")
	e2, _ := now.Piece("E")
	if !kept.Along || a2.Outline.Area() != a.Outline.Area() {
		t.Errorf("along %v; piece A of the other photograph changed", kept.Along)
	}
	if r := e2.Outline.Area() / e.Outline.Area(); math.Abs(r-4) > 0.01 {
		t.Errorf("piece E is %.3f times as large, want 4", r)
	}
}

func TestPartsOfTwoPhotographsAreJoined(t *testing.T) {
	s := traced(t)
	strap := func(x0, x1 float64) pattern.Pattern {
		p, err := pattern.New("part", pattern.Piece{Outline: rectangle(x0, 20, x1, 60)})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	s.SetTraced(&trace.Traced{Pattern: strap(20, 250)})
	s.AddPhoto(photograph())
	q, err := (&practice.Job{}).SquareUp(context.Background(), s.Photo(), rectify.Options{PitchMM: practice.PitchMM})
	if err != nil {
		t.Fatal(err)
	}
	s.SetSquared(q)
	s.SetTraced(&trace.Traced{Pattern: strap(30, 260)})
	doc := s.Document()
	b, err := doc.Pattern.Piece("B")
	if err != nil {
		t.Fatal(err)
	}
	box := b.Outline.Bounds()
	// 60 mm from B's left end is the same as 200 mm from A's.
	out, err := s.JoinParts("A", []mat.Point{{X: 220, Y: 20}, {X: 220, Y: 60}},
		"B", []mat.Point{{X: box.Min.X + 60, Y: box.Min.Y}, {X: box.Min.X + 60, Y: box.Max.Y}})
	if err != nil || out.Fit.WorstMM > 1e-3 {
		t.Fatalf("%+v %v", out, err)
	}
	valid(t, s)
	doc = s.Document()
	p, _ := doc.Pattern.Piece("A")
	if letters(s) != "A" || math.Abs(p.Outline.Area()-40*370) > 1 || len(s.Origin("A").Shots) != 2 {
		t.Errorf("pieces %s, area %.1f, origin %+v", letters(s), p.Outline.Area(), s.Origin("A"))
	}
	if e := s.NextUndo(); e.Action != session.ActionJoinPhotos {
		t.Errorf("%+v", e)
	}
}

func TestMirroredCopyIsNotInThePhotograph(t *testing.T) {
	s := traced(t)
	s.SelectPiece("A")
	id, err := s.MirrorCopy()
	if err != nil {
		t.Fatal(err)
	}
	if s.Shown(id) || !s.Shown("A") {
		t.Errorf("%s is shown: %v", id, s.Shown(id))
	}
	s.SetTraced(&trace.Traced{Pattern: practice.Pattern()})
	valid(t, s)
	if letters(s) != "ABCDE" {
		t.Errorf("traced again: %s; the copy is the maker's own", letters(s))
	}
}

func rectangle(x0, y0, x1, y1 float64) curve.Path {
	return curve.Polygon(mat.Point{X: x0, Y: y0}, mat.Point{X: x1, Y: y0}, mat.Point{X: x1, Y: y1}, mat.Point{X: x0, Y: y1})
}
