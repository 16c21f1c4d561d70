package desk

import (
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

func TestALengthIsChecked(t *testing.T) {
	b, p := onStage(t)
	b.typed("m")
	b.click(b.seen(30, 25))
	b.click(b.seen(130, 25))
	if !strings.HasPrefix(b.strip.text.Text, "The tape reads 100.") && !strings.HasPrefix(b.strip.text.Text, "The tape reads 99.") {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
	test.Tap(b.ways()[0])
	if b.win.Canvas().Focused() != fyne.Focusable(p.check.known) {
		t.Fatal("nothing to type the length into")
	}
	fillIn(p.check.known, "99 mm")
	checks := b.s.Document().Checks
	if len(checks) != 1 || checks[0].KnownMM != 99 || len(p.check.list.Objects) != 1 || p.check.known.Text != "" {
		t.Fatalf("%+v", checks)
	}
	text := b.checkText(0, checks[0])
	if !strings.HasPrefix(text, "1.  99 mm known, ") || !strings.Contains(text, "\n+") || !strings.Contains(text, "%; ± 0.") || !strings.HasSuffix(text, " more than that explains") {
		t.Errorf("it says %q", text)
	}
	before := b.editor.tape[1]
	b.arrow(fyne.KeyRight, 0)
	if b.editor.tape[1] == before {
		t.Error("an arrow does not nudge the tape")
	}
	b.doUndo()
	if len(b.s.Document().Checks) != 0 {
		t.Error("undo does not take the check back")
	}
}

func TestChecksInTheFlatView(t *testing.T) {
	b, _ := onStage(t)
	b.typed("vm")
	b.click(b.seen(30, 25))
	b.click(b.seen(130, 25))
	c, ok := b.editor.tapeCheck()
	if !ok {
		t.Fatal("no tape")
	}
	if m, err := b.s.Measured(c); err != nil || math.Abs(m.MeasuredMM-100) > 0.8 {
		t.Errorf("%+v, %v", m, err)
	}
}
