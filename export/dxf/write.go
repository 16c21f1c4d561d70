// Package dxf writes a pattern as a DXF drawing in millimetres, for cutters and
// computer-aided design.
//
// There is one layer for each kind of line: CUT (outlines and openings), BACK
// (the other face's edges), MARK, SCORE (lines inside), ALLOWANCE and TEXT. y
// points up, as DXF has it; the drawing begins at the origin. Two forms are
// written: AC1015 (DXF 2000), with curves as splines that are the pattern's own
// cubics or as polylines, and AC1009 (R12) for old cutters, with polylines only.
//
// Source of the codes: Autodesk, DXF Reference (2000 and R12), from memory;
// checked by what an independent reader makes of the files.
package dxf

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Form is how curves are written, and for whom.
type Form string

// The forms.
const (
	// Splines writes AC1015; curves are exact.
	Splines Form = "splines"
	// Polylines writes AC1015 without splines.
	Polylines Form = "polylines"
	// R12 writes AC1009 with polylines.
	R12 Form = "r12"
)

// ToleranceMM is how far polylines may lie from the curves they stand for: a
// tenth of the least that a knife follows.
const ToleranceMM = 0.01

// borderMM is left free round the pattern.
const borderMM = 5

// Layer names.
const (
	layerCut       = "CUT"
	layerBack      = "BACK"
	layerMark      = "MARK"
	layerScore     = "SCORE"
	layerAllowance = "ALLOWANCE"
	layerText      = "TEXT"
)

// layer is a kind of line as the drawing's tables have it.
type layer struct {
	name  string
	style page.Style
	// colour is the drawing's colour number: 7 is black on white and white on
	// black.
	colour int
}

func layers() []layer {
	back, _ := page.CutLineStyle(pattern.Cut{Kind: pattern.Bevel, AngleDeg: 45})
	return []layer{
		{layerCut, page.CutStyle, 7},
		{layerBack, back, 5},
		{layerMark, page.MarkStyle, 1},
		{layerScore, page.ScoreStyle, 3},
		{layerAllowance, page.AllowanceStyle, 8},
		{layerText, page.Style{}, 7},
	}
}

// Write writes the pattern as its pieces lay. Nothing is written to w unless
// all could be made.
func Write(w io.Writer, p pattern.Pattern, form Form) error {
	bounds, err := page.Bounds(p)
	if err != nil {
		return err
	}
	d := &drawing{
		form: form, dx: borderMM - bounds.MinX, top: bounds.MaxY + borderMM,
		width: bounds.Width() + 2*borderMM, height: bounds.Height() + 2*borderMM,
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

// drawing is a DXF in the making: its entities, and the handles given out. dx
// moves the pattern to the origin, top turns y upwards.
type drawing struct {
	tags
	form          Form
	dx, top       float64
	width, height float64
	handles       int
	err           error
}

func (d *drawing) x(p mat.Point) float64 { return p.X + d.dx }
func (d *drawing) y(p mat.Point) float64 { return d.top - p.Y }

func (d *drawing) piece(p *pattern.Piece) {
	d.path(layerCut, p.Outline)
	for _, o := range p.Openings {
		d.path(layerCut, o)
	}
	other, _ := page.OtherFaceLines(*p)
	for _, o := range other {
		d.path(layerBack, o.Path)
	}
	for _, m := range p.Marks {
		for _, s := range m.Strokes() {
			d.line(layerMark, s.At, s.In)
		}
	}
	for _, l := range p.Lines {
		d.path(layerScore, l.Path)
	}
	strips, _ := page.Strips(*p)
	for _, s := range strips {
		d.path(layerAllowance, s.Cut)
	}
	d.label(p, other)
}

// path draws a curve in the drawing's form.
func (d *drawing) path(layer string, c curve.Path) {
	switch {
	case len(c.Segments) == 0:
	case d.form == Splines && curved(c):
		d.spline(layer, c)
	default:
		d.polyline(layer, corners(c), c.Closed)
	}
}

func curved(c curve.Path) bool {
	for _, s := range c.Segments {
		if !s.Line {
			return true
		}
	}
	return false
}

// corners are the vertices of a polyline for a path: where it is straight, the
// segments' own ends. A closed one's first vertex is not repeated.
func corners(c curve.Path) []mat.Point {
	pts := c.Flatten(ToleranceMM)
	if n := len(pts); c.Closed && n > 1 && math.Hypot(pts[0].X-pts[n-1].X, pts[0].Y-pts[n-1].Y) < 1e-9 {
		pts = pts[:n-1]
	}
	return pts
}

// text turns a text into what every reader shows: on one line, and, in R12,
// without letters that its code page lacks.
func (d *drawing) text(s string) string {
	var b bytes.Buffer
	// Two percent signs and a caret begin codes of DXF's own.
	for _, r := range strings.ReplaceAll(lettering.OneLine(s), "%%", "% %") {
		switch {
		case r == '^':
			b.WriteString("^ ")
		case r >= ' ' && r <= '~':
			b.WriteRune(r)
		case d.form == R12 && r == '°':
			b.WriteString("%%d")
		case d.form == R12 && r == '±':
			b.WriteString("%%p")
		case d.form == R12:
			b.WriteByte('?')
		case r > 0xffff:
			b.WriteByte('?')
		default:
			fmt.Fprintf(&b, `\U+%04X`, r)
		}
	}
	return b.String()
}
