package sheet

import (
	"fmt"
	"io"
	"math"

	"flatwright/export/dxf"
	"flatwright/export/page/draw"
	"flatwright/export/picture"
	"flatwright/export/svg"
	"flatwright/rectify/mat"
)

// Format is a kind of file that a sheet is written as.
type Format string

// The formats.
const (
	PNG Format = "png"
	SVG Format = "svg"
	DXF Format = "dxf"
)

// File is a file to be written: its name, like "sheet-01.svg", and what writes
// it.
type File struct {
	Name  string
	Write func(io.Writer) error
}

// Files returns the files of a plan, sheet by sheet: the picture, and drawings
// at true scale whose origin is the sheet's corner. dxfForm is used for DXF;
// empty means splines.
func Files(r Result, formats []Format, dxfForm dxf.Form) ([]File, error) {
	if dxfForm == "" {
		dxfForm = dxf.Splines
	}
	var out []File
	for i := range r.Sheets {
		for _, f := range formats {
			write, err := writer(r, i, f, dxfForm)
			if err != nil {
				return nil, err
			}
			out = append(out, File{Name: fmt.Sprintf("sheet-%02d.%s", i+1, f), Write: write})
		}
	}
	return out, nil
}

func writer(r Result, i int, f Format, form dxf.Form) (func(io.Writer) error, error) {
	s := &r.Sheets[i]
	switch f {
	case PNG:
		return func(w io.Writer) error {
			p := r.Page(i)
			return picture.WritePNG(w, p, dpiFor(p))
		}, nil
	case SVG:
		return func(w io.Writer) error {
			return svg.WriteSheet(w, s.Pattern(), svg.Sheet{Title: r.Title(i), LengthMM: s.LengthMM, WidthMM: s.WidthMM, Border: s.Border()})
		}, nil
	case DXF:
		return func(w io.Writer) error {
			return dxf.WriteSheet(w, s.Pattern(), dxf.Sheet{LengthMM: s.LengthMM, WidthMM: s.WidthMM, Border: s.Border()}, form)
		}, nil
	}
	return nil, fmt.Errorf("a sheet cannot be written as %q; choose png, svg or dxf", string(f))
}

// dpiFor gives a picture of about 2000 px on its longer side.
func dpiFor(p *draw.Page) float64 {
	const longPx = 2000
	return longPx * 25.4 / math.Max(p.WidthMM, p.HeightMM)
}

func rectangle(lengthMM, widthMM float64) []mat.Point {
	return []mat.Point{{}, {X: lengthMM}, {X: lengthMM, Y: widthMM}, {Y: widthMM}}
}
