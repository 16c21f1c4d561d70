package desk

import (
	"fmt"
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/trace/writing"
)

// writingBox shows what is written on the selected piece beside the field for
// its name, for the maker to read and type.
type writingBox struct {
	d     *desk
	piece string
	shown []writing.Picture
	at    int
	over  map[string]bool
	image *canvas.Image
	what  *widget.Label
	next  *button
	turn  *button
	box   *fyne.Container
}

// writingHeight is the height of the picture, in the toolkit's px.
const writingHeight = 60

func newWritingBox(d *desk) *writingBox {
	w := &tr.writing
	p := &writingBox{d: d, over: map[string]bool{}, image: &canvas.Image{FillMode: canvas.ImageFillContain}, what: prose("")}
	p.image.SetMinSize(fyne.NewSize(120, writingHeight))
	p.next = newButton(w.next, func() { p.at++; p.draw() })
	p.turn = newButton(w.turn, func() { p.over[p.key()] = !p.over[p.key()]; p.draw() })
	p.box = container.NewVBox(p.what, container.NewBorder(nil, nil, nil, container.NewCenter(container.NewVBox(p.turn, p.next)), p.image))
	return p
}

// update shows the first writing of another piece.
func (p *writingBox) update(piece string) {
	all := p.d.s.Writing(piece)
	if piece != p.piece || len(all) != len(p.shown) {
		p.at = 0
	}
	p.piece, p.shown = piece, all
	p.draw()
}

// key names one writing, so that it stays turned when another was looked at.
func (p *writingBox) key() string { return fmt.Sprint(p.piece, " ", p.at) }

func (p *writingBox) draw() {
	n := len(p.shown)
	visible(p.box, n > 0)
	if n == 0 {
		return
	}
	p.at %= n
	visible(p.next, n > 1)
	visible(p.what, n > 1)
	p.what.SetText(fmt.Sprintf(tr.writing.nth, p.at+1, n))
	picture := p.shown[p.at]
	if p.over[p.key()] {
		picture = picture.TurnedOver()
	}
	p.image.Image = imageOf(picture)
	p.image.Refresh()
}

// imageOf is a picture for the toolkit; one whose pixels are not whole is
// left empty.
func imageOf(p writing.Picture) image.Image {
	out := image.NewNRGBA(image.Rect(0, 0, p.Width, p.Height))
	if len(p.RGB) < 3*p.Width*p.Height {
		return out
	}
	for i := range p.Width * p.Height {
		copy(out.Pix[4*i:4*i+3], p.RGB[3*i:3*i+3])
		out.Pix[4*i+3] = 255
	}
	return out
}
