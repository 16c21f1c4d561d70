package desk

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/app/desk/view"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// Lengths on the work are shown in inches when they are asked for, and the next
// window begins that way.
func TestInchesOnTheWork(t *testing.T) {
	at := placeToKeep(t)
	b := keeping(t, at, "")
	b.s.SelectEdge("A1")
	b.changed()
	p, ok := b.panels[3].(*markPanel)
	if !ok || p.length.Text != "100.0 mm" {
		t.Fatalf("edge A1 of the practice pattern is %q", p.length.Text)
	}
	b.goTo(3)
	b.typed("'")
	if p.length.Text != "3 15/16 in" {
		t.Errorf("in inches the edge is %q", p.length.Text)
	}
	if got := tapeTitle(view.Point{}, view.Point{X: 25.4 * 1.375}, b.editor.system); got != "1 3/8 in" {
		t.Errorf("the tape reads %q", got)
	}
	if got := placeTitle(view.Point{X: 50.8, Y: 12.7}, b.editor.system); got != "2.00, 0.50 in" {
		t.Errorf("the pointer is at %q", got)
	}
	var texts []string
	b.editor.ticks(0, 0, 2000, func(_, _ float64, text string) {
		if text != "" {
			texts = append(texts, text)
		}
	})
	if len(texts) < 2 || texts[0] != "0" {
		t.Errorf("the ruler says %s", strings.Join(texts, " "))
	}
	b.letGo()
	c := newBench(t, Options{Keep: at}, b.job)
	if c.editor.system != units.Inches {
		t.Error("the next window forgot the inches")
	}
	c.typed("'")
	if c.editor.system != units.Millimetres {
		t.Error("there is no way back")
	}
}

// texts adds all that a thing in a panel says.
func texts(o fyne.CanvasObject, add func(text string)) {
	if !o.Visible() {
		return
	}
	switch x := o.(type) {
	case *fyne.Container:
		for _, y := range x.Objects {
			texts(y, add)
		}
	case *field:
		add(x.Text)
		add(x.PlaceHolder)
	case *widget.Label:
		add(x.Text)
	case *button:
		add(x.Text)
	case *tickBox:
		add(x.Text)
	case *choiceList:
		for _, y := range x.Options {
			add(y)
		}
	}
}

// busy is a bench on which as much as possible states lengths.
func busy(t *testing.T) *bench {
	t.Helper()
	b := ready(t)
	b.s.SetTraced(&trace.Traced{Pattern: tapedPattern(t)})
	b.s.SetThicknessOfAll(9.5)
	b.goTo(session.StageSquareUp)
	b.editor.setTool(toolTape)
	b.click(b.seen(30, 25))
	b.click(b.seen(130, 25))
	b.enter(b.square().check.known, "99 mm")
	b.editor.setTool(toolSelect)
	b.enter(b.square().size.spans[0].length, "508.4 mm")
	b.s.ChooseSheet("", 211, 298)
	for _, q := range [][2]float64{{300, 300}, {900, 300}, {900, 700}, {300, 700}} {
		b.s.AddSheetCorner(photo.Point{X: q[0], Y: q[1]})
	}
	if err := b.s.SetAllowance("A1", pattern.Allowance{WidthMM: 8}); err != nil {
		t.Fatal(err)
	}
	if err := b.s.SetCut("A1", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.s.Pair("A2", "B3"); err != nil {
		t.Fatal(err)
	}
	x := b.print()
	x.ShortMM, x.ShiftXMM, x.Paper = 99.6, 30, "610x914mm"
	b.s.SetPrint(x)
	return b
}

// everything goes through every rung and selection and returns all that the panels
// say there.
func (b *bench) everything() map[string]bool {
	out := map[string]bool{}
	_, folds := b.held()
	for _, f := range folds {
		f.open(true)
	}
	look := func() {
		b.changed()
		texts(b.panels[b.stage].object(), func(text string) { out[text] = true })
	}
	for i := range b.panels {
		b.goTo(st1(i))
		look()
	}
	b.goTo(session.StageSquareUp)
	b.editor.setTool(toolSheet)
	look()
	b.editor.setTool(toolSelect)
	b.goTo(session.StageTrace)
	b.s.SelectPiece("A")
	b.measurePiece()
	b.settle()
	look()
	b.goTo(session.StageMarkUp)
	for _, id := range []string{"A1", "A2", "C1"} {
		b.s.SelectEdge(id)
		look()
	}
	b.enter(b.marks().grooves.radius, b.typedLength(152.4))
	look()
	for _, k := range []pattern.LineWorkKind{pattern.Score, pattern.Groove, pattern.Slit} {
		b.s.SelectLine("A", 0)
		b.changed()
		b.marks().line.choose(k)
		look()
	}
	b.s.SelectEdge("")
	b.s.SelectPiece("")
	look()
	return out
}

// In inches no panel states a length in millimetres, and the other way round,
// but for names of things and what may be typed; sentences of the packages below
// are said anew.
func TestPanelsSpeakOneSystem(t *testing.T) {
	known := []string{
		tr.print.printerWhat[1], tr.pitchHint[0], tr.pitchHint[1], tr.thicknessHint[0], tr.thicknessHint[1], tr.pitches[0].text, tr.pitches[1].text,
	}
	other := map[units.System]*regexp.Regexp{units.Inches: regexp.MustCompile(`\d ?mm\b`), units.Millimetres: regexp.MustCompile(`\d ?in\b`)}
	own := map[units.System]*regexp.Regexp{units.Inches: other[units.Millimetres], units.Millimetres: other[units.Inches]}
	b := busy(t)
	var said [2]int
	for _, s := range []units.System{units.Millimetres, units.Inches, units.Millimetres} {
		b.showIn(s)
		all := b.everything()
		said[s] = 0
		for text := range all {
			if own[s].MatchString(text) {
				said[s]++
			}
			if other[s].MatchString(text) && !slices.Contains(known, text) {
				t.Errorf("system %d: %q", s, text)
			}
		}
	}
	if said[0] < 40 || said[1] < 40 {
		t.Errorf("only %d texts with millimetres and %d with inches were looked at", said[0], said[1])
	}
}

func TestSentencesInInches(t *testing.T) {
	b := busy(t)
	b.showIn(units.Inches)
	deg45 := pattern.Cut{Kind: pattern.Bevel, AngleDeg: 45}
	for _, c := range []struct{ got, want string }{
		{b.plusMinus(0.06), "± 0.0024 in"},
		{b.plusMinus(math.NaN()), "± ? in"},
		{b.otherFaceText(deg45, pattern.Piece{ThicknessMM: 9.525}), "3/8 in inside"},
		{gapWords(pattern.Joint{WedgeDeg: 25, GapMM: 3.14}, units.Inches), "0.12 in too much (hatched)"},
		{gapWords(pattern.Joint{StepMM: -7.07}, units.Inches), "a step of 0.28 in inside"},
		{bandText(1, units.Inches), "± up to 0.0039 in"},
		{withinText(0, units.Inches), fmt.Sprintf(tr.repair.tolerance, "0.0020 in")},
		{shiftText(session.Print{ShiftXMM: 25.4, ShiftYMM: -12.7}, units.Inches), "+1.00, -0.50 in from their usual place"},
		{workGives(pattern.LineWork{Kind: pattern.Score, DepthMM: 5}, 10, units.Inches), "Leaves 0.197 in uncut."},
		{proposalText(pattern.Proposal{ResidualMM: 0.04}, units.Inches), fmt.Sprintf(tr.seam.fitsBare, "0.0016 in")},
		{edgeTitle("A1", 34.8, units.Inches), "A1  1.370 in"},
		{b.findingText(session.Finding{Kind: session.Uncertain, PieceID: "A", MM: 1.27}), fmt.Sprintf(tr.findUncertain, "A", "0.050 in")},
		{b.square().kinds.label.Text, "Lines 1 in apart are"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	if text := b.checkText(0, b.s.Document().Checks[0]); !regexp.MustCompile(`^1\.  3\.89764 in known, 3.* in measured on the mat\n\+0\.0\d+ in, .* %; ± 0\.0\d+ in in all`).MatchString(text) {
		t.Errorf("a check says %q", text)
	}
}

// Editing one of several numbers leaves the others the very lengths they were,
// however they are shown.
func TestOtherLengthsStayExact(t *testing.T) {
	b, p := marking(t)
	b.s.SetThicknessOfAll(10)
	b.s.SelectLine("A", 0)
	if err := b.s.SetLineWork(pattern.LineWork{Kind: pattern.Slit, DepthMM: 16.0 / 3, GapMM: 1}); err != nil {
		t.Fatal(err)
	}
	b.showIn(units.Inches)
	b.enter(p.line.gap, "1/8")
	if _, l, _ := b.s.SelectedLine(); l.Work.GapMM != 3.175 || l.Work.DepthMM != 16.0/3 {
		t.Errorf("the slit is %+v", l.Work)
	}
	b.showIn(units.Millimetres)
	b.enter(p.line.gap, "2")
	if _, l, _ := b.s.SelectedLine(); l.Work.GapMM != 2 || l.Work.DepthMM != 16.0/3 {
		t.Errorf("the slit is %+v", l.Work)
	}
}

// A paper of one's own is typed in either system and reaches the job in mm.
func TestOwnPaperInEitherSystem(t *testing.T) {
	b := ready(t)
	b.goTo(session.StagePrint)
	p, ok := b.panels[session.StagePrint].(*printPanel)
	if !ok {
		t.Fatal("the rung Print has another panel")
	}
	for _, c := range []struct {
		s          units.System
		typed      string
		paper, say string
	}{
		{units.Millimetres, "610x914mm", "610x914mm", "610x914mm"},
		{units.Millimetres, "610 × 914", "610x914mm", "610x914mm"},
		{units.Millimetres, "24x36in", "609.6x914.4mm", "609.6x914.4mm"},
		{units.Millimetres, "8 1/2x11", "215.9x279.4mm", "215.9x279.4mm"},
		{units.Millimetres, "61,5x91.4cm", "615x914mm", "615x914mm"},
		{units.Millimetres, "roll610", "roll610mm", "610 mm"},
		{units.Inches, "24x36", "609.6x914.4mm", "24 x 36 in"},
		{units.Inches, "24,5x36", "622.3x914.4mm", "24 1/2 x 36 in"},
		{units.Inches, "610x914mm", "610x914mm", "24.01575 x 35.98425 in"},
		{units.Inches, "roll24", "roll609.6mm", "24 in"},
		{units.Inches, "roll610mm", "roll610mm", "24.01575 in"},
	} {
		b.showIn(c.s)
		b.enter(p.own, c.typed)
		b.changed()
		if got := b.print().Paper; got != c.paper || p.own.Text != c.say {
			t.Errorf("system %d: %q is %q and shown as %q, want %q and %q", c.s, c.typed, got, p.own.Text, c.paper, c.say)
		}
		b.enter(p.own, c.say)
		if got := b.print().Paper; got != c.paper && !strings.Contains(c.say, ".") {
			t.Errorf("%q is %q", c.say, got)
		}
	}
	b.enter(p.own, "610x914mm")
	b.changed()
	before := b.print().Paper
	for text, says := range map[string]string{"1,500x24": `"1500 in" or "1.5 in"`, "24x1 000": `"1000 in" or "1 in"`, "roll2,375": `"2375 in" or "2.375 in"`, "1,500x2,000mm": `"1500 mm" or "1.5 mm"`} {
		b.enter(p.own, text)
		if b.print().Paper != before || !strings.Contains(b.strip.text.Text, says) {
			t.Errorf("%q made the paper %q; it says %q", text, b.print().Paper, b.strip.text.Text)
		}
	}
	for _, text := range []string{"abc", "1,500x2,000mm", "-3x4", "0x100", "x", "roll", "1e9x100mm", "600"} {
		b.strip.hide()
		b.enter(p.own, text)
		if b.print().Paper != before || !b.strip.shown() {
			t.Errorf("%q made the paper %q", text, b.print().Paper)
		}
	}
}
