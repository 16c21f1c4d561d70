package draw

import (
	"flatwright/export/page"
	"flatwright/export/page/lettering"
)

// flow fills front pages from top to bottom with blocks.
type flow struct {
	book          *book
	width, height float64
	y             float64
	blocks        []func(Canvas)
	marks         []Bookmark
	name          string
}

// frontSize returns the paper of the front pages: upright, the tiles' own,
// but a desk-sized sheet when the tiles are for a plotter.
func frontSize(s page.Setup) page.Paper {
	const plotterMM = 500
	if s.Paper.HeightMM <= plotterMM {
		return s.Paper
	}
	a4, _ := page.PaperByName("A4")
	return s.Printer.Sheet(a4)
}

func newFlow(b *book) *flow {
	p := frontSize(b.doc.Setup)
	f := &flow{book: b, width: p.WidthMM, height: p.HeightMM}
	f.start()
	return f
}

// margin keeps the front pages printable whatever the tiles' margin.
func (f *flow) margin() float64 { return f.book.doc.Setup.MarginMM }

func (f *flow) left() float64  { return f.margin() }
func (f *flow) right() float64 { return f.width - f.margin() }
func (f *flow) room() float64  { return f.right() - f.left() }
func (f *flow) bottom() float64 {
	return f.height - f.margin() - f.book.doc.Setup.FooterReserveMM() - 1
}

func (f *flow) start() {
	f.blocks, f.marks, f.name = nil, nil, ""
	f.y = f.margin()
}

// finish closes the page that is being filled.
func (f *flow) finish() {
	blocks := f.blocks
	if len(blocks) == 0 {
		return
	}
	title, x, foot := f.book.title, f.left()+footerInset, f.book.footerBaseline(f.height)
	f.book.pages = append(f.book.pages, Page{
		Name: f.name, WidthMM: f.width, HeightMM: f.height, Bookmarks: f.marks,
		draw: func(c Canvas) {
			for _, block := range blocks {
				block(c)
			}
			write(c, x, foot, left, lettering.Regular.Fit(title, capSmall, 120), lettering.Regular, capSmall, page.Ink)
		},
	})
	f.start()
}

// need begins a new page unless so much height is left.
func (f *flow) need(height float64) {
	if f.y+height > f.bottom() && len(f.blocks) > 0 {
		f.finish()
	}
}

// put adds a block of a height; draw is given the y of its top.
func (f *flow) put(height float64, draw func(c Canvas, y float64)) {
	f.need(height)
	y := f.y
	f.blocks = append(f.blocks, func(c Canvas) { draw(c, y) })
	f.y += height
}

// bookmark names the present place; the page takes the first name.
func (f *flow) bookmark(text string) {
	if f.name == "" {
		f.name = text
	}
	f.marks = append(f.marks, Bookmark{Text: text, YMM: f.y})
}

// heading puts a headline, kept together with so much of what follows.
func (f *flow) heading(text string, keep float64) {
	f.need(capHead*2.6 + keep)
	f.bookmark(text)
	f.put(capHead*2.6, func(c Canvas, y float64) {
		write(c, f.left(), y+capHead*1.5, left, text, lettering.Bold, capHead, page.Ink)
		c.Stroke(segmentPath(f.left(), y+capHead*2, f.right(), y+capHead*2), thin(page.Ink))
	})
}

// leading is the distance of baselines as a multiple of the capitals' height.
const leading = 1.75

// paragraph puts a text, wrapped, after an indent.
func (f *flow) paragraph(text string, capMM, indent float64) {
	for _, line := range lettering.Regular.Wrap(text, capMM, f.room()-indent) {
		f.put(capMM*leading, func(c Canvas, y float64) {
			write(c, f.left()+indent, y+capMM*1.35, left, line, lettering.Regular, capMM, page.Ink)
		})
	}
}

func (f *flow) gap(mm float64) { f.y += mm }
