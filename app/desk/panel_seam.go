package desk

import (
	"fmt"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// seamBox tells of the selected edge's seam, or offers one.
type seamBox struct {
	d         *desk
	head      *widget.Label
	likely    *widget.Label
	join      *button
	pair      *button
	lengths   *widget.Label
	compare   *widget.Label
	joint     *jointView
	jointNone *widget.Label
	want      *field
	wantRow   *fyne.Container
	marks     *widget.Label
	copyMarks *button
	how       *choiceList
	howRow    *fyne.Container
	spacing   *field
	setMarks  *button
	apart     *button
	sides     *button
	turn      *button
	free      *fyne.Container
	joined    *fyne.Container
	box       *fyne.Container
	offer     pattern.Proposal
}

func newSeamBox(d *desk) *seamBox {
	w := &tr.seam
	p := &seamBox{
		d: d, head: wrapping(w.head), likely: prose(""), lengths: value(), compare: prose(""),
		joint: newJointView(), jointNone: prose(w.noThickness), marks: value(),
	}
	p.join = primary(w.join, p.accept)
	p.pair = newButton(w.pair, d.togglePairing)
	p.want = d.guarded(newField(w.wantHint, 90, p.wantTyped))
	p.want.OnChanged = func(text string) {
		if deg, err := units.ParseSignedDeg(text); err == nil && p.want.editing {
			p.preview(func(t *pattern.Pattern, seam string) error { return t.ShareTurn(seam, deg) })
		}
	}
	p.wantRow = row(w.want, p.want)
	p.copyMarks = newButton(w.copyMarks, p.copy)
	p.how = newChoiceList(w.copyHow[:], nil)
	p.how.SetSelectedIndex(0)
	p.howRow = row(w.copyBy, p.how)
	p.spacing = d.lengthField(w.spacingHint, 90, func(string) { _, _ = p.spaced() })
	p.setMarks = newButton(w.setMarks, p.spread)
	p.apart = newButton(w.apart, p.unpair)
	p.sides = newButton(tr.side.button, d.toggleSiding)
	p.turn = newButton(tr.side.turn, func() { p.onSeam(func(m pattern.Seam) error { return d.s.TurnSeam(m.ID) }) })
	p.free = container.NewVBox(p.likely, p.join, p.pair)
	p.joined = container.NewVBox(
		row(w.lengths, p.lengths), p.compare, p.sides, p.joint.raster, p.jointNone, p.wantRow,
		row(w.marksHead, p.marks), p.copyMarks, p.howRow, container.NewBorder(nil, nil, nil, p.spacing, p.setMarks), p.turn, p.apart)
	p.box = container.NewVBox(p.head, p.free, p.joined)
	return p
}

// update shows the selected edge's seam.
func (p *seamBox) update(edge pattern.Edge) {
	m, ok := p.d.s.SelectedSeam()
	visible(p.free, !ok)
	visible(p.joined, ok)
	if !ok {
		p.head.SetText(tr.seam.head)
		p.updateFree(edge)
		return
	}
	p.head.SetText(p.title(m))
	p.updateSides()
	p.updateJoint(m)
	measure, err := p.d.s.Measure(m.ID)
	if err != nil {
		p.lengths.SetText("")
		p.compare.SetText(p.d.inWords(err) + ".")
		return
	}
	p.lengths.SetText(fmt.Sprintf(tr.seam.sides, p.d.length(measure.A.LengthMM), p.d.length(measure.B.LengthMM)))
	p.compare.SetText(comparison(m, measure, p.d.system()))
	p.marks.SetText(marksText(measure))
	alone := len(measure.A.Alone)+len(measure.B.Alone) > 0
	enable(p.copyMarks, alone)
	visible(p.howRow, alone)
}

// title names a seam and its sides; a dart is called one, with its width.
func (p *seamBox) title(m pattern.Seam) string {
	if mm, ok := p.d.s.DartOpenMM(m.ID); ok {
		return fmt.Sprintf(tr.side.dart, m.ID, m.A, m.B) + ", " + fmt.Sprintf(tr.side.dartOpen, p.d.length(mm))
	}
	return fmt.Sprintf("%s %s: %s · %s", tr.seam.head, m.ID, m.A, m.B)
}

func (p *seamBox) updateSides() {
	p.sides.SetText(tr.side.button)
	if p.d.siding != "" {
		p.sides.SetText(tr.side.stop)
	}
	setImportance(p.sides, importance(p.d.siding != ""))
}

// worthMM is the difference that is spoken of; less cannot be cut.
const worthMM = 0.05

// tellMM is the difference from which it is told where it arises: less is the
// error of the marks themselves.
const tellMM = 0.3

// comparison says how the sides differ, and between which marks.
func comparison(s pattern.Seam, m pattern.SeamMeasure, in units.System) string {
	text := fmt.Sprintf(tr.seam.compared, s.B.String(), compareSides(m, in))
	if at := m.Arises(); at != "" && math.Abs(m.DifferenceMM()) > tellMM {
		text += ". " + in.Sentence(at) + " " + s.A.String() + "."
	}
	return text
}

func compareSides(m pattern.SeamMeasure, in units.System) string {
	d, part := m.DifferenceMM(), 100*math.Abs(m.Part())
	switch {
	case d > worthMM:
		return fmt.Sprintf(tr.seam.longer, in.Residual(d, 1), part)
	case d < -worthMM:
		return fmt.Sprintf(tr.seam.shorter, in.Residual(-d, 1), part)
	}
	return tr.seam.same
}

func marksText(m pattern.SeamMeasure) string {
	alone := len(m.A.Alone) + len(m.B.Alone)
	switch {
	case alone > 0:
		return fmt.Sprintf(tr.seam.marksAlone, len(m.Joints), alone)
	case len(m.Joints) > 0:
		return fmt.Sprintf(tr.seam.marksMeet, len(m.Joints))
	}
	return tr.seam.noMarks
}

// updateFree offers the likeliest mate.
func (p *seamBox) updateFree(edge pattern.Edge) {
	p.offer = pattern.Proposal{}
	other := ""
	for _, m := range p.d.s.Proposals() {
		a, b := m.A[0].Edge, m.B[0].Edge
		if a == edge.ID || b == edge.ID {
			p.offer, other = m, b
			if b == edge.ID {
				other = a
			}
			break
		}
	}
	found := other != ""
	visible(p.join, found)
	text := tr.seam.none
	if found {
		text = fmt.Sprintf(tr.seam.likely, other)
		if p.offer.Sure {
			text = fmt.Sprintf(tr.seam.likelySure, other)
		}
		if p.offer.Twins {
			text = fmt.Sprintf(tr.seam.likelyTwin, other)
		}
		text += " (± " + p.d.residual(p.offer.ResidualMM, 1) + ")"
	}
	p.likely.SetText(text)
	p.pair.SetText(tr.seam.pair)
	if p.d.pairing != "" {
		p.pair.SetText(tr.seam.stop)
	}
	setImportance(p.pair, importance(p.d.pairing != ""))
}

func (p *seamBox) updateJoint(m pattern.Seam) {
	arm := p.armMM(m)
	j, err := p.d.s.Joint(m, arm)
	ok := err == nil
	visible(p.joint.raster, ok)
	visible(p.jointNone, !ok)
	visible(p.wantRow, ok)
	p.joint.show(j, ok, p.d.pal, p.d.system())
	text := ""
	if ok {
		text = units.FormatDeg(math.Round(10*j.InteriorDeg) / 10)
	}
	p.want.show(text)
}

// preview shows the joint as a change being typed would make it; text that
// does not lead to a joint leaves the last one standing.
func (p *seamBox) preview(change func(t *pattern.Pattern, seamID string) error) {
	m, ok := p.d.s.SelectedSeam()
	if !ok {
		return
	}
	j, err := p.d.s.TryJoint(m.ID, p.armMM(m), func(t *pattern.Pattern) error { return change(t, m.ID) })
	if err == nil {
		p.joint.show(j, true, p.d.pal, p.d.system())
	}
}

// previewAngle is preview for the angle of the selected edge.
func (p *seamBox) previewAngle(deg float64) {
	e, ok := p.d.s.SelectedEdge()
	if !ok {
		return
	}
	p.preview(func(t *pattern.Pattern, _ string) error { return t.SetCut(e.ID, leant(e.Cut, deg)) })
}

func (p *seamBox) armMM(m pattern.Seam) float64 {
	doc := p.d.s.Document()
	var thick []float64
	for _, r := range []pattern.EdgeRef{m.A[0], m.B[0]} {
		if q, _, err := doc.Pattern.FindEdge(r.Edge); err == nil {
			thick = append(thick, q.ThicknessMM)
		}
	}
	return armMM(thick...)
}

// onSeam runs an edit of the selected edge's seam.
func (p *seamBox) onSeam(edit func(m pattern.Seam) error) {
	m, ok := p.d.s.SelectedSeam()
	if !ok {
		return
	}
	if err := edit(m); err != nil {
		p.d.strip.say(p.d.inWords(err) + ".")
	}
	p.d.changed()
}

func (p *seamBox) accept() {
	if len(p.offer.A) == 0 {
		return
	}
	if err := p.d.s.Accept(p.offer); err != nil {
		p.d.strip.say(p.d.inWords(err) + ".")
	}
	p.d.changed()
}

func (p *seamBox) unpair() {
	p.onSeam(func(m pattern.Seam) error { return p.d.s.Unpair(m.ID) })
}

func (p *seamBox) wantTyped(text string) {
	deg, err := units.ParseSignedDeg(text)
	if err != nil || !(deg > 0 && deg < 360) {
		p.d.strip.say(fmt.Sprintf(tr.seam.badWant, text))
		return
	}
	p.onSeam(func(m pattern.Seam) error { return p.d.s.ShareTurn(m.ID, deg) })
}

func (p *seamBox) copy() {
	p.onSeam(func(m pattern.Seam) error {
		n, err := p.d.s.CopyMarks(m.ID, p.transfer())
		if err != nil {
			return err
		}
		if n > 0 {
			p.d.strip.tell(fmt.Sprintf(tr.seam.copied, n))
		}
		return nil
	})
}

// transfer is how marks are copied: by their share of the side, or by their
// length from the seam's beginning.
func (p *seamBox) transfer() pattern.Transfer {
	if p.how.SelectedIndex() == 1 {
		return pattern.ByLength
	}
	return pattern.ByShare
}

// usualSpacingMM is the distance of marks when none is typed.
const usualSpacingMM = 60

// spaced reads the distance of marks, or says that it is none.
func (p *seamBox) spaced() (mm float64, ok bool) {
	text := strings.TrimSpace(p.spacing.Text)
	if text == "" {
		return usualSpacingMM, true
	}
	mm, err := p.d.readField(p.spacing)
	if err != nil {
		p.d.refuse(text, err, fmt.Sprintf(tr.seam.badSpacing, text))
	}
	return mm, err == nil
}

func (p *seamBox) spread() {
	mm, ok := p.spaced()
	if !ok {
		return
	}
	p.onSeam(func(m pattern.Seam) error {
		doc := p.d.s.Document()
		n, err := p.d.s.SpreadMarks(m.ID, pattern.Spread{
			SpacingMM: mm, OnCurves: 2, OneWay: true, Ticks: doc.Pattern.TellTicks()[m.ID],
		})
		if err == nil {
			p.d.strip.tell(fmt.Sprintf(tr.seam.set, n))
		}
		return err
	})
}
