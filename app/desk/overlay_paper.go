package desk

import (
	"math"
	"time"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
)

// paintSheetFaces lays the paper of packed sheets on the bench.
func (e *editor) paintSheetFaces(p painter) {
	e.back.Fill(e.pal.table)
	for _, s := range e.paper.sheets {
		r := view.Rect{Min: p.view.ToDevice(view.Point(s.PaperMin)), Max: p.view.ToDevice(view.Point(s.PaperMax))}
		p.FillRect(r, e.pal.panel)
		p.StrokeRect(r, e.px, e.pal.hairline)
	}
}

// paintOnPaper draws the packed pieces, what each sheet can print, solid what
// stays in sight of it, and its name.
func (e *editor) paintOnPaper(p painter) {
	for _, s := range e.paper.sheets {
		if s.Max != s.OwnMax {
			p.frame(view.Point(s.Min), view.Point(s.Max), []float64{4, 4}, 1)
		}
		p.frame(view.Point(s.Min), view.Point(s.OwnMax), nil, 1)
	}
	for i := range e.paper.shapes.Pieces {
		e.paintPiece(p, &e.paper.shapes.Pieces[i])
	}
	for i := range e.paper.sheets {
		e.nameSheet(p, &e.paper.sheets[i])
	}
}

// nameSheet writes a sheet's name over its frame, where nothing is printed; on a
// joined sheet, whose paper ends there, within it.
func (e *editor) nameSheet(p painter, s *PaperSheet) {
	if p.text == nil {
		return
	}
	at := p.view.ToDevice(view.Point(s.Min))
	at.X += p.text.Width(s.Label)/2 + 7*p.px
	up := 12 * p.px
	if s.PaperMin.Y == s.Min.Y {
		up = -up
	}
	at.Y -= up
	p.Tag(p.text, at, s.Label, p.pal.panel, p.pal.accent)
}

// paintLaying says that the pieces are being laid out, once it takes time.
func (e *editor) paintLaying() {
	x := &e.paper
	late := time.Since(x.since) >= showWorkAfter-time.Millisecond
	if !x.wanted || !x.asking || !late || e.space != session.OnMat || e.running != "" || e.text == nil {
		return
	}
	w, h := e.text.Width(tr.print.laying)+32*e.px, 34*e.px
	at := view.Point{X: math.Round((float64(e.w) - w) / 2), Y: math.Round((float64(e.h) - h) / 2)}
	plate := view.Rect{Min: at, Max: view.Point{X: at.X + w, Y: at.Y + h}}
	e.front.FillRect(plate, withAlpha(e.pal.panel, 235))
	e.front.StrokeRect(plate, e.px, e.pal.hairline)
	e.front.Text(e.text, view.Point{X: at.X + 16*e.px, Y: at.Y + 22*e.px}, tr.print.laying, e.pal.ink)
}
