package desk

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"time"

	"flatwright/app/desk/keep"
	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace"
)

// isProject tells a project from a photograph by its name.
func isProject(path string) bool { return strings.EqualFold(filepath.Ext(path), keep.Ending) }

// openProject opens a project where it was left. A window that keeps nothing, as
// that of which a picture is taken, only looks at it.
func (d *desk) openProject(path string) {
	if d.keeps() {
		d.openProjectBy(path, project.Open)
		return
	}
	d.openProjectBy(path, project.OpenReadOnly)
}

func (d *desk) openProjectBy(path string, open func(context.Context, string) (*project.Project, error)) {
	dec, ok := d.o.Job.(PhotoDecoder)
	if !ok {
		return
	}
	if d.kept.k != nil && sameFile(d.kept.k.Project().Path(), path) {
		d.strip.tell(tr.keep.openHere)
		return
	}
	d.strip.hide()
	var k *keep.Keeper
	d.runner.startHolding(tr.keep.opening, func(ctx context.Context, _ func(float64)) (func(), error) {
		p, err := open(ctx, path)
		if err != nil {
			return nil, err
		}
		k = d.keeper(p)
		photos, lost := k.Load(ctx, dec.Decode)
		if len(photos) == 0 && lost != nil || ctx.Err() != nil {
			return nil, errors.Join(lost, k.Close())
		}
		pyramids := map[*photo.Photo]*raster.Pyramid{}
		for _, ph := range photos {
			pyramids[ph] = raster.NewPyramid(ph.RGB, ph.Width, ph.Height)
		}
		return func() { d.resume(k, pyramids, lost) }, nil
	}, func(err error) {
		var used *project.InUseError
		if errors.As(err, &used) {
			d.strip.say(opening(err)+".", way{tr.keep.look, func() { d.openProjectBy(path, project.OpenReadOnly) }})
			return
		}
		d.strip.say(opening(err)+".", way{tr.open, d.chooseFile})
		d.changed()
	}, func() { d.closeKeeper(k, false) })
}

// sameFile reports whether two paths lead to one file that is there.
func sameFile(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// resume takes up a project where it was left.
func (d *desk) resume(k *keep.Keeper, pyramids map[*photo.Photo]*raster.Pyramid, lost error) {
	active := activeKept(k)
	doc, only, err := k.Current(active, printOf(k, d.print().ForAnother()))
	if err != nil {
		d.strip.say(opening(errors.Join(err, k.Close()))+".", way{tr.open, d.chooseFile})
		return
	}
	d.takeKeeper(k, d.inFolder(k.Project().Path()))
	d.s.Resume(only, doc, workedOn(doc))
	if wasPrinted(k) {
		d.s.MarkPrinted(d.s.Version())
	}
	d.pyramids, d.saved = pyramids, ""
	d.kept.print, d.kept.version, d.kept.active = d.print(), d.s.Version(), active
	d.kept.reported = d.solutions()
	d.listMats()
	d.editor.setTool(toolSelect)
	d.remember()
	d.reach()
	d.goTo(d.stageLeft())
	d.focusEditor()
	d.tellResumed(lost)
	d.solveAgain()
}

// printOf is how a project says to print it without the window, usual where it
// does not.
func printOf(k *keep.Keeper, usual session.Print) session.Print {
	var e project.Export
	if k.Get(project.ForExport, &e) && e.Paper != "" {
		return printKept(e, usual)
	}
	return usual
}

// activeKept is the photograph that was looked at last.
func activeKept(k *keep.Keeper) int {
	var n int
	if !k.Get(keyActive, &n) {
		return 0
	}
	return n
}

// keyActive is the setting of which photograph is looked at.
const keyActive = "looked_at"

// inFolder reports whether a project lies where the window puts those that
// nobody has named.
func (d *desk) inFolder(path string) bool {
	return d.keeps() && filepath.Dir(path) == filepath.Clean(d.o.Keep.Folder)
}

// stageLeft is the first rung that is not done.
func (d *desk) stageLeft() session.Stage {
	for st := range session.Stages {
		if d.s.State(st) != session.Done && (st != session.StageSquareUp || len(d.s.Unsolved()) == 0) {
			return st
		}
	}
	return session.StagePrint
}

// workedOn reports whether a pattern is otherwise than it was traced.
func workedOn(d session.Document) bool {
	return len(d.Shots) > 0 || d.Traced == nil && len(d.Pattern.Pieces) > 0 ||
		d.Traced != nil && !reflect.DeepEqual(d.Pattern, d.Traced.Pattern)
}

// tellResumed says what a project that was opened lacks, or that it is whole.
func (d *desk) tellResumed(lost error) {
	p := d.kept.k.Project()
	missing := p.Missing()
	if lost != nil {
		missing = append(missing, plain(lost))
	}
	err := p.Stored()
	switch {
	case len(missing) > 0:
		d.strip.say(fmt.Sprintf(tr.keep.missing, strings.Join(missing, "; ")), way{tr.keep.saveAs, d.chooseProject})
	case err != nil:
		d.strip.say(opening(err)+".", way{tr.keep.saveAs, d.chooseProject})
	default:
		d.strip.tell(fmt.Sprintf(tr.keep.resumed, filepath.Base(p.Path())))
		d.strip.passes()
	}
}

// remember puts the open project before the other recent ones.
func (d *desk) remember() {
	k := d.kept.k
	if k == nil || k.Project().Path() == "" {
		return
	}
	path := k.Project().Path()
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	d.kept.prefs.Remember(keep.Recent{Path: path, At: time.Now()})
	d.writePreferences()
}

// reach lets undo and redo go on where the window's own history ends.
func (d *desk) reach() {
	if d.kept.k == nil {
		return
	}
	if err := d.kept.k.Reach(d.s); err != nil {
		d.strip.say(fmt.Sprintf(tr.keep.noFurther, plain(err)))
	}
}

// solutionKey tells solutions of photographs apart.
func solutionKey(p *photo.Photo, o rectify.Options) string {
	o.Progress = nil
	r := rectify.Rectangle{}
	if o.Rectangle != nil {
		r = *o.Rectangle
	}
	o.Rectangle = nil
	return fmt.Sprintf("%p %+v %+v", p, o, r)
}

// noteSolved keeps a solution for a later undo that comes from the project.
func (d *desk) noteSolved(p *photo.Photo, x session.Solution) {
	if d.kept.k != nil {
		d.kept.solved[solutionKey(p, x.Options)] = x.Squared
	}
}

// solveAgain squares up what a kept document only names: solutions are not
// kept, they follow from the photograph.
func (d *desk) solveAgain() {
	todo := d.s.Unsolved()
	rest := slices.DeleteFunc(slices.Clone(todo), func(u session.Unsolved) bool { return d.solved(u.Photo, u.With) != nil })
	switch {
	case len(todo) == 0:
		return
	case len(rest) == 0:
		d.fillIn()
		return
	}
	writing := d.s.WithoutWriting()
	d.runner.start(tr.keep.asBefore, func(ctx context.Context, told func(float64)) (func(), error) {
		a := solvedAgain{found: map[string]*rectify.Squared{}, traced: map[*photo.Photo]*trace.Traced{}}
		for i, u := range rest {
			part := func(x float64) { told((float64(i) + x) / float64(len(rest))) }
			if err := a.solve(ctx, d.o.Job, u, writing[u.Photo], part); err != nil {
				return nil, err
			}
		}
		return func() { d.takeAgain(a) }, nil
	}, func(err error) {
		d.strip.say(fmt.Sprintf(tr.keep.notAgain, d.inSentence(err)), way{tr.squareUp, d.squareUp})
	})
}

// solved is a solution that is at hand, nil for none.
func (d *desk) solved(p *photo.Photo, o rectify.Options) *rectify.Squared {
	return d.kept.solved[solutionKey(p, o)]
}

// fillIn puts the solutions that are at hand into the document and its history.
func (d *desk) fillIn() {
	d.s.FillIn(d.solved)
	d.changed()
}

// solvedAgain are solutions by their keys, and what was traced with them.
type solvedAgain struct {
	found  map[string]*rectify.Squared
	traced map[*photo.Photo]*trace.Traced
}

// solve squares a photograph up, and traces it where pictures of the writing on
// its pieces are wanted: nothing else of the tracing is used.
func (a solvedAgain) solve(ctx context.Context, j Job, u session.Unsolved, writing bool, told func(float64)) error {
	o := u.With
	o.Progress = func(_ string, part float64) { told(part / 2) }
	q, err := j.SquareUp(ctx, u.Photo, o)
	if err != nil {
		return err
	}
	a.found[solutionKey(u.Photo, u.With)] = q
	if !writing {
		return nil
	}
	if t, err := j.Trace(ctx, q, trace.Options{Progress: func(part float64) { told(0.5 + part/2) }}); err == nil {
		a.traced[u.Photo] = t
	}
	return ctx.Err()
}

// takeAgain takes up what was solved again.
func (d *desk) takeAgain(a solvedAgain) {
	maps.Copy(d.kept.solved, a.found)
	d.s.FillIn(d.solved)
	for p, t := range a.traced {
		d.s.TakeWriting(p, t.Writing, len(t.Pattern.Pieces))
	}
	d.listMats()
	d.changed()
}
