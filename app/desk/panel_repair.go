package desk

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/units"
)

// repairBox is the repairs by hand, each a button that its key does too.
type repairBox struct {
	d         *desk
	fold      *fold
	add       *button
	reshape   *button
	buttons   []*button
	unite     *button
	slider    *widget.Slider
	within    *widget.Label
	deviation *widget.Label
	onPiece   *fyne.Container
	// step is what the slider shows.
	step int
}

func newRepairBox(d *desk) *repairBox {
	w := &tr.repair
	p := &repairBox{d: d, within: value(), deviation: prose("")}
	p.add = newButton(w.addShort, d.toggleAdding)
	plain := func(word string, do func()) *button {
		b := newButton(word, do)
		p.buttons = append(p.buttons, b)
		return b
	}
	p.reshape = plain(w.reshape, d.toggleReshape)
	p.unite = newButton(w.unite, d.unite)
	p.slider = widget.NewSlider(0, float64(len(tolerancesMM)-1))
	// The outline and its deviation follow while the slider is dragged; all of it
	// is one step of undo.
	p.slider.OnChanged = func(v float64) {
		p.within.SetText(withinText(int(v), d.system()))
		if p.step != int(v) {
			p.step = int(v)
			d.setSmoothness(p.step)
		}
	}
	p.onPiece = container.NewVBox(
		p.reshape,
		container.NewBorder(nil, nil, label(w.smoothness), p.within), p.slider, p.deviation,
		container.NewGridWithColumns(2, plain(w.splitShort, d.toggleSplit), plain(w.leaveOut, d.leaveOut)),
		container.NewGridWithColumns(2, plain(w.mirrorCopy, d.mirrorCopy), plain(w.completeShort, d.completeHalf)),
	)
	p.fold = newFold(w.head, prose(w.what), container.NewGridWithColumns(2, p.add, p.unite), p.onPiece)
	return p
}

func withinText(step int, s units.System) string {
	if step < 0 || step >= len(tolerancesMM) {
		return ""
	}
	return fmt.Sprintf(tr.repair.tolerance, s.Residual(tolerancesMM[step], 2))
}

func (p *repairBox) update() {
	piece, ok := p.d.s.SelectedPiece()
	doc := p.d.s.Document()
	visible(p.fold.box, doc.Squared != nil)
	visible(p.onPiece, ok)
	enable(p.unite, len(doc.Pattern.Pieces) > 1)
	t := p.d.editor.tool
	setImportance(p.add, importance(t == toolAdd))
	setImportance(p.reshape, importance(t == toolReshape))
	if !ok {
		p.fold.say(tr.repair.pickPiece)
		return
	}
	p.fold.say(tr.piece + " " + piece.ID)
	if step := p.d.smoothStep(piece.ID); step != p.step || int(p.slider.Value) != step {
		p.step = step
		p.slider.Value = float64(step)
		p.slider.Refresh()
	}
	p.within.SetText(withinText(p.step, p.d.system()))
	p.deviation.SetText(p.deviationText(piece.ID, len(piece.Outline.Segments)))
}

// deviationText tells how far the outline lies from what was measured.
func (p *repairBox) deviationText(id string, nodes int) string {
	x, ok := p.d.s.Deviation(id)
	if !ok {
		return tr.repair.noDeviation
	}
	return fmt.Sprintf(tr.repair.deviation, p.d.residual(x.WorstMM, 2), p.d.residual(x.RMSMM, 2), counted(nodes, tr.repair.oneNode, tr.repair.nodes))
}
