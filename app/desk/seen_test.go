package desk

import (
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
)

// checking is a bench at the rung Check with one round plate of 20 mm radius,
// bevelled all round in 5 mm sheet.
func checking(t *testing.T) (*bench, *checkPanel) {
	t.Helper()
	b := ready(t)
	const k, r = 0.5522847498307936 * 20, 20.0
	round := curve.Path{Closed: true}
	for i := range 4 {
		s := curve.Cubic(mat.Point{X: r}, mat.Point{X: r, Y: k}, mat.Point{X: k, Y: r}, mat.Point{Y: r})
		q := curve.Path{Segments: []curve.Segment{s}}.Rotate(mat.Point{}, float64(i)*math.Pi/2)
		round.Segments = append(round.Segments, q.Segments[0])
	}
	p, err := pattern.New("round", pattern.Piece{ThicknessMM: 10, Outline: round.Translate(mat.Point{X: 100, Y: 100})})
	if err != nil {
		t.Fatal(err)
	}
	if err := p.SetCut("A1", pattern.CutOf(30)); err != nil {
		t.Fatal(err)
	}
	b.s.SetTraced(&trace.Traced{Pattern: p})
	b.goTo(session.StageCheck)
	return b, b.panels[session.StageCheck].(*checkPanel)
}

func tooTight(b *bench) int {
	n := 0
	for _, f := range b.s.Findings() {
		if f.Mend.Kind == pattern.CutStraight {
			n++
		}
	}
	return n
}

// How tight a radius may be, in thicknesses, is a limit that can be typed: 20
// mm are two thicknesses, less than the usual three.
func TestRadiusLimit(t *testing.T) {
	b, p := checking(t)
	if tooTight(b) != 1 {
		t.Fatalf("%d findings of radius", tooTight(b))
	}
	var l *limit
	for _, x := range p.limits.limits {
		if x.unit == inTimes {
			l = x
		}
	}
	for text, want := range map[string]int{"1.5": 0, "1,5 ×": 0, "4 ×": 1, "off": 0, "": 1} {
		b.enter(l.input, text)
		if got := tooTight(b); got != want {
			t.Errorf("limit %q: %d findings of radius, want %d", text, got, want)
		}
	}
	before := b.s.Version()
	for _, text := range []string{"tight", "-3", "0"} {
		b.enter(l.input, text)
		if b.s.Version() != before || !b.strip.shown() {
			t.Errorf("%q was taken as a limit", text)
		}
	}
	if w := p.box.MinSize().Width; w > panelWidth {
		t.Errorf("the panel is %v wide", w)
	}
}

// A finding that was seen is off the list, is counted, comes back with undo or
// on the button, and comes back by itself when its number changes.
func TestSeenFinding(t *testing.T) {
	b, p := checking(t)
	n := len(b.s.Findings())
	see := func() {
		for _, f := range b.s.Findings() {
			if f.Mend.Kind == pattern.CutStraight {
				b.s.TakeAsSeen(f)
			}
		}
		b.changed()
	}
	see()
	if len(b.s.Findings()) != n-1 || b.s.SeenFindings() != 1 || !p.seen.Visible() || !p.again.Visible() {
		t.Errorf("%d findings of %d, %d seen", len(b.s.Findings()), n, b.s.SeenFindings())
	}
	test.Tap(p.again)
	if len(b.s.Findings()) != n || p.again.Visible() {
		t.Errorf("shown again, %d findings of %d", len(b.s.Findings()), n)
	}
	b.doUndo()
	if len(b.s.Findings()) != n-1 {
		t.Error("undo does not put it back")
	}
	if err := b.s.SetThickness("A", 12); err != nil {
		t.Fatal(err)
	}
	if tooTight(b) != 1 {
		t.Error("in thicker sheet it is another finding")
	}
}

// A fault cannot be looked over.
func TestFaultIsNotSeen(t *testing.T) {
	b, _ := checking(t)
	f := session.Finding{Severity: pattern.Fault, Text: "a fault"}
	before := b.s.Version()
	b.s.TakeAsSeen(f)
	if b.s.Version() != before {
		t.Error("a fault was taken as seen")
	}
}

// The maker says of an edge that it stays open.
func TestRimInTheWindow(t *testing.T) {
	b, p := marking(t)
	b.s.SelectEdge("A1")
	b.changed()
	if !p.edgeMore.rim.Visible() || p.edgeMore.rim.Checked {
		t.Fatal("no box for the rim")
	}
	test.Tap(p.edgeMore.rim)
	if e, _ := b.s.SelectedEdge(); !e.Rim {
		t.Error("not taken as the rim")
	}
	b.doUndo()
	if e, _ := b.s.SelectedEdge(); e.Rim || p.edgeMore.rim.Checked {
		t.Error("undo does not take it back")
	}
}

// Marks are copied by their share of the side, or by their length.
func TestMarksAreCopiedEitherWay(t *testing.T) {
	for i, want := range []pattern.Transfer{pattern.ByShare, pattern.ByLength} {
		b, p := boxCorner(t)
		p.seam.how.SetSelectedIndex(i)
		if p.seam.transfer() != want {
			t.Fatalf("choice %d copies by %v", i, p.seam.transfer())
		}
		before, _ := b.s.Measure("s1")
		if len(before.A.Alone)+len(before.B.Alone) == 0 || !p.seam.howRow.Visible() {
			t.Fatal("no mark to copy")
		}
		test.Tap(p.seam.copyMarks)
		m, err := b.s.Measure("s1")
		if err != nil || len(m.Joints) == 0 {
			t.Fatalf("%+v, %v", m, err)
		}
		if off := math.Abs(m.Joints[0].OffMM); want == pattern.ByLength && off > 1e-6 {
			t.Errorf("by length, and %.4f mm off", off)
		}
		if w := p.box.MinSize().Width; w > panelWidth {
			t.Errorf("the panel is %v wide", w)
		}
	}
}

// The gravest come first, whoever found them.
func TestFindingsGravestFirst(t *testing.T) {
	b, _ := marking(t)
	q := b.s.Document().Traced
	changed := *q
	changed.Problems = append(changed.Problems, find.Problem{Text: "left out"})
	b.s.SetTraced(&changed)
	if err := b.s.SetCut("A1", pattern.CutOf(30)); err != nil {
		t.Fatal(err)
	}
	if err := b.s.SetThickness("A", 0); err != nil {
		t.Fatal(err)
	}
	found := b.s.Findings()
	if len(found) < 2 || found[0].Severity != pattern.Fault || found[len(found)-1].Severity > found[0].Severity {
		t.Errorf("in the order %+v", found)
	}
}

// Keys of the window's own are its own while something is typed; those of
// editing are not.
func TestWindowKeysWhileTyping(t *testing.T) {
	f := newField("", 0, func(string) {})
	for key, want := range map[fyne.KeyName]bool{fyne.Key5: true, fyne.KeyS: true, fyne.KeyLeft: false, fyne.KeyA: false} {
		if got := f.isWindows(&desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierControl}); got != want {
			t.Errorf("%s: %v", key, got)
		}
	}
}

// A piece that fits the sheet only turned is turned by the button, which says
// that it no longer lies on its picture.
func TestPieceIsTurnedForTheSheet(t *testing.T) {
	b, p := checking(t)
	q, err := pattern.New("plate", pattern.Piece{ThicknessMM: 5, Outline: curve.Polygon(
		mat.Point{X: 50, Y: 50}, mat.Point{X: 110, Y: 110}, mat.Point{X: 100, Y: 120}, mat.Point{X: 40, Y: 60})})
	if err != nil {
		t.Fatal(err)
	}
	b.s.SetTraced(&trace.Traced{Pattern: q})
	b.changed()
	n := len(p.limits.limits)
	b.enter(p.limits.limits[n-2].input, "100 mm")
	b.enter(p.limits.limits[n-1].input, "20 mm")
	var turn pattern.Mend
	for _, f := range b.s.Findings() {
		if f.Mend.Kind == pattern.TurnPiece {
			turn = f.Mend
		}
	}
	button := p.buttons()[turn.Label()]
	if button == nil {
		t.Fatalf("no button %q among %v", turn.Label(), p.buttons())
	}
	test.Tap(button)
	if box := b.s.Document().Pattern.Pieces[0].Outline.Bounds(); box.Max.Y-box.Min.Y > 20.1 && box.Max.X-box.Min.X > 20.1 {
		t.Errorf("turned, the plate reaches over %+v", box)
	}
	if !b.strip.shown() {
		t.Error("not told that it lies beside its picture")
	}
	b.doUndo()
	if b.s.Document().Pattern.Pieces[0].Outline.Segments[0].P0 != (mat.Point{X: 50, Y: 50}) {
		t.Error("undo does not turn it back")
	}
}
