package desk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"flatwright/app/desk/keep"
	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/app/project"
	"flatwright/export/dxf"
	"flatwright/rectify"
	"flatwright/rectify/photo"
)

// kept is the project that the work goes into, and what the window remembers
// from one day to the next.
type kept struct {
	k     *keep.Keeper
	prefs keep.Preferences
	// automatic tells that the maker has not said where the project goes.
	automatic bool
	// version is the session's that was followed last, and print what was kept of
	// the paper.
	version int
	print   session.Print
	// later waits for the end of a drag.
	later *time.Timer
	// solved are solutions by photograph and what they were solved with.
	solved map[string]*rectify.Squared
	// active is the photograph looked at that the project knows of.
	active int
	// reported are the solutions that the kept report speaks of, and reports counts
	// the reports that were begun.
	reported []string
	reports  int
	// reporting is set until the last of them is kept.
	reporting bool
	// failed is the last thing that was said of an edit that is only in memory.
	failed string
}

// keeps reports whether there is a place to keep work in.
func (d *desk) keeps() bool { return d.o.Keep != nil }

// readPreferences takes up what is remembered from the days before.
func (d *desk) readPreferences() {
	if !d.keeps() {
		return
	}
	var err error
	if d.kept.prefs, err = keep.ReadPreferences(d.o.Keep.Preferences); err != nil {
		d.strip.say(opening(err) + ".")
	}
	if a := d.kept.prefs.Appearance; d.o.Appearance == "" && (a == "light" || a == "dark") {
		d.appear(a)
	}
	if d.kept.prefs.Inches {
		d.showIn(units.Inches)
	}
	if p := d.kept.prefs.Print; p != nil {
		d.s.StartWithPrint(*p)
	}
	d.kept.print = d.print()
}

// writePreferences keeps what is remembered; it is no matter for the maker
// when that fails, since nothing of the work is in it.
func (d *desk) writePreferences() {
	if !d.keeps() {
		return
	}
	if err := d.kept.prefs.Write(d.o.Keep.Preferences); err != nil {
		d.strip.tell(opening(err) + ".")
	}
}

// newProject begins to keep a photograph's work in a file of its own. It is
// called off the window's goroutine. Where there can be no file the project is
// in memory, and the error says why.
func (d *desk) newProject(ctx context.Context, p *photo.Photo, path string) (*keep.Keeper, error) {
	if !d.keeps() {
		return nil, nil
	}
	stem := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	err := os.MkdirAll(d.o.Keep.Folder, 0o755)
	if err != nil {
		err = fmt.Errorf("the folder %s cannot be made: %w", d.o.Keep.Folder, err)
	}
	var pr *project.Project
	if err == nil {
		pr, err = project.Create(ctx, keep.FreePath(d.o.Keep.Folder, stem))
	}
	if err != nil {
		var none error
		if pr, none = project.New(); none != nil {
			return nil, none
		}
	}
	k := d.keeper(pr)
	if e := keepPhoto(ctx, k, p, path); e != nil && err == nil {
		err = e
	}
	return k, err
}

// keepPhoto puts a further photograph into the project. It is called off the
// window's goroutine.
func keepPhoto(ctx context.Context, k *keep.Keeper, p *photo.Photo, path string) error {
	if k == nil {
		return nil
	}
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	return k.AddPhoto(ctx, p, file)
}

// keeper follows the session into a project.
func (d *desk) keeper(p *project.Project) *keep.Keeper {
	title := func(e session.Edit) string {
		if e.Action == session.NoAction {
			return tr.keep.began
		}
		return editTitle(e)
	}
	return keep.New(p, title, func(err error) { d.runner.post(func() { d.toldOfKeeping(err) }) })
}

// toldOfKeeping says once that edits are not stored, and when they are again.
func (d *desk) toldOfKeeping(err error) {
	switch {
	case err == nil:
		d.kept.failed = ""
	case err.Error() != d.kept.failed:
		d.kept.failed = err.Error()
		out := []way{{tr.keep.saveAs, d.chooseProject}}
		if !errors.Is(d.storedErr(), project.ErrNoFile) {
			out = append(out, way{tr.keep.again, d.storeAgain})
		}
		d.strip.say(opening(err)+".", out...)
	}
	d.status.update()
}

func (d *desk) storedErr() error {
	if d.kept.k == nil {
		return nil
	}
	return d.kept.k.Project().Stored()
}

// storeAgain tries to write a project that is only in memory to its own file.
func (d *desk) storeAgain() {
	k := d.kept.k
	if k == nil {
		return
	}
	d.strip.hide()
	d.runner.start(tr.keep.saving, func(ctx context.Context, _ func(float64)) (func(), error) {
		k.Flush()
		if err := k.Project().Retry(ctx); err != nil {
			return nil, err
		}
		return func() {
			d.kept.failed = ""
			d.strip.tell(fmt.Sprintf(tr.keep.saved, k.Project().Path()))
			d.changed()
		}, nil
	}, func(err error) { d.strip.say(opening(err)+".", way{tr.keep.saveAs, d.chooseProject}) })
}

// takeKeeper lets go of the project that was open and goes on with another.
func (d *desk) takeKeeper(k *keep.Keeper, automatic bool) {
	d.letGo()
	d.kept.k, d.kept.automatic, d.kept.version, d.kept.active, d.kept.failed = k, automatic, 0, 0, ""
	d.kept.print = session.Print{} // the project knows of no paper yet
	d.kept.solved, d.kept.reported = map[string]*rectify.Squared{}, nil
}

// letGo writes what is left of the open project and closes it. One that the
// maker has done nothing in, and not asked for, leaves no file.
func (d *desk) letGo() {
	k := d.kept.k
	if k == nil {
		return
	}
	d.keepNow()
	d.endReport()
	d.kept.k = nil
	d.closeKeeper(k, d.kept.automatic && !d.s.Touched() && !d.s.Printed())
}

// closeKeeper closes a project, and with remove its file goes.
func (d *desk) closeKeeper(k *keep.Keeper, remove bool) {
	if k == nil {
		return
	}
	path, stored := k.Project().Path(), k.Project().Stored() == nil
	if err := k.Close(); err != nil {
		d.strip.say(opening(err) + ".")
	}
	if remove && stored && path != "" {
		os.Remove(path)
		d.kept.prefs.Forget(path)
		d.writePreferences()
	}
}

// keepUp follows the session after a change. What is being dragged is kept
// when it has lain still for a moment.
func (d *desk) keepUp() {
	if d.kept.k == nil || d.kept.version == d.s.Version() {
		return
	}
	if !d.s.InGesture() {
		d.keepNow()
		return
	}
	if d.kept.later == nil {
		d.kept.later = time.AfterFunc(keepDragAfter, func() {
			d.runner.post(func() {
				d.kept.later = nil
				d.keepNow()
			})
		})
	}
}

// keepDragAfter is how long a drag may go on before it is kept.
const keepDragAfter = 400 * time.Millisecond

// keepNow follows the session at once.
func (d *desk) keepNow() {
	k := d.kept.k
	if k == nil {
		return
	}
	if d.kept.version != d.s.Version() {
		d.kept.version = d.s.Version()
		k.Follow(d.s.Past())
	}
	if at := d.s.Document().Active; at != d.kept.active {
		if d.kept.active = at; k.Put(keyActive, at) != nil {
			d.kept.active = -1 // what is looked at is no work: the next change tries again
		}
	}
	if !slices.Equal(d.kept.reported, d.solutions()) {
		d.keepReport()
	}
	if d.kept.print != d.print() {
		d.kept.print = d.print()
		p := d.print().ForAnother()
		d.kept.prefs.Print = &p
		if err := k.Put(project.ForExport, d.exportKept()); err != nil {
			d.toldOfKeeping(err)
		}
	}
}

// exportKept is how the pattern is printed, as a project says it.
func (d *desk) exportKept() project.Export {
	p := d.print()
	return project.Export{
		Paper: p.Paper, Orientation: p.Orientation, Packed: p.Packed, MarginMM: p.MarginMM, OverlapMM: p.OverlapMM,
		ShiftXMM: p.ShiftXMM, ShiftYMM: p.ShiftYMM,
		PrinterShort: p.ShortMM / session.SquareMM, PrinterLong: p.LongMM / session.SquareMM, Bundle: p.Bundle, DXF: dxfForm(p.DXF),
	}
}

func dxfForm(on bool) string {
	if on {
		return string(dxf.Splines)
	}
	return "none"
}

// printKept is the way back from exportKept.
func printKept(e project.Export, p session.Print) session.Print {
	p.Paper, p.Orientation, p.Packed = strings.ToLower(e.Paper), e.Orientation, e.Packed // the list's names are lower case
	p.ShiftXMM, p.ShiftYMM = e.ShiftXMM, e.ShiftYMM
	p.MarginMM, p.OverlapMM, p.Bundle = e.MarginMM, e.OverlapMM, e.Bundle
	p.ShortMM, p.LongMM, p.DXF = e.PrinterShort*session.SquareMM, e.PrinterLong*session.SquareMM, e.DXF != "" && e.DXF != "none"
	if p.Orientation == "" {
		p.Orientation = "auto"
	}
	return p
}

// keepReport keeps what is known of the photographs, for the commands that print a
// project without the window.
func (d *desk) keepReport() {
	r, ok := d.o.Job.(Reporter)
	k := d.kept.k
	parts := d.s.Parts()
	if !ok || k == nil || len(parts) == 0 || len(d.s.Unsolved()) > 0 {
		return
	}
	d.kept.reported = d.solutions()
	d.kept.reporting = true
	d.kept.reports++
	n := d.kept.reports
	go func() {
		text, err := r.Report(parts)
		d.runner.post(func() {
			if d.kept.k == k && d.kept.reports == n {
				d.putReport(text, err)
			}
		})
	}()
}

// putReport keeps a report. That it cannot be is no matter: the pattern is what
// counts.
func (d *desk) putReport(text json.RawMessage, err error) {
	d.kept.reporting = false
	if err == nil {
		_ = d.kept.k.Put(project.ForReport, text)
	}
}

// endReport keeps at once what is being reported, before the project is let go.
func (d *desk) endReport() {
	if r, ok := d.o.Job.(Reporter); ok && d.kept.reporting {
		d.putReport(r.Report(d.s.Parts()))
	}
}

// solutions are the photographs of the pattern that are squared up, and with what.
func (d *desk) solutions() []string {
	var out []string
	for _, x := range d.s.Document().All(d.s.Photo()) {
		if x.Squared != nil || x.SolvedWith.PitchMM > 0 || x.SolvedWith.Rectangle != nil {
			out = append(out, solutionKey(x.Photo, x.SolvedWith))
		}
	}
	return out
}
