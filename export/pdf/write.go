// Package pdf writes a document as a vector PDF at true scale.
package pdf

import (
	"bytes"
	"fmt"
	"io"
	"time"

	"github.com/jung-kurt/gofpdf"

	"flatwright/export/page/draw"
	"flatwright/export/page/lettering"
)

// Document is what Write writes.
type Document = draw.Document

// Write writes the document. Coordinates are rounded to 0.001 mm; nothing is
// written to w unless the whole document could be made. The same document
// gives the same bytes.
func Write(w io.Writer, doc Document) error {
	set, err := draw.Pages(doc)
	if err != nil {
		return err
	}
	return WriteSet(w, set, doc)
}

// WriteSet writes pages that have been laid out already; title, author and
// date are taken from doc.
func WriteSet(w io.Writer, set *draw.Set, doc Document) error {
	f := newFile(set, doc)
	k := newCanvas(f, addLayers(f, set))
	for i := range set.Pages {
		p := &set.Pages[i]
		w, h, x, y := sheetOf(set, p)
		f.AddPageFormat("P", gofpdf.SizeType{Wd: w, Ht: h})
		k.begin(p.HeightMM, x, y)
		p.Draw(k)
		k.flush()
		_, last, _, _ := sheetOf(set, &set.Pages[len(set.Pages)-1])
		bookmark(f, p, h, y, last)
	}
	var buf bytes.Buffer
	if err := f.Output(&buf); err != nil {
		return fmt.Errorf("the PDF could not be made: %w", err)
	}
	whole, err := withoutScaling(buf.Bytes())
	if err != nil {
		return fmt.Errorf("the PDF could not be finished: %w", err)
	}
	if _, err := w.Write(whole); err != nil {
		return fmt.Errorf("the PDF could not be written: %w", err)
	}
	return nil
}

func newFile(set *draw.Set, doc Document) *gofpdf.Fpdf {
	f := gofpdf.NewCustom(&gofpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: gofpdf.SizeType{Wd: 210, Ht: 297}})
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetCatalogSort(true)
	f.SetCreationDate(fixedDate(doc.Date))
	f.SetModificationDate(fixedDate(doc.Date))
	f.SetTitle(metadata(set.Title), true)
	f.SetSubject(metadata("Pattern at true scale: print at 100 %"), true)
	if author := metadata(doc.Author); author != "" {
		f.SetAuthor(author, true)
	}
	f.SetCreator("Flatwright", true)
	f.SetProducer("Flatwright", true)
	f.AddUTF8FontFromBytes(fontFamily, "", lettering.Regular.TTF)
	f.AddUTF8FontFromBytes(fontFamily, "B", lettering.Bold.TTF)
	f.SetFont(fontFamily, "", 1)
	return f
}

// fixedDate keeps the library from reading the clock, which it does for a
// date that is not set.
func fixedDate(d time.Time) time.Time {
	if d.IsZero() {
		return time.Unix(0, 0).UTC()
	}
	return d.UTC()
}

const fontFamily = "go"

// metadata cleans a text for the file's properties and bookmarks, which may
// hold any script; the library cannot write characters beyond U+FFFF.
func metadata(s string) string {
	out := []rune(lettering.OneLine(s))
	for i, r := range out {
		if r > 0xffff {
			out[i] = lettering.Missing
		}
	}
	return string(out)
}

// sheetOf is a page as the printer is to see it: the paper's size, and by how
// much everything on it is drawn larger to come out true.
func sheetOf(set *draw.Set, p *draw.Page) (widthMM, heightMM, scaleX, scaleY float64) {
	x, y := set.Layout.Setup.PrinterScale(p.WidthMM, p.HeightMM)
	return p.WidthMM * x, p.HeightMM * y, x, y
}

// bookmark adds a page's bookmarks. The library measures all of them from
// the last page's height, so that is made up for.
func bookmark(f *gofpdf.Fpdf, p *draw.Page, heightMM, scale, lastHeightMM float64) {
	for _, b := range p.Bookmarks {
		y := lastHeightMM - (heightMM - scale*b.YMM)
		if y == -1 { // the library takes −1 for "here"
			y = -1.001
		}
		f.Bookmark(metadata(b.Text), b.Level, y)
	}
}
