package pdf

import (
	"strconv"

	"github.com/jung-kurt/gofpdf"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/lettering"
)

// pointsPerMM is 72/25.4.
const pointsPerMM = 72 / 25.4

// canvas writes content streams. The library's own drawing calls round to
// 0.01 pt and flip nothing we need, so paths are written raw, in mm, under
// one scaling matrix; only text goes through the library, for its fonts.
type canvas struct {
	file     *gofpdf.Fpdf
	heightMM float64
	// scaleX and scaleY make up for the printer.
	scaleX, scaleY float64
	out            []byte
	// The state set last in the open run of paths.
	width, colour, fill string
	dash                string
	layers              *layers
}

func newCanvas(f *gofpdf.Fpdf, l *layers) *canvas { return &canvas{file: f, layers: l} }

// begin starts a page of a height, drawn larger by factors. PDF measures
// upwards from the lower edge.
func (k *canvas) begin(heightMM, scaleX, scaleY float64) {
	k.heightMM, k.scaleX, k.scaleY = heightMM, scaleX, scaleY
	k.open()
}

// open starts a run of paths: everything in it is in true mm.
func (k *canvas) open() {
	k.out = append(k.out[:0], "q "...)
	k.number(pointsPerMM*k.scaleX, 9)
	k.out = append(k.out, "0 0 "...)
	k.number(pointsPerMM*k.scaleY, 9)
	k.out = append(k.out, "0 0 cm 0 J 1 j\n"...)
	k.width, k.colour, k.fill, k.dash = "", "", "", ""
}

// flush ends the run and hands it to the library.
func (k *canvas) flush() {
	k.out = append(k.out, 'Q')
	k.file.RawWriteStr(string(k.out))
}

// number writes v with up to so many decimals and a space.
func (k *canvas) number(v float64, decimals int) {
	from := len(k.out)
	k.out = strconv.AppendFloat(k.out, v, 'f', decimals, 64)
	n := len(k.out)
	for n > from && k.out[n-1] == '0' {
		n--
	}
	if k.out[n-1] == '.' {
		n--
	}
	k.out = k.out[:n]
	if string(k.out[from:]) == "-0" {
		k.out = append(k.out[:from], '0')
	}
	k.out = append(k.out, ' ')
}

// mm writes a length or position to 0.001 mm.
func (k *canvas) mm(v float64) { k.number(v, 3) }

// point writes a position, turned to y up.
func (k *canvas) point(p draw.Point) {
	k.mm(p.X)
	k.mm(k.heightMM - p.Y)
}

func (k *canvas) path(p draw.Path) {
	for _, s := range p {
		switch s.Verb {
		case draw.Move:
			k.point(s.To)
			k.out = append(k.out, "m\n"...)
		case draw.Line:
			k.point(s.To)
			k.out = append(k.out, "l\n"...)
		case draw.Cubic:
			k.point(s.C1)
			k.point(s.C2)
			k.point(s.To)
			k.out = append(k.out, "c\n"...)
		case draw.Close:
			k.out = append(k.out, "h\n"...)
		}
	}
}

// Stroke strokes a path.
func (k *canvas) Stroke(p draw.Path, pen draw.Pen) {
	if len(p) == 0 {
		return
	}
	k.openLayer()
	k.set(&k.width, formatted(pen.WidthMM)+" w\n")
	k.set(&k.colour, colour(pen.Colour)+" RG\n")
	k.set(&k.dash, dash(pen.DashMM))
	k.path(p)
	k.out = append(k.out, "S\n"...)
}

// Fill fills a path by the non-zero winding rule.
func (k *canvas) Fill(p draw.Path, c page.Colour) {
	if len(p) == 0 {
		return
	}
	k.openLayer()
	k.set(&k.fill, colour(c)+" rg\n")
	k.path(p)
	k.out = append(k.out, "f\n"...)
}

// set writes a change of state unless it is in force already.
func (k *canvas) set(now *string, want string) {
	if *now != want {
		k.out = append(k.out, want...)
		*now = want
	}
}

func formatted(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func colour(c page.Colour) string {
	part := func(v uint8) string { return strconv.FormatFloat(float64(v)/255, 'f', 4, 64) }
	return part(c.R) + " " + part(c.G) + " " + part(c.B)
}

func dash(mm []float64) string {
	s := "["
	for i, v := range mm {
		if i > 0 {
			s += " "
		}
		s += strconv.FormatFloat(v, 'f', 3, 64)
	}
	return s + "] 0 d\n"
}

// Clip keeps what follows inside a rectangle. Graphics state is nested, so
// the state is forgotten on both ends.
func (k *canvas) Clip(r page.Rect) {
	k.openLayer()
	k.out = append(k.out, "q\n"...)
	k.mm(r.MinX)
	k.mm(k.heightMM - r.MaxY)
	k.mm(r.Width())
	k.mm(r.Height())
	k.out = append(k.out, "re W n\n"...)
	k.width, k.colour, k.fill, k.dash = "", "", "", ""
}

// Unclip ends the innermost Clip.
func (k *canvas) Unclip() {
	k.out = append(k.out, "Q\n"...)
	k.width, k.colour, k.fill, k.dash = "", "", "", ""
}

// Text writes words. The library is given the text at the page's lower left
// corner at a size of 1; the matrix before it does the rest at full
// precision.
func (k *canvas) Text(w draw.Words) {
	k.openLayer()
	k.out = append(k.out, "q\n"...)
	k.out = append(k.out, colour(w.Colour)+" rg\n"...)
	em := lettering.EmMM(w.CapMM)
	sin, cos := sincos(w.TurnRad)
	for _, v := range []float64{em * cos, -em * sin, em * sin, em * cos} {
		k.number(v, 6)
	}
	k.point(w.At)
	k.out = append(k.out, "cm"...)
	k.file.RawWriteStr(string(k.out))
	k.out = k.out[:0]
	style := ""
	if w.Face == lettering.Bold {
		style = "B"
	}
	k.file.SetFont(fontFamily, style, 1)
	k.file.Text(0, k.pageHeight(), w.Text)
	k.out = append(k.out, "Q\n"...)
}

// pageHeight returns the height by which the library flips y, so that its
// text lands on 0.
func (k *canvas) pageHeight() float64 {
	_, h := k.file.GetPageSize()
	return h
}
