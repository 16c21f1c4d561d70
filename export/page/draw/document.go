package draw

import (
	"context"
	"fmt"
	"time"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/trace/pattern"
)

// Document is what is printed.
type Document struct {
	// Title is the project's name; the pattern's name is used when empty.
	Title  string
	Author string
	// Date is printed and written into the file; it is never read from the
	// clock here, so that the same document gives the same bytes.
	Date    time.Time
	Pattern pattern.Pattern
	Setup   page.Setup
	// Notes are sentences for the cover, such as how well the photograph was
	// squared up.
	Notes []string
}

// Page is one page, ready to be drawn.
type Page struct {
	// Name is for lists of pages, like "Sheet r1 c2".
	Name              string
	WidthMM, HeightMM float64
	// Bookmarks are places on the page worth jumping to.
	Bookmarks []Bookmark
	draw      func(Canvas)
}

// Bookmark is a named place. Level 0 is a heading, 1 lies under it.
type Bookmark struct {
	Text  string
	Level int
	YMM   float64
}

// Draw draws the page on a canvas.
func (p *Page) Draw(c Canvas) { p.draw(c) }

// Set is a document turned into pages.
type Set struct {
	Title  string
	Layout *page.Layout
	Pages  []Page
	// Printed is the pattern in the layout's frame: the pieces as they lie on the
	// sheets. Labels are where the full labels of its pieces stand, by ID; a piece
	// without room for one has none.
	Printed pattern.Pattern
	Labels  map[string]LabelPlace
}

// book is the work of turning a document into pages.
type book struct {
	doc    Document
	title  string
	layout *page.Layout
	art    []*pieceArt
	// front is the number of pages before the first tile.
	front int
	pages []Page
	seams []seamRow
	// lateNotes are those that did not fit on the cover before the proof.
	lateNotes []string
	// names are the boxes of the sheets' names, on their pages; labels the
	// pieces' labels on each sheet.
	names  []page.Rect
	labels [][]placedLabel
}

// Pages lays a document out and returns its pages: cover and tables first,
// then the tiles in reading order.
func Pages(doc Document) (*Set, error) { return PagesContext(context.Background(), doc) }

// PagesContext is Pages, which ends with the context's error when that is done.
func PagesContext(ctx context.Context, doc Document) (*Set, error) {
	if err := doc.Setup.Check(); err != nil {
		return nil, err
	}
	doc.Setup.Paper = doc.Setup.Printer.Sheet(doc.Setup.Paper)
	l, printed, err := page.LayOut(ctx, doc.Pattern, doc.Setup)
	if err != nil {
		return nil, err
	}
	return pagesOn(doc, l, printed), nil
}

// PagesAs makes the pages of a document that is laid out as those of another of
// the same pattern and setup were, which takes no time.
func PagesAs(doc Document, like *Set) *Set {
	doc.Setup.Paper = doc.Setup.Printer.Sheet(doc.Setup.Paper)
	return pagesOn(doc, like.Layout, like.Printed)
}

// pagesOn draws the pages of a layout, for which the printed pattern takes the
// place of the document's.
func pagesOn(doc Document, l *page.Layout, printed pattern.Pattern) *Set {
	doc.Pattern = printed
	b := &book{doc: doc, title: titleOf(doc), layout: l, seams: seamRows(doc.Pattern)}
	tags := seamTags(doc.Pattern)
	for i := range doc.Pattern.Pieces {
		b.art = append(b.art, newPieceArt(&doc.Pattern.Pieces[i], l.OtherFaces[i], tags))
	}
	b.placeWords()
	b.addFront()
	b.addTiles()
	b.numberPages()
	return &Set{Title: b.title, Layout: l, Pages: b.pages, Printed: printed, Labels: b.labelPlaces()}
}

func titleOf(doc Document) string {
	for _, s := range []string{doc.Title, doc.Pattern.Name} {
		if t := lettering.OneLine(s); t != "" {
			return t
		}
	}
	return "Pattern"
}

// numberPages adds "page n of N" to every page once N is known.
func (b *book) numberPages() {
	for i := range b.pages {
		p := &b.pages[i]
		inner := p.draw
		text := fmt.Sprintf("page %d of %d", i+1, len(b.pages))
		x, y := p.WidthMM-b.doc.Setup.MarginMM-footerInset, b.footerBaseline(p.HeightMM)
		p.draw = func(c Canvas) {
			inner(c)
			write(c, x, y, right, text, lettering.Regular, capSmall, page.Ink)
		}
	}
}

// footerBaseline returns the y of the footer's text: its capitals lie between
// 6 and 9 mm above the page's lower edge, where printers still print.
func (b *book) footerBaseline(pageHeightMM float64) float64 { return pageHeightMM - 6.2 }

// footerInset keeps the footer clear of the ticks at the corners.
const footerInset = 3.5

// Heights of capitals on paper, in mm.
const (
	capTitle = 6.0
	capHead  = 3.6
	capBody  = 3.0
	capSmall = 2.5
)
