package desk

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// matesBox offers to join all edges that are sure to be mates.
type matesBox struct {
	d    *desk
	head *widget.Label
	what *widget.Label
	join *widget.Button
	box  *fyne.Container
}

func newMatesBox(d *desk) *matesBox {
	p := &matesBox{d: d, head: head(tr.seam.matesHead), what: prose("")}
	p.join = primary("", d.joinSure)
	p.box = container.NewVBox(gap(), p.head, p.what, p.join)
	return p
}

func (p *matesBox) update() {
	all, sure := p.d.s.Proposals(), 0
	for _, m := range all {
		if m.Sure {
			sure++
		}
	}
	visible(p.join, sure > 0)
	p.join.SetText(fmt.Sprintf(tr.seam.joinN, sure))
	switch {
	case len(all) == 0:
		p.what.SetText(tr.seam.matesNone)
	case sure == len(all):
		p.what.SetText(fmt.Sprintf(tr.seam.matesAll, sure))
	default:
		p.what.SetText(fmt.Sprintf(tr.seam.matesSome, len(all), sure))
	}
}
