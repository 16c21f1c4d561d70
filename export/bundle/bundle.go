// Package bundle packs a pattern into one zip file with all that another maker
// needs to cut it: the PDF on both families of paper, the SVG, the DXF for new
// and old programs, the pattern itself, a picture, and how to print it true.
package bundle

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"flatwright/export/dxf"
	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/lettering"
	"flatwright/export/pdf"
	"flatwright/export/picture"
	"flatwright/export/svg"
	"flatwright/trace/pattern"
)

// Names of what is in a bundle, in the order in which they stand in it.
const (
	ReadmeName  = "README.txt"
	A4Name      = "pattern-a4.pdf"
	LetterName  = "pattern-letter.pdf"
	SVGName     = "pattern.svg"
	DXFName     = "pattern.dxf"
	R12Name     = "pattern-r12.dxf"
	PatternName = "pattern.json"
	PictureName = "pattern.png"
)

// part is a file of the bundle.
type part struct {
	name  string
	write func(io.Writer) error
}

// Write writes the bundle of a document. The maker's own paper, margins and
// printer are left out of it: others have theirs. Nothing is written to w unless all could
// be made, and the same document makes the same bytes. It ends with the
// context's error when that is done: packing the pages can take many seconds.
func Write(ctx context.Context, w io.Writer, doc draw.Document) error {
	if _, err := page.Bounds(doc.Pattern); err != nil {
		return err
	}
	packed := doc.Setup.Packed
	doc.Setup = page.DefaultSetup()
	doc.Setup.Packed = packed
	parts := []part{
		{ReadmeName, func(w io.Writer) error { _, err := io.WriteString(w, readme(doc)); return err }},
		{A4Name, func(w io.Writer) error { return pdfOn(ctx, w, doc, "A4") }},
		{LetterName, func(w io.Writer) error { return pdfOn(ctx, w, doc, "Letter") }},
		{SVGName, func(w io.Writer) error { return svg.Write(w, doc.Pattern) }},
		{DXFName, func(w io.Writer) error { return dxf.Write(w, doc.Pattern, dxf.Splines) }},
		{R12Name, func(w io.Writer) error { return dxf.Write(w, doc.Pattern, dxf.R12) }},
		{PatternName, func(w io.Writer) error {
			b, err := pattern.Encode(doc.Pattern)
			if err != nil {
				return err
			}
			_, err = w.Write(b)
			return err
		}},
		{PictureName, func(w io.Writer) error { return pictureOf(ctx, w, doc) }},
	}
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, p := range parts {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := add(z, p, doc.Date); err != nil {
			return fmt.Errorf("%s could not be put into the bundle: %w", p.name, err)
		}
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("the bundle could not be made: %w", err)
	}
	if _, err := w.Write(out.Bytes()); err != nil {
		return fmt.Errorf("the bundle could not be written: %w", err)
	}
	return nil
}

func add(z *zip.Writer, p part, date time.Time) error {
	h := &zip.FileHeader{Name: p.name, Method: zip.Deflate}
	// A zip knows no year before 1980.
	if date.Year() >= 1980 {
		h.Modified = date.UTC()
	}
	f, err := z.CreateHeader(h)
	if err != nil {
		return err
	}
	return p.write(f)
}

func pdfOn(ctx context.Context, w io.Writer, doc draw.Document, paper string) error {
	p, err := page.PaperByName(paper)
	if err != nil {
		return err
	}
	doc.Setup.Paper = p
	set, err := draw.PagesContext(ctx, doc)
	if err != nil {
		return err
	}
	return pdf.WriteSet(w, set, doc)
}

// The picture shows the whole pattern on one page: at so many dots per inch,
// or fewer where its longer side would have more than so many pixels.
const (
	pictureDPI  = 100
	pictureSide = 4000
)

func pictureOf(ctx context.Context, w io.Writer, doc draw.Document) error {
	set, err := onePage(ctx, doc)
	if err != nil {
		return err
	}
	p := &set.Pages[len(set.Pages)-1]
	dpi := math.Min(pictureDPI, pictureSide*25.4/math.Max(p.WidthMM, p.HeightMM))
	return picture.WritePNG(w, p, dpi)
}

// onePage lays the document out on a sheet that holds all of it.
func onePage(ctx context.Context, doc draw.Document) (*draw.Set, error) {
	b, err := page.Bounds(doc.Pattern)
	if err != nil {
		return nil, err
	}
	doc.Setup = page.DefaultSetup()
	around := 2*doc.Setup.MarginMM + doc.Setup.OverlapMM
	for {
		doc.Setup.Paper = page.Paper{
			Name:    "one sheet",
			WidthMM: math.Max(b.Width()+around, 200), HeightMM: math.Max(b.Height()+around, 200),
		}
		set, err := draw.PagesContext(ctx, doc)
		if err != nil || len(set.Layout.Tiles) == 1 {
			return set, err
		}
		around += 10
	}
}

// readme is the text that tells another maker how to print the pattern true.
func readme(doc draw.Document) string {
	var b strings.Builder
	title := lettering.OneLine(doc.Title)
	if title == "" {
		title = lettering.OneLine(doc.Pattern.Name)
	}
	fmt.Fprintf(&b, "%s\n\n", title)
	pieces := "1 piece"
	if n := len(doc.Pattern.Pieces); n != 1 {
		pieces = fmt.Sprintf("%d pieces", n)
	}
	fmt.Fprintf(&b, "A pattern at true scale, of %s:\n", pieces)
	for _, p := range doc.Pattern.Pieces {
		fmt.Fprintf(&b, "  %s\n", strings.TrimSpace(lettering.OneLine(p.ID)+"  "+lettering.OneLine(p.Name)+"  "+strings.Join(draw.Facts(&p), ", ")))
	}
	b.WriteString(`
To print
  Take ` + A4Name + ` or ` + LetterName + `, whichever paper you have.
  Print at 100 %, never "fit to page".
  Measure the square on the first page: 100 mm both ways. If it is off, the
  whole pattern is. A bar of 50 mm on every sheet shows the same.
  Where a piece runs over several sheets, cut each along its trim line, lay it
  on its neighbour's strip so that the match marks meet, and tape.
  A viewer can hide each kind of line: they are layers of the PDF.

To cut by machine
  ` + SVGName + ` and ` + DXFName + ` are in millimetres. ` + R12Name + ` is for old
  cutters; it cannot say its unit, so say it for it. Check one length before
  you cut.

` + PatternName + ` is the pattern itself, with cuts, marks and seams.

Knives slip, foam and glue give off fumes, sanding makes dust. Cut away from the
hand that holds the sheet, air the room, and follow the makers' data sheets and
your local rules; in doubt ask a trained person.
`)
	return b.String()
}
