package desk

import (
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
	"pgregory.net/rapid"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
)

func (b *bench) point(at fyne.Position) {
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	b.capture()
}

// The sign of a finding tells its sentence while the pointer is on it, and a click
// chooses what it is about and sets its row off, without moving the work.
func TestASignTellsItsFinding(t *testing.T) {
	b := ready(t)
	b.goTo(session.StageCheck)
	b.capture()
	p, ok := b.panels[session.StageCheck].(*checkPanel)
	if !ok || len(b.editor.findings) == 0 {
		t.Fatal("there is nothing to look at")
	}
	for i, f := range b.editor.findings {
		if !b.editor.marksFinding(f) || b.editor.findingAt(b.editor.onScreen(viewPoint(f))) != i {
			continue // another's sign lies over it
		}
		at := b.seen(f.At.X, f.At.Y)
		b.point(fyne.NewPos(1, 1))
		bare := slices.Clone(b.editor.front.Pix)
		b.point(at)
		if slices.Equal(bare, b.editor.front.Pix) || b.editor.Cursor() != desktop.PointerCursor {
			t.Errorf("finding %d tells nothing under the pointer", i+1)
		}
		views := b.editor.views
		b.click(at)
		if b.editor.views != views || b.stage != session.StageCheck {
			t.Errorf("a click on finding %d moved the work", i+1)
		}
		if e, ok := b.s.SelectedEdge(); f.EdgeID != "" && (!ok || e.ID != f.EdgeID) {
			t.Errorf("finding %d is about %s; chosen is %s", i+1, f.EdgeID, e.ID)
		}
		for k, l := range p.heads {
			if on := l.Importance == widget.HighImportance; on != (k == i) {
				t.Errorf("after a click on finding %d row %d is set off: %t", i+1, k+1, on)
			}
		}
		b.point(fyne.NewPos(1, 1))
	}
	b.goTo(session.StageMarkUp)
	if f := b.s.Findings()[0]; b.editor.findingAt(b.editor.onScreen(viewPoint(f))) >= 0 {
		t.Error("outside of the check a finding has a sign")
	}
}

// Where a line misses is marked while one squares up, says by how much under the
// pointer, and has its place in the legend; nowhere else is it marked.
func TestMissesAreMarkedWhereTheyAreTold(t *testing.T) {
	b := ready(t)
	b.goTo(session.StageSquareUp)
	b.capture()
	signs := b.editor.missSigns()
	if len(signs) == 0 || len(b.editor.legend()) != 1 {
		t.Fatalf("%d misses are marked, the legend has %d lines", len(signs), len(b.editor.legend()))
	}
	where := fyne.NewPos(float32(signs[0].at.X/b.editor.px), float32(signs[0].at.Y/b.editor.px))
	if !b.has(where, 3, b.pal.miss, 40) {
		t.Errorf("no sign is drawn at %v", where)
	}
	bare := slices.Clone(b.editor.front.Pix)
	if b.point(where); slices.Equal(bare, b.editor.front.Pix) {
		t.Error("a miss tells nothing under the pointer")
	}
	b.point(fyne.NewPos(1, 1))
	for st := range b.panels {
		if st1(st) == session.StageSquareUp {
			continue
		}
		b.goTo(st1(st))
		b.capture()
		if n := len(b.editor.missSigns()); n > 0 || len(b.editor.legend()) > 0 || b.has(where, 3, b.pal.miss, 40) {
			t.Errorf("rung %d marks %d misses", st+1, n)
		}
	}
}

// Words are never broken, lines are as long as they may be, and none is lost.
func TestWrapped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOf(rapid.StringMatching(`[a-z]{1,12}`)).Draw(t, "words")
		most := rapid.IntRange(1, 30).Draw(t, "width")
		lines := wrapped(strings.Join(words, " "), func(s string) bool { return len(s) <= most })
		if got := strings.Fields(strings.Join(lines, " ")); !slices.Equal(got, words) && len(words) > 0 {
			t.Fatalf("%q became %q", words, lines)
		}
		for i, l := range lines {
			if len(l) > most && strings.Contains(l, " ") {
				t.Fatalf("%q is longer than %d", l, most)
			}
			if i > 0 && len(lines[i-1])+1+len(strings.Fields(l)[0]) <= most {
				t.Fatalf("%q would have had room in %q", l, lines[i-1])
			}
		}
	})
}

func viewPoint(f session.Finding) view.Point { return view.Point(f.At) }
