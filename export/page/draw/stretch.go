package draw

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// stretchStepMM is how finely a line is walked to see which sheets it is on.
const stretchStepMM = 4

// stretches returns the parts of a piece's edge that are to be named: the
// longest that lies on one sheet, and with all set every one that is long
// enough, one for each sheet.
func (t *tagger) stretches(piece int, pts []mat.Point, all bool) [][]mat.Point {
	type part struct {
		tile int
		pts  []mat.Point
	}
	var parts []part
	for _, p := range walked(pts, stretchStepMM) {
		tile := t.owner(piece, p)
		if n := len(parts); n == 0 || parts[n-1].tile != tile {
			parts = append(parts, part{tile: tile})
		}
		last := &parts[len(parts)-1]
		last.pts = append(last.pts, p)
	}
	if len(parts) < 2 {
		return [][]mat.Point{pts}
	}
	slices.SortStableFunc(parts, func(a, b part) int { return len(b.pts) - len(a.pts) })
	var out [][]mat.Point
	named := map[int]bool{}
	for i, p := range parts {
		far := all && float64(len(p.pts))*stretchStepMM >= leastStretchMM
		if (i == 0 || far) && !named[p.tile] && len(p.pts) > 1 {
			named[p.tile] = true
			out = append(out, p.pts)
		}
	}
	if out == nil {
		return [][]mat.Point{pts}
	}
	return out
}

// owner returns the sheet on which a point of a piece stays in sight; -1 when
// none shows it.
func (t *tagger) owner(piece int, p mat.Point) int {
	for i := range t.layout.Tiles {
		if slices.Contains(t.layout.Tiles[i].Pieces, piece) && t.layout.OwnMM(i).Holds(p) {
			return i
		}
	}
	return -1
}

// walked returns points along a line, both ends and one at least every step
// between.
func walked(pts []mat.Point, stepMM float64) []mat.Point {
	if len(pts) == 0 {
		return nil
	}
	out := []mat.Point{pts[0]}
	gone := 0.0
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		for s := stepMM - gone; s < l; s += stepMM {
			out = append(out, mat.Point{X: a.X + (b.X-a.X)*s/l, Y: a.Y + (b.Y-a.Y)*s/l})
		}
		gone = math.Mod(gone+l, stepMM)
	}
	return append(out, pts[len(pts)-1])
}
