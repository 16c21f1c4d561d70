package svg

import (
	"fmt"
	"io"

	"flatwright/export/page"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Sheet is a sheet that pieces are cut from, in the pattern's frame: it begins
// at the origin.
type Sheet struct {
	Title             string
	LengthMM, WidthMM float64
	// Border are the sheet's outline and openings; of a plain rectangle none
	// need be given.
	Border []curve.Path
}

// WriteSheet writes a sheet with the pieces that lie on it. The drawing's
// frame is the sheet's: nothing is moved. The sheet itself is of class "sheet",
// so that it can be told from what is cut.
func WriteSheet(w io.Writer, p pattern.Pattern, s Sheet) error {
	d := &drawing{ids: map[string]bool{}}
	p.Name = s.Title
	d.head(p, s.LengthMM, s.WidthMM)
	d.out.WriteString(`<g class="sheet" id="sheet" inkscape:groupmode="layer" inkscape:label="Sheet" fill="none">` + "\n")
	border := s.Border
	if len(border) == 0 {
		border = []curve.Path{curve.Polygon(corners(s)...)}
	}
	for _, b := range border {
		d.path("sheet", b, page.Style{Colour: page.Grey, WidthMM: 0.18}, "")
	}
	d.out.WriteString("</g>\n")
	d.ids["sheet"] = true
	for i := range p.Pieces {
		d.piece(&p.Pieces[i])
	}
	d.out.WriteString("</svg>\n")
	if _, err := w.Write(d.out.Bytes()); err != nil {
		return fmt.Errorf("the SVG could not be written: %w", err)
	}
	return nil
}

func corners(s Sheet) []mat.Point {
	return []mat.Point{{}, {X: s.LengthMM}, {X: s.LengthMM, Y: s.WidthMM}, {Y: s.WidthMM}}
}
