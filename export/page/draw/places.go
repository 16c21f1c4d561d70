package draw

import (
	"math"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
)

// placedLabel is a label on a tile, in the pattern's frame.
type placedLabel struct {
	art     *pieceArt
	label   label
	at      mat.Point
	turnRad float64
	// main is the one full label of the piece.
	main bool
	// leader ends inside the piece when the label lies outside.
	leader   mat.Point
	isLeader bool
}

// LabelPlace is where the middle of a piece's label stands, in the layout's
// frame; Led is set when it stands beside the piece, with a leader that ends at
// Leader.
type LabelPlace struct {
	At, Leader mat.Point
	Led        bool
}

// labelPlaces are the places of the full labels, by piece.
func (b *book) labelPlaces() map[string]LabelPlace {
	out := map[string]LabelPlace{}
	for _, tile := range b.labels {
		for _, l := range tile {
			if l.main {
				out[l.art.piece.ID] = LabelPlace{l.at, l.leader, l.isLeader}
			}
		}
	}
	return out
}

func (l placedLabel) draw(c Canvas, f frame) {
	if l.isLeader {
		drawLeader(c, f.point(l.leader), f.point(l.at), l.label)
	}
	l.label.draw(c, f.point(l.at), l.turnRad)
}

// drawLeader draws a thin line with a dot at the piece's end, up to the
// label's box.
func drawLeader(c Canvas, from, to Point, l label) {
	dx, dy := from.X-to.X, from.Y-to.Y
	t := math.Min((l.widthMM/2+1)/math.Max(math.Abs(dx), 1e-9), (l.heightMM/2+1)/math.Max(math.Abs(dy), 1e-9))
	if t < 1 {
		c.Stroke(segmentPath(from.X, from.Y, to.X+t*dx, to.Y+t*dy), thin(page.Ink))
	}
	c.Fill(circle(from, 0.5), page.Ink)
}

// part is what a tile keeps in sight of a piece.
type part struct {
	tile int
	loop []mat.Point
	area float64
}

const (
	// labelGapMM is kept free around a label.
	labelGapMM = 1.2
	// leastPartMM2 is the smallest part of a piece that gets its letter.
	leastPartMM2 = 60
)

// placeLabels finds the labels of every tile: the full one on the tile that
// keeps most of the piece, the letter alone on the others.
func (b *book) placeLabels() {
	b.labels = make([][]placedLabel, len(b.layout.Tiles))
	for i, a := range b.art {
		parts := b.parts(i, a)
		main := 0
		for k := range parts {
			if parts[k].area > parts[main].area {
				main = k
			}
		}
		for k, p := range parts {
			var l placedLabel
			var ok bool
			if k == main {
				l, ok = b.placeMain(a, p)
			} else {
				l, ok = b.placeLetter(a, p)
			}
			if ok {
				b.labels[p.tile] = append(b.labels[p.tile], l)
			}
		}
	}
}

func (b *book) parts(piece int, a *pieceArt) []part {
	var parts []part
	for t := range b.layout.Tiles {
		for _, shown := range b.layout.Tiles[t].Pieces {
			if shown != piece {
				continue
			}
			loop := clipLoop(a.loops[0], b.layout.OwnMM(t))
			if len(loop) >= 3 {
				parts = append(parts, part{t, loop, math.Abs(shoelace(loop))})
			}
		}
	}
	return parts
}

// room returns the space for words in a part of a piece.
func (b *book) room(a *pieceArt, p part, withTags bool) lettering.Room {
	r := lettering.Room{Loops: [][]mat.Point{p.loop}, Lines: b.furniture(p.tile)}
	r.Loops = append(r.Loops, a.loops[1:]...)
	r.Lines = append(r.Lines, a.lines...)
	if withTags {
		for i := range a.tags {
			r.Lines = append(r.Lines, closedBox(a.tags[i].corners))
			if a.tags[i].led {
				r.Lines = append(r.Lines, []mat.Point{a.tags[i].from, a.tags[i].centre})
			}
		}
	}
	return r
}

// furniture returns the boxes of what else is printed on a tile.
func (b *book) furniture(tile int) [][]mat.Point {
	boxes := [][]mat.Point{closedBox(b.sheet(tile).boxInPattern(b.names[tile]))}
	for _, m := range b.layout.Marks {
		if m.Under == tile || m.Over == tile {
			boxes = append(boxes, closedBox(matchMarkBox(m)))
		}
	}
	return boxes
}

// matchMarkBox is the room of a match mark and its number, in the pattern's
// frame.
func matchMarkBox(m page.MatchMark) [4]mat.Point {
	return boxCorners(page.Rect{MinX: m.AtMM.X, MinY: m.AtMM.Y, MaxX: m.AtMM.X, MaxY: m.AtMM.Y}.Grown(page.MarkReachMM))
}

func closedBox(c [4]mat.Point) []mat.Point {
	return []mat.Point{c[0], c[1], c[2], c[3], c[0]}
}

// labelTurns are the ways a label may lie: level, upright, then aslant for
// long narrow pieces.
var labelTurns = []float64{0, -math.Pi / 2, math.Pi / 6, -math.Pi / 6, math.Pi / 4, -math.Pi / 4, math.Pi / 3, -math.Pi / 3}

// placeMain puts the full label inside if any size of it fits in any of the
// ways it may lie; else beside the piece with a leader; else without the name;
// else only the letter, inside or again with a leader. The table of pieces has
// the rest.
func (b *book) placeMain(a *pieceArt, p part) (placedLabel, bool) {
	room := b.room(a, p, true)
	for _, turn := range labelTurns {
		for _, l := range labels(a.piece) {
			if at, ok := fits(room, l, turn); ok {
				return placedLabel{art: a, label: l, at: at, turnRad: turn, main: true}, true
			}
		}
	}
	all := labels(a.piece)
	if l, ok := b.placeLeader(a, p, all[len(all)-2]); ok {
		return l, true
	}
	nameless := namelessLabels(a.piece)
	for _, l := range nameless {
		if at, ok := fits(room, l, 0); ok {
			return placedLabel{art: a, label: l, at: at, main: true}, true
		}
	}
	if l, ok := b.placeLeader(a, p, nameless[len(nameless)-2]); ok {
		return l, true
	}
	if l, ok := b.placeLetter(a, p); ok {
		l.main = true
		return l, true
	}
	return b.placeLeader(a, p, shortLabel(a.piece, capSmall))
}

func (b *book) placeLetter(a *pieceArt, p part) (placedLabel, bool) {
	if p.area < leastPartMM2 {
		return placedLabel{}, false
	}
	for _, capMM := range []float64{5, capSmall} {
		l := shortLabel(a.piece, capMM)
		if at, ok := fits(b.room(a, p, true), l, 0); ok {
			return placedLabel{art: a, label: l, at: at}, true
		}
	}
	return placedLabel{}, false
}

// fits returns where a label lies best in a room, turned by rad.
func fits(room lettering.Room, l label, rad float64) (mat.Point, bool) {
	if rad != 0 {
		room = turnedRoom(room, -rad)
	}
	at, ok := room.Fits(l.widthMM+2*labelGapMM, l.heightMM+2*labelGapMM)
	return turned(at, rad), ok
}

func turnedRoom(r lettering.Room, rad float64) lettering.Room {
	turnAll := func(lines [][]mat.Point) [][]mat.Point {
		out := make([][]mat.Point, len(lines))
		for i, line := range lines {
			out[i] = make([]mat.Point, len(line))
			for j, p := range line {
				out[i][j] = turned(p, rad)
			}
		}
		return out
	}
	return lettering.Room{Loops: turnAll(r.Loops), Lines: turnAll(r.Lines)}
}

// placeLeader looks for a free place near a piece for its label.
func (b *book) placeLeader(a *pieceArt, p part, l label) (placedLabel, bool) {
	inner, factor := lettering.Room{Loops: append([][]mat.Point{p.loop}, a.loops[1:]...)}.Widest(1, 1)
	if factor <= 0 {
		return placedLabel{}, false
	}
	size := page.EmptyRect()
	for _, q := range p.loop {
		size = size.With(q)
	}
	reach := math.Max(size.Width(), size.Height()) / 2
	for _, away := range []float64{6, 12, 20, 30, 45} {
		for k := range 16 {
			ang := float64(k) * math.Pi / 8
			at := mat.Point{
				X: inner.X + math.Cos(ang)*(reach+away+l.widthMM/2),
				Y: inner.Y + math.Sin(ang)*(reach+away+l.heightMM/2),
			}
			if b.freePlace(p.tile, at, l) && b.clearWay(p.tile, a, inner, at) {
				return placedLabel{art: a, label: l, at: at, main: true, leader: inner, isLeader: true}, true
			}
		}
	}
	return placedLabel{}, false
}

// freePlace reports whether a label's box at a point of a tile lies on bare
// paper.
func (b *book) freePlace(tile int, at mat.Point, l label) bool {
	box := labelBox(at, l)
	own := b.layout.OwnMM(tile)
	if box.MinX < own.MinX || box.MaxX > own.MaxX || box.MinY < own.MinY || box.MaxY > own.MaxY {
		return false
	}
	s := b.sheet(tile)
	f := s.frame()
	if s.meetsLines(page.Rect{MinX: box.MinX + f.dx, MinY: box.MinY + f.dy, MaxX: box.MaxX + f.dx, MaxY: box.MaxY + f.dy}) {
		return false
	}
	for _, i := range s.tile.Pieces {
		if page.Inside(at, b.art[i].loops[0]) || b.art[i].meetsTags(boxCorners(box)) {
			return false
		}
	}
	for _, f := range b.furniture(tile) {
		if crosses(boxCorners(box), f, false) {
			return false
		}
	}
	for _, o := range b.labels[tile] {
		if labelBox(o.at, o.label).Meets(box) || o.isLeader && crosses(boxCorners(box), []mat.Point{o.leader, o.at}, false) {
			return false
		}
	}
	return true
}

// clearWay reports whether a leader from inside a piece crosses neither a mark
// of it, nor words, nor another piece.
func (b *book) clearWay(tile int, a *pieceArt, from, to mat.Point) bool {
	way := []mat.Point{from, to}
	for _, l := range b.labels[tile] {
		if crosses(l.corners(), way, false) {
			return false
		}
	}
	thinBox := [4]mat.Point{from, to, to, from}
	for _, m := range a.piece.Marks {
		for _, s := range m.Strokes() {
			if boxMeets(thinBox, s.At, s.In) {
				return false
			}
		}
	}
	for _, i := range b.layout.Tiles[tile].Pieces {
		o := b.art[i]
		for k := range o.tags {
			if crosses(o.tags[k].corners, way, false) {
				return false
			}
		}
		if o != a && linesCross(way, o.loops[0]) {
			return false
		}
	}
	return true
}

// linesCross reports whether a segment meets a loop.
func linesCross(way, loop []mat.Point) bool {
	thinBox := [4]mat.Point{way[0], way[1], way[1], way[0]}
	return crosses(thinBox, loop, true)
}

// corners returns the label's box as it lies.
func (l placedLabel) corners() [4]mat.Point {
	w, h := l.label.widthMM/2+labelGapMM, l.label.heightMM/2+labelGapMM
	c := boxCorners(page.Rect{MinX: -w, MinY: -h, MaxX: w, MaxY: h})
	for i := range c {
		d := turned(c[i], l.turnRad)
		c[i] = mat.Point{X: l.at.X + d.X, Y: l.at.Y + d.Y}
	}
	return c
}

func labelBox(at mat.Point, l label) page.Rect {
	w, h := l.widthMM/2+labelGapMM, l.heightMM/2+labelGapMM
	return page.Rect{MinX: at.X - w, MinY: at.Y - h, MaxX: at.X + w, MaxY: at.Y + h}
}

// clipLoop returns the part of a loop inside an upright rectangle (Sutherland
// and Hodgman 1974, from memory). Parts that fall asunder stay joined along
// the border, which does no harm where only room for words is sought.
func clipLoop(loop []mat.Point, r page.Rect) []mat.Point {
	sides := []struct {
		in  func(mat.Point) bool
		cut func(a, b mat.Point) mat.Point
	}{
		{func(p mat.Point) bool { return p.X >= r.MinX }, func(a, b mat.Point) mat.Point { return atX(a, b, r.MinX) }},
		{func(p mat.Point) bool { return p.X <= r.MaxX }, func(a, b mat.Point) mat.Point { return atX(a, b, r.MaxX) }},
		{func(p mat.Point) bool { return p.Y >= r.MinY }, func(a, b mat.Point) mat.Point { return atY(a, b, r.MinY) }},
		{func(p mat.Point) bool { return p.Y <= r.MaxY }, func(a, b mat.Point) mat.Point { return atY(a, b, r.MaxY) }},
	}
	for _, s := range sides {
		var kept []mat.Point
		for i := range loop {
			a, b := loop[(i+len(loop)-1)%len(loop)], loop[i]
			if s.in(a) != s.in(b) {
				kept = append(kept, s.cut(a, b))
			}
			if s.in(b) {
				kept = append(kept, b)
			}
		}
		loop = kept
	}
	return loop
}

func atX(a, b mat.Point, x float64) mat.Point {
	return mat.Point{X: x, Y: a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)}
}

func atY(a, b mat.Point, y float64) mat.Point {
	return mat.Point{X: a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y), Y: y}
}

// shoelace returns the signed area of a loop in mm².
func shoelace(loop []mat.Point) float64 {
	sum := 0.0
	for i, j := 0, len(loop)-1; i < len(loop); j, i = i, i+1 {
		sum += loop[j].X*loop[i].Y - loop[i].X*loop[j].Y
	}
	return sum / 2
}
