package draw

import (
	"math"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
)

// ledMM and ledTurns are how far off a tag with a leader may stand, and how far
// from square to its edge.
var (
	ledMM    = [...]float64{6, 9, 13, 18, 24, 32, 42}
	ledTurns = [...]float64{0, math.Pi / 7, -math.Pi / 7, math.Pi / 3.5, -math.Pi / 3.5}
)

// placeLed puts a tag that found no place beside its edge farther out, level,
// with a leader to the edge. Where there is no place at all it is left out: the
// table of edges has it.
func (t *tagger) placeLed(piece int, pts []mat.Point, text string, colour page.Colour) {
	text = lettering.Regular.Clean(text)
	if len(pts) < 2 || text == "" {
		return
	}
	w := lettering.Regular.WidthMM(text, tagCapMM)
	for _, mm := range ledMM {
		for _, part := range partsOfLine {
			at, dir := alongLine(pts, part)
			for _, turn := range ledTurns {
				out := turned(mat.Point{X: dir.Y, Y: -dir.X}, turn)
				g := ledTag(at, out, mm, w)
				if t.free(piece, g, false, false) && t.clear(piece, g) {
					g.text, g.colour = text, colour
					t.art[piece].addTag(g)
					return
				}
			}
		}
	}
}

// ledTag is a level tag whose box begins mm from a point.
func ledTag(at, out mat.Point, mm, widthMM float64) tag {
	hw, hh := widthMM/2+tagGapMM, tagCapMM/2+tagGapMM
	half := math.Min(hw/math.Max(math.Abs(out.X), 1e-9), hh/math.Max(math.Abs(out.Y), 1e-9))
	g := tagAt(mat.Point{X: at.X + (mm+half)*out.X, Y: at.Y + (mm+half)*out.Y}, 0, widthMM)
	g.from, g.led = at, true
	return g
}

// clear reports whether a tag's leader crosses no cut line and no other tag.
// It may cross its own piece's other face beyond the edge, which it belongs to.
func (t *tagger) clear(piece int, g tag) bool {
	d := math.Hypot(g.centre.X-g.from.X, g.centre.Y-g.from.Y)
	start := mat.Point{X: g.from.X + (g.centre.X-g.from.X)/d, Y: g.from.Y + (g.centre.Y-g.from.Y)/d}
	way := []mat.Point{start, g.centre}
	for _, loop := range t.art[piece].loops {
		if linesCross(way, loop) {
			return false
		}
	}
	thin := [4]mat.Point{way[0], way[1], way[1], way[0]}
	for _, j := range t.near[piece] {
		if t.art[j].meets(thin) {
			return false
		}
	}
	return !t.art[piece].meetsTags(thin)
}

// drawLeader draws the line from the edge to the tag's box, with a dot.
func (g tag) drawLeader(c Canvas, f frame) {
	p, q := f.point(g.from), f.point(g.centre)
	dx, dy := p.X-q.X, p.Y-q.Y
	w := lettering.Regular.WidthMM(g.text, tagCapMM)
	k := math.Min((w/2+tagGapMM)/math.Max(math.Abs(dx), 1e-9), (tagCapMM/2+tagGapMM)/math.Max(math.Abs(dy), 1e-9))
	if k < 1 {
		c.Stroke(segmentPath(p.X, p.Y, q.X+k*dx, q.Y+k*dy), thin(g.colour))
	}
	c.Fill(circle(p, 0.45), g.colour)
}
