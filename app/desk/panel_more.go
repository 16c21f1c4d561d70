package desk

import (
	"errors"
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// edgeMore is what only some edges need: an angle that changes along the cut,
// an allowance, and where the edge begins and ends.
type edgeMore struct {
	d      *desk
	fold   *fold
	toEnd  *field
	endRow *fyne.Container
	width  *field
	corner *choiceList
	next   *button
	rim    *tickBox
	// tape is which tape runs along the edge; tapes are those of its choice,
	// after none.
	tape    *choiceList
	tapeRow *fyne.Container
	tapes   []string
}

// corners are the ends of an allowance in the order of the choice.
var allowanceCorners = []pattern.AllowanceCorner{pattern.Mitred, pattern.Square, pattern.Folded}

func newEdgeMore(d *desk) *edgeMore {
	w := &tr.seam
	p := &edgeMore{d: d}
	p.toEnd = d.guarded(newField(w.sameHint, 90, p.endTyped))
	p.endRow = row(w.toEnd, p.toEnd)
	p.width = d.lengthField(both(w.noneHint), 90, func(string) { p.allowanceTyped() })
	p.corner = newChoiceList(w.corners, func(string) { p.allowanceTyped() })
	p.next = newButton(w.joinNext, d.joinNext)
	p.tape = newChoiceList(nil, func(string) { p.tapeChosen() })
	p.tapeRow = container.NewBorder(nil, nil, label(tr.tape.along), nil, p.tape)
	p.rim = newTickBox(w.rim, func(on bool) {
		if e, ok := d.s.SelectedEdge(); ok && e.Rim != on {
			d.report(d.s.SetRim(e.ID, on))
		}
	})
	p.fold = newFold(w.edgeMore, p.endRow, p.rim, p.tapeRow, row(w.allowance, p.width), row(w.atCorners, p.corner), prose(w.divideHint), p.next)
	return p
}

func (p *edgeMore) update(e pattern.Edge) {
	visible(p.endRow, e.Cut.Kind != pattern.Straight)
	text := ""
	if e.Cut.Varies {
		text = units.FormatDeg(e.Cut.ToDeg)
	}
	p.toEnd.show(text)
	p.d.showLength(p.width, e.Allowance.WidthMM)
	at := 0
	for i, c := range allowanceCorners {
		if c == e.Allowance.Corner {
			at = i
		}
	}
	if want := p.corner.Options[at]; p.corner.Selected != want {
		p.corner.Selected = want
		p.corner.Refresh()
	}
	enable(p.corner, e.Allowance.WidthMM > 0)
	_, joined := p.d.s.SelectedSeam()
	visible(p.rim, !joined)
	tick(p.rim, e.Rim)
	p.updateTape(e)
	p.fold.say(moreOfEdge(e, p.d.system()))
}

// updateTape shows which of the pattern's tapes runs along the edge.
func (p *edgeMore) updateTape(e pattern.Edge) {
	tapes := p.d.s.Document().Pattern.Tapes
	visible(p.tapeRow, len(tapes) > 0)
	p.tapes = p.tapes[:0]
	names, at := []string{tr.tape.none}, 0
	for i, t := range tapes {
		names, p.tapes = append(names, t.Name), append(p.tapes, t.ID)
		if t.ID == e.Tape {
			at = i + 1
		}
	}
	p.tape.Options, p.tape.Selected = names, names[at]
	p.tape.Refresh()
}

func (p *edgeMore) tapeChosen() {
	e, ok := p.d.s.SelectedEdge()
	i := p.tape.SelectedIndex()
	if !ok || i < 0 {
		return
	}
	id := ""
	if i > 0 {
		id = p.tapes[i-1]
	}
	p.d.report(p.d.s.SetEdgeTape(e.ID, id))
}

// moreOfEdge is what the closed group says.
func moreOfEdge(e pattern.Edge, s units.System) string {
	var out []string
	if e.Cut.Varies && e.Cut.Kind != pattern.Straight {
		out = append(out, fmt.Sprintf(tr.seam.endNote, units.FormatDeg(e.Cut.ToDeg)))
	}
	if e.Allowance.WidthMM > 0 {
		out = append(out, fmt.Sprintf(tr.seam.allowanceNote, s.Typed(e.Allowance.WidthMM)))
	}
	if e.Rim {
		out = append(out, tr.seam.rimShort)
	}
	return strings.Join(out, ", ")
}

// endTyped lets the angle change along the edge; nothing typed ends that.
func (p *edgeMore) endTyped(text string) {
	e, ok := p.d.s.SelectedEdge()
	if !ok {
		return
	}
	c := e.Cut
	c.Varies, c.ToDeg = false, 0
	if strings.TrimSpace(text) != "" {
		deg, err := units.ParseSignedDeg(text)
		if err != nil {
			p.d.strip.say(fmt.Sprintf(tr.seam.badEnd, text))
			return
		}
		c.Varies, c.ToDeg = true, deg
	}
	p.d.setCut(e.ID, c)
}

func (p *edgeMore) allowanceTyped() {
	e, ok := p.d.s.SelectedEdge()
	if !ok {
		return
	}
	a := pattern.Allowance{}
	if text := strings.TrimSpace(p.width.Text); text != "" {
		mm, err := p.d.readField(p.width)
		if err != nil {
			p.d.refuse(text, err, fmt.Sprintf(tr.seam.badAllowance, text))
			return
		}
		a.WidthMM = mm
	}
	if i := p.corner.SelectedIndex(); a.WidthMM > 0 && i >= 0 {
		a.Corner = allowanceCorners[i]
	}
	if a == e.Allowance {
		return
	}
	p.d.report(p.d.s.SetAllowance(e.ID, a))
}

// pieceMore is what only some pieces need.
type pieceMore struct {
	d              *desk
	fold           *fold
	faces          [2]*button
	mirrored       *tickBox
	material, note *field
}

func newPieceMore(d *desk) *pieceMore {
	w := &tr.seam
	p := &pieceMore{d: d}
	both := container.NewGridWithColumns(2)
	for i, f := range [2]pattern.Face{pattern.Front, pattern.Back} {
		p.faces[i] = newButton(w.faces[i], func() {
			if q, ok := d.s.SelectedPiece(); ok {
				d.report(d.s.SetFace(q.ID, f))
			}
		})
		both.Add(p.faces[i])
	}
	p.mirrored = newTickBox(w.turnedOver, func(on bool) {
		if q, ok := d.s.SelectedPiece(); ok && q.Mirrored != on {
			d.report(d.s.SetMirrored(q.ID, on))
		}
	})
	p.material = newField(w.materialHint, 170, func(string) { p.words() })
	p.note = newField(w.noteHint, 170, func(string) { p.words() })
	p.fold = newFold(w.pieceMore, label(w.shows), both, p.mirrored, row(w.material, p.material), row(w.note, p.note))
	return p
}

func (p *pieceMore) words() {
	if q, ok := p.d.s.SelectedPiece(); ok {
		p.d.report(p.d.s.SetWords(q.ID, p.material.Text, p.note.Text))
	}
}

func (p *pieceMore) update(q pattern.Piece) {
	setImportance(p.faces[0], importance(q.Face != pattern.Back))
	setImportance(p.faces[1], importance(q.Face == pattern.Back))
	tick(p.mirrored, q.Mirrored)
	p.material.show(q.Material)
	p.note.show(q.Note)
	p.fold.say(q.Material)
}

// sizeBox makes the whole pattern larger or smaller for another wearer.
type sizeBox struct {
	d    *desk
	fold *fold
	size *field
}

func newSizeBox(d *desk) *sizeBox {
	p := &sizeBox{d: d}
	p.size = d.lengthField(tr.seam.sizeHint, 130, p.typed)
	p.fold = newFold(tr.seam.sizeHead, prose(tr.seam.sizeWhat), row(tr.seam.sizeWord, p.size))
	return p
}

// typed takes a share like "104 %", or the length of the selected edge.
func (p *sizeBox) typed(text string) {
	text = strings.TrimSpace(text)
	if text == "" {
		return
	}
	factor, err := p.factor(text)
	if err != nil {
		p.d.strip.say(opening(err) + ".") // it has examples in both systems
		return
	}
	p.size.show("")
	p.size.SetText("")
	if err := p.d.s.ScalePattern(factor); err != nil {
		p.d.report(err)
		return
	}
	p.d.strip.tell(fmt.Sprintf(tr.seam.sized, 100*factor))
	p.d.changed()
}

// factor reads how many times as large the pattern is to be.
func (p *sizeBox) factor(text string) (float64, error) {
	if share, ok := strings.CutSuffix(text, "%"); ok {
		n, err := p.d.reading().Number(share)
		if err != nil || n > 1e4 {
			return 0, errors.New(strings.TrimSuffix(refusal(text, err, fmt.Sprintf(tr.seam.badSize, text)), "."))
		}
		return n / 100, nil
	}
	e, ok := p.d.s.SelectedEdge()
	mm, err := p.d.readLength(text)
	if !ok || err != nil {
		return 0, errors.New(strings.TrimSuffix(refusal(text, err, fmt.Sprintf(tr.seam.badSize, text)), "."))
	}
	shape, _ := p.d.s.Shapes().Edge(e.ID)
	if !(shape.LengthMM > 0) {
		return 0, fmt.Errorf(tr.seam.badSize, text)
	}
	return mm / shape.LengthMM, nil
}

// report says why an edit was refused, and shows what has changed.
func (d *desk) report(err error) {
	if err != nil {
		d.strip.say(d.inWords(err) + ".")
		d.strip.passes()
	}
	d.changed()
}

// joinNext joins the selected edge with the one after it.
func (d *desk) joinNext() {
	if _, ok := d.s.SelectedEdge(); !ok {
		d.strip.say(tr.pickEdge)
		return
	}
	d.report(d.s.JoinNext())
}

// divide breaks the edge under the pointer.
func (d *desk) divide() {
	if d.editor.onPaper() {
		d.strip.say(tr.print.paperDivide)
		return
	}
	id := d.editor.hover
	at, ok := d.editor.matAt(d.editor.pointer)
	if id == "" || !ok {
		d.strip.say(tr.seam.divideWhere)
		return
	}
	d.report(d.s.BreakEdgeAt(id, toMat(at)))
}
