package page

import (
	"context"
	"math"

	"flatwright/export/sheet/nest"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// splitLarge gives each piece that fits no page a block of its own.
func (k *packing) splitLarge(ctx context.Context, p *nest.Problem) error {
	for i := range p.Pieces {
		if nest.Fits(p, i) {
			continue
		}
		b, err := k.split(ctx, i)
		if err != nil {
			return err
		}
		k.blocks = append(k.blocks, b)
		p.Pieces[i].Count = 0
	}
	return nil
}

// splitTurns is how many turns are tried for a piece that must be split.
const splitTurns = 36

// split turns one piece to where it needs fewest sheets and, of those turns
// and places, to where the seams cross fewest lines.
func (k *packing) split(ctx context.Context, i int) (block, error) {
	best := block{own: -1}
	fewest, crossings := math.MaxInt, math.MaxInt
	for t := range splitTurns {
		if err := ctx.Err(); err != nil {
			return best, err
		}
		move := curve.Rotation(mat.Point{}, float64(t)*math.Pi/splitTurns)
		ink, err := inkOf(pattern.Pattern{Pieces: []pattern.Piece{k.pattern.Pieces[i].Moved(move)}})
		if err != nil {
			return best, err
		}
		g, err := bestGrid(ink, k.setup, k.page.landscape)
		if err != nil {
			return best, err
		}
		if g.score.sheets > fewest {
			continue
		}
		n := g.seekQuiet(ink)
		if g.score.sheets < fewest || n < crossings {
			fewest, crossings = g.score.sheets, n
			best = block{grid: g, own: i, turn: move, pieces: map[int]curve.Transform{}}
		}
	}
	return best, nil
}

// seekQuiet moves the grid over its slack to where its seams cross fewest
// lines without needing more sheets, and returns how many they cross.
func (g *grid) seekQuiet(ink *ink) int {
	m := newCoverage(ink)
	w, h := g.covered()
	slackX, slackY := math.Max(0, w-ink.bounds.Width()), math.Max(0, h-ink.bounds.Height())
	best, sheets := g.origin, g.score.sheets
	least := g.crossings(ink)
	trial := *g
	for iy := range tries + 1 {
		for ix := range tries + 1 {
			trial.origin = mat.Point{X: ink.bounds.MinX - float64(ix)/tries*slackX, Y: ink.bounds.MinY - float64(iy)/tries*slackY}
			if m.score(&trial).sheets > sheets {
				continue
			}
			if n := trial.crossings(ink); n < least {
				best, least = trial.origin, n
			}
		}
	}
	g.origin = best
	return least
}

// crossings counts how often the lines of pieces cross the grid's seams.
func (g *grid) crossings(ink *ink) int {
	n := 0
	for i := range ink.pieces {
		for a, b := range ink.pieces[i].chords() {
			n += between(a.X, b.X, g.origin.X, g.stepX, g.cols) + between(a.Y, b.Y, g.origin.Y, g.stepY, g.rows)
		}
	}
	return n
}

// between returns how many of the seams origin + k·step, 0 < k < n, lie between
// a and b.
func between(a, b, origin, step float64, n int) int {
	at := func(v float64) int { return min(max(int(math.Floor((v-origin)/step)), 0), n-1) }
	d := at(a) - at(b)
	return max(d, -d)
}
