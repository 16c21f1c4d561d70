package draw

import (
	"fmt"
	"math"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
)

// leastMapMM is the height under which the map goes to a page of its own.
const leastMapMM = 75

// putMap puts the page map: how the sheets lie and which pieces are on them.
func (b *book) putMap(f *flow) {
	f.heading("How the sheets lie, named by row and column", leastMapMM)
	extent := b.mapExtent()
	height := f.bottom() - f.y
	scale := math.Min(f.room()/extent.Width(), height/extent.Height())
	scale = math.Min(scale, 1)
	f.put(extent.Height()*scale, func(c Canvas, y float64) {
		dx := f.left() + (f.room()-extent.Width()*scale)/2
		b.drawMap(c, frame{scale, dx - extent.MinX*scale, y - extent.MinY*scale})
	})
	f.gap(4)
}

// mapExtent is what the sheets and the pattern cover together.
func (b *book) mapExtent() page.Rect {
	r := b.layout.BoundsMM
	for i := range b.layout.Tiles {
		r = r.Union(b.layout.TileMM(i))
	}
	return r
}

func (b *book) drawMap(c Canvas, f frame) {
	onMap := func(r page.Rect) page.Rect {
		p, q := f.point(mat.Point{X: r.MinX, Y: r.MinY}), f.point(mat.Point{X: r.MaxX, Y: r.MaxY})
		return page.Rect{MinX: p.X, MinY: p.Y, MaxX: q.X, MaxY: q.Y}
	}
	for _, a := range b.art {
		c.Fill(f.path(a.piece.Outline), mapFill)
		for _, o := range a.piece.Openings {
			c.Fill(f.path(o), page.White)
		}
	}
	for i := range b.layout.Tiles {
		c.Stroke(rectPath(onMap(b.layout.OwnMM(i))), thin(page.Grey))
	}
	for _, a := range b.art {
		for _, o := range a.other {
			s, _ := page.CutLineStyle(o.Cut)
			c.Stroke(f.path(o.Path), thin(s.Colour))
		}
		for _, loop := range a.piece.Openings {
			c.Stroke(f.path(loop), thin(page.Black))
		}
		c.Stroke(f.path(a.piece.Outline), Pen{WidthMM: 0.25, Colour: page.Black})
	}
	var names [][]mat.Point
	for i := range b.layout.Tiles {
		box := drawMapTile(c, onMap(b.layout.OwnMM(i)), b.layout.Tiles[i].Label, b.front+i+1)
		names = append(names, f.back(box))
	}
	for _, a := range b.art {
		drawMapLetter(c, a, f, names)
	}
}

// back is a box of the map in the pattern's frame, with a line through its
// middle so that nothing has room within it.
func (f frame) back(r page.Rect) []mat.Point {
	at := func(x, y float64) mat.Point { return mat.Point{X: (x - f.dx) / f.scale, Y: (y - f.dy) / f.scale} }
	midY := (r.MinY + r.MaxY) / 2
	return []mat.Point{
		at(r.MinX, midY), at(r.MinX, r.MinY), at(r.MaxX, r.MinY), at(r.MaxX, r.MaxY),
		at(r.MinX, r.MaxY), at(r.MinX, midY), at(r.MaxX, midY),
	}
}

// mapFill sets the pieces off from the paper.
var mapFill = page.Colour{R: 0xec, G: 0xec, B: 0xec}

// drawMapTile names a sheet in the corner of its place on the map, and returns
// the box that the name and the page's number take there.
func drawMapTile(c Canvas, r page.Rect, name string, number int) page.Rect {
	capMM := capSmall
	if r.Width() < 45 {
		capMM = 1.8
	}
	w := lettering.Bold.WidthMM(name, capMM) + 2
	c.Fill(rectPath(page.Rect{MinX: r.MinX, MinY: r.MinY, MaxX: r.MinX + w, MaxY: r.MinY + capMM + 2}), page.Ink)
	write(c, r.MinX+1, r.MinY+1+capMM, left, name, lettering.Bold, capMM, page.White)
	end := r.MinX + w + 1
	end += write(c, end, r.MinY+1+capMM, left, fmt.Sprintf("p. %d", number), lettering.Regular, capMM*0.8, page.Grey)
	return page.Rect{MinX: r.MinX, MinY: r.MinY, MaxX: end, MaxY: r.MinY + capMM + 2}
}

// drawMapLetter writes a piece's letter on it, with its name where that fits,
// clear of the sheets' names.
func drawMapLetter(c Canvas, a *pieceArt, f frame, sheets [][]mat.Point) {
	room := lettering.Room{Loops: a.loops, Lines: sheets}
	name := newLabel(labelLine{a.piece.ID, lettering.Bold, 3}, labelLine{a.piece.Name, lettering.Regular, mapNameMM})
	if len(name.lines) == 2 {
		if at, factor := room.Widest(name.widthMM/f.scale, name.heightMM/f.scale); factor >= 1.2 {
			name.draw(c, f.point(at), 0)
			return
		}
	}
	for _, capMM := range []float64{4, 3, capSmall, mapNameMM} {
		l := shortLabel(a.piece, capMM)
		if l.widthMM == 0 {
			return
		}
		at, factor := room.Widest(l.widthMM/f.scale, l.heightMM/f.scale)
		if factor >= 1.3 || capMM == mapNameMM {
			l.draw(c, f.point(at), 0)
			return
		}
	}
}

// mapNameMM is the height of capitals of names on the map.
const mapNameMM = 1.8
