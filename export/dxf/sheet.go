package dxf

import (
	"bytes"
	"fmt"
	"io"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Sheet is a sheet that pieces are cut from, in the pattern's frame: it begins
// at the origin.
type Sheet struct {
	LengthMM, WidthMM float64
	// Border are the sheet's outline and openings; of a plain rectangle none
	// need be given.
	Border []curve.Path
}

// layerSheet is the layer of the sheet's own border. It is no layer to cut.
const layerSheet = "0"

// WriteSheet writes a sheet with the pieces that lie on it. The drawing's
// origin is the sheet's corner that is at the bottom left when y points up.
func WriteSheet(w io.Writer, p pattern.Pattern, s Sheet, form Form) error {
	d := &drawing{form: form, top: s.WidthMM, width: s.LengthMM, height: s.WidthMM}
	border := s.Border
	if len(border) == 0 {
		border = []curve.Path{curve.Polygon([]mat.Point{
			{}, {X: s.LengthMM}, {X: s.LengthMM, Y: s.WidthMM}, {Y: s.WidthMM},
		}...)}
	}
	for _, b := range border {
		d.path(layerSheet, b)
	}
	for i := range p.Pieces {
		d.piece(&p.Pieces[i])
	}
	if d.err != nil {
		return fmt.Errorf("the DXF could not be drawn: %w", d.err)
	}
	var out bytes.Buffer
	d.wrap(&out)
	if _, err := w.Write(out.Bytes()); err != nil {
		return fmt.Errorf("the DXF could not be written: %w", err)
	}
	return nil
}
