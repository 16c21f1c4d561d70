package lens

import "math"

// blockKey names a stretch of a printed line, blockPitches long.
type blockKey struct {
	kind        observationKind
	line, block int
}

type blockSum struct{ sum, count float64 }

const (
	blockPitches = 2
	// leastInBlock samples make a mean worth comparing.
	leastInBlock = 3
)

// misfit returns, as a standard deviation in px, how far the picture's lines
// wander from the fit in a way that neighbouring lines share. Noise and the
// printing error of single lines are not shared; a bend that the lens terms
// cannot express, or a mat that does not lie flat, is. It is the root of the
// covariance of neighbouring stretches, less its own standard error.
func (pr *problem) misfit(p *params) float64 {
	blocks := pr.blocks(p)
	var sum, squares, n float64
	for k, b := range blocks {
		k.line++
		next, ok := blocks[k]
		if !ok || b.count < leastInBlock || next.count < leastInBlock {
			continue
		}
		v := b.sum / b.count * next.sum / next.count
		sum += v
		squares += v * v
		n++
	}
	if n < 8 {
		return 0
	}
	mean := sum / n
	spread := math.Sqrt(max(squares/n-mean*mean, 0) / n)
	return math.Sqrt(max(mean-spread, 0))
}

// blocks sums the residuals in px by stretches of line.
func (pr *problem) blocks(p *params) map[blockKey]blockSum {
	m := newProjector(&pr.camera, p)
	pitches := pr.frame.unitMM / pr.pitchMM
	blocks := map[blockKey]blockSum{}
	for i := range pr.obs {
		o := &pr.obs[i]
		if o.out || o.kind == onPoint {
			continue
		}
		d, ok := m.distance(o)
		if !ok {
			continue
		}
		line, along := o.x, o.y
		if o.kind == onRow {
			line, along = along, line
		}
		k := blockKey{o.kind, int(math.Round(line * pitches)), int(math.Floor(along * pitches / blockPitches))}
		b := blocks[k]
		blocks[k] = blockSum{b.sum + d, b.count + 1}
	}
	return blocks
}
