package draw

import (
	"fmt"
	"strings"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// pieceArt is a piece with what is needed to draw it, in the pattern's frame.
type pieceArt struct {
	piece *pattern.Piece
	other []page.OtherFaceLine
	// loops are the outline and openings, lines all else, flattened.
	loops [][]mat.Point
	lines [][]mat.Point
	tags  []tag
	// strips are the allowances.
	strips []pattern.Strip
	// seams are the names of the seams that the piece's edges are part of.
	seams map[string]string
	// reach holds all of these.
	reach page.Rect
}

// artTolMM is fine enough for finding room for words.
const artTolMM = 0.1

func newPieceArt(p *pattern.Piece, other []page.OtherFaceLine, seams map[string]string) *pieceArt {
	a := &pieceArt{piece: p, other: other, seams: seams}
	a.loops = append(a.loops, p.Outline.Flatten(artTolMM))
	for _, o := range p.Openings {
		a.loops = append(a.loops, o.Flatten(artTolMM))
	}
	for _, o := range a.other {
		a.lines = append(a.lines, o.Path.Flatten(artTolMM))
	}
	for _, m := range p.Marks {
		for _, s := range m.Strokes() {
			a.lines = append(a.lines, []mat.Point{s.At, s.In})
		}
	}
	for _, l := range p.Lines {
		a.lines = append(a.lines, l.Path.Flatten(artTolMM))
	}
	a.strips, _ = page.Strips(*p)
	for _, s := range a.strips {
		a.lines = append(a.lines, s.Cut.Flatten(artTolMM))
	}
	a.reach = page.EmptyRect()
	for _, line := range append(a.loops[:len(a.loops):len(a.loops)], a.lines...) {
		for _, q := range line {
			a.reach = a.reach.With(q)
		}
	}
	return a
}

// drawPiece draws a piece's lines, and its tags that lie in a window of the
// pattern.
func drawPiece(c Canvas, a *pieceArt, f frame, window page.Rect) {
	on(c, InsideLines, func() {
		for _, l := range a.piece.Lines {
			c.Stroke(f.path(l.Path), pen(page.ScoreStyle))
		}
	})
	on(c, AllowanceLines, func() {
		for _, s := range a.strips {
			c.Stroke(f.path(s.Cut), pen(page.AllowanceStyle))
		}
	})
	on(c, OtherFaceLines, func() {
		for _, o := range a.other {
			s, _ := page.CutLineStyle(o.Cut)
			c.Stroke(f.path(o.Path), pen(s))
		}
	})
	on(c, RegistrationMarks, func() { a.drawMarks(c, f) })
	on(c, CutLines, func() {
		for _, loop := range append([]curve.Path{a.piece.Outline}, a.piece.Openings...) {
			c.Stroke(f.path(loop), pen(page.CutStyle))
		}
	})
	on(c, Notes, func() {
		for _, t := range a.tags {
			if t.reach().Meets(window) {
				t.draw(c, f)
			}
		}
	})
}

func (a *pieceArt) drawMarks(c Canvas, f frame) {
	for _, m := range a.piece.Marks {
		for _, s := range m.Strokes() {
			p, q := f.point(s.At), f.point(s.In)
			c.Stroke(segmentPath(p.X, p.Y, q.X, q.Y), pen(page.MarkStyle))
		}
	}
}

// quantityNote says how many to cut, and which way up.
func quantityNote(p *pattern.Piece) string {
	n := max(1, p.Quantity)
	switch {
	case !p.Mirrored:
		return fmt.Sprintf("cut %d", n)
	case n == 1:
		return "cut 1, turned over"
	}
	return fmt.Sprintf("cut %d, %d turned over", n, n/2)
}

// thicknessNote is empty when no thickness is given.
func thicknessNote(p *pattern.Piece) string {
	if p.ThicknessMM <= 0 {
		return ""
	}
	return fmt.Sprintf("%s mm thick", trimmed(p.ThicknessMM, 2))
}

func faceNote(p *pattern.Piece) string {
	switch p.Face {
	case pattern.Back:
		return "back face up"
	case pattern.Front:
		return "front face up"
	}
	return ""
}

// trimmed writes a number with at most so many decimals.
func trimmed(v float64, decimals int) string {
	s := fmt.Sprintf("%.*f", decimals, v)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// labelLine is a line of a piece's label.
type labelLine struct {
	text  string
	face  *lettering.Face
	capMM float64
}

// label is a block of centred lines with its size, in mm.
type label struct {
	lines             []labelLine
	widthMM, heightMM float64
}

// lineGap is the space between two lines as a part of the lower one's height.
const lineGap = 0.7

func newLabel(lines ...labelLine) label {
	var l label
	for _, line := range lines {
		line.text = line.face.Clean(line.text)
		if line.text == "" {
			continue
		}
		if len(l.lines) > 0 {
			l.heightMM += lineGap * line.capMM
		}
		l.heightMM += line.capMM
		l.widthMM = max(l.widthMM, line.face.WidthMM(line.text, line.capMM))
		l.lines = append(l.lines, line)
	}
	return l
}

// longestNameMM bounds a line of a name in a label, mostNameLines how many such
// lines there are.
const (
	longestNameMM = 62
	mostNameLines = 3
)

// nameLines are a piece's name in a label.
func nameLines(p *pattern.Piece, capMM float64) []labelLine {
	bold := lettering.Bold
	lines := bold.Wrap(p.Name, capMM, longestNameMM)
	if len(lines) > mostNameLines {
		lines[mostNameLines-1] = bold.Fit(strings.Join(lines[mostNameLines-1:], " "), capMM, longestNameMM)
		lines = lines[:mostNameLines]
	}
	var out []labelLine
	for _, text := range lines {
		out = append(out, labelLine{text, bold, capMM})
	}
	return out
}

// labels returns a piece's label from large to small; all say everything.
func labels(p *pattern.Piece) []label {
	bold, plain := lettering.Bold, lettering.Regular
	id := plain.Clean(p.ID)
	how := joined(" · ", quantityNote(p), thicknessNote(p))
	block := func(idMM, nameMM, capMM float64, facts ...string) label {
		lines := append([]labelLine{{id, bold, idMM}}, nameLines(p, nameMM)...)
		for _, text := range facts {
			lines = append(lines, labelLine{text, plain, capMM})
		}
		return newLabel(lines...)
	}
	oneLine := joined(" · ", plain.Fit(p.Name, capSmall, longestNameMM), how, faceNote(p))
	return []label{
		block(8, 4, 3, how, faceNote(p)),
		block(6, 3, capSmall, quantityNote(p), thicknessNote(p), faceNote(p)),
		block(5, 3, capSmall, how, faceNote(p)),
		block(3.5, capSmall, capSmall, quantityNote(p), thicknessNote(p), faceNote(p)),
		newLabel(labelLine{joined(" · ", id, oneLine), plain, capSmall}),
	}
}

// namelessLabels are labels without the name, for pieces with too little room
// for a long one.
func namelessLabels(p *pattern.Piece) []label {
	nameless := *p
	nameless.Name = ""
	return labels(&nameless)
}

// shortLabel is the piece's letter alone.
func shortLabel(p *pattern.Piece, capMM float64) label {
	return newLabel(labelLine{p.ID, lettering.Bold, capMM})
}

func joined(sep string, parts ...string) string {
	var kept []string
	for _, p := range parts {
		if p != "" {
			kept = append(kept, p)
		}
	}
	return strings.Join(kept, sep)
}

// draw draws the label centred on at, turned by rad.
func (l label) draw(c Canvas, at Point, rad float64) {
	y := -l.heightMM / 2
	for i, line := range l.lines {
		if i > 0 {
			y += lineGap * line.capMM
		}
		y += line.capMM
		x := -line.face.WidthMM(line.text, line.capMM) / 2
		d := turned(mat.Point{X: x, Y: y}, rad)
		c.Text(Words{
			At: Point{at.X + d.X, at.Y + d.Y}, Text: line.text, Face: line.face,
			CapMM: line.capMM, Colour: page.Ink, TurnRad: rad,
		})
	}
}

// Facts returns what a piece's label says under its name: how many to cut
// and which way up, how thick, which face is shown.
func Facts(p *pattern.Piece) []string {
	var facts []string
	for _, s := range []string{joined(" · ", quantityNote(p), thicknessNote(p)), faceNote(p)} {
		if s != "" {
			facts = append(facts, s)
		}
	}
	return facts
}

// Room returns the space for words inside a piece with its other face's
// lines, in the pattern's frame.
func Room(p *pattern.Piece, other []page.OtherFaceLine) lettering.Room {
	a := newPieceArt(p, other, nil)
	return lettering.Room{Loops: a.loops, Lines: a.lines}
}
