package session

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"flatwright/app/desk/view"
	"flatwright/rectify"
	"flatwright/rectify/mat"
)

// FoundLine is one printed line of the mat as the solved camera sees it,
// bent through the lens.
type FoundLine struct {
	Family mat.Family
	Index  int
	Line   Track
	// MissPx belongs to the chords of Line: how far the samples on that stretch
	// lie from the line on average, with its sign; NaN where none was read.
	MissPx []float64
	// Counts are the numbers of samples that MissPx are means of.
	Counts []int
}

// leastSteps is how finely found lines are divided to a pitch, stepMM how
// finely where the lines are the sides of a sheet and a pitch is all of one.
const (
	leastSteps = 4
	stepMM     = 12
)

// stepsOf returns how many stretches a pitch is divided into.
func stepsOf(q *rectify.Squared) int {
	longest := math.Max(q.Pitch.XMM, q.Pitch.YMM)
	if !(longest < 1e5) {
		return leastSteps
	}
	return max(leastSteps, int(longest/stepMM))
}

// FoundLines returns the mat's lines over the range that was read; nil before
// squaring up.
func (s *Session) FoundLines() []FoundLine {
	return s.lines.of(s.work, func() []FoundLine {
		if s.doc.Squared == nil || s.doc.Squared.Fit == nil {
			return nil
		}
		return foundLines(s.doc.Squared)
	})
}

type lineKey struct {
	family mat.Family
	index  int
}

// tally gathers the samples of one line by stretch; from and to bound them in
// pitches along the line.
type tally struct {
	from, to float64
	steps    float64
	sum      map[int]float64
	count    map[int]int
	// asideSum and aside are of samples that were set aside.
	asideSum map[int]float64
	aside    map[int]int
}

// tallies are the tallies of all lines, divided so finely.
type tallies struct {
	lines map[lineKey]*tally
	steps int
}

// line returns the tally of a line, grown to hold a place along it.
func (t tallies) line(family mat.Family, index int, along float64) *tally {
	k := lineKey{family, index}
	l := t.lines[k]
	if l == nil {
		l = &tally{steps: float64(t.steps), from: along, to: along, sum: map[int]float64{}, count: map[int]int{}, asideSum: map[int]float64{}, aside: map[int]int{}}
		t.lines[k] = l
	}
	l.from, l.to = math.Min(l.from, along), math.Max(l.to, along)
	return l
}

func (t *tally) add(along, missPx float64) {
	bin := int(math.Floor(along * t.steps))
	t.sum[bin] += missPx
	t.count[bin]++
}

func foundLines(q *rectify.Squared) []FoundLine {
	lines := tallies{map[lineKey]*tally{}, stepsOf(q)}
	if len(q.Fit.Crossings) > 0 {
		lines.spanGrid(q.Grid)
	} else {
		for i, p := range q.Fit.Points {
			if !p.OfPitch() {
				continue
			}
			t := lines.line(p.Family, p.Index, p.Along)
			if i < len(q.Fit.ResidualPx) {
				t.add(p.Along, q.Fit.ResidualPx[i])
			}
		}
	}
	for _, p := range q.Fit.Rejected {
		if miss, ok := missPx(q, p); ok && p.OfPitch() {
			t := lines.line(p.Family, p.Index, p.Along)
			bin := int(math.Floor(p.Along * t.steps))
			t.asideSum[bin] += miss
			t.aside[bin]++
		}
	}
	keys := slices.SortedFunc(maps.Keys(lines.lines), func(a, b lineKey) int {
		return cmp.Or(cmp.Compare(a.family, b.family), cmp.Compare(a.index, b.index))
	})
	out := make([]FoundLine, len(keys))
	for i, k := range keys {
		out[i] = lines.lines[k].found(q, k)
	}
	return out
}

// spanGrid makes lines without samples over a whole grid, for a camera that
// was solved from corners alone.
func (t tallies) spanGrid(g mat.Grid) {
	for i := g.MinColumn; i <= g.MaxColumn; i++ {
		t.line(mat.Columns, i, float64(g.MinRow))
		t.line(mat.Columns, i, float64(g.MaxRow))
	}
	for i := g.MinRow; i <= g.MaxRow; i++ {
		t.line(mat.Rows, i, float64(g.MinColumn))
		t.line(mat.Rows, i, float64(g.MaxColumn))
	}
}

// missPx returns how far a sample that was set aside lies from its line.
func missPx(q *rectify.Squared, p mat.LinePoint) (float64, bool) {
	at, ok := q.Fit.ToMat(p.At)
	if !ok {
		return 0, false
	}
	off := at.X
	if p.Family == mat.Rows {
		off = at.Y
	}
	miss := (off - p.Line()*q.Pitch.Of(p.Family)) / q.Fit.ScaleMMPerPx(at)
	return miss, !math.IsNaN(miss) && math.Abs(miss) < 50
}

// found is the line's track, divided at whole stretches, and its misses.
func (t *tally) found(q *rectify.Squared, k lineKey) FoundLine {
	out := FoundLine{Family: k.family, Index: k.index}
	first := int(math.Floor(t.from * t.steps))
	last := max(first, int(math.Ceil(t.to*t.steps))-1)
	var pts []mat.Point
	for bin := first; bin <= last+1; bin++ {
		along := math.Max(t.from, math.Min(t.to, float64(bin)/t.steps))
		p := q.Pitch.At(float64(k.index), along)
		if k.family == mat.Rows {
			p = q.Pitch.At(along, float64(k.index))
		}
		pts = append(pts, p)
		if bin <= last {
			miss, n := t.miss(bin)
			out.MissPx, out.Counts = append(out.MissPx, miss), append(out.Counts, n)
		}
	}
	out.Line = builder{view: q.Fit}.track(pts)
	return out
}

// miss returns how far the samples on a stretch lie from the line on average,
// and how many they are.
// Samples that were set aside count only where they rule on two stretches in a
// row: a mat that has lifted there. A single one is a scratch or a pen line.
func (t *tally) miss(bin int) (missPx float64, samples int) {
	if t.lifted(bin) && (t.lifted(bin-1) || t.lifted(bin+1)) {
		return t.asideSum[bin] / float64(t.aside[bin]), t.aside[bin]
	}
	if t.count[bin] == 0 {
		return math.NaN(), 0
	}
	return t.sum[bin] / float64(t.count[bin]), t.count[bin]
}

func (t *tally) lifted(bin int) bool { return t.aside[bin] > t.count[bin] }

// GridBounds returns the rectangle of the mat whose lines were read, in mm.
func (s *Session) GridBounds() view.Rect {
	q := s.doc.Squared
	if q == nil {
		return view.Rect{}
	}
	first := q.Pitch.At(float64(q.Grid.MinColumn), float64(q.Grid.MinRow))
	last := q.Pitch.At(float64(q.Grid.MaxColumn), float64(q.Grid.MaxRow))
	return view.Rect{Min: view.Point(first), Max: view.Point(last)}
}
