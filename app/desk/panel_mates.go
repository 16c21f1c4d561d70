package desk

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// matesBox shows the edges that look like mates, one pair after the other, and
// offers to join all that are sure. Nothing is joined without a yes.
type matesBox struct {
	d          *desk
	what       *widget.Label
	join       *button
	at         int
	one        *fyne.Container
	which      *widget.Label
	how        *widget.Label
	back, next *button
	box        *fyne.Container
}

func newMatesBox(d *desk) *matesBox {
	w := &tr.seam
	p := &matesBox{d: d, what: prose(""), which: head(""), how: prose(""), at: -1}
	p.which.Alignment = fyne.TextAlignCenter
	p.join = newButton("", d.joinSure)
	p.back = newIconButton("", theme.NavigateBackIcon(), func() { p.step(-1) })
	p.next = newIconButton("", theme.NavigateNextIcon(), func() { p.step(1) })
	yes := newButton(w.join, func() { p.answer(d.s.Accept) })
	no := newButton(w.notThese, func() { p.answer(func(m pattern.Proposal) error { d.s.Dismiss(m); return nil }) })
	p.one = container.NewVBox(container.NewBorder(nil, nil, p.back, p.next, p.which), p.how, container.NewGridWithColumns(2, yes, no))
	p.box = container.NewVBox(gap(), head(w.matesHead), p.what, p.one, p.join)
	return p
}

// chosen returns the pair that is looked at; false for none.
func (p *matesBox) chosen() (pattern.Proposal, bool) {
	all := p.d.s.Proposals()
	if p.at < 0 || p.at >= len(all) {
		return pattern.Proposal{}, false
	}
	return all[p.at], true
}

// step looks at the next pair, or the one before, and shows where it is.
func (p *matesBox) step(by int) {
	n := len(p.d.s.Proposals())
	if n == 0 {
		return
	}
	p.at = ((max(p.at, 0)+by)%n + n) % n
	p.show()
}

// show brings both edges of the pair into view.
func (p *matesBox) show() {
	m, ok := p.chosen()
	if !ok {
		return
	}
	a, okA := p.d.s.Shapes().Edge(m.A[0].Edge)
	b, okB := p.d.s.Shapes().Edge(m.B[0].Edge)
	if okA && okB {
		p.d.editor.showAll(a.Bounds(p.d.editor.space).Union(b.Bounds(p.d.editor.space)))
	}
	p.d.changed()
}

func (p *matesBox) answer(do func(pattern.Proposal) error) {
	if m, ok := p.chosen(); ok {
		p.d.report(do(m))
	}
}

func (p *matesBox) update() {
	all, sure := p.d.s.Proposals(), 0
	for _, m := range all {
		if m.Sure {
			sure++
		}
	}
	p.at = min(max(p.at, 0), len(all)-1)
	visible(p.join, sure > 0)
	p.join.SetText(fmt.Sprintf(tr.seam.joinN, sure))
	p.what.SetText(matesText(len(all), sure))
	m, ok := p.chosen()
	visible(p.one, ok)
	if !ok {
		return
	}
	p.d.editor.offered = map[string]bool{m.A[0].Edge: true, m.B[0].Edge: true}
	enable(p.back, len(all) > 1)
	enable(p.next, len(all) > 1)
	p.which.SetText(fmt.Sprintf(tr.seam.nthPair, m.A.String(), m.B.String(), p.at+1, len(all)))
	p.how.SetText(proposalText(m, p.d.system()))
}

func matesText(all, sure int) string {
	switch {
	case all == 0:
		return tr.seam.matesNone
	case all == 1:
		return map[bool]string{false: tr.seam.onePair, true: tr.seam.onePairSure}[sure == 1]
	case sure == 0:
		return fmt.Sprintf(tr.seam.matesUnsure, all)
	case sure == all:
		return fmt.Sprintf(tr.seam.matesAll, sure)
	}
	return fmt.Sprintf(tr.seam.matesSome, all, sure)
}

// proposalText says how well a pair fits and how much better than the next.
func proposalText(m pattern.Proposal, s units.System) string {
	text := fmt.Sprintf(tr.seam.fitsBare, s.Residual(m.ResidualMM, 1))
	if m.Marks+m.Alone > 0 {
		text = fmt.Sprintf(tr.seam.fits, s.Residual(m.ResidualMM, 1), m.Marks, m.Alone)
	}
	switch {
	case m.Twins:
		text += " " + tr.seam.mirror
	case m.Sure:
		text += " " + tr.seam.certain
	case m.Rival[0] != "":
		text += " " + fmt.Sprintf(tr.seam.rival, m.Rival[0], m.Rival[1])
	}
	return text
}
