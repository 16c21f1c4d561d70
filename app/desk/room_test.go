package desk

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"flatwright/app/desk/keep"
	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
)

// leastWindow is the smallest window that is worked in.
var leastWindow = fyne.NewSize(1024, 700)

var longName = strings.Repeat("cosplay armour shoulder left, final ", 4) + "(2).jpg"

// narrow fails when the window's content, or a panel in its place, takes more
// room than the smallest window has.
func (b *bench) narrow(when string) {
	b.t.Helper()
	if m := b.win.Content().MinSize(); m.Width > leastWindow.Width || m.Height > leastWindow.Height {
		b.t.Errorf("%s: the content needs %v", when, m)
	}
	if w := b.panels[b.stage].object().MinSize().Width; w > panelWidth {
		b.t.Errorf("%s: the panel needs %.0f px: %s", when, w, widest(b.panels[b.stage].object(), panelWidth-24))
	}
	c := b.strip.over.MinSize().Width + b.strip.d.rungs[0].MinSize().Width + panelWidth
	if c > leastWindow.Width {
		b.t.Errorf("%s: the strip makes it %.0f px", when, c)
	}
}

// widest names what takes more than so much room.
func widest(o fyne.CanvasObject, most float32) string {
	if c, ok := o.(*fyne.Container); ok {
		for _, x := range c.Objects {
			if x.Visible() && x.MinSize().Width > most {
				return widest(x, most)
			}
		}
	}
	var said []string
	texts(o, func(s string) { said = append(said, s) })
	return fmt.Sprintf("%T %q", o, said)
}

// running pretends that work of a name runs, or that none does.
func (b *bench) running(name string) {
	b.runner.name, b.runner.part, b.runner.since = name, 0.5, time.Now()
	if b.runner.cancel = nil; name != "" {
		b.runner.cancel = func() {}
	}
	b.workChanged()
}

// everyRung tries the window as it stands at every rung, in both systems, light
// and dark.
func (b *bench) everyRung(when string) {
	b.t.Helper()
	for _, s := range []units.System{units.Millimetres, units.Inches} {
		b.showIn(s)
		for _, as := range []string{"light", "dark"} {
			b.appear(as)
			for i := range b.panels {
				b.goTo(st1(i))
				b.narrow(fmt.Sprintf("%s, rung %d, system %d, %s", when, i+1, s, as))
			}
		}
	}
}

// Whatever is said, the window's content fits the smallest window it opens in.
func TestTheContentFitsTheSmallestWindow(t *testing.T) {
	b := newBench(t, Options{PitchMM: practice.PitchMM, DemoPath: "demo.jpg"}, &practice.Job{})
	b.everyRung("empty")
	b.kept.prefs.Recent = []keep.Recent{{Path: "/" + longName, At: time.Now()}}
	b.recent.Add(b.recentOnBench())
	b.everyRung("with projects to go on with")
}

func TestTheContentFitsAtWork(t *testing.T) {
	b := busy(t)
	for i, p := range b.s.Document().Pattern.Pieces {
		name := []string{longName, strings.Repeat("W", 60)}[i%2]
		if err := b.s.SetName(p.ID, name); err != nil {
			t.Fatal(err)
		}
	}
	photo := *drawn()
	photo.Name = longName
	b.s.AddPhoto(&photo)
	b.s.LookAt(0)
	b.everything() // opens what can be opened
	b.everyRung("at work")
	for _, id := range []string{"A1", "A2", "C1"} {
		b.s.SelectEdge(id)
		b.everyRung("edge " + id)
	}
	say := func() {
		b.strip.say(strings.Repeat(longName+" ", 2), way{tr.byHand, nil}, way{tr.square.useSheet, nil}, way{tr.square.showWhere, nil})
	}
	say()
	b.running(tr.keep.asBefore)
	b.everyRung("running, with three ways out")
	b.goTo(session.StageMarkUp)
	for a := session.NoAction + 1; a <= session.LastAction; a++ {
		title := editTitle(session.Edit{Action: a, Target: longName})
		put(b.status.undo, &b.status.lastUndo, fmt.Sprintf(tr.undo, title))
		for _, name := range []string{"", tr.keep.asBefore, tr.exporting, tr.square.findingSheet, tr.repair.retracing, tr.squaring} {
			b.running(name)
			put(b.status.undo, &b.status.lastUndo, fmt.Sprintf(tr.undo, title))
			b.narrow("undo of " + title + " while " + name)
		}
	}
}

// What runs stands whole at the right end of the line, and undo's words keep
// what is left.
func TestWorkTakesItsRoomOfTheStatusLine(t *testing.T) {
	b := ready(t)
	b.win.Resize(leastWindow)
	s := b.status
	for _, name := range []string{tr.exporting, tr.keep.asBefore, strings.Repeat("work ", 30), ""} {
		b.running(name)
		end := s.undo.Position().X + s.undo.Size().Width
		if name == "" {
			if end < s.line.Size().Width-1 {
				t.Errorf("undo ends at %.0f of %.0f px when nothing runs", end, s.line.Size().Width)
			}
			continue
		}
		if got, want := s.work.Size().Width, s.work.MinSize().Width; got < want {
			t.Errorf("%s: %.0f px of %.0f", name, got, want)
		}
		if at := s.work.Position().X; at < end || at+s.work.Size().Width > s.line.Size().Width+0.5 || s.undo.Size().Width < 90 {
			t.Errorf("%s: undo ends at %.0f px, %.0f px broad; work lies from %.0f px, %.0f broad, of %.0f", name, end, s.undo.Size().Width, at, s.work.Size().Width, s.line.Size().Width)
		}
		text := fyne.MeasureText(name, 14, fyne.TextStyle{}).Width
		if whole := text + 2*theme.InnerPadding(); text < 150 && s.running.Size().Width <= whole {
			t.Errorf("%s: cut off at %.0f px", name, s.running.Size().Width)
		}
	}
}
