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
	s.StartWithPrint(session.UsualPrint("a4"))
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
}

func (w *window) title(e session.Edit) string { return e.Action.Key() }

func (w *window) told(err error) {
	if err != nil {
		w.t.Errorf("told of %v", err)
	}
}

func (w *window) begin(dir string) {
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
	doc, only, err := w.k.Current(0)
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

// now is the present document as it is kept, without the edit that led to it.
func (w *window) now() string {
	st, err := keep.Encode(w.s.Document(), w.s.Past().Only, session.Edit{}, w.k.Sum)
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
// never been closed, and so is every step back.
func TestHistoryIsKeptWhateverIsDone(t *testing.T) {
	base := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp(base, "")
		if err != nil {
			t.Fatal(err)
		}
		w := &window{t: t}
		w.begin(dir)
		// states are those that undo and redo go through, at the present one.
		w.reopen()
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
			switch rapid.IntRange(0, 10).Draw(t, "what") {
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
	w.begin(t.TempDir())
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
