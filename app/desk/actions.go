package desk

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"

	"flatwright/app/desk/keep"
	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/pattern"
)

// photoKinds are the endings that the file list shows.
var photoKinds = []string{".heic", ".HEIC", ".heif", ".HEIF", ".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".bmp", ".JPG", ".JPEG", ".PNG", ".TIF", ".TIFF"}

func (d *desk) chooseFile() {
	d.choosePath(tr.open, append([]string{keep.Ending}, photoKinds...), d.chooseFile, d.open)
}

// choosePath shows the list of files of some kinds under a heading, and hands on
// the path that is chosen; again asks anew for one that cannot be read.
func (d *desk) choosePath(heading string, kinds []string, again func(), take func(path string)) {
	f := dialog.NewFileOpen(func(r fyne.URIReadCloser, err error) { d.pathChosen(r, err, way{heading, again}, take) }, d.win)
	f.SetTitleText(strings.TrimSuffix(heading, "…"))
	f.SetFilter(storage.NewExtensionFileFilter(kinds))
	f.Resize(fyne.NewSize(900, 600))
	f.Show()
}

// pathChosen hands on what was chosen, if anything was.
func (d *desk) pathChosen(r fyne.URIReadCloser, err error, out way, take func(path string)) {
	if err != nil {
		var at *fs.PathError
		if errors.As(err, &at) {
			d.fail("open", out, filepath.Base(at.Path), plain(at.Err))
			return
		}
		d.strip.say(opening(err)+".", out)
		return
	}
	if r == nil {
		return
	}
	path := r.URI().Path()
	r.Close()
	take(path)
}

func (d *desk) openDemo() {
	if d.o.DemoPath == "" {
		return
	}
	d.openWith(d.o.DemoPath, d.o.DemoPitchMM)
}

// dropped opens the first file of those dropped on the window, and adds the
// others to its pattern one after the other.
func (d *desk) dropped(_ fyne.Position, u []fyne.URI) {
	var paths []string
	for _, x := range u {
		if x.Scheme() == "file" {
			paths = append(paths, x.Path())
		}
	}
	if len(paths) == 0 {
		d.strip.say(tr.notFile)
		return
	}
	d.waiting = paths[1:]
	d.open(paths[0])
}

// open reads a photograph, and squares it up when the pitch is known.
func (d *desk) open(path string) { d.openWith(path, 0) }

// openWith is open for a photograph whose pitch is known; 0 keeps the pitch.
func (d *desk) openWith(path string, pitchMM float64) {
	if isProject(path) {
		d.openProject(path)
		return
	}
	if d.kept.k != nil && d.s.Worked() && d.storedErr() == nil {
		d.strip.say(fmt.Sprintf(tr.keep.another, d.s.Photo().Name), way{tr.keep.openAsNew, func() { d.openNow(path, pitchMM) }}, way{tr.shots.addInstead, func() { d.addPhoto(path) }})
		return
	}
	if d.s.MarkedUp() {
		d.strip.say(tr.wouldLose, way{tr.openAnyway, func() { d.openNow(path, pitchMM) }}, way{tr.shots.addInstead, func() { d.addPhoto(path) }}, way{tr.export, d.chooseExport})
		return
	}
	d.openNow(path, pitchMM)
}

// chooseFurther asks for a photograph to be added to the pattern.
func (d *desk) chooseFurther() {
	d.choosePath(tr.shots.add, photoKinds, d.chooseFurther, d.addPhoto)
}

// openNow is openWith without a question.
func (d *desk) openNow(path string, pitchMM float64) {
	d.strip.hide()
	var k *keep.Keeper
	d.runner.startHolding(tr.opening, func(ctx context.Context, _ func(float64)) (func(), error) {
		p, err := d.o.Job.Open(ctx, path)
		if err != nil {
			return nil, err
		}
		pyramid := raster.NewPyramid(p.RGB, p.Width, p.Height)
		var unkept error
		k, unkept = d.newProject(ctx, p, path)
		return func() {
			d.takeKeeper(k, true)
			d.s.SetPhoto(p)
			if pitchMM > 0 {
				d.s.StartWithPitch(pitchMM)
			}
			d.saved = ""
			d.listMats()
			d.editor.setTool(toolSelect)
			d.editor.setPhoto(pyramid)
			d.pyramids = map[*photo.Photo]*raster.Pyramid{p: pyramid}
			d.win.SetTitle(p.Name + " – " + tr.title)
			d.goTo(session.StageSquareUp)
			d.focusEditor()
			if d.s.Document().PitchMM > 0 {
				d.squareUp()
			}
			d.remember()
			if unkept != nil {
				d.toldOfKeeping(unkept)
			}
		}, nil
	}, func(err error) {
		d.fail("open", way{tr.open, d.chooseFile}, filepath.Base(path), unnamed(path, err))
		d.changed()
	}, func() { d.closeKeeper(k, true) })
}

// fail says what went wrong and offers a way out.
func (d *desk) fail(what string, out way, args ...any) {
	d.strip.say(fmt.Sprintf(tr.failed[what], args...), out)
}

// plain is an error's text without a closing full stop, for use in a sentence.
func plain(err error) string { return strings.TrimRight(err.Error(), ". ") }

// unnamed is plain without the name of the file before it, for a sentence that
// has named it.
func unnamed(path string, err error) string {
	text := plain(err)
	for _, name := range []string{path, filepath.Base(path)} {
		text = strings.TrimPrefix(text, name+": ")
	}
	return text
}

// opening is plain for use at the beginning of a sentence.
func opening(err error) string { return capital(plain(err)) }

// capital is a text with its first letter in upper case.
func capital(text string) string {
	r, n := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(r)) + text[n:]
}

func (d *desk) toggleView() {
	if d.editor.space == session.OnMat {
		d.editor.setSpace(session.InPhoto)
	} else {
		d.editor.setSpace(session.OnMat)
	}
	d.changed()
}

func (d *desk) doUndo() { d.goThrough(d.s.Undo) }

func (d *desk) doRedo() { d.goThrough(d.s.Redo) }

// goThrough goes one step along the history, which may reach into what was
// kept before the window was opened.
func (d *desk) goThrough(step func() (session.Edit, bool)) {
	step()
	d.reach()
	d.changed()
	d.solveAgain()
}

// startingAngleDeg is the angle a new bevel begins with: the mitre of two
// faces at a right angle.
const startingAngleDeg = 45

// setKind gives the selected edge a kind of cut and keeps its angle.
func (d *desk) setKind(k pattern.CutKind) {
	e, ok := d.s.SelectedEdge()
	if !ok {
		d.strip.say(tr.pickEdge)
		return
	}
	c := pattern.Cut{Kind: k, AngleDeg: e.Cut.AngleDeg}
	if c.AngleDeg <= 0 {
		c.AngleDeg = startingAngleDeg
	}
	d.setCut(e.ID, c)
}

// setAngle gives the selected edge an angle; a straight edge becomes a bevel.
func (d *desk) setAngle(deg float64) {
	e, ok := d.s.SelectedEdge()
	if !ok {
		d.strip.say(tr.pickEdge)
		return
	}
	d.setCut(e.ID, leant(e.Cut, deg))
}

// leant is a cut at another angle; a straight one becomes a bevel.
func leant(c pattern.Cut, deg float64) pattern.Cut {
	if c.Kind != pattern.Undercut {
		c.Kind = pattern.Bevel
	}
	c.AngleDeg = deg
	return c
}

func (d *desk) setCut(id string, c pattern.Cut) {
	if err := d.s.SetCut(id, c); err != nil {
		d.strip.say(d.inWords(err) + ".")
	}
	if d.stage != session.StageMarkUp {
		d.goTo(session.StageMarkUp)
		return
	}
	d.changed()
}

func (d *desk) goPiece(id string) {
	d.s.SelectPiece(id)
	d.goTo(session.StageMarkUp)
}

// goFinding selects what a finding is about and goes to its place: in the
// photograph that shows it, or in the flat view where none does.
func (d *desk) goFinding(f session.Finding) {
	d.choose(f)
	if f.Shot == session.NoShot {
		d.editor.setSpace(session.OnMat)
	} else {
		d.s.LookAt(f.Shot)
		d.showPhoto()
	}
	d.goPlace(f.At)
}

// goPlace brings a place of the pattern's frame to the middle.
func (d *desk) goPlace(at mat.Point) {
	inPhoto := view.Point(at)
	if v, ok := d.s.View(); ok {
		inPhoto = view.Point(v.ToPhoto(at))
	}
	d.editor.show(view.Point(at), inPhoto)
	d.changed()
}
