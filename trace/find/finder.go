package find

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// finder carries the work from step to step.
type finder struct {
	in       *Input
	err      error
	sheet    *sheet
	spread   spread
	ground   *field
	regions  []region
	found    []*traced
	problems []Problem
}

// traced is a piece on its way: its borders and what was read of them.
type traced struct {
	region *region
	// borders holds the outline first, then the openings.
	borders []*border
	// mended holds each border as measured and mended, photograph px.
	mended [][]spot
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
	major, minor := s.rulings(f.in)
	samples := s.evidence(major)
	samples = append(samples, s.evidence(minor)...)
	cellMM := math.Max(5, f.in.PitchMM/5)
	ground, ok := seedGround(s, samples, cellMM)
	if !ok {
		if ground, ok = commonGround(s, cellMM); !ok {
			f.err = errNoGround
			return
		}
	}
	d := seedSpread(s, ground, samples)
	for _, r := range slices.Concat(minor, major) {
		r.wipe(s)
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
	f.regions = s.regions(coverMask(s, ground, d, table))
}

// evidence samples both directions of a kind of line; nil when that kind
// cannot be told from bare ground.
func (s *sheet) evidence(lines []ruling) []lineSample {
	var samples []lineSample
	for i := range lines {
		samples = append(samples, lines[i].samples(s)...)
	}
	if markShowing(samples) == 0 {
		return nil
	}
	return samples
}

// locateBorders measures every border in the photograph.
func (f *finder) locateBorders() {
	s, in := f.sheet, f.in
	pxPerSheetPx := s.res / f.scale()
	reach := math.Max(5, 2*pxPerSheetPx+2)
	var all []*border
	for _, t := range f.found {
		for _, l := range append([]loop{t.region.outline}, t.region.openings...) {
			b := newBorder(f, intoPhoto(s, in, l.smooth(1.2)), reach)
			b.snap(f, reach)
			b.at = b.at.resample(1)
			b.out = make(loop, len(b.at))
			b.in, b.bg = make([][3]float32, len(b.at)), make([][3]float32, len(b.at))
			b.straighten(8)
			b.colours(f, 4, 4)
			t.borders = append(t.borders, b)
			all = append(all, b)
		}
	}
	near := newCrowd(all)
	linear, coded := powerTone(blurPower), powerTone(1)
	for _, t := range f.found {
		for k, b := range t.borders {
			r := b.read(in.Photo, linear, coded)
			bad := doubtful(r, 24)
			f.avoid(b, r, bad, near)
			b.settle(r, bad)
			t.mended = append(t.mended, mend(b.spots(r, bad), 25/f.scale()))
			loop := toSamples(in, t.mended[k])
			if k == 0 {
				t.piece.Outline = loop
			} else if unmeasuredPart(loop) < 0.5 {
				t.piece.Openings = append(t.piece.Openings, loop)
			}
		}
	}
}

// avoid marks the readings that cannot be trusted for where they lie: in a
// slit too narrow for its ground to be read, or along a printed line's edge.
func (f *finder) avoid(b *border, r []reading, bad []bool, near *crowd) {
	const slitPx = 5
	for i := range r {
		if bad[i] {
			continue
		}
		if d := near.facing(b, i); d < slitPx {
			bad[i] = true
			continue
		}
		bad[i] = f.frameAt(b.at[i], b.out[i]).onPrintedEdge(r[i].offset)
	}
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
