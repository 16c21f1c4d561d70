package draw

import (
	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
)

// tag is a few words beside a line: an edge's name, cut and seam, a mark's
// place in its seam, what is done along an inside line. In the pattern's frame.
type tag struct {
	text    string
	colour  page.Colour
	centre  mat.Point
	turnRad float64
	corners [4]mat.Point
	// from is where a leader touches the line that a tag far off belongs to.
	from mat.Point
	led  bool
}

const (
	tagCapMM = 2.2
	// tagGapMM is kept free between a tag and any line.
	tagGapMM = 0.7
	// leastStretchMM is the shortest stretch of an edge on a further sheet that
	// is named there as well.
	leastStretchMM = 40
)

// tagger finds places for the tags of all pieces of a layout.
type tagger struct {
	layout *page.Layout
	art    []*pieceArt
	// near lists for each piece those that share a sheet with it.
	near [][]int
	// joins are the lines along which the sheets meet.
	joins [][]mat.Point
	// taken are the boxes of what else is printed, ways the leaders of labels.
	taken [][4]mat.Point
	ways  [][]mat.Point
}

// placeWords finds places for all that is written on and beside the pieces, in
// the order of what a maker needs most: the edges that lean or are joined, the
// marks, the pieces' labels, the other edges. Words keep clear of all lines and
// of each other, and tags of the paper's joins if there is a place that does.
func (b *book) placeWords() {
	t := &tagger{layout: b.layout, art: b.art, near: neighbours(b.layout, len(b.art))}
	for i := range b.layout.Tiles {
		t.joins = append(t.joins, joinLines(b.layout, i)...)
	}
	for _, m := range b.layout.Marks {
		t.taken = append(t.taken, matchMarkBox(m))
	}
	marks := markTags(b.doc.Pattern)
	for i, a := range b.art {
		t.tagEdges(i, a, true)
		t.tagMarks(i, a, marks)
		t.tagWork(i, a)
	}
	b.nameSheets()
	b.placeLabels()
	t.keepClear(b)
	for i, a := range b.art {
		t.tagEdges(i, a, false)
	}
}

// keepClear keeps further tags off the sheets' names and the pieces' labels.
func (t *tagger) keepClear(b *book) {
	for i := range b.layout.Tiles {
		s := b.sheet(i)
		t.taken = append(t.taken, s.boxInPattern(b.names[i]))
		for _, l := range b.labels[i] {
			t.taken = append(t.taken, l.corners())
			if l.isLeader {
				t.ways = append(t.ways, []mat.Point{l.leader, l.at})
			}
		}
	}
}

// neighbours lists for each piece the others that some sheet shows with it.
func neighbours(l *page.Layout, pieces int) [][]int {
	near := make([][]int, pieces)
	seen := map[[2]int]bool{}
	for _, t := range l.Tiles {
		for _, i := range t.Pieces {
			for _, j := range t.Pieces {
				if i != j && !seen[[2]int{i, j}] {
					seen[[2]int{i, j}] = true
					near[i] = append(near[i], j)
				}
			}
		}
	}
	return near
}

// joinLines are the lines along which tile i is laid over others.
func joinLines(l *page.Layout, i int) [][]mat.Point {
	r := l.TileMM(i)
	var lines [][]mat.Point
	if l.Tiles[i].Left >= 0 {
		lines = append(lines, []mat.Point{{X: r.MinX, Y: r.MinY}, {X: r.MinX, Y: r.MaxY}})
	}
	if l.Tiles[i].Above >= 0 {
		lines = append(lines, []mat.Point{{X: r.MinX, Y: r.MinY}, {X: r.MaxX, Y: r.MinY}})
	}
	return lines
}

// tagEdges names those of a piece's edges that lean or are part of a seam, on
// every sheet that shows a good stretch of one, or else the others, each once.
func (t *tagger) tagEdges(piece int, a *pieceArt, telling bool) {
	for i, e := range a.piece.Edges {
		s, _ := page.CutLineStyle(e.Cut)
		cut := joined(" ", page.CutTag(e.Cut), a.seams[e.ID])
		if telling != (cut != "") {
			continue
		}
		for _, pts := range t.stretches(piece, a.piece.EdgePath(i).Flatten(artTolMM), telling) {
			t.tagEdge(piece, pts, e.ID, cut, s.Colour)
		}
	}
}

// tagEdge names a stretch of an edge: beside it, without its own name where
// there is less room, then square to it, at last off the piece with a leader.
// An edge of which there is nothing to tell is left unnamed before that.
func (t *tagger) tagEdge(piece int, pts []mat.Point, id, cut string, colour page.Colour) {
	texts := []string{joined(" ", id, cut)}
	if cut != "" {
		texts = append(texts, cut)
	}
	if t.placeBeside(piece, pts, texts, colour, edgeSides[:]) || cut == "" {
		return
	}
	if !t.placeSquare(piece, pts, texts, colour) {
		t.placeLed(piece, pts, texts[0], colour)
	}
}

// edgeSides are the sides on which an edge's tag may stand, inside first.
var edgeSides = [...]tagSide{{1, true}, {-1, false}}

// lineSides are those of an inside line's tag.
var lineSides = [...]tagSide{{1, true}, {-1, true}}

// tagSide is a side of a line, and whether a tag there must lie inside the
// piece.
type tagSide struct {
	inwards float64
	inside  bool
}

// tagWork writes beside the inside lines what is done along them.
func (t *tagger) tagWork(piece int, a *pieceArt) {
	for _, l := range a.piece.Lines {
		if text := page.WorkTag(l.Work); text != "" {
			t.placeBeside(piece, l.Path.Flatten(artTolMM), []string{text}, page.ScoreStyle.Colour, lineSides[:])
		}
	}
}

// offsetsMM are how far from its line a tag may stand, partsOfLine where along
// it.
var (
	offsetsMM   = [...]float64{2.4, 4, 6, 8.5, 11, 14}
	partsOfLine = [...]float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8}
)

// placeBeside puts the first of some texts that finds a free place beside a
// line, clear of the joins if possible.
func (t *tagger) placeBeside(piece int, pts []mat.Point, texts []string, colour page.Colour, sides []tagSide) bool {
	for _, overJoins := range []bool{false, true} {
		for _, text := range texts {
			text = lettering.Regular.Clean(text)
			if len(pts) < 2 || text == "" {
				continue
			}
			if g, ok := t.beside(piece, pts, lettering.Regular.WidthMM(text, tagCapMM), sides, overJoins); ok {
				g.text, g.colour = text, colour
				t.art[piece].addTag(g)
				return true
			}
		}
	}
	return false
}

// placeSquare puts the first of some texts that fits square to an edge into the
// piece.
func (t *tagger) placeSquare(piece int, pts []mat.Point, texts []string, colour page.Colour) bool {
	for _, text := range texts {
		text = lettering.Regular.Clean(text)
		w := lettering.Regular.WidthMM(text, tagCapMM)
		for _, off := range offsetsMM[:3] {
			for _, part := range partsOfLine {
				g := squareTag(pts, part, off-tagCapMM/2+w/2, w)
				if len(pts) > 1 && text != "" && t.free(piece, g, true, false) {
					g.text, g.colour = text, colour
					t.art[piece].addTag(g)
					return true
				}
			}
		}
	}
	return false
}

func (t *tagger) beside(piece int, pts []mat.Point, widthMM float64, sides []tagSide, overJoins bool) (tag, bool) {
	for _, side := range sides {
		for _, off := range offsetsMM {
			for _, part := range partsOfLine {
				g := newTag(pts, part, side.inwards*off, widthMM)
				if t.free(piece, g, side.inside, overJoins) {
					return g, true
				}
			}
		}
	}
	return tag{}, false
}

// free reports whether a tag's box meets no line or other tag, lies on the
// wanted side of its piece's outline and in no other piece.
func (t *tagger) free(piece int, g tag, inside, overJoins bool) bool {
	a := t.art[piece]
	if page.Inside(g.centre, a.loops[0]) != inside || a.meets(g.corners) {
		return false
	}
	for _, loop := range a.loops[1:] {
		if page.Inside(g.centre, loop) {
			return false
		}
	}
	box := boundsOf(g.corners)
	for _, j := range t.near[piece] {
		o := t.art[j]
		if o.reach.Meets(box) && (o.meets(g.corners) || page.Inside(g.centre, o.loops[0])) {
			return false
		}
	}
	return !t.isTaken(g) && (overJoins || !crossesAny(g.corners, t.joins))
}

// isTaken reports whether a tag would lie over words or marks of the sheets.
func (t *tagger) isTaken(g tag) bool {
	for _, box := range t.taken {
		if overlap(g.corners, box) {
			return true
		}
	}
	return crossesAny(g.corners, t.ways)
}

func crossesAny(box [4]mat.Point, lines [][]mat.Point) bool {
	for _, line := range lines {
		if crosses(box, line, false) {
			return true
		}
	}
	return false
}

func boundsOf(corners [4]mat.Point) page.Rect {
	r := page.EmptyRect()
	for _, c := range corners {
		r = r.With(c)
	}
	return r
}

// meets reports whether a box lies over a line or tag of the piece.
func (a *pieceArt) meets(box [4]mat.Point) bool {
	for _, loop := range a.loops {
		if crosses(box, loop, true) {
			return true
		}
	}
	for _, line := range a.lines {
		if crosses(box, line, false) {
			return true
		}
	}
	return a.meetsTags(box)
}

func (a *pieceArt) meetsTags(box [4]mat.Point) bool {
	for _, o := range a.tags {
		if overlap(box, o.corners) || o.led && crosses(box, []mat.Point{o.from, o.centre}, false) {
			return true
		}
	}
	return false
}

func (a *pieceArt) addTag(g tag) {
	a.tags = append(a.tags, g)
	a.reach = a.reach.Union(g.reach())
}

// reach is the box of a tag with its leader.
func (g tag) reach() page.Rect {
	r := boundsOf(g.corners)
	if g.led {
		r = r.With(g.from)
	}
	return r
}

func (g tag) draw(c Canvas, f frame) {
	w := lettering.Regular.WidthMM(g.text, tagCapMM)
	if g.led {
		g.drawLeader(c, f)
	}
	d := turned(mat.Point{X: -w / 2, Y: tagCapMM / 2}, g.turnRad)
	at := f.point(mat.Point{X: g.centre.X + d.X, Y: g.centre.Y + d.Y})
	c.Text(Words{At: at, Text: g.text, Face: lettering.Regular, CapMM: tagCapMM, Colour: g.colour, TurnRad: g.turnRad})
}
