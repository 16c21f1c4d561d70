package desk

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"flatwright/trace/pattern"
)

// thickBox asks for the thickness while no piece is chosen: that of all pieces
// while none has one, else it leads to those that still lack theirs.
type thickBox struct {
	d      *desk
	all    *field
	allRow *fyne.Container
	give   *button
	box    *fyne.Container
}

func newThickBox(d *desk) *thickBox {
	p := &thickBox{d: d}
	p.all = d.lengthField(tr.thicknessHint, 130, p.typed)
	p.allRow = row(tr.thickOfAll, p.all)
	p.give = newButton("", p.lead)
	p.box = container.NewVBox(p.allRow, p.give)
	return p
}

// lacking are the pieces without a thickness.
func (p *thickBox) lacking() []pattern.Piece {
	return slices.DeleteFunc(slices.Clone(p.d.s.Document().Pattern.Pieces), func(q pattern.Piece) bool { return q.ThicknessMM > 0 })
}

// update shows what is needed; chosen tells that a piece is, which has a line of
// its own.
func (p *thickBox) update(chosen bool) {
	lacking, pieces := p.lacking(), len(p.d.s.Document().Pattern.Pieces)
	visible(p.box, !chosen && len(lacking) > 0)
	visible(p.allRow, len(lacking) == pieces)
	visible(p.give, len(lacking) < pieces)
	p.d.showLength(p.all, 0)
	switch len(lacking) {
	case 0:
	case 1:
		p.give.SetText(fmt.Sprintf(tr.thickLackOne, lacking[0].ID))
	default:
		p.give.SetText(fmt.Sprintf(tr.thickLack, len(lacking)))
	}
}

func (p *thickBox) typed(text string) {
	mm, err := p.d.readThickness(text)
	if err != nil || mm == 0 {
		return
	}
	p.d.s.SetThicknessOfAll(mm)
	p.d.changed()
}

// lead goes to the line of the first piece without a thickness.
func (p *thickBox) lead() {
	if lacking := p.lacking(); len(lacking) > 0 {
		p.d.giveThickness(lacking[0].ID)
	}
}
