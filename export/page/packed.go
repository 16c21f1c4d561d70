package page

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"flatwright/export/sheet/nest"
	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

const (
	// packedGapMM is left between pieces on a page, for their lines and tags.
	packedGapMM = 4
	// packedToleranceMM is how far the polygons that are packed may reach beyond
	// the pieces.
	packedToleranceMM = 0.5
	// packedMoves bounds the search, so that one pattern gives one layout on
	// every machine.
	packedMoves = 3000
	// apartMM lies between pages that are not joined, in the layout's frame.
	apartMM = 40
)

// mostPacked is how many pieces are packed; more take too long.
const mostPacked = 400

// Packed lays the pieces out turned and packed: none that fits a page is
// split, and pages are few. Pieces larger than a page are turned to where they
// need fewest sheets and seams cross fewest lines; what their sheets have left
// is used for others.
//
// The pieces are moved for it: the pattern that is returned, whose frame is the
// layout's, is to be printed in place of p. Pieces are never mirrored.
//
// Packing can take many seconds; it ends with the context's error when that is
// done.
func Packed(ctx context.Context, p pattern.Pattern, s Setup) (*Layout, pattern.Pattern, error) {
	if err := s.Check(); err != nil {
		return nil, p, err
	}
	if _, err := inkOf(p); err != nil {
		return nil, p, err
	}
	if n := len(p.Pieces); n > mostPacked {
		return nil, p, fmt.Errorf("%d pieces are more than can be packed (%d): print them as laid", n, mostPacked)
	}
	if s.Paper.Roll {
		return packedRoll(ctx, p, s)
	}
	var best *packing
	for _, landscape := range orientations(s.Orientation) {
		k, err := pack(ctx, p, s, landscape)
		if err != nil {
			return nil, p, err
		}
		if best == nil || k.sheets() < best.sheets() {
			best = k
		}
	}
	return best.layout()
}

// packedRoll packs all pieces on as little of a roll's length as it can, which
// lies along x: the text below the pattern then takes of the width. With a
// piece wider than the roll they stay as laid.
func packedRoll(ctx context.Context, p pattern.Pattern, s Setup) (*Layout, pattern.Pattern, error) {
	around := 2*(s.MarginMM-binEdgeMM) + s.FooterReserveMM()
	problem := nest.Problem{GapMM: packedGapMM, MarginMM: packedGapMM, StripWidthMM: s.Paper.WidthMM - around}
	for i := range p.Pieces {
		shapes, err := inkShapes(&p.Pieces[i])
		if err != nil {
			return nil, p, err
		}
		problem.Pieces = append(problem.Pieces, nest.Piece{Name: p.Pieces[i].ID, Shape: shapes[0], More: shapes[1:], Count: 1})
		if !nest.Fits(&problem, i) {
			l, err := AsLaid(p, s)
			return l, p, err
		}
	}
	found, err := solved(ctx, problem)
	if err != nil {
		return nil, p, err
	}
	moved := p
	moved.Pieces = slices.Clone(p.Pieces)
	for _, q := range found.Placements {
		moved.Pieces[q.Piece] = p.Pieces[q.Piece].Moved(moveOf(q, mat.Point{}))
	}
	l, err := AsLaid(moved, s)
	if err != nil {
		return nil, p, err
	}
	l.Packed = true
	return l, moved, nil
}

// solved packs within the usual number of moves. A search that was stopped
// would give another layout than one that was not: it gives none.
func solved(ctx context.Context, p nest.Problem) (nest.Result, error) {
	found, err := nest.Solve(ctx, p, nest.Options{Seed: 1, Moves: packedMoves})
	if err == nil {
		err = ctx.Err()
	}
	return found, err
}

// moveOf is the motion to where a piece was packed, in a frame that has the
// bin's origin at a point.
func moveOf(q nest.Placement, origin mat.Point) curve.Transform {
	sin, cos := polygon.SinCosDeg(q.TurnDeg)
	return curve.Transform{A: cos, B: -sin, C: q.ShiftMM.X + origin.X, D: sin, E: cos, F: q.ShiftMM.Y + origin.Y}
}

// LayOut lays a pattern out as the setup asks, and returns with the layout the
// pattern to print. It ends with the context's error when that is done.
func LayOut(ctx context.Context, p pattern.Pattern, s Setup) (*Layout, pattern.Pattern, error) {
	if s.Packed {
		return Packed(ctx, p, s)
	}
	l, err := AsLaid(p, s)
	return l, p, err
}

// packing is one way of packing pages of one orientation.
type packing struct {
	pattern pattern.Pattern
	setup   Setup
	// page is a grid of one page: its sizes.
	page   grid
	blocks []block
}

// block is a run of joined tiles with a piece larger than a page, or one page.
type block struct {
	grid *grid
	// own is the large piece with its move to the block's frame; -1 for none.
	own    int
	turn   curve.Transform
	pieces map[int]curve.Transform
}

func (k *packing) sheets() int {
	n := 0
	for _, b := range k.blocks {
		n += b.grid.score.sheets
	}
	return n
}

func pack(ctx context.Context, p pattern.Pattern, s Setup, landscape bool) (*packing, error) {
	g, err := newGrid(Rect{}, s, landscape)
	if err != nil {
		return nil, err
	}
	k := &packing{pattern: p, setup: s, page: *g}
	// The margin is the gap, which a large piece on the same tile is to keep; the
	// bins are wider for it, since pages need hardly any.
	problem := nest.Problem{GapMM: packedGapMM, MarginMM: packedGapMM, KeepLast: true}
	page := binOf(Rect{MaxX: g.content.Width(), MaxY: g.content.Height()})
	problem.Bins = []nest.Bin{page}
	for i := range p.Pieces {
		shapes, err := inkShapes(&p.Pieces[i])
		if err != nil {
			return nil, err
		}
		problem.Pieces = append(problem.Pieces, nest.Piece{Name: p.Pieces[i].ID, Shape: shapes[0], More: shapes[1:], Count: 1})
	}
	if err := k.splitLarge(ctx, &problem); err != nil {
		return nil, err
	}
	bins := k.freeBins(problem.Pieces)
	places := make([]placeOfBin, len(bins))
	problem.Bins = nil
	for i, b := range bins {
		places[i] = b.place
		problem.Bins = append(problem.Bins, b.bin)
	}
	for i := range p.Pieces {
		if problem.Pieces[i].Count > 0 {
			problem.Bins = append(problem.Bins, page)
		}
	}
	if len(problem.Bins) == 0 {
		return k, nil
	}
	found, err := solved(ctx, problem)
	if err != nil {
		return nil, err
	}
	k.take(found, places)
	return k, nil
}

// take turns bins into blocks and notes where the pieces go.
func (k *packing) take(found nest.Result, places []placeOfBin) {
	pages := map[int]int{}
	placements := slices.Clone(found.Placements)
	slices.SortStableFunc(placements, func(a, b nest.Placement) int { return cmp.Compare(a.Bin, b.Bin) })
	for _, q := range placements {
		place := placeOfBin{origin: mat.Point{X: -binEdgeMM, Y: -binEdgeMM}}
		if q.Bin < len(places) {
			place = places[q.Bin]
		} else {
			n, ok := pages[q.Bin]
			if !ok {
				n = len(k.blocks)
				pages[q.Bin] = n
				g := k.page
				g.rows, g.cols, g.score.sheets = 1, 1, 1
				k.blocks = append(k.blocks, block{grid: &g, own: -1, pieces: map[int]curve.Transform{}})
			}
			place.block = n
		}
		k.blocks[place.block].pieces[q.Piece] = moveOf(q, place.origin)
	}
}

// layout sets the blocks out in one frame, large pieces first, and makes tiles
// of them.
func (k *packing) layout() (*Layout, pattern.Pattern, error) {
	moved := k.pattern
	moved.Pieces = slices.Clone(k.pattern.Pieces)
	done := make([]bool, len(moved.Pieces))
	rows := k.arrange()
	for _, b := range k.blocks {
		shift := curve.Translation(b.grid.origin)
		for i, m := range b.pieces {
			moved.Pieces[i] = k.pattern.Pieces[i].Moved(m.Then(shift))
			done[i] = true
		}
		if b.own >= 0 {
			moved.Pieces[b.own] = k.pattern.Pieces[b.own].Moved(b.turn.Then(shift))
			done[b.own] = true
		}
	}
	if i := slices.Index(done, false); i >= 0 {
		return nil, moved, fmt.Errorf("piece %s found no room on a page; print the pattern as laid", moved.Pieces[i].ID)
	}
	ink, err := inkOf(moved)
	if err != nil {
		return nil, moved, err
	}
	g := &k.page
	l := &Layout{
		Setup: k.setup, Landscape: g.landscape, PageWidthMM: g.pageW, PageHeightMM: g.pageH,
		Content: g.content, BoundsMM: ink.bounds, OtherFaces: ink.other, Findings: ink.findings, Packed: true,
	}
	l.Rows = k.addTiles(l, ink, rows)
	for _, t := range l.Tiles {
		l.Cols = max(l.Cols, t.Col+1)
	}
	return l, moved, nil
}

// arrange gives each block its place: origin of its grid in the layout's frame.
// Single pages go side by side, in rows that make the whole about as wide as
// high. It returns each block's row and column among the tiles.
func (k *packing) arrange() [][2]int {
	at := make([][2]int, len(k.blocks))
	singles := 0
	for _, b := range k.blocks {
		if b.own < 0 {
			singles++
		}
	}
	perRow := int(math.Ceil(math.Sqrt(float64(singles) * k.page.content.Height() / k.page.content.Width())))
	row, col, y := 0, 0, 0.0
	for i := range k.blocks {
		b := &k.blocks[i]
		if b.own < 0 && col > 0 && col < perRow {
			at[i] = [2]int{row, col}
		} else {
			if col > 0 {
				row, y = row+1, y+k.page.content.Height()+apartMM
			}
			col = 0
			at[i] = [2]int{row, 0}
		}
		_, h := b.grid.covered()
		to := mat.Point{X: float64(col) * (k.page.content.Width() + apartMM), Y: y}
		b.shiftTo(to)
		if b.own < 0 {
			col++
			continue
		}
		row, y = row+b.grid.rows, y+h+apartMM
	}
	return at
}

// shiftTo moves a block's frame, pieces and all, so that its grid begins at a
// point. Afterwards the moves lead to the layout's frame less the origin.
func (b *block) shiftTo(to mat.Point) {
	back := curve.Translation(mat.Point{X: -b.grid.origin.X, Y: -b.grid.origin.Y})
	b.turn = b.turn.Then(back)
	for i, m := range b.pieces {
		b.pieces[i] = m.Then(back)
	}
	b.grid.origin = to
}

// addTiles makes the tiles of all blocks and returns how many rows they take.
func (k *packing) addTiles(l *Layout, ink *ink, at [][2]int) (rows int) {
	for n, b := range k.blocks {
		index := map[[2]int]int{}
		for row := range b.grid.rows {
			for col := range b.grid.cols {
				if !ink.meets(b.grid.cell(row, col)) {
					continue
				}
				t := b.grid.tile(ink, row, col)
				t.Row, t.Col = at[n][0]+row, at[n][1]+col
				t.Label = SheetLabel(t.Row, t.Col)
				index[[2]int{t.Row, t.Col}] = len(l.Tiles)
				l.Tiles = append(l.Tiles, t)
			}
		}
		l.joinTiles(index, ink)
		rows = max(rows, at[n][0]+b.grid.rows)
	}
	return rows
}
