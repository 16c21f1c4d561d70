package session_test

import (
	"slices"
	"testing"

	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

// Every choice of how the pattern is printed is a step of undo with a name of
// its own; none of them makes the pattern count as worked on.
func TestPrintingIsUndone(t *testing.T) {
	usual := session.UsualPrint("a4")
	for _, x := range []struct {
		want session.Action
		do   func(p *session.Print)
	}{
		{session.ActionPaper, func(p *session.Print) { p.Paper = "letter" }},
		{session.ActionPaper, func(p *session.Print) { p.Orientation = "landscape" }},
		{session.ActionPaper, func(p *session.Print) { p.MarginMM = 20 }},
		{session.ActionPaper, func(p *session.Print) { p.OverlapMM = 0 }},
		{session.ActionPaper, func(p *session.Print) { p.Packed = true }},
		{session.ActionSheets, func(p *session.Print) { p.ShiftXMM = 1 }},
		{session.ActionSheets, func(p *session.Print) { p.ShiftYMM = -1 }},
		{session.ActionPrinter, func(p *session.Print) { p.ShortMM = 99.5 }},
		{session.ActionPrinter, func(p *session.Print) { p.LongMM = 100.5 }},
		{session.ActionFiles, func(p *session.Print) { p.SVG = true }},
		{session.ActionFiles, func(p *session.Print) { p.DXF = true }},
		{session.ActionFiles, func(p *session.Print) { p.Bundle = true }},
	} {
		s := session.New()
		s.StartWithPrint(usual)
		s.SetPrint(usual)
		if s.NextUndo().Action != session.NoAction {
			t.Fatal("a choice that changes nothing is a step")
		}
		next := usual
		x.do(&next)
		s.SetPrint(next)
		if got := s.NextUndo().Action; got != x.want || s.Document().Print != next || s.Worked() {
			t.Errorf("%+v: step %q, chosen %+v, worked %t", next, got.Key(), s.Document().Print, s.Worked())
		}
		if s.Undo(); s.Document().Print != usual {
			t.Errorf("%+v is not undone", next)
		}
		if s.Redo(); s.Document().Print != next {
			t.Errorf("%+v is not done again", next)
		}
	}
}

// A drag of the sheets is one step, two drags are two, and what is drawn of the
// pattern is not made anew for them.
func TestMovingSheetsIsOneStep(t *testing.T) {
	s := traced(t)
	shapes := s.Shapes()
	for range 2 {
		for range 5 {
			s.MoveSheets(1, -2, 100)
		}
		s.EndGesture()
	}
	if p := s.Document().Print; p.ShiftXMM != 10 || p.ShiftYMM != -20 {
		t.Errorf("moved by %g, %g", p.ShiftXMM, p.ShiftYMM)
	}
	if s.Shapes() != shapes {
		t.Error("the pattern was drawn anew")
	}
	if s.MoveSheets(0, -81, 100); s.Document().Print.ShiftYMM != -20 {
		t.Error("the sheets go further than the furthest")
	}
	s.Undo()
	if p := s.Document().Print; p.ShiftXMM != 5 || p.ShiftYMM != -10 {
		t.Errorf("after undo moved by %g, %g", p.ShiftXMM, p.ShiftYMM)
	}
}

// Putting the sheets back is a step of its own, also right after they were
// nudged; a drag that ends where it began leaves none.
func TestSheetsPutBackIsAStepOfItsOwn(t *testing.T) {
	s := traced(t)
	for range 10 {
		s.MoveSheets(1, 0, 100)
	}
	s.SetPrint(s.Document().Print.ForAnother())
	s.Undo()
	if x := s.Document().Print.ShiftXMM; x != 10 {
		t.Errorf("undone, the sheets lie %g mm away, nudged they lay at 10", x)
	}
	s.Undo()
	if x := s.Document().Print.ShiftXMM; x != 0 {
		t.Errorf("undone to the beginning, the sheets lie %g mm away", x)
	}
}

// Another photograph takes the paper over, but not where the sheets lie.
func TestAnotherPhotographBeginsWithSheetsInPlace(t *testing.T) {
	s := traced(t)
	p := s.Document().Print
	p.Paper, p.ShiftXMM = "letter", 12
	s.SetPrint(p)
	s.SetPhoto(s.Photo())
	if got := s.Document().Print; got.Paper != "letter" || got.ShiftXMM != 0 {
		t.Errorf("another photograph is printed as %+v", got)
	}
}

// What was exported is no longer what would be printed once the paper is
// another.
func TestAnotherPaperIsNotPrintedYet(t *testing.T) {
	s := traced(t)
	s.SetThicknessOfAll(5)
	if err := s.SetCut(s.Document().Pattern.Pieces[0].Edges[0].ID, pattern.Cut{Kind: pattern.Straight}); err != nil {
		t.Fatal(err)
	}
	s.MarkPrinted(s.Version())
	if s.State(session.StagePrint) != session.Done {
		t.Fatal("printed, the rung is not done")
	}
	next := s.Document().Print
	next.Paper = "letter"
	if s.SetPrint(next); s.State(session.StagePrint) == session.Done {
		t.Error("on another paper the rung is still done")
	}
	if s.Undo(); s.State(session.StagePrint) != session.Done {
		t.Error("with the paper that it was printed on again the rung is not done")
	}
}

// The files beside a PDF lie in its folder and have its name.
func TestFilesBesideAPDF(t *testing.T) {
	p := session.UsualPrint("a4")
	if got := p.Beside("/x/a.b.pdf"); len(got) != 0 {
		t.Errorf("not asked for: %v", got)
	}
	p.SVG, p.DXF, p.Bundle = true, true, true
	if got, want := p.Beside("/x/a.b.pdf"), []string{"/x/a.b.svg", "/x/a.b.dxf", "/x/a.b.zip"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
