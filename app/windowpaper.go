package main

import (
	"cmp"
	"context"
	"math"
	"slices"

	"flatwright/app/desk"
	"flatwright/app/desk/session"
	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

var _ desk.PaperLayer = bench{}

// OnPaper tells where the pieces lie on the sheets of a packed layout.
func (b bench) OnPaper(ctx context.Context, x session.Printout) (desk.Paper, error) {
	set, _, err := b.pages.of(ctx, x)
	if err != nil {
		return desk.Paper{}, err
	}
	return paperOf(set), nil
}

// blockGapMM lies between sheets that are not joined, where the window shows
// them.
const blockGapMM = 20

// block is a run of sheets that are joined to one, shown side by side with
// others: the tiles, the pieces on them, and the paper they take in the layout's
// frame.
type block struct {
	tiles, pieces []int
	row, col      int
	paper         page.Rect
}

// paperOf sets the sheets of a layout out with a gap between those that are not
// joined, and the pieces upon them. The origin is the upper left corner of the
// first row.
func paperOf(set *draw.Set) desk.Paper {
	l := set.Layout
	out := desk.Paper{Sheets: make([]desk.PaperSheet, len(l.Tiles)), Pattern: set.Printed, Labels: map[string]session.PaperLabel{}}
	out.Pattern.Pieces = slices.Clone(set.Printed.Pieces)
	blocks := blocksOf(l)
	for k, at := range setOut(blocks) {
		b := blocks[k]
		by := mat.Point{X: at.X - b.paper.MinX, Y: at.Y - b.paper.MinY}
		for _, i := range b.tiles {
			out.Sheets[i] = paperSheet(l, i, by)
		}
		for _, i := range b.pieces {
			id := set.Printed.Pieces[i].ID
			out.Pattern.Pieces[i] = set.Printed.Pieces[i].Moved(curve.Translation(by))
			if at, ok := set.Labels[id]; ok {
				out.Labels[id] = session.PaperLabel{At: plus(at.At, by), Leader: plus(at.Leader, by), Led: at.Led}
			}
		}
	}
	return out
}

// shownAspect is the width over the height of the room that sheets are shown in.
const shownAspect = 1.15

// setOut returns where each block begins so that all are shown as large as can
// be. Single sheets keep the rows that they are named by; joined ones stand side
// by side, in their order, in rows before them.
func setOut(blocks []block) []mat.Point {
	var best []mat.Point
	least, widest := math.Inf(1), 0.0
	for _, b := range blocks {
		widest += b.paper.Width() + blockGapMM
		at, w, h := rowsWithin(blocks, widest)
		if size := math.Max(w/shownAspect, h); size < least {
			best, least = at, size
		}
	}
	return best
}

// rowsWithin is setOut with rows of joined sheets up to a width, and how wide
// and high that is.
func rowsWithin(blocks []block, widest float64) (at []mat.Point, w, h float64) {
	x, y := 0.0, 0.0
	for k, b := range blocks {
		joined := len(b.tiles) > 1
		if k > 0 {
			before := blocks[k-1]
			goesOn := b.row == before.row
			if joined {
				goesOn = len(before.tiles) > 1 && x+b.paper.Width() <= widest
			}
			if !goesOn {
				x, y = 0, h+blockGapMM
			}
		}
		at = append(at, mat.Point{X: x, Y: y})
		w, h = math.Max(w, x+b.paper.Width()), math.Max(h, y+b.paper.Height())
		x += b.paper.Width() + blockGapMM
	}
	return at, w, h
}

func plus(a, b mat.Point) mat.Point { return mat.Point{X: a.X + b.X, Y: a.Y + b.Y} }

// paperSheet is a tile moved to where it is shown.
func paperSheet(l *page.Layout, i int, by mat.Point) desk.PaperSheet {
	seen := paperMM(l, i)
	s := desk.PaperSheet{
		SheetPlace: sheetPlace(l, i),
		PaperMin:   mat.Point{X: seen.MinX, Y: seen.MinY}, PaperMax: mat.Point{X: seen.MaxX, Y: seen.MaxY},
	}
	for _, p := range []*mat.Point{&s.Min, &s.Max, &s.OwnMax, &s.PaperMin, &s.PaperMax} {
		*p = plus(*p, by)
	}
	return s
}

// sheetPlace is a tile in the layout's frame.
func sheetPlace(l *page.Layout, i int) desk.SheetPlace {
	all, own := l.TileMM(i), l.OwnMM(i)
	return desk.SheetPlace{
		Label: l.Tiles[i].Label, Page: draw.SheetName(l.Tiles[i].Label),
		Min: mat.Point{X: all.MinX, Y: all.MinY}, Max: mat.Point{X: all.MaxX, Y: all.MaxY},
		OwnMax: mat.Point{X: own.MaxX, Y: own.MaxY},
	}
}

// paperMM is what is left in sight of a tile's paper once it is trimmed and its
// neighbours are laid over it, in the layout's frame.
func paperMM(l *page.Layout, i int) page.Rect {
	t, all, own := l.Tiles[i], l.TileMM(i), l.OwnMM(i)
	r := page.Rect{
		MinX: all.MinX - l.Content.MinX, MinY: all.MinY - l.Content.MinY,
		MaxX: all.MaxX + l.PageWidthMM - l.Content.MaxX, MaxY: all.MaxY + l.PageHeightMM - l.Content.MaxY,
	}
	if t.Left >= 0 {
		r.MinX = all.MinX
	}
	if t.Above >= 0 {
		r.MinY = all.MinY
	}
	if t.Right >= 0 {
		r.MaxX = own.MaxX
	}
	if t.Below >= 0 {
		r.MaxY = own.MaxY
	}
	return r
}

// blocksOf divides a layout into blocks, in the order of their rows: tiles that
// are neighbours or show one piece belong together.
func blocksOf(l *page.Layout) []block {
	of := make([]int, len(l.Tiles))
	for i := range of {
		of[i] = i
	}
	join := func(a, b int) {
		for i, from := 0, of[b]; i < len(of); i++ {
			if of[i] == from {
				of[i] = of[a]
			}
		}
	}
	first := map[int]int{}
	for i, t := range l.Tiles {
		for _, n := range []int{t.Right, t.Below} {
			if n >= 0 {
				join(i, n)
			}
		}
		for _, p := range t.Pieces {
			if before, ok := first[p]; ok {
				join(before, i)
			}
			first[p] = i
		}
	}
	return gathered(l, of)
}

// gathered makes blocks of tiles that have one number.
func gathered(l *page.Layout, of []int) []block {
	at := map[int]int{}
	var out []block
	for i, t := range l.Tiles {
		k, ok := at[of[i]]
		if !ok {
			k = len(out)
			at[of[i]] = k
			out = append(out, block{row: t.Row, col: t.Col, paper: page.EmptyRect()})
		}
		b := &out[k]
		b.row, b.col = min(b.row, t.Row), min(b.col, t.Col)
		b.tiles, b.paper = append(b.tiles, i), b.paper.Union(paperMM(l, i))
		for _, p := range t.Pieces {
			if !slices.Contains(b.pieces, p) {
				b.pieces = append(b.pieces, p)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b block) int {
		return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.col, b.col))
	})
	return out
}
