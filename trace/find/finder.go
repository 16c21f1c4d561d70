package find

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/curve"
)

// finder carries the work from step to step.
type finder struct {
	in     *Input
	err    error
	sheet  *sheet
	spread spread
	ground *field
	// beside is the ground beside a plain sheet, nil where there is one ground.
	beside *field
	// faint are places where something hardly differs from the paper.
	faint []mat.Point
	// lineGain is the printed lines' brightness over the ground's, per
	// channel; zero when lines do not show.
	lineGain [3]float32
	// mask is set where a pixel of the sheet is not bare mat.
	mask []uint8
	// print is what is printed; nil when lines do not show.
	print    *inked
	regions  []region
	found    []*traced
	problems []Problem
	// linear and coded are the scales edges are located in.
	linear, coded *tone
}

// traced is a piece on its way: its borders and what was read of them.
type traced struct {
	region *region
	// borders holds the outline first, then the openings.
	borders []*border
	// mended holds each border as measured and mended, photograph px.
	mended [][]spot
	// flat is the outline as if the piece lay in the mat's plane.
	flat []curve.Sample
	// hidden are places where the outline lies behind the piece's own edge.
	hidden []mat.Point
	piece  Piece
}

var errNoGround = errors.New("no bare mat could be seen in the photograph, so the pieces cannot be told from it")

// lookForThings lays the sheet over the mat and finds everything that is not
// bare mat.
func (f *finder) lookForThings() {
	s, err := newSheet(f.in)
	if err != nil {
		f.err = err
		return
	}
	f.sheet = s
	if f.in.Sheet {
		f.lookRoundSheet()
		return
	}
	major, minor := s.rulings(f.in)
	samples, contrast := s.evidence(major)
	more, _ := s.evidence(minor)
	samples = append(samples, more...)
	if contrast != [3]float32{} {
		for k, v := range contrast {
			f.lineGain[k] = float32(math.Exp(float64(v)))
		}
	}
	cellMM := math.Max(5, min(f.in.Pitch.XMM, f.in.Pitch.YMM)/5)
	ground, ok := seedGround(s, samples, cellMM, max(f.in.Pitch.XMM, f.in.Pitch.YMM))
	if !ok {
		if ground, ok = commonGround(s, cellMM); !ok {
			f.err = errNoGround
			return
		}
	}
	d := seedSpread(s, ground, samples)
	for _, r := range slices.Concat(minor, major) {
		r.wipe(s, ground)
	}
	// A noisy picture is told apart over 3 x 3 px, as far as gaps allow.
	const noisy = 0.08
	if max(d.c1, d.c2) > noisy {
		s.smooth()
		d = seedSpread(s, ground, samples)
	}
	for range 2 {
		ground, d = refineGround(s, ground, d, cellMM)
	}
	f.spread, f.ground = d, ground
	table := learnCover(s, ground, samples)
	f.mask = coverMask(s, ground, d, table)
	s.coverColoured(f.mask, d)
	f.regions = s.regions(f.mask)
	if f.lineGain != [3]float32{} {
		f.print = f.learnPrint()
		f.print.slants = f.slants()
		f.print.ticks = f.tickBands()
		slants, ticks := f.clearSlants(), f.clearTicks()
		if slants || ticks {
			f.regions = s.regions(f.mask)
		}
	}
}

// evidence samples both directions of a kind of line; nil when that kind
// cannot be told from bare ground. It returns their contrast, too, log RGB.
func (s *sheet) evidence(lines []ruling) ([]lineSample, [3]float32) {
	var samples []lineSample
	for i := range lines {
		samples = append(samples, lines[i].samples(s)...)
	}
	contrast, ok := markShowing(samples)
	if !ok {
		return nil, contrast
	}
	return samples, contrast
}

// locateBorders measures every border in the photograph.
func (f *finder) locateBorders() {
	s, in := f.sheet, f.in
	reach := math.Max(5, 2*s.res/f.scale()+2)
	inParallel(len(f.found), func(lo, hi int) {
		for _, t := range f.found[lo:hi] {
			for _, l := range append([]loop{t.region.outline}, t.region.openings...) {
				t.borders = append(t.borders, f.roughly(intoPhoto(s, in, l.smooth(1.2)), reach))
			}
		}
	})
	var all []*border
	for _, t := range f.found {
		all = append(all, t.borders...)
	}
	near := newCrowd(all)
	inParallel(len(f.found), func(lo, hi int) {
		for _, t := range f.found[lo:hi] {
			f.locatePiece(t, near, reach)
		}
	})
}

// leastLoop is the least number of points of a border.
const leastLoop = 12

// locatePiece measures the borders of one piece.
func (f *finder) locatePiece(t *traced, near *crowd, reach float64) {
	for k, b := range t.borders {
		t.mended = append(t.mended, f.locate(b, near, reach))
		loop := f.carry(t, t.mended[k])
		if k == 0 {
			t.piece.Outline = loop
		} else if len(loop) >= leastLoop && unmeasuredPart(loop) < 0.5 {
			t.piece.Openings = append(t.piece.Openings, loop)
		}
	}
}

// carry brings a border to millimetres. Of raised pieces it is the plan, and
// the flat outline is kept beside it for what is asked of the photograph.
func (f *finder) carry(t *traced, s []spot) []curve.Sample {
	flat := toSamples(f.in, s)
	if t.flat == nil {
		t.flat = flat
	}
	if f.in.Raised == nil {
		return flat
	}
	plan, hidden := toPlan(f.in, s)
	t.hidden = append(t.hidden, hidden...)
	return plan
}

// roughly lays a border along the strongest edge near a loop of the
// photograph.
func (f *finder) roughly(l loop, reach float64) *border {
	b := newBorder(f, l, reach)
	b.snap(f, reach)
	b.at = b.at.resample(1)
	b.out = make(loop, len(b.at))
	b.in, b.bg = make([][3]float32, len(b.at)), make([][3]float32, len(b.at))
	b.straighten(8)
	b.findWalls(f.in)
	b.colours(f, 4, 4)
	return b
}

func pointsOf(s []spot) loop {
	l := make(loop, len(s))
	for i, q := range s {
		l[i] = q.Point
	}
	return l
}

// locate measures one border and mends what was not seen of it. Where a long
// stretch was not seen the rough border may have strayed (glare on the mat, a
// shadow on the tape): then the mended border is tried in its place.
func (f *finder) locate(b *border, near *crowd, reach float64) []spot {
	const long = 30 // px
	first, gap := f.measure(b, near)
	if gap < long {
		return first
	}
	l := pointsOf(first).resample(1)
	if l == nil {
		return first
	}
	again, _ := f.measure(f.roughly(l, 2*reach), near)
	if unseen(again) < unseen(first) {
		return again
	}
	return first
}

// measure reads a border and mends it; it returns the longest stretch that
// was not seen, too, px.
func (f *finder) measure(b *border, near *crowd) ([]spot, int) {
	r := b.read(f.in.Photo, f.linear, f.coded)
	if b.recolour(f.in.Photo, r, 4) {
		r = b.read(f.in.Photo, f.linear, f.coded)
	}
	bad := doubtful(r, 24)
	slit := f.avoid(b, r, bad, near)
	widen(bad, 2, 6)
	b.retake(f, r, bad, f.coded)
	b.overLines(f, r, bad, slit)
	drown(bad, 10, 15)
	b.settle(r, bad)
	mended := mend(b.spots(r, bad), 25/f.scale(), f.lookout(b))
	lineMM := heaviest * f.in.lineWidthMM()
	return cutSpurs(mended, lineMM/f.scale()+3), longest(bad)
}

// isTape reports whether a place has the colour of the piece at a border
// point rather than that of the ground or of a printed line.
func (f *finder) isTape(b *border, i int, p photo.Point) bool {
	c, bg := colourAt(f.in.Photo, p.X, p.Y), f.groundAt(p)
	apart := func(o [3]float32) float32 {
		for k := range o {
			o[k] -= c[k]
		}
		return dot(o, o)
	}
	other := apart(bg)
	if f.lineGain != [3]float32{} {
		other = min(other, apart(f.printedOn(bg)))
	}
	return apart(b.in[i]) < other
}

func unseen(s []spot) int {
	n := 0
	for i := range s {
		if s[i].bridged {
			n++
		}
	}
	return n
}

// avoid marks the readings that cannot be trusted for where they lie: in a
// slit too narrow for its ground to be read, or along a printed line's edge. It
// returns which lie in slits.
func (f *finder) avoid(b *border, r []reading, bad []bool, near *crowd) (slit []bool) {
	const slitPx = 5
	slit = make([]bool, len(r))
	for i := range r {
		slit[i] = near.facing(b, i) < slitPx
		bad[i] = bad[i] || slit[i] || f.frameAt(b.at[i], b.out[i]).onPrintedEdge(r[i].offset)
	}
	return slit
}

// result hands the pieces over in reading order: by rows of the mat about a
// piece high, then from left to right.
func (f *finder) result() Result {
	r := Result{Problems: f.problems}
	for _, t := range f.found {
		r.Pieces = append(r.Pieces, t.piece)
	}
	sortReading(r.Pieces)
	return r
}

func sortReading(pieces []Piece) {
	type box struct{ x, y0, y1 float64 }
	boxOf := func(p Piece) box {
		b := box{math.Inf(1), math.Inf(1), math.Inf(-1)}
		for _, q := range p.Outline {
			b.x, b.y0, b.y1 = math.Min(b.x, q.At.X), math.Min(b.y0, q.At.Y), math.Max(b.y1, q.At.Y)
		}
		return b
	}
	slices.SortStableFunc(pieces, func(p, q Piece) int {
		a, b := boxOf(p), boxOf(q)
		return cmp.Compare(a.y0+a.y1, b.y0+b.y1)
	})
	for i := 0; i < len(pieces); {
		row := boxOf(pieces[i])
		j := i + 1
		for j < len(pieces) {
			b := boxOf(pieces[j])
			if (b.y0+b.y1)/2 > row.y1 {
				break
			}
			j++
		}
		slices.SortStableFunc(pieces[i:j], func(p, q Piece) int { return cmp.Compare(boxOf(p).x, boxOf(q).x) })
		i = j
	}
}
