// Package svg writes a pattern as an SVG drawing at true scale for vector
// editors and cutters: 1 unit is 1 mm.
//
// Each piece is a group of class "piece" with its letter as id and its name
// as data-name, marked so that editors show it as a layer. In it: closed
// paths of class "cut" (outline first, then openings), "back" (the edges of
// the other face), "notch" (registration marks), "score" (inside lines), and
// texts of class "label". Coordinates are rounded to 0.001 mm.
package svg

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// borderMM is left free round the pattern.
const borderMM = 5

// Write writes the pattern as its pieces lay, moved so that the drawing
// begins at the origin. Nothing is written to w unless all could be made.
func Write(w io.Writer, p pattern.Pattern) error {
	bounds, err := page.Bounds(p)
	if err != nil {
		return err
	}
	d := &drawing{ids: map[string]bool{}}
	d.dx, d.dy = borderMM-bounds.MinX, borderMM-bounds.MinY
	d.head(p, bounds.Width()+2*borderMM, bounds.Height()+2*borderMM)
	for i := range p.Pieces {
		d.piece(&p.Pieces[i])
	}
	d.out.WriteString("</svg>\n")
	if _, err := w.Write(d.out.Bytes()); err != nil {
		return fmt.Errorf("the SVG could not be written: %w", err)
	}
	return nil
}

// drawing is an SVG in the making. dx and dy move the pattern to the origin;
// they are added to every coordinate, so that no transform is needed.
type drawing struct {
	out    bytes.Buffer
	dx, dy float64
	ids    map[string]bool
}

func (d *drawing) head(p pattern.Pattern, w, h float64) {
	ws, hs := number(w), number(h)
	fmt.Fprintf(&d.out, `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" version="1.1" width="%smm" height="%smm" viewBox="0 0 %s %s">
`, ws, hs, ws, hs)
	if name := text(p.Name); name != "" {
		fmt.Fprintf(&d.out, "<title>%s</title>\n", name)
	}
}

func (d *drawing) piece(p *pattern.Piece) {
	name := text(p.Name)
	fmt.Fprintf(&d.out, `<g class="piece" id="%s" data-name="%s" data-quantity="%d" data-mirrored="%t" data-thickness-mm="%s" data-face="%s" inkscape:groupmode="layer" inkscape:label="%s" fill="none" stroke-linejoin="round">`,
		d.id(p.ID), name, max(1, p.Quantity), p.Mirrored, number(p.ThicknessMM), text(string(p.Face)), strings.TrimSpace(text(p.ID)+" "+name))
	d.out.WriteByte('\n')
	d.path("cut", p.Outline, page.CutStyle, "")
	for _, o := range p.Openings {
		d.path("cut", o, page.CutStyle, "")
	}
	other, _ := page.OtherFaceLines(*p)
	for _, o := range other {
		style, _ := page.CutLineStyle(o.Cut)
		d.path("back", o.Path, style, fmt.Sprintf(` data-edge="%s" data-cut="%s" data-angle-deg="%s"`,
			text(o.EdgeID), text(string(o.Cut.Kind)), number(o.Cut.AngleDeg)))
	}
	for _, m := range p.Marks {
		for _, s := range m.Strokes() {
			d.path("notch", curve.Polyline(s.At, s.In), page.MarkStyle, "")
		}
	}
	for _, l := range p.Lines {
		more := ""
		if tag := page.WorkTag(l.Work); tag != "" {
			more = fmt.Sprintf(` data-work="%s"`, text(tag))
		}
		d.path("score", l.Path, page.ScoreStyle, more)
	}
	strips, _ := page.Strips(*p)
	for _, s := range strips {
		d.path("allowance", s.Cut, page.AllowanceStyle, fmt.Sprintf(` data-edge="%s" data-width-mm="%s"`, text(s.EdgeID), number(s.WidthMM)))
	}
	d.label(p, other)
	d.out.WriteString("</g>\n")
}

// path writes a curve; more holds further attributes, each with a space in
// front.
func (d *drawing) path(class string, c curve.Path, s page.Style, more string) {
	if len(c.Segments) == 0 {
		return
	}
	fmt.Fprintf(&d.out, `<path class="%s"%s stroke="%s" stroke-width="%s"`, class, more, s.Colour.Hex(), number(s.WidthMM))
	if dashes := s.DashMM(); dashes != nil {
		fmt.Fprintf(&d.out, ` stroke-dasharray="%s"`, numbers(dashes))
	}
	d.out.WriteString(` d="`)
	d.data(c)
	d.out.WriteString("\"/>\n")
}

func (d *drawing) data(c curve.Path) {
	d.step("M", c.Segments[0].P0)
	last := len(c.Segments) - 1
	for i, s := range c.Segments {
		switch {
		case !s.Line:
			d.step("C", s.P1, s.P2, s.P3)
		case !(c.Closed && i == last): // Z draws a closing line
			d.step("L", s.P3)
		}
	}
	if c.Closed {
		d.out.WriteByte('Z')
	}
}

func (d *drawing) step(verb string, pts ...mat.Point) {
	d.out.WriteString(verb)
	for i, p := range pts {
		if i > 0 {
			d.out.WriteByte(' ')
		}
		d.out.WriteString(number(p.X + d.dx))
		d.out.WriteByte(' ')
		d.out.WriteString(number(p.Y + d.dy))
	}
}

// label writes what is to be read on a piece.
func (d *drawing) label(p *pattern.Piece, other []page.OtherFaceLine) {
	l := draw.LabelOf(p, other)
	if l.Lines[0] == "" {
		return
	}
	fmt.Fprintf(&d.out, `<text class="label" font-family="sans-serif" font-size="%s" text-anchor="middle" fill="%s">`,
		number(lettering.EmMM(l.CapMM)), page.Ink.Hex())
	x, y := l.At.X+d.dx, l.At.Y+d.dy+l.FirstBaseline()
	for i, line := range l.Lines {
		fmt.Fprintf(&d.out, `<tspan x="%s" y="%s">%s</tspan>`, number(x), number(y+float64(i)*draw.LabelStep*l.CapMM), text(line))
	}
	d.out.WriteString("</text>\n")
}

// id returns a name for a piece's group that XML allows and no other piece
// has.
func (d *drawing) id(of string) string {
	var b strings.Builder
	for _, r := range of {
		ok := r == '_' || r == '-' || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z'
		if !ok {
			r = '_'
		}
		b.WriteRune(r)
	}
	base := b.String()
	if base == "" || base[0] == '-' || base[0] >= '0' && base[0] <= '9' {
		base = "piece-" + base
	}
	id := base
	for n := 2; d.ids[id]; n++ {
		id = base + "-" + strconv.Itoa(n)
	}
	d.ids[id] = true
	return id
}

// text returns a text on one line, without control characters, escaped.
func text(s string) string {
	var b bytes.Buffer
	// EscapeText fails only when the buffer does, and that it never does.
	_ = xml.EscapeText(&b, []byte(lettering.OneLine(s)))
	return b.String()
}

// number writes a number to 0.001.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func numbers(vs []float64) string {
	var parts []string
	for _, v := range vs {
		parts = append(parts, number(v))
	}
	return strings.Join(parts, " ")
}
