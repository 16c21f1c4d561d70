package lens

import (
	"math"

	"flatwright/rectify/mat"
)

// blockKey names a stretch of a printed line, blockPitches long; line counts
// partsOfPitch to a pitch.
type blockKey struct {
	kind        observationKind
	line, block int
}

// blockSum sums residuals: plain in px, and over their standard errors.
type blockSum struct{ sum, count, normed, squares float64 }

const (
	// blockPitches is the length of a stretch for the misfit.
	blockPitches = 2
	// partsOfPitch tells minor lines apart, to sixteenths of a pitch.
	partsOfPitch = 16
	// leastInBlock samples make a mean worth comparing.
	leastInBlock = 3
	// leastBlocks stretches, or pairs of them, make a statistic.
	leastBlocks = 8
)

// inflation returns how many times larger the variance of a mean over a
// stretch of line is than independent samples would make it, at least 1:
// samples share the errors of printing, and what the lens terms cannot
// express. Some parameters live on the means of whole lines, others on bends
// within them, so it is the mean for whole lines and for thirds of the field.
// The fit absorbs some freedom, which is given back by the usual n/(n-p).
func (pr *problem) inflation(p *params, free int) float64 {
	field := 2 * pr.frame.unitMM / min(pr.pitch.XMM, pr.pitch.YMM)
	mean := 0.0
	for _, pitches := range [2]float64{field / 3, 4 * field} {
		mean += 0.5 * inflationOf(pr.blocks(p, pitches), free)
	}
	return max(mean, 1)
}

func inflationOf(blocks map[blockKey]blockSum, free int) float64 {
	n, sums, squares := float64(len(blocks)), 0.0, 0.0
	for _, b := range blocks {
		sums += b.normed * b.normed
		squares += b.squares
	}
	if n < leastBlocks || squares == 0 {
		return 1
	}
	return sums / squares * n / max(n-float64(free), n/3)
}

// misfit returns, as a standard deviation in px, how far the picture's lines
// wander from the fit in a way that neighbouring lines share. Noise and the
// printing error of single lines are not shared; a bend that the lens terms
// cannot express, or a mat that does not lie flat, is. It is the root of the
// covariance of neighbouring stretches, less its own standard error.
func (pr *problem) misfit(p *params) float64 {
	blocks := pr.blocks(p, blockPitches)
	var sum, squares, n float64
	for k, b := range blocks {
		k.line += partsOfPitch
		next, ok := blocks[k]
		if !ok || b.count < leastInBlock || next.count < leastInBlock {
			continue
		}
		v := b.sum / b.count * next.sum / next.count
		sum += v
		squares += v * v
		n++
	}
	if n < leastBlocks {
		return 0
	}
	mean := sum / n
	spread := math.Sqrt(max(squares/n-mean*mean, 0) / n)
	return math.Sqrt(max(mean-spread, 0))
}

// blocks sums the residuals by stretches of line so many pitches long; the
// middle of the field is the middle of a stretch.
func (pr *problem) blocks(p *params, pitches float64) map[blockKey]blockSum {
	m := newProjector(&pr.camera, p)
	unit := mat.Pitch{XMM: pr.frame.unitMM / pr.pitch.XMM, YMM: pr.frame.unitMM / pr.pitch.YMM}
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
		line, along := o.x*unit.XMM, o.y*unit.YMM
		if o.kind == onRow {
			line, along = along, line
		}
		k := blockKey{o.kind, int(math.Round(partsOfPitch * line)), int(math.Floor(along/pitches + 0.5))}
		b := blocks[k]
		z := d * math.Sqrt(o.weight)
		blocks[k] = blockSum{b.sum + d, b.count + 1, b.normed + z, b.squares + z*z}
	}
	return blocks
}
