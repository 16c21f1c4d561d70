package grid

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// SlipError reports that the lines of a grid do not stand as far apart as
// their numbers say: parts of the mat were counted wrongly against each other.
type SlipError struct {
	Photo string
	// Between are the numbers of two lines of the family, OffPitch how much
	// their distance lacks, in pitches; At is where.
	Family   mat.Family
	Between  [2]int
	OffPitch float64
	At       photo.Point
}

// Error says where, and what to do.
func (e *SlipError) Error() string {
	return fmt.Sprintf("the mat's lines in %s could not be counted past what lies around pixel (%.0f, %.0f): leave some of the mat bare there, or click four corners",
		e.Photo, e.At.X, e.At.Y)
}

const (
	// slipPitch is the lack of distance, in pitches, that is a slip: a line
	// counted wrongly is a whole one off, one caught between two is half.
	slipPitch = 0.3
	// slipSpread is by how much, in pitches, the places along two lines may
	// differ in the median: texture taken for a line lies anywhere.
	slipSpread = 0.15
	// slipVotes is between how many pairs of crossings it must be seen.
	slipVotes = 3
	// slipSpans is the widest gap judged by the spacing at its sides: across a
	// wider one a lens may change it by as much as a slip would.
	slipSpans = 10
)

// checkCounts proves the numbers of the lines without the model that they were
// found by: at every place along them, two neighbouring lines in sight must
// stand as many spacings apart as their numbers differ, the spacing being
// measured between the next lines on both sides. Steps that are right one by
// one are right round every cycle.
func checkCounts(points []mat.LinePoint, name string) error {
	for _, f := range families {
		lacks := map[[2]int][]gapSeen{}
		for _, row := range rowsAlong(points, f) {
			row.gaps(lacks)
		}
		// In order, so that the same photograph is always told the same.
		for _, between := range slices.SortedFunc(maps.Keys(lacks), func(a, b [2]int) int { return slices.Compare(a[:], b[:]) }) {
			if mid, ok := slipOf(lacks[between]); ok {
				return &SlipError{Photo: name, Family: f, Between: between, OffPitch: mid.lack, At: mid.at}
			}
		}
	}
	return nil
}

// slipOf returns what several places along two lines agree on, and whether it
// is a slip.
func slipOf(seen []gapSeen) (mid gapSeen, ok bool) {
	places := map[int]bool{}
	for _, g := range seen {
		places[g.cell] = true
	}
	if len(places) < slipVotes {
		return gapSeen{}, false
	}
	slices.SortFunc(seen, func(a, b gapSeen) int { return cmp.Compare(a.lack, b.lack) })
	mid = seen[len(seen)/2]
	offs := make([]float64, len(seen))
	for k, g := range seen {
		offs[k] = math.Abs(g.lack - mid.lack)
	}
	return mid, math.Abs(mid.lack) > slipPitch && median(offs) < slipSpread
}

// gapSeen is by how many pitches a gap is wider than its numbers say.
type gapSeen struct {
	lack float64
	at   photo.Point
	cell int // between which crossings along the lines
}

// placeRow is the samples of a family's lines at one place along them, by the
// numbers of the lines.
type placeRow []mat.LinePoint

// rowsAlong gathers samples at the same place along the lines, to a twentieth
// of a pitch, one for each line.
func rowsAlong(points []mat.LinePoint, f mat.Family) []placeRow {
	rows := map[int]placeRow{}
	for _, p := range points {
		if p.Family == f {
			k := int(math.Round(20 * p.Along))
			rows[k] = append(rows[k], p)
		}
	}
	var out []placeRow
	for _, r := range rows {
		slices.SortFunc(r, func(a, b mat.LinePoint) int { return a.Index - b.Index })
		out = append(out, slices.CompactFunc(r, func(a, b mat.LinePoint) bool { return a.Index == b.Index }))
	}
	return out
}

// gaps measures the gaps between a row's lines.
func (r placeRow) gaps(into map[[2]int][]gapSeen) {
	apart := func(k int) float64 {
		return math.Hypot(r[k+1].At.X-r[k].At.X, r[k+1].At.Y-r[k].At.Y) / float64(r[k+1].Index-r[k].Index)
	}
	for k := 0; k+1 < len(r); k++ {
		n := r[k+1].Index - r[k].Index
		before, after := k-1, k+1
		if n > slipSpans || before < 0 || after+1 >= len(r) || r[k].Index-r[before].Index != 1 || r[after+1].Index-r[after].Index != 1 {
			continue
		}
		spacing := math.Sqrt(apart(before) * apart(after))
		// Over a wide gap the spacing may change by more than both sides tell.
		if ratio := apart(before) / apart(after); ratio > 1.5 || ratio < 1/1.5 {
			continue
		}
		at := photo.Point{X: (r[k].At.X + r[k+1].At.X) / 2, Y: (r[k].At.Y + r[k+1].At.Y) / 2}
		between := [2]int{r[k].Index, r[k+1].Index}
		into[between] = append(into[between], gapSeen{lack: float64(n) * (apart(k)/spacing - 1), at: at, cell: int(math.Floor(r[k].Along))})
	}
}
