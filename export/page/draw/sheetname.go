package draw

import (
	"flatwright/export/page"
	"flatwright/export/page/lettering"
)

// Size of the box with the sheet's name.
const (
	nameCapMM    = 5.0
	nameBoxHigh  = 9.0
	nameBoxInset = 2.0
)

// nameSheets finds a place for every sheet's name.
func (b *book) nameSheets() {
	for i := range b.layout.Tiles {
		b.names = append(b.names, b.sheet(i).nameBox())
	}
}

// nameBox returns the box of the sheet's name: in the first corner of the sheet
// that is free of lines and match marks, else in one free of marks.
func (t *sheet) nameBox() page.Rect {
	r := t.book.layout.Content
	for i, s := range t.strips() {
		if i == 0 && t.tile.Right >= 0 {
			r.MaxX = s.MinX
			continue
		}
		r.MaxY = s.MinY
	}
	r = r.Grown(-nameBoxInset)
	w := lettering.Bold.WidthMM(t.tile.Label, nameCapMM) + 4
	corners := []page.Rect{
		{MinX: r.MinX, MinY: r.MaxY - nameBoxHigh, MaxX: r.MinX + w, MaxY: r.MaxY},
		{MinX: r.MinX, MinY: r.MinY, MaxX: r.MinX + w, MaxY: r.MinY + nameBoxHigh},
		{MinX: r.MaxX - w, MinY: r.MaxY - nameBoxHigh, MaxX: r.MaxX, MaxY: r.MaxY},
		{MinX: r.MaxX - w, MinY: r.MinY, MaxX: r.MaxX, MaxY: r.MinY + nameBoxHigh},
	}
	free := corners[:0:0]
	for _, box := range corners {
		if !t.meetsMarks(box) {
			free = append(free, box)
		}
	}
	for _, box := range free {
		if !t.meetsLines(box.Grown(1)) {
			return box
		}
	}
	return append(free, corners[0])[0]
}

// drawName draws the sheet's name, white on dark so that it is never taken
// for an edge's name. Where pieces leave no corner free it is grey under
// their lines.
func (t *sheet) drawName(c Canvas) {
	box := t.book.names[t.index]
	fill := page.Ink
	if t.meetsLines(box) {
		fill = page.Grey
	}
	c.Fill(rectPath(box), fill)
	write(c, (box.MinX+box.MaxX)/2, (box.MinY+box.MaxY+nameCapMM)/2, centre, t.tile.Label, lettering.Bold, nameCapMM, page.White)
}
