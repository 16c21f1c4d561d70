package keep_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/keep"
	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// traced is a practice photograph squared up and traced, made once: nothing
// writes to it.
var traced = sync.OnceValue(func() *session.Session { return onPhoto((&practice.Job{}).Photo()) })

func onPhoto(p *photo.Photo) *session.Session {
	j := &practice.Job{}
	s := session.New()
	s.SetPhoto(p)
	s.StartWithPitch(practice.PitchMM)
	o, err := s.Options(session.ByLines)
	if err != nil {
		panic(err)
	}
	q, err := j.SquareUp(context.Background(), p, o)
	if err != nil {
		panic(err)
	}
	s.Take(session.Solution{Squared: q, With: s.Document().Settings, Options: o})
	t, err := j.Trace(context.Background(), q, trace.Options{})
	if err != nil {
		panic(err)
	}
	s.SetTraced(t)
	return s
}

// window is a session kept in a project, as the window does it.
type window struct {
	t    rapid.TB
	s    *session.Session
	k    *keep.Keeper
	path string
	file []byte
	// opened counts how often the project was opened.
	opened int
}

// usualNow is how the window would print a project that does not say it: every
// time that it is opened otherwise, as on another machine.
func (w *window) usualNow() session.Print {
	p := session.UsualPrint("a4")
	p.OverlapMM = float64(w.opened)
	return p
}

func (w *window) title(e session.Edit) string { return e.Action.Key() }

func (w *window) told(err error) {
	if err != nil {
		w.t.Errorf("told of %v", err)
	}
}

// begin makes a project, as this program does or, with older, as one that says
// nothing of paper.
func (w *window) begin(dir string, older bool) {
	w.path, w.file = filepath.Join(dir, "work.flatwright"), []byte("the photograph's file")
	p, err := project.Create(context.Background(), w.path)
	if err != nil {
		w.t.Fatal(err)
	}
	w.k = keep.New(p, w.title, w.told)
	ph := *traced().Photo()
	if err := w.k.AddPhoto(context.Background(), &ph, bytes.NewReader(w.file)); err != nil {
		w.t.Fatal(err)
	}
	w.s = onPhoto(&ph)
	if !older {
		w.s.StartWithPrint(w.usualNow())
	}
	w.follow()
}

func (w *window) follow() { w.k.Follow(w.s.Past()) }

// reopen closes the project and opens it as another window would.
func (w *window) reopen() {
	if err := w.k.Close(); err != nil {
		w.t.Fatal(err)
	}
	p, err := project.Open(context.Background(), w.path)
	if err != nil {
		w.t.Fatal(err)
	}
	w.k = keep.New(p, w.title, w.told)
	_, err = w.k.Load(context.Background(), func(_ context.Context, name string, file []byte) (*photo.Photo, error) {
		if !bytes.Equal(file, w.file) {
			w.t.Errorf("the photograph's file came back as %q", file)
		}
		ph := *traced().Photo()
		ph.Name = name
		return &ph, nil
	})
	if err != nil {
		w.t.Fatal(err)
	}
	doc, only, err := w.k.Current(0, w.usualNow())
	w.opened++
	if err != nil {
		w.t.Fatal(err)
	}
	w.s = session.New()
	w.s.Resume(only, doc, true)
	w.reach()
	w.s.FillIn(func(p *photo.Photo, o rectify.Options) *rectify.Squared {
		q, err := (&practice.Job{}).SquareUp(context.Background(), p, o)
		if err != nil {
			w.t.Fatal(err)
		}
		return q
	})
}

func (w *window) reach() {
	if err := w.k.Reach(w.s); err != nil {
		w.t.Fatal(err)
	}
}

// now is the present document as it is kept, without the edit that led to it. One
// that does not say how it is printed is printed as usual when it was first
// opened.
func (w *window) now() string {
	d := w.s.Document()
	if d.Print == (session.Print{}) {
		d.Print = (&window{}).usualNow()
	}
	st, err := keep.Encode(d, w.s.Past().Only, session.Edit{}, w.k.Sum)
	if err != nil {
		w.t.Fatal(err)
	}
	b, err := pattern.Encode(st.Pattern)
	if err != nil {
		w.t.Fatal(err)
	}
	return string(b) + "\n" + string(st.Work)
}

// Whatever is done, undone, done again and dragged, with the program closed
// and opened at any time: the document is what it would be had the program
// never been closed, and so is every step back. So it is with a project of an
// older program, which knows no paper, whatever was undone there.
func TestHistoryIsKeptWhateverIsDone(t *testing.T) {
	base := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp(base, "")
		if err != nil {
			t.Fatal(err)
		}
		w := &window{t: t}
		older := rapid.Bool().Draw(t, "older")
		w.begin(dir, older)
		if !older {
			w.reopen()
		}
		// states are those that undo and redo go through, at the present one.
		states, at := []string{w.now()}, 0
		done := func() {
			if now := w.now(); now != states[at] {
				states = append(states[:at+1], now)
				at++
			}
		}
		pieces := w.s.Document().Pattern.Pieces
		for range rapid.IntRange(1, 25).Draw(t, "steps") {
			p := pieces[rapid.IntRange(0, len(pieces)-1).Draw(t, "piece")]
			e := p.Edges[rapid.IntRange(0, len(p.Edges)-1).Draw(t, "edge")]
			angle := float64(rapid.IntRange(1, 60).Draw(t, "angle"))
			what := rapid.IntRange(0, 10).Draw(t, "what")
			if older && what > 8 {
				what = 7 // the older program cannot: this one opens the project
			}
			switch what {
			case 0, 1:
				if w.s.SetCut(e.ID, pattern.Cut{Kind: pattern.Bevel, AngleDeg: angle}) == nil {
					done()
				}
			case 2:
				if w.s.SetThickness(p.ID, angle/10) == nil {
					done()
				}
			case 3: // a setting stays open: what follows of its kind joins it
				if w.s.SetPitch(20 + angle/10) {
					done()
				}
			case 4, 5:
				if at > 0 {
					w.s.Undo()
					at--
					w.follow()
					w.reach()
				}
			case 6:
				if at < len(states)-1 {
					w.s.Redo()
					at++
					w.follow()
					w.reach()
				}
			case 7:
				w.follow()
				w.reopen()
				older = false
			case 8:
				w.s.EndGesture()
			case 9: // a drag: until it ends, undo takes all of it back at once
				if w.s.InGesture() && w.s.NextUndo().Action == session.ActionSheets {
					at--
				}
				w.s.MoveSheets(angle, -angle, 5000)
				done()
			case 10:
				x := w.s.Document().Print
				x.MarginMM = angle
				w.s.SetPrint(x)
				done()
			}
			if rapid.Bool().Draw(t, "kept at once") {
				w.follow()
			}
			if got := w.now(); got != states[at] {
				t.Fatalf("the document is otherwise than it was done:\n%s\n%s", got, states[at])
			}
		}
		w.follow()
		w.reopen()
		for ; at > 0; at-- {
			if got := w.now(); got != states[at] {
				t.Fatalf("step %d came back otherwise:\n%s\n%s", at, got, states[at])
			}
			if _, ok := w.s.Undo(); !ok {
				t.Fatalf("undo ends at step %d", at)
			}
			w.reach()
		}
		if got := w.now(); got != states[0] {
			t.Fatal("undone to the end, the document is otherwise than it began")
		}
		if err := w.k.Close(); err != nil {
			t.Fatal(err)
		}
	})
}

// A drag that was kept while it went on, and went on after that, is kept whole
// when another step follows before it is kept again.
func TestADragKeptHalfWayIsKeptWhole(t *testing.T) {
	w := &window{t: t}
	w.begin(t.TempDir(), false)
	w.s.MoveSheets(1, 0, 100)
	w.follow()
	w.k.Flush() // half of the drag is kept
	w.s.MoveSheets(4, 0, 100)
	w.s.EndGesture()
	if err := w.s.SetThickness("A", 5); err != nil {
		t.Fatal(err)
	}
	w.follow()
	w.reopen()
	w.s.Undo()
	if x := w.s.Document().Print.ShiftXMM; x != 5 {
		t.Errorf("the sheets lie %g mm away, dragged they lay at 5", x)
	}
	if err := w.k.Close(); err != nil {
		t.Fatal(err)
	}
}

// A project of an older program, which knows no paper, stays as it is when it is
// opened, and every step of it keeps one paper, whatever the window would usually
// print on as it is opened again: undone steps come back, and a choice of paper
// is taken back to it.
func TestAnOlderProjectKeepsOnePaper(t *testing.T) {
	for undone := range 3 {
		w := &window{t: t}
		w.begin(t.TempDir(), true)
		for _, mm := range []float64{3, 5} {
			if err := w.s.SetThickness("A", mm); err != nil {
				t.Fatal(err)
			}
		}
		for range undone {
			w.s.Undo()
		}
		w.follow()
		w.k.Flush()
		before := w.k.Project().Encoded()
		for range 2 {
			w.reopen()
			w.follow()
			w.reach()
		}
		first := w.s.Document().Print
		if w.reopen(); !bytes.Equal(w.k.Project().Encoded(), before) {
			t.Errorf("%d undone: opened and looked at, the project is another", undone)
		}
		for range undone {
			if _, ok := w.s.Redo(); !ok {
				t.Errorf("%d undone: a step cannot be done again", undone)
			}
			w.follow()
			w.reach()
		}
		x := w.s.Document().Print
		x.MarginMM, x.SVG = 20, true
		w.s.SetPrint(x)
		w.follow()
		if w.reopen(); w.s.Document().Print != x {
			t.Errorf("%d undone: the choice came back as %+v", undone, w.s.Document().Print)
		}
		for range 3 { // the choice, and both thicknesses
			w.s.Undo()
			w.follow()
			w.reopen()
			if got := w.s.Document().Print; got != first {
				t.Errorf("%d undone: printed as %+v, first as %+v", undone, got, first)
			}
		}
		if err := w.k.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
