package sheet

import (
	"fmt"
	"math"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/lettering"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Pattern returns the pieces as they lie on the sheet, one for each copy.
func (s *Sheet) Pattern() pattern.Pattern {
	var p pattern.Pattern
	for _, q := range s.Pieces {
		piece := q.Piece
		piece.Quantity, piece.Mirrored = 1, false
		if q.Mirrored {
			piece.Name = lettering.OneLine(piece.Name + " (turned over)")
		}
		p.Pieces = append(p.Pieces, piece)
	}
	return p
}

// Border returns the sheet's outline and openings, in its frame.
func (s *Sheet) Border() []curve.Path {
	if s.Outline == nil {
		return nil
	}
	out := []curve.Path{curve.Polygon(s.Outline...)}
	for _, o := range s.Openings {
		out = append(out, curve.Polygon(o...))
	}
	return out
}

// Title returns a line about sheet i of the plan, counted from 0.
func (r *Result) Title(i int) string {
	s := &r.Sheets[i]
	t := fmt.Sprintf("Sheet %d of %d", i+1, len(r.Sheets))
	if s.Name != "" {
		t += ", " + lettering.OneLine(s.Name)
	}
	t += fmt.Sprintf(": %s × %s mm", short(s.WidthMM), short(s.LengthMM))
	if s.ThicknessMM > 0 {
		t += fmt.Sprintf(", %s mm thick", short(s.ThicknessMM))
	}
	if s.Material != "" {
		t += ", " + lettering.OneLine(s.Material)
	}
	return t
}

// Facts returns a line about what is cut from the sheet.
func (s *Sheet) Facts() string {
	n := "1 piece"
	if len(s.Pieces) != 1 {
		n = fmt.Sprintf("%d pieces", len(s.Pieces))
	}
	return fmt.Sprintf("%s, yield %.1f %%, %s mm of the length used", n, 100*s.Yield, short(s.UsedMM))
}

// Page returns sheet i of the plan as a page in true size: the sheet under two
// lines about it.
func (r *Result) Page(i int) *draw.Page {
	s := &r.Sheets[i]
	v := &sheetPage{s: s, title: r.Title(i)}
	// Letters, lines and borders grow with the sheet, for it is looked at as a
	// whole.
	v.capMM = math.Max(s.LengthMM, s.WidthMM) / 90
	v.left, v.top = 2*v.capMM, 6*v.capMM
	width := math.Max(s.LengthMM, 60*v.capMM)
	return draw.NewPage(v.title, width+2*v.left, s.WidthMM+v.top+2*v.capMM, v.draw)
}

// sheetPage draws one sheet.
type sheetPage struct {
	s                *Sheet
	title            string
	capMM, left, top float64
}

func (v *sheetPage) draw(c draw.Canvas) {
	v.write(c, v.title, lettering.Bold, 2.2*v.capMM)
	v.write(c, v.s.Facts(), lettering.Regular, 4.2*v.capMM)
	border := v.s.Border()
	if border == nil {
		border = []curve.Path{curve.Polygon(rectangle(v.s.LengthMM, v.s.WidthMM)...)}
	}
	for _, b := range border {
		c.Stroke(v.path(b), draw.Pen{WidthMM: v.capMM / 6, Colour: page.Grey})
	}
	p := v.s.Pattern()
	for i := range p.Pieces {
		v.piece(c, &p.Pieces[i])
	}
}

func (v *sheetPage) write(c draw.Canvas, text string, face *lettering.Face, y float64) {
	c.Text(draw.Words{At: draw.Point{X: v.left, Y: y}, Text: face.Clean(text), Face: face, CapMM: v.capMM * 1.2, Colour: page.Ink})
}

func (v *sheetPage) path(c curve.Path) draw.Path { return draw.PathOf(c, 1, v.left, v.top) }

func (v *sheetPage) piece(c draw.Canvas, p *pattern.Piece) {
	stroke := func(q curve.Path, s page.Style) {
		grow := v.capMM / 4
		var dashes []float64
		for _, d := range s.DashMM() {
			dashes = append(dashes, d*grow)
		}
		c.Stroke(v.path(q), draw.Pen{WidthMM: s.WidthMM * grow, DashMM: dashes, Colour: s.Colour})
	}
	body := v.path(p.Outline)
	for _, o := range p.Openings {
		body = append(body, v.path(o)...)
	}
	c.Fill(body, page.Colour{R: 0xee, G: 0xf2, B: 0xf5})
	other, _ := page.OtherFaceLines(*p)
	for _, o := range other {
		style, _ := page.CutLineStyle(o.Cut)
		stroke(o.Path, style)
	}
	strips, _ := page.Strips(*p)
	for _, s := range strips {
		stroke(s.Cut, page.AllowanceStyle)
	}
	for _, l := range p.Lines {
		stroke(l.Path, page.ScoreStyle)
	}
	stroke(p.Outline, page.CutStyle)
	for _, o := range p.Openings {
		stroke(o, page.CutStyle)
	}
	v.label(c, p, other)
}

// label writes the piece's letter and name as large as fits; in a small piece
// the letter alone.
func (v *sheetPage) label(c draw.Canvas, p *pattern.Piece, other []page.OtherFaceLine) {
	room := draw.Room(p, other)
	face := lettering.Regular
	id := face.Clean(lettering.OneLine(p.ID))
	for _, text := range []string{face.Clean(lettering.OneLine(p.ID + " " + p.Name)), id} {
		w := face.WidthMM(text, 1)
		if w <= 0 {
			return
		}
		at, capMM := room.Widest(1.1*w+0.6, 1.8)
		if capMM < v.capMM*0.7 && text != id {
			continue
		}
		capMM = math.Min(capMM, 1.4*v.capMM)
		c.Text(draw.Words{
			At:   draw.Point{X: at.X + v.left - w*capMM/2, Y: at.Y + v.top + capMM/2},
			Text: text, Face: face, CapMM: capMM, Colour: page.Ink,
		})
		return
	}
}
