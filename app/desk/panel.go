package desk

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/rectify"
)

// panel is what stands on the right for one rung. Its widgets are made once;
// update puts the present state into them.
type panel interface {
	object() fyne.CanvasObject
	update()
}

// footed is a panel of which something stays in sight below what is scrolled.
type footed interface {
	stays() fyne.CanvasObject
}

// photoPanel opens photographs.
type photoPanel struct {
	d           *desk
	name, size  *widget.Label
	what        *widget.Label
	open, trial *button
	shots       *shotsBox
	project     *projectBox
	box         fyne.CanvasObject
}

func newPhotoPanel(d *desk) *photoPanel {
	p := &photoPanel{d: d, name: head(""), size: label(""), what: prose(strings.ReplaceAll(tr.emptyBody, "\n", " "))}
	p.name.Truncation = fyne.TextTruncateEllipsis
	p.open, p.trial = primary(tr.open, d.chooseFile), newButton(tr.demo, d.openDemo)
	p.shots = newShotsBox(d)
	p.project = newProjectBox(d)
	p.box = column(heading(tr.stages[0]), p.what, p.name, p.size, gap(), p.open, p.trial, gap(), p.shots.box, gap(), p.project.box)
	return p
}

func (p *photoPanel) object() fyne.CanvasObject { return p.box }

func (p *photoPanel) update() {
	ph := p.d.s.Photo()
	visible(p.what, ph == nil)
	visible(p.name, ph != nil)
	visible(p.size, ph != nil)
	visible(p.trial, p.d.o.DemoPath != "")
	p.shots.update()
	p.project.update()
	if ph != nil {
		p.name.SetText(ph.Name)
		p.size.SetText(fmt.Sprintf("%d × %d px", ph.Width, ph.Height))
	}
}

// pitchPicker chooses the distance between the mat's lines.
type pitchPicker struct {
	d       *desk
	buttons []*button
	other   *field
	box     *fyne.Container
}

func newPitchPicker(d *desk) *pitchPicker {
	p := &pitchPicker{d: d}
	grid := container.NewGridWithColumns(len(tr.pitches))
	for _, c := range tr.pitches {
		b := newButton(c.text, func() { d.setPitch(c.mm) })
		p.buttons = append(p.buttons, b)
		grid.Add(b)
	}
	p.other = d.lengthField(tr.pitchHint, 0, p.typed)
	p.box = container.NewVBox(label(tr.pitchHead), grid, p.other)
	return p
}

func (p *pitchPicker) typed(text string) {
	mm, err := p.d.readWithin(text, rectify.MinPitchMM, rectify.MaxPitchMM)
	if err != nil {
		p.d.refuse(text, err, fmt.Sprintf(tr.pitchInvalid, text, p.d.bound(rectify.MinPitchMM), p.d.bound(rectify.MaxPitchMM)))
		return
	}
	p.d.setPitch(mm)
}

func (p *pitchPicker) update() {
	mm := p.d.s.Document().PitchMM
	preset := false
	for i, c := range tr.pitches {
		importance := widget.MediumImportance
		if c.mm == mm {
			preset, importance = true, widget.HighImportance
		}
		setImportance(p.buttons[i], importance)
	}
	if preset {
		mm = 0
	}
	p.d.showLength(p.other, mm)
}

// setImportance repaints a button only when it changes.
func setImportance(b *button, i widget.Importance) {
	if b.Importance != i {
		b.Importance = i
		b.Refresh()
	}
}

// tracePanel lists the pieces.
type tracePanel struct {
	d       *desk
	run     *button
	none    *widget.Label
	list    *fyne.Container
	repair  *repairBox
	version int
	box     fyne.CanvasObject
}

func newTracePanel(d *desk) *tracePanel {
	p := &tracePanel{d: d, none: prose(tr.noPieces), list: container.NewVBox()}
	p.run = primary(tr.trace, d.trace)
	p.repair = newRepairBox(d)
	p.box = column(heading(tr.stages[2]), p.run, gap(), p.repair.fold.box, gap(), head(tr.pieces), p.none, p.list)
	return p
}

func (p *tracePanel) object() fyne.CanvasObject { return p.box }

func (p *tracePanel) update() {
	doc := p.d.s.Document()
	n := len(doc.Pattern.Pieces)
	enable(p.run, doc.Squared != nil)
	p.run.SetText(tr.trace)
	setImportance(p.run, widget.HighImportance)
	if n > 0 {
		p.run.SetText(tr.traceAgain)
		setImportance(p.run, widget.MediumImportance)
	}
	visible(p.none, n == 0)
	p.repair.update()
	if p.version == p.d.s.Version() {
		return
	}
	p.version = p.d.s.Version()
	p.list.RemoveAll()
	for _, x := range doc.Pattern.Pieces {
		title := trimmed(x.Name, buttonWords, func(name string) string { return p.d.originTitle(x.ID, name) })
		b := newButton(title, func() { p.d.goPiece(x.ID) })
		b.Alignment = widget.ButtonAlignLeading
		p.list.Add(b)
	}
}
