package desk

import (
	"fmt"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// presetsDeg are the angles on buttons and on the keys 1 to 4.
var presetsDeg = [...]float64{15, 30, 45, 60}

// markPanel gives the selected edge its cut and the selected piece its name,
// number and thickness, in the order in which a maker decides.
type markPanel struct {
	d         *desk
	pick      *widget.Label
	thick     *thickBox
	edgeBox   *fyne.Container
	edgeHead  *widget.Label
	line      *lineBox
	length    *widget.Label
	cuts      [3]*button
	angles    [len(presetsDeg)]*button
	angle     *field
	angleBox  *fyne.Container
	other     *widget.Label
	otherRow  *fyne.Container
	pieceBox  *fyne.Container
	pieceHead *widget.Label
	name      *field
	writing   *writingBox
	quantity  *field
	thickness *field
	same      *button
	seam      *seamBox
	mates     *matesBox
	tapes     *tapesBox
	grooves   *groovesBox
	points    *pointsBox
	edgeMore  *edgeMore
	pieceMore *pieceMore
	size      *sizeBox
	box       fyne.CanvasObject
}

// kinds are the cuts in the order of their buttons.
var kinds = [3]pattern.CutKind{pattern.Straight, pattern.Bevel, pattern.Undercut}

func newMarkPanel(d *desk) *markPanel {
	p := &markPanel{d: d, pick: prose(tr.pickEdge), edgeHead: head(""), length: value(), other: value(), pieceHead: head("")}
	cutRow := container.NewGridWithColumns(3)
	for i, word := range [3]string{tr.straight, tr.bevel, tr.undercut} {
		p.cuts[i] = newButton(word, func() { d.setKind(kinds[i]) })
		cutRow.Add(p.cuts[i])
	}
	angleRow := container.NewGridWithColumns(len(presetsDeg))
	for i, deg := range presetsDeg {
		p.angles[i] = newButton(units.FormatDeg(deg), func() { d.setAngle(deg) })
		angleRow.Add(p.angles[i])
	}
	p.angle = d.guarded(newField("22.5", 90, p.angleTyped))
	p.angle.OnChanged = func(text string) {
		if deg, err := units.ParseAngleDeg(text); err == nil && p.angle.editing {
			p.seam.previewAngle(deg)
		}
	}
	p.angleBox = container.NewVBox(row(tr.angle, p.angle), angleRow)
	p.otherRow = row(tr.otherFace, p.other)
	p.edgeBox = container.NewVBox(container.NewBorder(nil, nil, p.edgeHead, p.length), cutRow, p.angleBox, p.otherRow)
	p.name = newField(tr.nameHint, 170, p.nameTyped)
	p.quantity = newField("1", 90, p.quantityTyped)
	p.thickness = d.lengthField(tr.thicknessHint, 130, p.thicknessTyped)
	p.thickness.OnChanged = func(text string) {
		if p.thickness.editing { // what is typed counts at once: the button is what is pressed next
			mm, err := d.readWithin(text, leastMM, mostThicknessMM)
			enable(p.same, err == nil && mm > 0)
		}
	}
	p.same = newButton(tr.thicknessAll, p.sameForAll)
	p.writing = newWritingBox(d)
	p.pieceBox = container.NewVBox(p.pieceHead, p.writing.box, row(tr.name, p.name), row(tr.thickness, p.thickness), p.same, row(tr.quantity, p.quantity))
	p.seam, p.mates, p.tapes = newSeamBox(d), newMatesBox(d), newTapesBox(d)
	p.thick = newThickBox(d)
	p.line, p.grooves, p.points = newLineBox(d), newGroovesBox(d), newPointsBox(d)
	p.edgeMore, p.pieceMore, p.size = newEdgeMore(d), newPieceMore(d), newSizeBox(d)
	p.box = column(heading(tr.stages[3]), p.pick, p.thick.box, p.tapes.fold.box, p.mates.box, p.line.box, p.edgeBox, p.seam.box, p.points.box, p.edgeMore.fold.box, p.grooves.fold.box, gap(), p.pieceBox, p.pieceMore.fold.box, p.size.fold.box)
	return p
}

func (p *markPanel) object() fyne.CanvasObject { return p.box }

func (p *markPanel) update() {
	edge, hasEdge := p.d.s.SelectedEdge()
	piece, hasPiece := p.d.s.SelectedPiece()
	onLine := p.line.update()
	visible(p.pick, !hasEdge && !onLine)
	p.thick.update(hasPiece)
	visible(p.edgeBox, hasEdge)
	visible(p.seam.box, hasEdge)
	visible(p.edgeMore.fold.box, hasEdge)
	visible(p.pieceMore.fold.box, hasPiece)
	visible(p.size.fold.box, len(p.d.s.Document().Pattern.Pieces) > 0)
	visible(p.mates.box, !hasEdge && !onLine && len(p.d.s.Document().Pattern.Pieces) > 0)
	if p.mates.box.Visible() {
		p.mates.update()
	}
	p.tapes.update()
	p.grooves.update()
	p.points.update()
	visible(p.pieceBox, hasPiece)
	if hasEdge {
		p.updateEdge(edge, piece)
		p.seam.update(edge)
		p.edgeMore.update(edge)
	}
	if hasPiece {
		p.pieceMore.update(piece)
		p.pieceHead.SetText(tr.piece + " " + piece.ID)
		p.name.show(piece.Name)
		p.writing.update(piece.ID)
		p.quantity.show(strconv.Itoa(max(1, piece.Quantity)))
		p.d.showLength(p.thickness, piece.ThicknessMM)
		enable(p.same, piece.ThicknessMM > 0)
	}
}

func (p *markPanel) updateEdge(edge pattern.Edge, piece pattern.Piece) {
	p.edgeHead.SetText(tr.edge + " " + edge.ID)
	shape, _ := p.d.s.Shapes().Edge(edge.ID)
	p.length.SetText(p.d.length(shape.LengthMM))
	leaning := edge.Cut.Kind == pattern.Bevel || edge.Cut.Kind == pattern.Undercut
	for i, k := range kinds {
		chosen := k == edge.Cut.Kind || k == pattern.Straight && !leaning
		setImportance(p.cuts[i], importance(chosen))
	}
	visible(p.angleBox, leaning)
	for i, deg := range presetsDeg {
		setImportance(p.angles[i], importance(leaning && deg == edge.Cut.AngleDeg))
	}
	if leaning {
		p.angle.show(units.FormatDeg(edge.Cut.AngleDeg))
	}
	visible(p.otherRow, leaning)
	p.other.SetText(tr.otherFaceNot)
	if piece.ThicknessMM > 0 {
		p.other.SetText(p.d.otherFaceText(edge.Cut, piece))
	}
}

func importance(chosen bool) widget.Importance {
	if chosen {
		return widget.HighImportance
	}
	return widget.MediumImportance
}

// otherFaceText tells how far the other face's edge lies from the drawn one.
func (d *desk) otherFaceText(c pattern.Cut, p pattern.Piece) string {
	mm := session.OffsetMM(c, p)
	if mm >= 0 {
		return fmt.Sprintf(tr.insideBy, d.length(mm))
	}
	return fmt.Sprintf(tr.outsideBy, d.length(-mm))
}

func (p *markPanel) angleTyped(text string) {
	deg, err := units.ParseAngleDeg(text)
	if err != nil {
		p.d.strip.say(fmt.Sprintf(tr.badAngle, text))
		return
	}
	p.d.setAngle(deg)
}

// onPiece runs an edit of the selected piece.
func (p *markPanel) onPiece(edit func(id string) error) {
	piece, ok := p.d.s.SelectedPiece()
	if !ok {
		return
	}
	if err := edit(piece.ID); err != nil {
		p.d.strip.say(p.d.inWords(err) + ".")
	}
	p.d.changed()
}

func (p *markPanel) nameTyped(text string) {
	p.onPiece(func(id string) error { return p.d.s.SetName(id, text) })
}

func (p *markPanel) quantityTyped(text string) {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 1 || n > 999 {
		p.d.strip.say(fmt.Sprintf(tr.badQuantity, text))
		return
	}
	p.onPiece(func(id string) error { return p.d.s.SetQuantity(id, n) })
}

func (p *markPanel) thicknessTyped(text string) {
	if mm, err := p.d.readThickness(text); err == nil {
		p.onPiece(func(id string) error { return p.d.s.SetThickness(id, mm) })
	}
}

// readThickness reads a sheet's thickness in mm, 0 for none typed; what it
// refuses it has said why.
func (d *desk) readThickness(text string) (float64, error) {
	if strings.TrimSpace(text) == "" {
		return 0, nil
	}
	mm, err := d.readWithin(text, leastMM, mostThicknessMM)
	if err != nil {
		d.refuse(text, err, fmt.Sprintf(tr.badThickness, text, d.bound(mostThicknessMM)))
	}
	return mm, err
}

func (p *markPanel) sameForAll() {
	if piece, ok := p.d.s.SelectedPiece(); ok && piece.ThicknessMM > 0 {
		p.d.s.SetThicknessOfAll(piece.ThicknessMM)
		p.d.changed()
	}
}
