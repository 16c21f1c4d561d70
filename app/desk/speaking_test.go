package desk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
)

var (
	inMillimetres = regexp.MustCompile(`\d ?mm\b`)
	inInchesToo   = regexp.MustCompile(`\d ?in\b|\d/\d`)
)

// A text that is the same in either system and speaks of millimetres speaks of
// inches too, and so does one for inches.
func TestTextsSpeakOfInchesToo(t *testing.T) {
	n := 0
	var walk func(at string, v reflect.Value)
	walk = func(at string, v reflect.Value) {
		switch {
		case v.Type() == reflect.TypeOf(bySystem{}):
			walk(at+" in inches", v.Index(1))
		case v.Kind() == reflect.String:
			if text := v.String(); inMillimetres.MatchString(text) {
				n++
				if !inInchesToo.MatchString(text) {
					t.Errorf("%s speaks of millimetres only: %q", at, text)
				}
			}
		case v.Kind() == reflect.Struct:
			for i := range v.NumField() {
				walk(at+"."+v.Type().Field(i).Name, v.Field(i))
			}
		case v.Kind() == reflect.Slice, v.Kind() == reflect.Array:
			for i := range v.Len() {
				walk(fmt.Sprintf("%s[%d]", at, i), v.Index(i))
			}
		case v.Kind() == reflect.Map:
			for _, k := range v.MapKeys() {
				walk(fmt.Sprintf("%s[%v]", at, k), v.MapIndex(k))
			}
		}
	}
	walk("words", reflect.ValueOf(*english()))
	if n < 10 {
		t.Errorf("only %d texts with millimetres were found", n)
	}
}

// The sheet of keys, the sentence on moving sheets and that on the printed square
// say their lengths in the system shown.
func TestStepsInEitherSystem(t *testing.T) {
	b := ready(t)
	b.o.Job = onSheets{b.job}
	b.goTo(session.StagePrint)
	b.panels[session.StagePrint].(*printPanel).printer.open(true)
	for _, c := range []struct {
		s                    units.System
		keys, sheets, square string
	}{
		{units.Millimetres, "1, 0.1 mm", "arrows by 1 mm, with Shift by 10 mm", "100 mm square on a cover"},
		{units.Inches, "0.04, 0.004 in", "by 0.04 in (1 mm), with Shift by 0.4 in (10 mm)", "which is 3.937 in"},
		{units.Millimetres, "1, 0.1 mm", "arrows by 1 mm, with Shift by 10 mm", "100 mm square on a cover"},
	} {
		b.showIn(c.s)
		b.showHelp()
		if all := said(b.win.Canvas().Overlays().Top()); !strings.Contains(all, c.keys) || strings.Contains(all, "%s") {
			t.Errorf("system %d: the keys say %q", c.s, all)
		}
		b.hideHelp()
		b.toggleSheets()
		if !strings.Contains(b.strip.text.Text, c.sheets) {
			t.Errorf("system %d: on moving sheets it says %q", c.s, b.strip.text.Text)
		}
		b.toggleSheets()
		var square string
		texts(b.panels[session.StagePrint].object(), func(text string) { square += text })
		if !strings.Contains(square, c.square) {
			t.Errorf("system %d: of the square it says %q", c.s, square)
		}
	}
}

// said is all that the labels of a sheet say.
func said(o fyne.CanvasObject) string {
	var all []string
	for _, x := range test.LaidOutObjects(o) {
		if l, ok := x.(*widget.Label); ok {
			all = append(all, l.Text)
		}
	}
	return strings.Join(all, "\n")
}

// What happened is told in the system that was shown then.
func TestTheJournalSpeaksInches(t *testing.T) {
	b := ready(t)
	b.showIn(units.Inches)
	b.typed("p")
	b.settle()
	b.runner.journal.done(tr.squaring, b.runner.since, errors.New("the sheet is 301 mm wide"))
	all := strings.Split(strings.TrimSpace(b.runner.journal.text()), "\n")
	last := all[len(all)-3:]
	got := strings.Join(last, "\n")
	if !regexp.MustCompile(`± 0\.\d+ in, pitch 1 in`).MatchString(strings.Join(all, "\n")) || !strings.Contains(got, "the sheet is 11.850 in wide") {
		t.Errorf("it says\n%s", strings.Join(all, "\n"))
	}
	if strings.Contains(got, " mm") {
		t.Errorf("it speaks of mm:\n%s", got)
	}
}

// The names of files are left as they are, whatever they look like.
func TestNamesOfFilesStay(t *testing.T) {
	b := ready(t)
	b.showIn(units.Inches)
	for _, c := range []struct {
		err  error
		want string
	}{
		{errors.New("a cut 3 mm deep"), "A cut 0.118 in deep"},
		{&fs.PathError{Op: "open", Path: "5 mm foam.pdf", Err: fs.ErrPermission}, "Open 5 mm foam.pdf: permission denied"},
		{fmt.Errorf("writing: %w", &os.LinkError{Op: "rename", Old: "x", New: "5 mm foam.pdf", Err: fs.ErrPermission}), "Writing: rename x 5 mm foam.pdf: permission denied"},
	} {
		if got := b.inWords(c.err); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	b.runner.journal.done(tr.opening, b.runner.since, errors.New("5 mm foam.jpg holds no picture"))
	if !strings.Contains(b.runner.journal.text(), "5 mm foam.jpg holds no picture") {
		t.Error("the journal names another file")
	}
}
