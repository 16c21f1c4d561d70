package lens

import (
	"math"

	"flatwright/rectify/mat"
)

// Bend is what neighbouring lines miss the fit by together: a mat that does
// not lie flat, or is printed unevenly. The zero Bend means none was seen, or
// too few lines to see one.
//
// Where lines run in both directions this is the error in the place itself,
// whatever the lens terms and the tilt took up of the bend: what they took up
// is no error there. A bend between lines, under a piece or beyond the last
// line, is not seen, and neither is one whose lines ran so far off that they
// were not followed: then only its foot shows.
type Bend struct {
	// RMSMM is the root mean square of the shared miss over the lines used.
	RMSMM float64
	// WorstMM is its largest size, and At the place on the mat: a lower bound
	// of the error there, three standard errors of the readings taken off.
	WorstMM float64
	At      mat.Point
}

// bendSteps is the fineness of the search.
const bendSteps = 24

// Bend returns the smooth part of the residuals that neighbouring lines share
// and no lens explains, at the widths of three to nine lines. Noise, errors of
// single printed lines and writing on the mat are not shared and drop out.
// Samples set aside take part, since a mat that stands up sets them aside.
func (f *Fit) Bend() Bend {
	if f.bend == nil {
		return Bend{}
	}
	out := Bend{RMSMM: f.bend.rmsMM}
	for r := range bendSteps + 1 {
		for c := range bendSteps + 1 {
			if v := f.bend.missMM[r][c]; v > out.WorstMM {
				out.WorstMM, out.At = v, f.bend.place(c, r)
			}
		}
	}
	return out
}

// bendField holds how far the lines of both families lie from their places.
type bendField struct {
	families  [2]bendFamily
	low, high mat.Point
	// missMM is the length of the miss that the lines about a place share in
	// both directions; 0 where none run. rmsMM is over the places with lines.
	missMM [bendSteps + 1][bendSteps + 1]float64
	rmsMM  float64
}

// place is a place of the search, in mm.
func (b *bendField) place(c, r int) mat.Point {
	return mat.Point{
		X: b.low.X + (b.high.X-b.low.X)*float64(c)/bendSteps,
		Y: b.low.Y + (b.high.Y-b.low.Y)*float64(r)/bendSteps,
	}
}

// look fills the misses.
func (b *bendField) look() {
	sum, n := 0.0, 0.0
	for r := range bendSteps + 1 {
		for c := range bendSteps + 1 {
			at := b.place(c, r)
			x, ok1 := b.families[0].shared(at.X, at.Y)
			y, ok2 := b.families[1].shared(at.Y, at.X)
			if ok1 || ok2 {
				v := together(x, y)
				b.missMM[r][c] = v
				sum += v * v
				n++
			}
		}
	}
	b.rmsMM = math.Sqrt(sum / max(n, 1))
}

// confirmPart of one family's miss in the other's confirms it.
const confirmPart = 0.3

// together is the length of the miss in both directions. No single line
// counts, unless the other family shows the mat off in the same place: what
// stands up moves both.
func together(x, y miss) float64 {
	if min(x.least, y.least) > 0 && min(x.mean, y.mean) > confirmPart*max(x.mean, y.mean) {
		return math.Hypot(x.mean, y.mean)
	}
	return math.Hypot(x.least, y.least)
}

// squareMM2 is the square of the miss believed at a place: what is shared
// about it, or beyond the lines where they end, and its mean over the mat,
// since what bends where lines are seen bends where they are not.
func (b *bendField) squareMM2(at mat.Point) float64 {
	if b == nil || b.rmsMM == 0 {
		return 0
	}
	c, s := stepOf(at.X, b.low.X, b.high.X)
	r, t := stepOf(at.Y, b.low.Y, b.high.Y)
	above := b.nearMM2(c, r)*(1-s) + b.nearMM2(c+1, r)*s
	below := b.nearMM2(c, r+1)*(1-s) + b.nearMM2(c+1, r+1)*s
	return above*(1-t) + below*t + b.rmsMM*b.rmsMM
}

// stepOf is the place of the search before a coordinate, and the part of the
// way to the next.
func stepOf(v, low, high float64) (step int, part float64) {
	t := min(max((v-low)/max(high-low, 1e-9), 0), 1) * bendSteps
	step = min(int(t), bendSteps-1)
	return step, t - float64(step)
}

// nearMM2 is the square of the largest miss at a place of the search and next
// to it.
func (b *bendField) nearMM2(c, r int) float64 {
	v := 0.0
	for i := max(r-1, 0); i <= min(r+1, bendSteps); i++ {
		for k := max(c-1, 0); k <= min(c+1, bendSteps); k++ {
			v = max(v, b.missMM[i][k])
		}
	}
	return v * v
}

// newBendField gathers the readings; nil when there are too few lines.
func (f *Fit) newBendField() *bendField {
	if len(f.Points) == 0 || f.cam.scalePx == 0 {
		return nil
	}
	b := &bendField{}
	b.low, b.high = bounds(f.latticeOf(f.Points, f.Rejected))
	across := [2][2]float64{{b.low.X, b.high.X}, {b.low.Y, b.high.Y}}
	for family := range b.families {
		pitch := [2]float64{f.Pitch.XMM, f.Pitch.YMM}
		b.families[family] = newBendFamily(pitch[family], pitch[1-family], across[family], across[1-family])
	}
	for _, list := range [2][]mat.LinePoint{f.Points, f.Rejected} {
		for _, p := range list {
			// Minor lines are measured where there is little else: too few of
			// each to tell a line's course by.
			if on, ok := f.ToMat(p.At); ok && p.OfPitch() {
				b.add(p, on)
			}
		}
	}
	for i := range b.families {
		if !b.families[i].settle() {
			return nil
		}
	}
	b.look()
	return b
}

// latticeOf lists the places that samples have on their lines, those set aside
// too: where a corner stands up, all are.
func (f *Fit) latticeOf(lists ...[]mat.LinePoint) []mat.Point {
	var on []mat.Point
	for _, list := range lists {
		for _, p := range list {
			at, ok := f.ToMat(p.At)
			if !ok {
				continue
			}
			own := &at.X
			if familyIndex(p.Family) == 1 {
				own = &at.Y
			}
			line := p.Line() * f.Pitch.Of(p.Family)
			if math.Abs(*own-line) < strayPart*f.Pitch.Of(p.Family) {
				*own = line
				on = append(on, at)
			}
		}
	}
	return on
}

// add counts a sample seen at a place of the mat.
func (b *bendField) add(p mat.LinePoint, on mat.Point) {
	across, along := on.X, on.Y
	if familyIndex(p.Family) == 1 {
		across, along = on.Y, on.X
	}
	b.families[familyIndex(p.Family)].add(p.Index, across, along)
}

func bounds(points []mat.Point) (low, high mat.Point) {
	if len(points) == 0 {
		return low, high
	}
	low, high = points[0], points[0]
	for _, c := range points {
		low = mat.Point{X: min(low.X, c.X), Y: min(low.Y, c.Y)}
		high = mat.Point{X: max(high.X, c.X), Y: max(high.Y, c.Y)}
	}
	return low, high
}
