package desk

import (
	"math"
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/pattern"
)

// Tools that work on the mat leave the sheets or are refused in a sentence; none
// takes a millimetre of paper for one of the mat.
func TestToolsDoNotWorkOnPaper(t *testing.T) {
	for _, key := range []string{"q", "/", "z", "c", "d"} {
		b, _ := printing(t)
		b.packed(true)
		b.click(b.onPaperAt("A1"))
		b.typed(key)
		if b.editor.onPaper() || b.editor.tool == toolSelect {
			t.Errorf("%s leaves tool %v on the sheets: %v", key, b.editor.tool, b.editor.onPaper())
		}
		b.capture()
	}
	b, _ := printing(t)
	b.packed(true)
	before := b.s.Version()
	b.pressKey(fyne.KeyInsert)
	if b.editor.onPaper() || b.editor.tool != toolAdd {
		t.Error("a piece is added on the sheets")
	}
	b.escape()
	b.goTo(session.StagePrint)
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: b.onPaperAt("B1")}})
	for key, says := range map[string]string{"i": tr.print.paperDivide, ";": tr.print.packedStay} {
		b.typed(key)
		if b.strip.text.Text != says || b.s.Version() != before || b.editor.tool != toolSelect {
			t.Errorf("%s: the strip says %q", key, b.strip.text.Text)
		}
	}
	if _, ok := b.editor.matAt(b.editor.pointer); ok {
		t.Error("a place on paper is given as one of the mat")
	}
	b.packed(false)
	b.typed(";")
	if b.editor.tool != toolSheets {
		t.Fatal("the sheets are not moved")
	}
	b.packed(true)
	if b.editor.tool != toolSelect || !b.editor.onPaper() {
		t.Error("packed sheets are being moved")
	}
}

// The tape measures paper on paper, and is no length of the mat.
func TestTapeOnPaper(t *testing.T) {
	b, _ := printing(t)
	b.packed(true)
	b.typed("m")
	if !b.editor.onPaper() {
		t.Fatal("the tape leaves the sheets")
	}
	corner := func(x, y float64) fyne.Position {
		q := b.editor.view().ToDevice(view.Point{X: x, Y: y})
		return fyne.NewPos(float32(q.X), float32(q.Y))
	}
	b.click(corner(10, 10))
	b.click(corner(200, 10))
	if len(b.editor.tape) != 2 || math.Abs(b.editor.tape[1].X-b.editor.tape[0].X-190) > 0.001 {
		t.Fatalf("the tape lies from %v", b.editor.tape)
	}
	if _, ok := b.editor.tapeCheck(); ok {
		t.Error("a length of paper is offered as one of the mat")
	}
	tape := slices.Clone(b.editor.tape)
	if b.pressKey(fyne.KeyRight); !slices.Equal(b.editor.tape, tape) {
		t.Error("an arrow moves the tape by a pixel of the photograph")
	}
	b.typed("v")
	if b.editor.tape != nil {
		t.Error("the tape on paper lies on the photograph")
	}
	b.typed("v")
	b.click(corner(10, 10))
	b.packed(false)
	if b.editor.tape != nil {
		t.Error("the tape on paper lies on the mat")
	}
}

// What lies on the mat is not drawn over the sheets.
func TestNothingOfTheMatIsDrawnOnPaper(t *testing.T) {
	b, _ := printing(t)
	b.packed(true)
	b.s.SelectEdge("")
	pixels := func() []byte {
		b.changed()
		b.capture()
		return slices.Clone(b.editor.front.Pix)
	}
	p := b.s.Photo()
	b.s.AddCheck(session.LengthCheck{From: photo.Point{X: float64(p.Width) / 3, Y: float64(p.Height) / 2}, To: photo.Point{X: float64(p.Width) / 2, Y: float64(p.Height) / 2}, KnownMM: 50})
	b.changed()
	b.paperSettle()
	before := pixels()
	for name, do := range map[string]func(on bool){
		"shade":   b.showShade,
		"needles": b.showNeedles,
		"checks":  func(on bool) { b.editor.showChecks = on },
		"findings": func(on bool) {
			b.editor.findings = map[bool][]session.Finding{true: {{At: mat.Point{X: 100, Y: 100}}}}[on]
		},
	} {
		do(true)
		b.editor.redraw()
		b.capture()
		if !slices.Equal(before, b.editor.front.Pix) {
			t.Errorf("%s are drawn over the sheets", name)
		}
		do(false)
	}
	if !slices.Equal(before, pixels()) {
		t.Error("the sheets do not look as before")
	}
}

// A sheet of the preview is found on the pattern, in either layout, from the
// pointer and the keyboard; the cover is no sheet.
func TestASheetIsFoundOnThePattern(t *testing.T) {
	b, _ := printing(t)
	p := b.printPanel()
	for _, on := range []bool{false, true} {
		b.packed(on)
		p.turn(-9)
		b.paperSettle()
		if !p.find.Disabled() {
			t.Error("the cover is looked for on the pattern")
		}
		for k, press := range []func(){
			func() { p.find.Tapped(nil) },
			func() { p.find.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace}) },
		} {
			p.turn(1)
			b.paperSettle()
			b.editor.setSpace(session.InPhoto)
			press()
			b.capture()
			b.isLarge([]string{"Sheet r1 c1", "Sheet r1 c2"}[k])
		}
	}
}

// isLarge fails when the sheet of a page does not fill the work.
func (b *bench) isLarge(page string) {
	b.t.Helper()
	r, ok := b.sheetOf(page)
	if !ok || b.editor.space != session.OnMat {
		b.t.Fatalf("%s is not shown", page)
	}
	want := view.Fitted(r, float64(b.editor.w), float64(b.editor.h), b.editor.flatMargin())
	if b.editor.view() != want {
		b.t.Errorf("%s is shown by %v, want %v", page, b.editor.view(), want)
	}
	if !b.editor.onPaper() {
		for _, s := range b.editor.sheets.all {
			if s.Page == page && (r.Min != view.Point(s.Min) || r.Max != view.Point(s.Max)) {
				b.t.Errorf("%s is shown as %v", page, r)
			}
		}
	}
}

// Labels stand where they are printed, and what only the print has is there.
func TestShapesOnPaper(t *testing.T) {
	p := practice.Pattern()
	a := &p.Pieces[0]
	a.Marks[0].Ticks = 2
	a.Edges[0].Allowance = pattern.Allowance{WidthMM: 12}
	s := session.ShapesOnPaper(p, map[string]session.PaperLabel{"B": {At: mat.Point{X: 1, Y: 2}, Leader: mat.Point{X: 3, Y: 4}, Led: true}})
	if l := s.Pieces[1].Label.OnMat; len(l) != 1 || l[0] != (view.Point{X: 1, Y: 2}) {
		t.Errorf("the label of B stands at %v", l)
	}
	if n := len(s.Pieces[1].Printed); n != 1 {
		t.Errorf("B has %d lines that only the print has, not a leader", n)
	}
	if m := s.Pieces[0].Marks; len(m) != 3 {
		t.Errorf("two marks, one of two strokes, make %d", len(m))
	}
	box := view.Rect{}
	for _, l := range s.Pieces[0].Printed {
		box = box.Union(view.Bounds(l.OnMat))
	}
	// The edge from 30 to 130 at y 25, and an allowance of 12 mm outside of it.
	if math.Abs(box.Min.Y-13) > 0.05 || math.Abs(box.Max.Y-25) > 0.05 {
		t.Errorf("the allowance lies in %v", box)
	}
	for _, q := range s.Pieces {
		if len(q.Outline.InPhoto) > 0 {
			t.Error("a shape on paper lies in a photograph")
		}
	}
}

// Panning over sheets takes no more than panning over the mat.
func TestAFrameOfPaperTakesNoMore(t *testing.T) {
	d := busyBench(t, 1600)
	d.editor.setSpace(session.OnMat)
	x := &d.editor.paper
	d.editor.layPaper(Paper{Sheets: []PaperSheet{packedSheet(0), packedSheet(1)}}, session.ShapesOnPaper(practice.Crowded(), nil))
	x.wanted = true
	begin := d.editor.views[session.OnMat]
	d.editor.settlePlane()
	if !d.editor.onPaper() {
		t.Fatal("the sheets are not shown")
	}
	for _, m := range moves {
		if m.name == "pan" {
			grasped(d)
		}
		took := func(packed bool) float64 {
			x.wanted = packed
			d.editor.setView(begin)
			i := 0
			return testing.AllocsPerRun(40, func() {
				m.do(d, i)
				d.frame()
				i++
			})
		}
		if flat, paper := took(false), took(true); paper > 1.1*flat {
			t.Errorf("%s allocates %v times a frame, %v on the mat", m.name, paper, flat)
		}
		d.editor.DragEnd()
	}
}
