package draw

import (
	"fmt"
	"math"
	"slices"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
)

// SheetName is the name of the page with a tile.
func SheetName(label string) string { return "Sheet " + label }

// addTiles adds the tiles' pages. Each piece's bookmark goes to the tile that
// shows most of it.
func (b *book) addTiles() {
	for i := range b.layout.Tiles {
		t := b.sheet(i)
		b.pages = append(b.pages, Page{
			Name:    SheetName(t.tile.Label),
			WidthMM: b.layout.PageWidthMM, HeightMM: b.layout.PageHeightMM,
			Bookmarks: t.bookmarks(),
			draw:      t.draw,
		})
	}
}

// sheet draws one tile.
type sheet struct {
	book   *book
	index  int
	tile   *page.Tile
	labels []placedLabel
}

func (b *book) sheet(i int) *sheet {
	t := &sheet{book: b, index: i, tile: &b.layout.Tiles[i]}
	if i < len(b.labels) {
		t.labels = b.labels[i]
	}
	return t
}

func (t *sheet) frame() frame {
	c, o := t.book.layout.Content, t.tile.OriginMM
	return frame{1, c.MinX - o.X, c.MinY - o.Y}
}

func (t *sheet) bookmarks() []Bookmark {
	marks := []Bookmark{{Text: SheetName(t.tile.Label), Level: 0}}
	for _, l := range t.labels {
		if !l.main {
			continue
		}
		p := l.art.piece
		marks = append(marks, Bookmark{
			Text: joined(" ", p.ID, lettering.OneLine(p.Name)), Level: 1,
			YMM: max(0, l.at.Y+t.frame().dy-20),
		})
	}
	return marks
}

func (t *sheet) draw(c Canvas) {
	on(c, PaperJoins, func() {
		t.drawStrips(c)
		t.drawMarks(c)
	})
	t.drawName(c)
	t.drawPieces(c)
	on(c, PaperJoins, func() { t.drawTrims(c) })
	t.drawFooter(c)
}

func (t *sheet) drawPieces(c Canvas) {
	c.Clip(t.book.layout.Content)
	for _, i := range t.tile.Pieces {
		drawPiece(c, t.book.art[i], t.frame(), t.book.layout.TileMM(t.index))
	}
	on(c, Notes, func() {
		for _, l := range t.labels {
			l.draw(c, t.frame())
		}
	})
	c.Unclip()
}

func (t *sheet) neighbour(i int) string { return t.book.layout.Tiles[i].Label }

// strips returns the strips that the neighbours to the right and below are
// laid over.
func (t *sheet) strips() []page.Rect {
	r, w := t.book.layout.Content, t.book.layout.Setup.OverlapMM
	var s []page.Rect
	if t.tile.Right >= 0 {
		s = append(s, page.Rect{MinX: r.MaxX - w, MinY: r.MinY, MaxX: r.MaxX, MaxY: r.MaxY})
	}
	if t.tile.Below >= 0 {
		s = append(s, page.Rect{MinX: r.MinX, MinY: r.MaxY - w, MaxX: r.MaxX, MaxY: r.MaxY})
	}
	return s
}

// drawStrips hatches the glue strips and rules the line where the next sheet
// comes to lie.
func (t *sheet) drawStrips(c Canvas) {
	r, w := t.book.layout.Content, t.book.layout.Setup.OverlapMM
	for _, s := range t.strips() {
		c.Clip(s)
		hatch(c, s)
		c.Unclip()
	}
	if t.tile.Right >= 0 {
		x := r.MaxX - w
		c.Stroke(segmentPath(x, r.MinY, x, r.MaxY), joinPen)
	}
	if t.tile.Below >= 0 {
		y := r.MaxY - w
		c.Stroke(segmentPath(r.MinX, y, r.MaxX, y), joinPen)
	}
}

// joinPen rules the line on the lower sheet where the upper one's trimmed
// edge comes to lie.
var joinPen = Pen{WidthMM: 0.18, Colour: page.Grey, DashMM: []float64{1.5, 1.5}}

// hatch draws slanting lines 4 mm apart.
func hatch(c Canvas, r page.Rect) {
	var p Path
	h := r.Height()
	for x := r.MinX - h; x < r.MaxX; x += 4 {
		p = append(p, segmentPath(x, r.MaxY, x+h, r.MinY)...)
	}
	c.Stroke(p, Pen{WidthMM: 0.13, Colour: page.PaleGrey})
}

// drawTrims rules the edges: a full line where the sheet is trimmed, short
// ticks at the other corners of the content area.
func (t *sheet) drawTrims(c Canvas) {
	r := t.book.layout.Content
	p := thin(page.Grey)
	if t.tile.Left >= 0 {
		c.Stroke(segmentPath(r.MinX, r.MinY-3, r.MinX, r.MaxY+3), p)
		drawScissors(c, Point{r.MinX, r.MinY + r.Height()*0.5}, true)
	}
	if t.tile.Above >= 0 {
		c.Stroke(segmentPath(r.MinX-3, r.MinY, r.MaxX+3, r.MinY), p)
		drawScissors(c, Point{r.MinX + r.Width()*0.5, r.MinY}, false)
	}
	for _, x := range []float64{r.MinX, r.MaxX} {
		for _, y := range []float64{r.MinY, r.MaxY} {
			c.Stroke(segmentPath(x-2, y, x+2, y), p)
			c.Stroke(segmentPath(x, y-2, x, y+2), p)
		}
	}
	t.drawNeighbours(c)
}

// drawNeighbours names the neighbours inside each edge, near the join's middle
// where no line runs.
func (t *sheet) drawNeighbours(c Canvas) {
	r, w := t.book.layout.Content, t.book.layout.Setup.OverlapMM
	midX, midY := (r.MinX+r.MaxX)/2, (r.MinY+r.MaxY)/2
	if n := t.tile.Left; n >= 0 {
		t.drawNeighbour(c, "← "+t.neighbour(n), left, Point{r.MinX + 2, midY}, Point{0, 1})
	}
	if n := t.tile.Right; n >= 0 {
		t.drawNeighbour(c, t.neighbour(n)+" →", right, Point{r.MaxX - w - 1.5, midY}, Point{0, 1})
	}
	if n := t.tile.Above; n >= 0 {
		t.drawNeighbour(c, "↑ "+t.neighbour(n), left, Point{midX, r.MinY + 4.5}, Point{1, 0})
	}
	if n := t.tile.Below; n >= 0 {
		t.drawNeighbour(c, "↓ "+t.neighbour(n), left, Point{midX, r.MaxY - w - 2}, Point{1, 0})
	}
}

// neighbourOffsetsMM are the places along an edge that a neighbour's name may
// take, from the middle.
var neighbourOffsetsMM = [...]float64{8, -14, 16, -22, 24, -30, 34, -38, 42, -46, 52, -56, 62, -66, 74, -78, 88, -92}

// drawNeighbour writes a neighbour's name at the first free place near at, to
// either side of it along the edge; at the first place if none is free.
func (t *sheet) drawNeighbour(c Canvas, text string, a align, at, along Point) {
	w := lettering.Regular.WidthMM(text, capSmall)
	place := Point{at.X + 8*along.X, at.Y + 8*along.Y}
	for _, off := range neighbourOffsetsMM {
		p := Point{at.X + off*along.X, at.Y + off*along.Y}
		box := page.Rect{MinX: p.X, MinY: p.Y - capSmall, MaxX: p.X + w, MaxY: p.Y}
		if a == right {
			box.MinX, box.MaxX = p.X-w, p.X
		}
		if t.bare(box.Grown(0.7)) {
			place = p
			break
		}
	}
	write(c, place.X, place.Y, a, text, lettering.Regular, capSmall, page.Grey)
}

// bare reports whether nothing is printed in a box of the page.
func (t *sheet) bare(box page.Rect) bool {
	r := t.book.layout.Content
	if box.MinX < r.MinX || box.MaxX > r.MaxX || box.MinY < r.MinY || box.MaxY > r.MaxY ||
		box.Meets(t.book.names[t.index]) || t.meetsLines(box) || t.meetsLabels(box) {
		return false
	}
	return !t.meetsMarks(box)
}

// meetsMarks reports whether a box on the page meets one of its match marks.
func (t *sheet) meetsMarks(box page.Rect) bool {
	corners := t.boxInPattern(box)
	return slices.ContainsFunc(t.book.layout.Marks, func(m page.MatchMark) bool {
		return (m.Under == t.index || m.Over == t.index) && overlap(corners, matchMarkBox(m))
	})
}

// drawScissors draws open scissors that cut along a trim line: upright ones
// point down, others to the right. They sit beside the line, on the waste.
func drawScissors(c Canvas, at Point, upright bool) {
	place := func(along, across float64) Point {
		if upright {
			return Point{at.X - across, at.Y + along}
		}
		return Point{at.X + along, at.Y - across}
	}
	p := thin(page.Grey)
	for _, side := range []float64{1, -1} {
		c.Stroke(Path{
			{Verb: Move, To: place(0, 1.6+side*1.1)},
			{Verb: Line, To: place(5, 1.6-side*0.9)},
		}, p)
		c.Stroke(circle(place(-0.8, 1.6+side*1.2), 0.8), p)
	}
}

// circle returns four cubic arcs (the usual 0.5523, within 0.03 % of round).
func circle(at Point, r float64) Path {
	const k = 0.5522847498
	p := func(x, y float64) Point { return Point{at.X + r*x, at.Y + r*y} }
	return Path{
		{Verb: Move, To: p(1, 0)},
		{Verb: Cubic, C1: p(1, k), C2: p(k, 1), To: p(0, 1)},
		{Verb: Cubic, C1: p(-k, 1), C2: p(-1, k), To: p(-1, 0)},
		{Verb: Cubic, C1: p(-1, -k), C2: p(-k, -1), To: p(0, -1)},
		{Verb: Cubic, C1: p(k, -1), C2: p(1, -k), To: p(1, 0)},
		{Verb: Close},
	}
}

const matchHalfMM = 3.0

// drawMarks draws the match marks on the tile's joins: each sheet has half a
// diamond on its own side of the join, so that the halves meet when the
// sheets lie right, and the same number on either side.
func (t *sheet) drawMarks(c Canvas) {
	for _, m := range t.book.layout.Marks {
		if m.Under != t.index && m.Over != t.index {
			continue
		}
		side := 1.0
		if m.Under == t.index {
			side = -1
		}
		drawMatchMark(c, t.frame().point(m.AtMM), m, side)
	}
}

func drawMatchMark(c Canvas, at Point, m page.MatchMark, side float64) {
	h := matchHalfMM
	if m.Upright {
		c.Fill(polygon(Point{at.X, at.Y - h}, Point{at.X + side*h, at.Y}, Point{at.X, at.Y + h}), page.Ink)
		a := left
		if side < 0 {
			a = right
		}
		write(c, at.X+side*(h+1), at.Y+capSmall/2, a, m.Label, lettering.Bold, capSmall, page.Ink)
		return
	}
	c.Fill(polygon(Point{at.X - h, at.Y}, Point{at.X, at.Y + side*h}, Point{at.X + h, at.Y}), page.Ink)
	y := at.Y + h + 1 + capSmall
	if side < 0 {
		y = at.Y - h - 1
	}
	write(c, at.X, y, centre, m.Label, lettering.Bold, capSmall, page.Ink)
}

// meetsLines reports whether a box on the page meets a line or tag of a piece.
func (t *sheet) meetsLines(box page.Rect) bool {
	corners := t.boxInPattern(box)
	for _, i := range t.tile.Pieces {
		if t.book.art[i].meets(corners) {
			return true
		}
	}
	return false
}

// meetsLabels reports whether a box on the page meets a piece's label.
func (t *sheet) meetsLabels(box page.Rect) bool {
	f := t.frame()
	for _, l := range t.labels {
		w, h := l.label.widthMM/2, l.label.heightMM/2
		if l.turnRad != 0 {
			w, h = math.Hypot(w, h), math.Hypot(w, h)
		}
		p := f.point(l.at)
		if box.Meets(page.Rect{MinX: p.X - w, MinY: p.Y - h, MaxX: p.X + w, MaxY: p.Y + h}) {
			return true
		}
	}
	return false
}

func (t *sheet) boxInPattern(box page.Rect) [4]mat.Point {
	f := t.frame()
	return boxCorners(page.Rect{MinX: box.MinX - f.dx, MinY: box.MinY - f.dy, MaxX: box.MaxX - f.dx, MaxY: box.MaxY - f.dy})
}

func boxCorners(r page.Rect) [4]mat.Point {
	return [4]mat.Point{{X: r.MinX, Y: r.MinY}, {X: r.MaxX, Y: r.MinY}, {X: r.MaxX, Y: r.MaxY}, {X: r.MinX, Y: r.MaxY}}
}

// drawFooter draws the check bar and who the sheet belongs to.
func (t *sheet) drawFooter(c Canvas) {
	s, h := t.book.layout.Setup, t.book.layout.PageHeightMM
	y := t.book.footerBaseline(h)
	drawBar(c, s.MarginMM+footerInset, y, 50, 10)
	x := s.MarginMM + footerInset + 52
	x += write(c, x, y, left, "50 mm", lettering.Regular, capSmall, page.Ink) + 5
	text := fmt.Sprintf("Sheet %s · row %d of %d, column %d of %d · %s", t.tile.Label,
		t.tile.Row+1, t.book.layout.Rows, t.tile.Col+1, t.book.layout.Cols, t.book.title)
	room := t.book.layout.PageWidthMM - s.MarginMM - x - footerInset - 28
	write(c, x, y, left, lettering.Regular.Fit(text, capSmall, room), lettering.Regular, capSmall, page.Ink)
}

// drawBar draws a bar of lengthMM standing on y, with ticks every stepMM. The
// length counts from the outer side of neither tick: the middles of the first
// and last tick are lengthMM apart.
func drawBar(c Canvas, x, y, lengthMM, stepMM float64) {
	p := Pen{WidthMM: 0.25, Colour: page.Black}
	path := segmentPath(x, y, x+lengthMM, y)
	n := int(lengthMM/stepMM + 0.5)
	for i := range n + 1 {
		h := 1.5
		if i == 0 || i == n {
			h = 2.6
		}
		at := x + lengthMM*float64(i)/float64(n)
		path = append(path, segmentPath(at, y+0.125, at, y-h)...)
	}
	c.Stroke(path, p)
}
