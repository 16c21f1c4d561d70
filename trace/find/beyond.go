package find

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Lines are looked for beyond the grid as far as beyondLines; one counts as
// printed when beyondPart of what the photograph shows of it is seen, and
// beyondOdds times as much as beside it.
const (
	beyondLines = 90
	beyondPart  = 0.22
	beyondOdds  = 2.5
	beyondLeast = 20 // places along a line
)

// beyond extends the grid over lines that are printed outside of it: a large
// piece may part the mat so that only one side of it was numbered.
func beyond(in *Input) mat.Grid {
	g := in.Grid
	if g.MaxColumn <= g.MinColumn || g.MaxRow <= g.MinRow || !in.hasPitch() {
		return g
	}
	for range 2 { // the second time along the lengths the first has added
		w := lineWitness{in: in, g: g}
		if !w.learn() {
			return g
		}
		g.MinColumn, g.MaxColumn = w.last(false, g.MinColumn, -1), w.last(false, g.MaxColumn, 1)
		g.MinRow, g.MaxRow = w.last(true, g.MinRow, -1), w.last(true, g.MaxRow, 1)
		if g.MinColumn == w.g.MinColumn && g.MaxColumn == w.g.MaxColumn && g.MinRow == w.g.MinRow && g.MaxRow == w.g.MaxRow {
			return g
		}
	}
	return g
}

// lineWitness tells whether a line is printed at some place.
type lineWitness struct {
	in *Input
	g  mat.Grid
	// delta is the usual contrast of the known lines, log RGB.
	delta [3]float32
}

// learn takes the lines' usual contrast from the known ones.
func (w *lineWitness) learn() bool {
	var known []lineSample
	for _, rows := range [2]bool{false, true} {
		lo, hi := w.g.MinColumn, w.g.MaxColumn
		if rows {
			lo, hi = w.g.MinRow, w.g.MaxRow
		}
		const about = 8 // lines
		for i := lo; i <= hi; i += 1 + (hi-lo)/about {
			known = append(known, w.along(rows, float64(i))...)
		}
	}
	delta, ok := markShowing(known)
	w.delta = delta
	return ok
}

// last returns the farthest line from index i on that is printed, going in
// steps of one way.
func (w *lineWitness) last(rows bool, i, way int) int {
	at := i
	const aside = 0.29 // pitches; beside major and minor lines
	for k := 1; k <= beyondLines; k++ {
		v := float64(i + k*way)
		seen, n := w.part(rows, v)
		if n < beyondLeast {
			break
		}
		if seen < beyondPart {
			continue
		}
		odd, _ := w.part(rows, v+aside)
		even, _ := w.part(rows, v-aside)
		if seen > beyondOdds*max(odd, even) {
			at = i + k*way
		}
	}
	return at
}

// part returns which part of a line is seen, and over how many places.
func (w *lineWitness) part(rows bool, at float64) (float64, int) {
	s := w.along(rows, at)
	seen := 0
	d2 := dot(w.delta, w.delta)
	for i := range s {
		if f := dot(w.delta, s[i].c) / d2; f > 0.6 && f < 1.8 {
			seen++
		}
	}
	return float64(seen) / float64(max(len(s), 1)), len(s)
}

// along samples the contrast of a line (pitches) at up to 120 places of the
// grid's length that the photograph shows.
func (w *lineWitness) along(rows bool, at float64) []lineSample {
	first := w.in.Pitch.At(float64(w.g.MinColumn), float64(w.g.MinRow))
	last := w.in.Pitch.At(float64(w.g.MaxColumn), float64(w.g.MaxRow))
	lo, hi, p := first.Y, last.Y, w.in.Pitch.XMM
	if rows {
		lo, hi, p = first.X, last.X, w.in.Pitch.YMM
	}
	const places = 120
	var out []lineSample
	for k := range places {
		// An uneven step keeps off the lines that cross.
		t := lo + (hi-lo)*(float64(k)+0.5)/places
		if c, ok := w.contrast(rows, at*p, t); ok {
			out = append(out, lineSample{c: c})
		}
	}
	return out
}

// contrast is the colour at a place of the line over the mean of both sides.
func (w *lineWitness) contrast(rows bool, at, t float64) (c [3]float32, ok bool) {
	place := func(across float64) photo.Point {
		m := mat.Point{X: at + across, Y: t}
		if rows {
			m = mat.Point{X: t, Y: at + across}
		}
		return w.in.View.ToPhoto(m)
	}
	side := math.Min(math.Max(w.in.lineWidthMM(), 0.2), 2)/2 + 0.5
	mid, left, right := place(0), place(-side), place(side)
	if d := math.Hypot(right.X-left.X, right.Y-left.Y); d < 6 && d > 0 {
		side *= 6 / d // past the blur
		left, right = place(-side), place(side)
	}
	pic := w.in.Photo
	for _, q := range [3]photo.Point{mid, left, right} {
		if !pic.Inside(q, 2) {
			return c, false
		}
	}
	m, a, b := colourAt(pic, mid.X, mid.Y), colourAt(pic, left.X, left.Y), colourAt(pic, right.X, right.Y)
	for k := range c {
		c[k] = logCoded(m[k]) - (logCoded(a[k])+logCoded(b[k]))/2
	}
	return c, true
}

// logCoded is the sheet's logarithm of a coded value.
func logCoded(v float32) float32 { return logOf[int(min(max(v, 0), 255)*16)] }
