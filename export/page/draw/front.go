package draw

import (
	"fmt"
	"math"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/trace/pattern"
)

// addFront adds the cover and the tables.
func (b *book) addFront() {
	f := newFlow(b)
	b.putTitle(f)
	b.putProof(f)
	b.putLateNotes(f)
	b.putMap(f)
	b.putPieces(f)
	b.putEdges(f)
	b.putSeams(f)
	b.putAssembly(f)
	b.putCautions(f)
	f.finish()
	b.front = len(b.pages)
}

func (b *book) putTitle(f *flow) {
	f.bookmark("Cover")
	f.put(capTitle+4, func(c Canvas, y float64) {
		s := lettering.Bold.Fit(b.title, capTitle, f.room())
		write(c, f.left(), y+capTitle, left, s, lettering.Bold, capTitle, page.Ink)
	})
	for _, n := range b.notes() {
		if !b.late(f, n) {
			f.paragraph(n, capSmall, 0)
		}
	}
	f.gap(3)
}

// notes are the sentences for the cover.
func (b *book) notes() []string {
	notes := append([]string{b.summary()}, b.doc.Notes...)
	if n := missingNote(b.doc); n != "" {
		notes = append(notes, n)
	}
	for _, n := range b.layout.Findings {
		notes = append(notes, "▲ "+n.Text+" Its line is not drawn.")
	}
	return notes
}

// late puts a note off until the scale is proved where it would push the proof
// off the first page; once one is, so are all that follow.
func (b *book) late(f *flow, note string) bool {
	high := float64(len(lettering.Regular.Wrap(note, capSmall, f.room()))) * capSmall * leading
	if len(b.lateNotes) > 0 || f.y+high+3+proofHigh > f.bottom() {
		b.lateNotes = append(b.lateNotes, note)
		return true
	}
	return false
}

// putLateNotes puts what had to wait.
func (b *book) putLateNotes(f *flow) {
	if len(b.lateNotes) == 0 {
		return
	}
	f.gap(3)
	f.heading("Notes", 10)
	for _, n := range b.lateNotes {
		f.paragraph(n, capSmall, 0)
	}
	f.gap(3)
}

func (b *book) summary() string {
	l := b.layout
	paper := paperText(l)
	lie := "as laid on the mat"
	if l.Packed {
		lie = "pieces turned and packed"
	}
	s := fmt.Sprintf("%s on %s of %s, at true scale (1 : 1), %s.",
		counted(len(b.doc.Pattern.Pieces), "piece"), counted(len(l.Tiles), "sheet"), paper, lie)
	if blank := l.Rows*l.Cols - len(l.Tiles); blank > 0 && !l.Packed {
		s += fmt.Sprintf(" %s left out.", counted(blank, "blank sheet"))
	}
	if p := l.Setup.Printer; !p.True() {
		x, y := p.Scale(1, 2)
		s += fmt.Sprintf(" Corrected for a printer on which 100 mm come out as %.2f mm along the paper's shorter side and %.2f mm along its longer.", 100/x, 100/y)
	}
	if !b.doc.Date.IsZero() {
		s += " " + b.doc.Date.Format("2 January 2006") + "."
	}
	return s
}

// paperText says what paper the sheets are of and how they lie; of a roll how
// much of it they take.
func paperText(l *page.Layout) string {
	p := l.Setup.Paper
	switch {
	case p.Roll:
		return fmt.Sprintf("%s, %.0f mm long", p.Name, l.PageWidthMM+l.PageHeightMM-p.WidthMM)
	case l.Landscape:
		return p.Name + ", landscape"
	}
	return p.Name + ", portrait"
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

const (
	squareMM = 100.0
	inchMM   = 25.4
	barHigh  = 15.0
	// proofHigh is the height of the square and the bar under their heading.
	proofHigh = capHead*2.6 + squareMM + barHigh + 2
)

// putProof puts the square and the bar that prove the scale, with the legend
// beside them when the page is wide enough.
func (b *book) putProof(f *flow) {
	f.heading("Prove the scale first", squareMM+barHigh)
	rows := legendRows(b.doc.Pattern)
	beside := f.room() - 4*inchMM - 8
	wide := beside >= 68
	top := f.y
	f.put(squareMM+barHigh+2, func(c Canvas, y float64) {
		drawSquare(c, f.left(), y+1)
		drawInches(c, f.left(), y+squareMM+9)
	})
	if !wide {
		f.heading("Lines and marks", legendHeight(rows, f.room()))
		top = f.y
		f.put(legendHeight(rows, f.room()), func(c Canvas, y float64) { drawLegend(c, rows, f.left(), y, f.room()) })
		return
	}
	x := f.left() + 4*inchMM + 8
	height := legendHeight(rows, beside)
	f.blocks = append(f.blocks, func(c Canvas) { drawLegend(c, rows, x, top, beside) })
	f.y = math.Max(f.y, top+height)
}

// drawSquare draws the 100 mm square (to the middle of its lines), ticks
// every 10 mm inside, and what to do with it.
func drawSquare(c Canvas, x, y float64) {
	c.Stroke(rectPath(page.Rect{MinX: x, MinY: y, MaxX: x + squareMM, MaxY: y + squareMM}), Pen{WidthMM: 0.25, Colour: page.Black})
	var ticks Path
	for i := 10.0; i < squareMM; i += 10 {
		ticks = append(ticks, segmentPath(x+i, y, x+i, y+2)...)
		ticks = append(ticks, segmentPath(x+i, y+squareMM, x+i, y+squareMM-2)...)
		ticks = append(ticks, segmentPath(x, y+i, x+2, y+i)...)
		ticks = append(ticks, segmentPath(x+squareMM, y+i, x+squareMM-2, y+i)...)
	}
	c.Stroke(ticks, thin(page.Black))
	write(c, x+squareMM/2, y+14, centre, "100 mm × 100 mm", lettering.Bold, 4, page.Ink)
	at := y + 24
	for _, text := range proofText {
		for _, line := range lettering.Regular.Wrap(text, capBody, squareMM-16) {
			write(c, x+8, at, left, line, lettering.Regular, capBody, page.Ink)
			at += capBody * leading
		}
		at += 2.2
	}
}

var proofText = []string{
	"Print every page at 100 %, also called “actual size”. Switch off “fit to page” and “shrink”.",
	"Then measure: this square is 100 mm each way, the bar below it is 4 in, from the middle of the line to the middle of the line.",
	"More than half a millimetre out? Do not cut. Mend the print settings and print again.",
	"Each sheet has a 50 mm bar at its foot. Check it on every sheet of a print run.",
}

// drawInches draws the 4 in bar standing on y.
func drawInches(c Canvas, x, y float64) {
	var path Path
	path = append(path, segmentPath(x, y, x+4*inchMM, y)...)
	for i := range 17 {
		h := []float64{4, 1.5, 2.5, 1.5}[i%4]
		at := x + float64(i)*inchMM/4
		path = append(path, segmentPath(at, y+0.125, at, y-h)...)
	}
	c.Stroke(path, Pen{WidthMM: 0.25, Colour: page.Black})
	for i := range 5 {
		text := fmt.Sprint(i)
		a, at := centre, x+float64(i)*inchMM
		switch i {
		case 0:
			a = left
		case 4:
			text, a = "4 in", right
		}
		write(c, at, y+1.2+capSmall, a, text, lettering.Regular, capSmall, page.Ink)
	}
}

// legendRow explains one kind of line or mark.
type legendRow struct {
	letter, text, detail string
	sample               func(c Canvas, x, y, w float64)
}

// legendRows explain what may be on the sheets; allowances only where there
// are any.
func legendRows(p pattern.Pattern) []legendRow {
	var rows []legendRow
	styles := []page.Style{page.CutStyle, page.BevelStyle, page.UndercutStyle, page.ScoreStyle, page.MarkStyle}
	if hasAllowances(p) {
		styles = append(styles, page.AllowanceStyle)
	}
	for _, s := range styles {
		row := legendRow{letter: s.Letter, text: s.Meaning, detail: s.Summary()}
		row.sample = func(c Canvas, x, y, w float64) { c.Stroke(segmentPath(x, y, x+w, y), pen(s)) }
		if s.Letter == page.MarkStyle.Letter {
			row.sample = drawMarkSample
		}
		rows = append(rows, row)
	}
	return append(rows,
		legendRow{text: "A3 B45° s2: edge 3 of piece A, cut B at 45° from square, joined in seam s2; s2/1 is the seam’s first mark"},
		legendRow{text: "Trim here, lay over the strip of the sheet before", sample: func(c Canvas, x, y, w float64) {
			c.Stroke(segmentPath(x, y, x+w, y), thin(page.Grey))
			drawScissors(c, Point{x + w/3, y}, false)
		}},
		legendRow{text: "Glue strip: the next sheet’s edge meets the dashes", sample: func(c Canvas, x, y, w float64) {
			r := page.Rect{MinX: x, MinY: y - 2.5, MaxX: x + w, MaxY: y + 2.5}
			c.Clip(r)
			hatch(c, r)
			c.Unclip()
			c.Stroke(segmentPath(x, y-2.5, x+w, y-2.5), joinPen)
		}},
		legendRow{text: "Match mark: two halves with one number make a diamond", sample: func(c Canvas, x, y, w float64) {
			drawMatchMark(c, Point{x + w/2, y}, page.MatchMark{Label: "7", Upright: true}, -1)
			drawMatchMark(c, Point{x + w/2, y}, page.MatchMark{Label: "7", Upright: true}, 1)
		}})
}

func hasAllowances(p pattern.Pattern) bool {
	for _, q := range p.Pieces {
		for _, e := range q.Edges {
			if e.Allowance.WidthMM > 0 {
				return true
			}
		}
	}
	return false
}

func drawMarkSample(c Canvas, x, y, w float64) {
	c.Stroke(segmentPath(x, y+2, x+w, y+2), pen(page.CutStyle))
	c.Stroke(segmentPath(x+w/2, y+2, x+w/2, y-2.5), pen(page.MarkStyle))
}

const (
	sampleWide = 17.0
	legendText = sampleWide + 9
)

func legendLines(r legendRow, width float64) []string {
	return lettering.Regular.Wrap(r.text, capBody, width-legendText)
}

func legendRowHeight(r legendRow, width float64) float64 {
	h := float64(len(legendLines(r, width)))*capBody*1.5 + 2.4
	if r.detail != "" {
		h += capSmall * 1.4
	}
	return math.Max(h, 7)
}

func legendHeight(rows []legendRow, width float64) float64 {
	h := 0.0
	for _, r := range rows {
		h += legendRowHeight(r, width)
	}
	return h
}

func drawLegend(c Canvas, rows []legendRow, x, y, width float64) {
	for _, r := range rows {
		if r.sample != nil {
			r.sample(c, x, y+capBody/2+0.8, sampleWide)
		}
		at := y + capBody + 0.8
		write(c, x+sampleWide+5, at, centre, r.letter, lettering.Bold, capBody, page.Ink)
		for _, line := range legendLines(r, width) {
			write(c, x+legendText, at, left, line, lettering.Regular, capBody, page.Ink)
			at += capBody * 1.5
		}
		if r.detail != "" {
			write(c, x+legendText, at, left, r.detail, lettering.Regular, capSmall*0.9, page.Grey)
		}
		y += legendRowHeight(r, width)
	}
}
