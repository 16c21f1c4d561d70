package desk

import (
	"cmp"
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// lineBox says what is done along the selected line inside a piece.
type lineBox struct {
	d        *desk
	head     *widget.Label
	kinds    [4]*button
	depth    *field
	bend     *field
	gap      *field
	depthRow *fyne.Container
	bendRow  *fyne.Container
	gapRow   *fyne.Container
	gives    *widget.Label
	box      *fyne.Container
}

var lineKinds = [4]pattern.LineWorkKind{pattern.Drawn, pattern.Score, pattern.Groove, pattern.Slit}

func newLineBox(d *desk) *lineBox {
	w := &tr.seam
	p := &lineBox{d: d, head: head(""), gives: prose("")}
	grid := container.NewGridWithColumns(2)
	for i, k := range lineKinds {
		p.kinds[i] = newButton(w.lineKinds[i], func() { p.choose(k) })
		grid.Add(p.kinds[i])
	}
	p.depth = d.lengthField(w.depthHint, 90, func(string) { p.typed() })
	p.bend = newField(w.angleHint, 90, func(string) { p.typed() })
	p.gap = d.lengthField(w.gapHint, 90, func(string) { p.typed() })
	p.depthRow, p.bendRow, p.gapRow = row(w.depth, p.depth), row(w.bend, p.bend), row(w.opened, p.gap)
	p.box = container.NewVBox(p.head, grid, p.depthRow, p.bendRow, p.gapRow, p.gives)
	return p
}

// choose begins a kind of work with what is usual: half of the sheet scored, a
// web of a tenth left under a groove.
func (p *lineBox) choose(k pattern.LineWorkKind) {
	q, _, ok := p.d.s.SelectedLine()
	if !ok {
		return
	}
	if k != pattern.Drawn && q.ThicknessMM <= 0 {
		p.d.strip.say(tr.seam.lineNeedsThickness)
		return
	}
	w := pattern.LineWork{Kind: k}
	switch k {
	case pattern.Score:
		w.DepthMM = q.ThicknessMM / 2
	case pattern.Groove:
		w.DepthMM, w.BendDeg = 0.9*q.ThicknessMM, startingAngleDeg
	case pattern.Slit:
		w.DepthMM = q.ThicknessMM / 2
		w.GapMM = w.DepthMM / 2
	}
	p.d.report(p.d.s.SetLineWork(w))
}

func (p *lineBox) typed() {
	_, l, ok := p.d.s.SelectedLine()
	if !ok {
		return
	}
	w := l.Work
	var errD, errB, errG error
	w.DepthMM, errD = p.d.readField(p.depth)
	if w.Kind == pattern.Groove {
		w.BendDeg, errB = units.ParseSignedDeg(p.bend.Text)
	}
	if w.Kind == pattern.Slit {
		w.GapMM, errG = p.d.readField(p.gap)
	}
	if err := cmp.Or(errD, errB, errG); err != nil {
		p.d.refuse("", err, tr.seam.badWork)
		return
	}
	p.d.report(p.d.s.SetLineWork(w))
}

// update shows the selected line; false hides it all.
func (p *lineBox) update() bool {
	q, l, ok := p.d.s.SelectedLine()
	visible(p.box, ok)
	if !ok {
		return false
	}
	p.head.SetText(fmt.Sprintf(tr.seam.lineHead, q.ID))
	for i, k := range lineKinds {
		setImportance(p.kinds[i], importance(k == l.Work.Kind))
	}
	visible(p.depthRow, l.Work.Kind != pattern.Drawn)
	visible(p.bendRow, l.Work.Kind == pattern.Groove)
	visible(p.gapRow, l.Work.Kind == pattern.Slit)
	p.d.showLength(p.depth, l.Work.DepthMM)
	p.bend.show(units.FormatDeg(l.Work.BendDeg))
	p.d.showLength(p.gap, l.Work.GapMM)
	text := workGives(l.Work, q.ThicknessMM, p.d.system())
	visible(p.gives, text != "")
	p.gives.SetText(text)
	return true
}

// workGives says what comes of a groove or slit.
func workGives(w pattern.LineWork, thicknessMM float64, s units.System) string {
	switch w.Kind {
	case pattern.Score:
		return fmt.Sprintf(tr.seam.scoreGives, s.Length(thicknessMM-w.DepthMM, 1))
	case pattern.Groove:
		g, err := pattern.GrooveFor(w.BendDeg, thicknessMM, thicknessMM-w.DepthMM)
		if err != nil {
			return s.Sentence(opening(err)) + "."
		}
		return fmt.Sprintf(tr.seam.grooveGives, units.FormatDeg(g.HalfDeg), s.Length(g.WidthMM, 1))
	case pattern.Slit:
		deg, err := pattern.SlitBendDeg(w.GapMM, w.DepthMM)
		if err != nil {
			return s.Sentence(opening(err)) + "."
		}
		return fmt.Sprintf(tr.seam.slitGives, units.FormatDeg(math.Round(10*deg)/10))
	}
	return ""
}
