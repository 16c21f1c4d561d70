package page

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// Tile is one sheet: a window of the content area's size on the pattern.
// A tile draws the pieces it lists and nothing else, so that another layout
// (each piece moved to its own sheet, say) is only another list of tiles.
type Tile struct {
	// Row and Col count from 0 at the top left; Label is their SheetLabel.
	Row, Col int
	Label    string
	// OriginMM is the point of the pattern at the content area's top-left
	// corner.
	OriginMM mat.Point
	// Pieces are the indices in the pattern of the pieces seen on the tile.
	Pieces []int
	// Left, Right, Above and Below are the neighbours' indices in the
	// layout's Tiles; -1 where no sheet is printed.
	Left, Right, Above, Below int
}

// SheetLabel names the sheet in a row and column, counted from 0: "r1 c2" is in
// the first row and the second column. A letter and a number would name an edge,
// two numbers a run of pages to a print dialog.
func SheetLabel(row, col int) string { return fmt.Sprintf("r%d c%d", row+1, col+1) }

// Layout is a pattern on sheets of one size.
type Layout struct {
	Setup     Setup
	Landscape bool
	// PageWidthMM and PageHeightMM are the sheet's, as it lies.
	PageWidthMM, PageHeightMM float64
	// Content is where the pattern is drawn, in mm from the page's top left.
	Content Rect
	// BoundsMM holds all that is drawn of the pattern, in its own frame.
	BoundsMM   Rect
	Rows, Cols int
	// Tiles are the sheets that are needed, in reading order; blank ones are
	// left out.
	Tiles []Tile
	// Marks pair neighbouring tiles.
	Marks []MatchMark
	// OtherFaces are the pieces' lines on the other face, and Findings say
	// why some pieces have none although an edge leans.
	OtherFaces [][]OtherFaceLine
	Findings   []pattern.Finding
	// Packed is set when the pieces are turned and packed: the frame is then the
	// layout's own, not the mat's, and tiles that are no neighbours lie apart.
	Packed bool
}

// MatchMark is a mark on the join of two tiles: it lies on the trim line of
// the tile that is laid over the other, and both print it with one label.
type MatchMark struct {
	Label string
	AtMM  mat.Point
	// Under and Over are indices in the layout's Tiles. Over is the right or
	// lower one: it is trimmed and laid over the other's strip.
	Under, Over int
	// Upright is true for a join between tiles side by side.
	Upright bool
}

// TileMM returns the part of the pattern that tile i shows.
func (l *Layout) TileMM(i int) Rect {
	o := l.Tiles[i].OriginMM
	return Rect{o.X, o.Y, o.X + l.Content.Width(), o.Y + l.Content.Height()}
}

// OwnMM returns the part of the pattern that stays in sight on tile i when
// all are stuck together: the strip under a neighbour to the right or below
// is left out.
func (l *Layout) OwnMM(i int) Rect {
	r := l.TileMM(i)
	if l.Tiles[i].Right >= 0 {
		r.MaxX -= l.Setup.OverlapMM
	}
	if l.Tiles[i].Below >= 0 {
		r.MaxY -= l.Setup.OverlapMM
	}
	return r
}

// ErrEmpty says that there is nothing to print.
var ErrEmpty = errors.New("the pattern has no pieces, so there is nothing to print; trace or draw a piece first")

// maxTiles keeps a slip of the pitch (a mat of kilometres) from filling the
// memory with pages.
const maxTiles = 2000

// AsLaid lays the pattern out as its pieces lay on the mat, over a grid of
// tiles. Of the orientations allowed and of the places where the grid may
// begin it takes those that need fewest sheets, then those that split fewest
// pieces, then the most central.
func AsLaid(p pattern.Pattern, s Setup) (*Layout, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	ink, err := inkOf(p)
	if err != nil {
		return nil, err
	}
	var best *grid
	for _, landscape := range orientations(s.Orientation) {
		g, err := bestGrid(ink, s, landscape)
		if err != nil {
			return nil, err
		}
		if best == nil || g.score.less(best.score) {
			best = g
		}
	}
	best.shift(ink.bounds)
	return best.layout(ink), nil
}

func orientations(o Orientation) []bool {
	switch o {
	case Portrait:
		return []bool{false}
	case Landscape:
		return []bool{true}
	}
	return []bool{false, true}
}

// grid is one way of laying tiles.
type grid struct {
	setup      Setup
	landscape  bool
	pageW      float64
	pageH      float64
	content    Rect
	stepX      float64
	stepY      float64
	rows, cols int
	origin     mat.Point
	score      score
}

func newGrid(bounds Rect, s Setup, landscape bool) (*grid, error) {
	if s.Paper.Roll {
		return rollGrid(bounds, s, landscape)
	}
	w, h := s.Paper.WidthMM, s.Paper.HeightMM
	if landscape == (w < h) {
		w, h = h, w
	}
	return gridOn(bounds, s, landscape, w, h)
}

// gridOn lays pages of w × h mm over the bounds.
func gridOn(bounds Rect, s Setup, landscape bool, w, h float64) (*grid, error) {
	m := s.MarginMM
	g := &grid{
		setup: s, landscape: landscape, pageW: w, pageH: h,
		content: Rect{m, m, w - m, h - m - s.FooterReserveMM()},
	}
	g.stepX, g.stepY = g.content.Width()-s.OverlapMM, g.content.Height()-s.OverlapMM
	cols := stepsFor(bounds.Width(), g.content.Width(), g.stepX)
	rows := stepsFor(bounds.Height(), g.content.Height(), g.stepY)
	if !(cols*rows <= maxTiles) {
		return nil, fmt.Errorf("the pattern is %.0f mm × %.0f mm and would take more than %d sheets; check the distance between the mat's lines, or choose a larger paper",
			bounds.Width(), bounds.Height(), maxTiles)
	}
	g.cols, g.rows = int(cols), int(rows)
	return g, nil
}

// stepsFor returns how many windows, each step after the last, cover size.
func stepsFor(size, window, step float64) float64 {
	return math.Max(1, math.Ceil((size-window)/step-1e-9)+1)
}

// covered returns the width and height that the whole grid covers.
func (g *grid) covered() (w, h float64) {
	return float64(g.cols-1)*g.stepX + g.content.Width(),
		float64(g.rows-1)*g.stepY + g.content.Height()
}

// cell returns the part of the pattern that tile (row, col) must show because
// no tile to the right or below does.
func (g *grid) cell(row, col int) Rect {
	x := g.origin.X + float64(col)*g.stepX
	y := g.origin.Y + float64(row)*g.stepY
	r := Rect{x, y, x + g.stepX, y + g.stepY}
	if col == g.cols-1 {
		r.MaxX = x + g.content.Width()
	}
	if row == g.rows-1 {
		r.MaxY = y + g.content.Height()
	}
	return r
}

// layout turns the grid into tiles, leaving out blank ones.
func (g *grid) layout(ink *ink) *Layout {
	l := &Layout{
		Setup: g.setup, Landscape: g.landscape,
		PageWidthMM: g.pageW, PageHeightMM: g.pageH,
		Content: g.content, BoundsMM: ink.bounds, Rows: g.rows, Cols: g.cols,
		OtherFaces: ink.other, Findings: ink.findings,
	}
	index := map[[2]int]int{}
	for row := range g.rows {
		for col := range g.cols {
			if !ink.meets(g.cell(row, col)) {
				continue
			}
			index[[2]int{row, col}] = len(l.Tiles)
			l.Tiles = append(l.Tiles, g.tile(ink, row, col))
		}
	}
	l.joinTiles(index, ink)
	return l
}

func (g *grid) tile(ink *ink, row, col int) Tile {
	c := g.cell(row, col)
	whole := Rect{c.MinX, c.MinY, c.MinX + g.content.Width(), c.MinY + g.content.Height()}
	return Tile{
		Row: row, Col: col, Label: SheetLabel(row, col),
		OriginMM: mat.Point{X: c.MinX, Y: c.MinY}, Pieces: ink.piecesIn(whole),
	}
}

// joinTiles finds the neighbours of the tiles in the index and sets match marks
// on their joins.
func (l *Layout) joinTiles(index map[[2]int]int, ink *ink) {
	find := func(row, col int) int {
		if i, ok := index[[2]int{row, col}]; ok {
			return i
		}
		return -1
	}
	in := make([]int, 0, len(index))
	for _, i := range index {
		in = append(in, i)
	}
	slices.Sort(in)
	for _, i := range in {
		t := &l.Tiles[i]
		t.Left, t.Right = find(t.Row, t.Col-1), find(t.Row, t.Col+1)
		t.Above, t.Below = find(t.Row-1, t.Col), find(t.Row+1, t.Col)
	}
	for _, i := range in {
		t := l.Tiles[i]
		if t.Right >= 0 {
			l.markJoin(ink, i, t.Right, true)
		}
		if t.Below >= 0 {
			l.markJoin(ink, i, t.Below, false)
		}
	}
}

// MarkReachMM is how far a match mark and its number reach to every side.
const MarkReachMM = 7.0

// markJoin sets two marks on the trim line of tile over: about a quarter and
// three quarters of the side that both tiles show, moved to where no piece's
// line runs through them if there is such a place.
func (l *Layout) markJoin(ink *ink, under, over int, upright bool) {
	for _, end := range []float64{0, 1} {
		var at mat.Point
		for i, part := range []float64{0.25, 0.2, 0.3, 0.15, 0.35, 0.1, 0.4} {
			p := l.onJoin(over, math.Abs(end-part), upright)
			box := Rect{p.X, p.Y, p.X, p.Y}.Grown(MarkReachMM)
			if i == 0 {
				at = p
			}
			if !ink.hasLineIn(box) {
				at = p
				break
			}
		}
		l.Marks = append(l.Marks, MatchMark{
			Label: fmt.Sprint(len(l.Marks) + 1), AtMM: at,
			Under: under, Over: over, Upright: upright,
		})
	}
}

// onJoin returns the point at a part of the trim line of tile over.
func (l *Layout) onJoin(over int, part float64, upright bool) mat.Point {
	o := l.Tiles[over].OriginMM
	if upright {
		return mat.Point{X: o.X, Y: o.Y + part*(l.Content.Height()-l.Setup.OverlapMM)}
	}
	return mat.Point{X: o.X + part*(l.Content.Width()-l.Setup.OverlapMM), Y: o.Y}
}
