package desk

import (
	"context"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// addPhoto adds a photograph to the pattern, and squares it up.
func (d *desk) addPhoto(path string) {
	if d.s.Photo() == nil {
		d.openNow(path, 0)
		return
	}
	d.strip.hide()
	k := d.kept.k
	d.runner.start(tr.shots.adding, func(ctx context.Context, _ func(float64)) (func(), error) {
		p, err := d.o.Job.Open(ctx, path)
		if err != nil {
			return nil, err
		}
		pyramid := raster.NewPyramid(p.RGB, p.Width, p.Height)
		unkept := keepPhoto(ctx, k, p, path)
		return func() {
			if unkept != nil {
				d.toldOfKeeping(unkept)
			}
			d.s.AddPhoto(p)
			if d.pyramids == nil {
				d.pyramids = map[*photo.Photo]*raster.Pyramid{}
			}
			d.pyramids[p] = pyramid
			d.listMats()
			d.editor.setTool(toolSelect)
			d.goTo(session.StageSquareUp)
			d.focusEditor()
			if d.s.Document().PitchMM > 0 {
				d.squareUp()
			}
		}, nil
	}, func(err error) {
		d.fail("open", way{tr.shots.add, d.chooseFurther}, filepath.Base(path), unnamed(path, err))
		d.changed()
	})
}

// addWaiting adds the next of several photographs that were dropped, once the
// one before has been traced.
func (d *desk) addWaiting() {
	if len(d.waiting) == 0 || d.runner.busy() || !d.s.HasOwn() {
		return
	}
	next := d.waiting[0]
	d.waiting = d.waiting[1:]
	d.addPhoto(next)
}

// showPhoto shows the photograph that the session looks at: undo may have gone
// back to another.
func (d *desk) showPhoto() {
	p := d.s.Photo()
	pyramid := d.pyramids[p]
	if p == nil || pyramid == nil || d.editor.pyramid == pyramid {
		return
	}
	space := d.editor.space
	d.editor.setPhoto(pyramid)
	d.editor.setSpace(space)
	d.win.SetTitle(p.Name + " – " + tr.title)
	d.listMats()
}

// stepPhoto looks at the next photograph of the pattern, or the one before.
func (d *desk) stepPhoto(by int) {
	all, k := d.s.Photos()
	if len(all) < 2 {
		d.strip.say(tr.shots.noOther)
		return
	}
	d.lookAt((k + by + len(all)) % len(all))
}

func (d *desk) lookAt(k int) {
	d.s.LookAt(k)
	d.editor.setSpace(session.InPhoto)
	d.changed()
}

// toggleParts begins to choose the points that two parts of one piece share, or
// stops. Both are seen in the flat view only.
func (d *desk) toggleParts() {
	d.toggleTool(toolParts, tr.shots.partsHow)
	if d.editor.tool == toolParts {
		d.s.SelectPiece("")
		d.editor.setSpace(session.OnMat)
		d.changed()
	}
}

// pairs are the shared points chosen so far, on either part.
func (d *desk) pairs() (a, b []mat.Point) {
	for i, q := range d.editor.tape {
		if i%2 == 0 {
			a = append(a, mat.Point(q))
		} else {
			b = append(b, mat.Point(q))
		}
	}
	return a[:len(b)], b
}

// shared tells after every point how far the pairs miss each other.
func (d *desk) shared() {
	w := &tr.shots
	a, b := d.pairs()
	switch n := len(d.editor.tape); {
	case n%2 == 1:
		d.strip.tell(fmt.Sprintf(w.pair, n/2+1))
	case len(a) == 1:
		d.strip.tell(w.oneMore)
	default:
		fit, err := d.s.TryParts(a, b)
		if err != nil {
			d.strip.say(d.inWords(err) + ".")
			return
		}
		d.strip.say(fmt.Sprintf(w.missing, len(a), d.residual(fit.RMSMM, 2), d.residual(fit.WorstMM, 2)), way{w.joinThem, d.joinParts})
	}
}

// joinParts joins the two parts by the points chosen.
func (d *desk) joinParts() {
	w := &tr.shots
	a, b := d.pairs()
	first, second := d.pieceOfAll(a), d.pieceOfAll(b)
	if first == "" || second == "" || first == second {
		d.strip.say(w.wrongPieces)
		d.editor.tape = nil
		d.editor.redraw()
		return
	}
	out, err := d.s.JoinParts(first, a, second, b)
	if err != nil {
		d.report(err)
		return
	}
	d.putDown()
	d.strip.tell(fmt.Sprintf(w.joined, first, d.residual(out.Fit.RMSMM, 2), d.residual(out.Fit.WorstMM, 2), d.residual(out.EndsMM, 2)) + d.whereLaid(first))
	d.changed()
}

// pieceOfAll is the piece that all points lie on or in; empty for none.
func (d *desk) pieceOfAll(at []mat.Point) string {
	for _, p := range d.s.Document().Pattern.Pieces {
		on := len(at) > 0
		for _, q := range at {
			near, err := p.Outline.Nearest(q)
			on = on && err == nil && (near.DistanceMM < 3 || p.Outline.Contains(q, 0.1))
		}
		if on {
			return p.ID
		}
	}
	return ""
}

// originTitle is a piece's letter and name, and which photograph it came from
// where there are several.
func (d *desk) originTitle(id, name string) string {
	title := pieceTitle(id, name)
	all, _ := d.s.Photos()
	if len(all) < 2 {
		return title
	}
	var from []string
	for _, k := range d.s.Origin(id).Shots {
		from = append(from, strconv.Itoa(k+1))
	}
	return title + "  " + fmt.Sprintf(tr.shots.fromOne, strings.Join(from, ", "))
}

// shotsBox lists the photographs of the pattern.
type shotsBox struct {
	d       *desk
	list    *fyne.Container
	add     *button
	parts   *button
	version int
	box     *fyne.Container
}

func newShotsBox(d *desk) *shotsBox {
	w := &tr.shots
	p := &shotsBox{d: d, list: container.NewVBox()}
	p.add = newButton(w.add, d.chooseFurther)
	p.parts = newButton(w.parts, d.toggleParts)
	p.box = container.NewVBox(head(w.head), prose(w.what), p.list, p.add, p.parts)
	return p
}

func (p *shotsBox) update() {
	all, active := p.d.s.Photos()
	visible(p.box, len(all) > 0)
	enable(p.parts, len(p.d.s.Document().Pattern.Pieces) > 1)
	if p.version == p.d.s.Version() {
		return
	}
	p.version = p.d.s.Version()
	p.list.RemoveAll()
	if len(all) < 2 {
		return
	}
	counts := make([]int, len(all))
	for _, q := range p.d.s.Document().Pattern.Pieces {
		if o := p.d.s.Origin(q.ID); len(o.Shots) > 0 && o.Shots[0] < len(all) {
			counts[o.Shots[0]]++
		}
	}
	for k, ph := range all {
		name := label(fmt.Sprintf("%d  %s, %s", k+1, ph.Name, counted(counts[k], tr.shots.onePiece, tr.shots.pieces)))
		name.Truncation = fyne.TextTruncateEllipsis
		var right fyne.CanvasObject = head(tr.shots.shown)
		if k != active {
			right = newButton(tr.shots.look, func() { p.d.lookAt(k) })
		}
		p.list.Add(container.New(layout.NewBorderLayout(nil, nil, nil, right), right, name))
	}
}
