package desk

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/rectify"
)

// sheetPanel squares up from a sheet of known size.
type sheetPanel struct {
	d             *desk
	choice        *choiceList
	width, height *field
	own           *fyne.Container
	sides         *widget.Label
	swap, find    *button
	solve, all    *button
	box           *fyne.Container
}

func newSheetPanel(d *desk) *sheetPanel {
	p := &sheetPanel{d: d, sides: prose("")}
	var names []string
	for _, s := range rectify.KnownSheets() {
		names = append(names, s.Name)
	}
	p.choice = newChoiceList(append(names, tr.square.sheetOwn), p.chosen)
	p.choice.PlaceHolder = tr.square.chooseSize
	p.width = d.lengthField(tr.square.ownHint, 120, func(string) { p.typed() })
	p.height = d.lengthField(tr.square.ownHint, 120, func(string) { p.typed() })
	p.own = container.NewBorder(nil, nil, p.width, p.height, container.NewCenter(label("×")))
	p.find = newButton(tr.square.findSheet, d.findSheet)
	p.swap = newButton(tr.square.swap, func() { d.s.SwapSheet(); d.changed() })
	p.solve = primary(tr.square.fromSheet, d.squareUpFromSheet)
	p.all = newButton(tr.clearAll, func() { d.s.ClearSheet(); d.changed() })
	back := newButton(tr.byHandDone, d.toggleSheet)
	p.box = container.NewVBox(back, gap(), head(tr.square.sheetHead), p.choice, p.own,
		prose(tr.square.sheetHint), p.find, p.sides, p.swap, gap(), p.solve, p.all)
	return p
}

func (p *sheetPanel) chosen(name string) {
	if s, ok := rectify.SheetNamed(name); ok {
		p.d.s.ChooseSheet(s.Name, s.WidthMM, s.HeightMM)
		p.d.changed()
		return
	}
	visible(p.own, true)
	p.d.win.Canvas().Focus(p.width)
}

// typed takes a size of one's own once both sides are there.
func (p *sheetPanel) typed() {
	w, okW := p.length(p.width)
	h, okH := p.length(p.height)
	if okW && okH {
		p.d.s.ChooseSheet("", w, h)
		p.d.changed()
	}
}

func (p *sheetPanel) length(f *field) (float64, bool) {
	if f.Text == "" {
		return 0, false
	}
	mm, err := p.d.readField(f)
	if err != nil {
		p.d.refuse(f.Text, err, fmt.Sprintf(tr.square.badLength, f.Text))
	}
	return mm, err == nil
}

func (p *sheetPanel) update(doc session.Document) {
	x := doc.Sheet
	_, known := rectify.SheetNamed(x.Name)
	sized := x.WidthMM > 0 && x.HeightMM > 0
	if sized {
		want := tr.square.sheetOwn
		if known {
			want = x.Name
		} else {
			p.d.showLength(p.width, x.WidthMM)
			p.d.showLength(p.height, x.HeightMM)
		}
		if p.choice.Selected != want {
			p.choice.Selected = want
			p.choice.Refresh()
		}
	}
	visible(p.own, p.choice.Selected == tr.square.sheetOwn)
	_, finds := p.d.o.Job.(SheetFinder)
	visible(p.find, finds)
	placed := len(x.Corners) == session.SheetCorners
	visible(p.sides, placed && sized)
	visible(p.swap, placed && sized && x.WidthMM != x.HeightMM)
	p.sides.SetText(fmt.Sprintf(tr.square.sheetSides, p.d.typedLength(x.WidthMM), p.d.typedLength(x.HeightMM)))
	enable(p.solve, placed && sized)
	enable(p.all, len(x.Corners) > 0)
}
