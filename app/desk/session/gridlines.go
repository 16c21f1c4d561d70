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
}

// stepsPerPitch is how finely found lines are divided.
const stepsPerPitch = 4

// FoundLines returns the mat's lines over the range that was read; nil before
// squaring up.
func (s *Session) FoundLines() []FoundLine {
	return s.lines.of(s.version, func() []FoundLine {
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

// tally gathers the samples of one line by stretch.
type tally struct {
	from, to int
	sum      map[int]float64
	count    map[int]int
}

func foundLines(q *rectify.Squared) []FoundLine {
	lines := map[lineKey]*tally{}
	for i, p := range q.Fit.Points {
		k := lineKey{p.Family, p.Index}
		t := lines[k]
		bin := int(math.Floor(p.Along * stepsPerPitch))
		if t == nil {
			t = &tally{from: bin, to: bin, sum: map[int]float64{}, count: map[int]int{}}
			lines[k] = t
		}
		t.from, t.to = min(t.from, bin), max(t.to, bin)
		if i < len(q.Fit.ResidualPx) {
			t.sum[bin] += q.Fit.ResidualPx[i]
			t.count[bin]++
		}
	}
	keys := slices.SortedFunc(maps.Keys(lines), func(a, b lineKey) int {
		return cmp.Or(cmp.Compare(a.family, b.family), cmp.Compare(a.index, b.index))
	})
	out := make([]FoundLine, len(keys))
	for i, k := range keys {
		out[i] = lines[k].line(q, k.family, k.index)
	}
	return out
}

func (t *tally) line(q *rectify.Squared, family mat.Family, index int) FoundLine {
	out := FoundLine{Family: family, Index: index}
	var pts []mat.Point
	for bin := t.from; bin <= t.to+1; bin++ {
		across, along := float64(index)*q.PitchMM, float64(bin)*q.PitchMM/stepsPerPitch
		p := mat.Point{X: across, Y: along}
		if family == mat.Rows {
			p = mat.Point{X: along, Y: across}
		}
		pts = append(pts, p)
		if bin <= t.to {
			out.MissPx = append(out.MissPx, t.miss(bin))
		}
	}
	out.Line = builder{view: q.Fit}.track(pts)
	return out
}

func (t *tally) miss(bin int) float64 {
	if t.count[bin] == 0 {
		return math.NaN()
	}
	return t.sum[bin] / float64(t.count[bin])
}

// GridBounds returns the rectangle of the mat whose lines were read, in mm.
func (s *Session) GridBounds() view.Rect {
	q := s.doc.Squared
	if q == nil {
		return view.Rect{}
	}
	return view.Rect{
		Min: view.Point{X: float64(q.Grid.MinColumn) * q.PitchMM, Y: float64(q.Grid.MinRow) * q.PitchMM},
		Max: view.Point{X: float64(q.Grid.MaxColumn) * q.PitchMM, Y: float64(q.Grid.MaxRow) * q.PitchMM},
	}
}
