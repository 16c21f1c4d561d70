package page

import (
	"flatwright/export/sheet/nest"
	"flatwright/export/sheet/polygon"
	"flatwright/export/sheet/silhouette"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// binEdgeMM is how far a bin reaches beyond its part of the page: its margin
// then leaves just the pad for the width of lines.
const binEdgeMM = packedGapMM - inkPadMM

func binOf(r Rect) nest.Bin {
	return nest.Bin{LengthMM: r.Width() + 2*binEdgeMM, WidthMM: r.Height() + 2*binEdgeMM}
}

// inkShapes covers all that is printed of a piece.
func inkShapes(q *pattern.Piece) ([]polygon.Shape, error) {
	shapes, _, err := silhouette.Of(q, packedToleranceMM)
	if err != nil {
		return nil, err
	}
	// Lines drawn beyond the outline: their boxes do.
	bounds := polygon.BoxOf(shapes[0].Outline)
	for _, l := range q.Lines {
		b := l.Path.Bounds()
		if b.Min.X < bounds.MinX || b.Min.Y < bounds.MinY || b.Max.X > bounds.MaxX || b.Max.Y > bounds.MaxY {
			b.Min.X, b.Min.Y, b.Max.X, b.Max.Y = b.Min.X-0.1, b.Min.Y-0.1, b.Max.X+0.1, b.Max.Y+0.1
			shapes = append(shapes, polygon.Shape{Outline: []mat.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}})
		}
	}
	return shapes, nil
}

// placeOfBin is a tile of a block.
type placeOfBin struct {
	block  int
	origin mat.Point // of the bin, in the block's frame
}

type freeBin struct {
	bin   nest.Bin
	place placeOfBin
}

// freeBins returns the tiles of large pieces as bins for others: inside what
// neither a strip nor a match mark takes, and clear of the large piece.
func (k *packing) freeBins(pieces []nest.Piece) []freeBin {
	var out []freeBin
	for n, b := range k.blocks {
		shapes := append([]polygon.Shape{pieces[b.own].Shape}, pieces[b.own].More...)
		for i, s := range shapes {
			shapes[i] = s.Map(b.turn.Apply)
		}
		for _, r := range b.grid.freeRects() {
			bin := binOf(r)
			for _, s := range shapes {
				bin.Blocked = append(bin.Blocked, s.Placed(0, mat.Point{X: binEdgeMM - r.MinX, Y: binEdgeMM - r.MinY}))
			}
			out = append(out, freeBin{bin, placeOfBin{n, mat.Point{X: r.MinX - binEdgeMM, Y: r.MinY - binEdgeMM}}})
		}
	}
	return out
}

// freeRects returns the parts of the grid's tiles that no join touches, where
// there is a tile at all.
func (g *grid) freeRects() []Rect {
	var out []Rect
	for row := range g.rows {
		for col := range g.cols {
			r := g.cell(row, col)
			r.MaxX, r.MaxY = r.MinX+g.content.Width(), r.MinY+g.content.Height()
			join := g.setup.OverlapMM + MarkReachMM
			if col > 0 {
				r.MinX += join
			}
			if col < g.cols-1 {
				r.MaxX -= join
			}
			if row > 0 {
				r.MinY += join
			}
			if row < g.rows-1 {
				r.MaxY -= join
			}
			if r.Width() > 20 && r.Height() > 20 {
				out = append(out, r)
			}
		}
	}
	return out
}
