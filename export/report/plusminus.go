package report

import (
	"math"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// PlusMinus sums up two standard errors of positions over the places asked
// about.
type PlusMinus struct {
	MedianMM float64 `json:"median_mm"`
	WorstMM  float64 `json:"worst_mm"`
	WorstAt  Point   `json:"worst_at_mm"`
	// NotSeen counts the places that the photograph does not show.
	NotSeen int `json:"places_not_seen"`
}

// PlusMinusAt is two standard errors of a position at one place; nil where
// the photograph does not show it.
type PlusMinusAt struct {
	X           float64  `json:"x_mm"`
	Y           float64  `json:"y_mm"`
	PlusMinusMM *float64 `json:"plus_minus_mm"`
}

func (p PlusMinusAt) rounded() PlusMinusAt {
	p.X, p.Y, p.PlusMinusMM = round(p.X), round(p.Y), roundedOr(p.PlusMinusMM)
	return p
}

// mapColumns and mapRows are the places of the map, along its longer side and
// its shorter.
const (
	mapColumns = 9
	mapRows    = 7
)

// plusMinusMap samples the ± over the mat in view.
func plusMinusMap(s *rectify.Squared) []PlusMinusAt {
	low, high := matInView(s)
	columns, rows := mapColumns, mapRows
	if high.Y-low.Y > high.X-low.X {
		columns, rows = rows, columns
	}
	camera := surface(s)
	places := make([]PlusMinusAt, 0, columns*rows)
	for r := range rows {
		for c := range columns {
			at := mat.Point{
				X: low.X + (high.X-low.X)*float64(c)/float64(columns-1),
				Y: low.Y + (high.Y-low.Y)*float64(r)/float64(rows-1),
			}
			place := PlusMinusAt{X: at.X, Y: at.Y}
			if s.Photo.Inside(camera.ToPhoto(at), 0) {
				place.PlusMinusMM = finiteOrNil(s.PlusMinusMM(at))
			}
			places = append(places, place)
		}
	}
	return places
}

// matInView is the box of the lines that were seen; round a sheet, on which
// the pieces do not lie, that of the table in view.
func matInView(s *rectify.Squared) (low, high mat.Point) {
	corners := append([]mat.Point{}, s.Fit.Hull...)
	if s.Scale.Source == rectify.FromRectangle {
		corners = append(corners, tableInView(s)...)
	}
	if g := s.Grid; g.MaxColumn > g.MinColumn && g.MaxRow > g.MinRow {
		corners = append(corners,
			s.Pitch.At(float64(g.MinColumn), float64(g.MinRow)), s.Pitch.At(float64(g.MaxColumn), float64(g.MaxRow)))
	}
	if len(corners) == 0 {
		return mat.Point{}, mat.Point{}
	}
	low, high = corners[0], corners[0]
	for _, c := range corners[1:] {
		low = mat.Point{X: min(low.X, c.X), Y: min(low.Y, c.Y)}
		high = mat.Point{X: max(high.X, c.X), Y: max(high.Y, c.Y)}
	}
	return low, high
}

// farSheets is how many sheets away from the sheet a table is still mapped.
const farSheets = 6

// tableInView are the places of the table along the photograph's border,
// but for those near the horizon.
func tableInView(s *rectify.Squared) []mat.Point {
	const steps = 8
	w, h := float64(s.Photo.Width-1), float64(s.Photo.Height-1)
	var all []mat.Point
	for i := range steps + 1 {
		t := float64(i) / steps
		for _, p := range [4]photo.Point{{X: t * w}, {X: t * w, Y: h}, {Y: t * h}, {X: w, Y: t * h}} {
			at, ok := s.Fit.ToMat(p)
			if columns, rows := s.Pitch.Count(at); ok && math.Hypot(columns, rows) < farSheets {
				all = append(all, at)
			}
		}
	}
	return all
}

// seen returns the places of the map that have a ±.
func seen(places []PlusMinusAt) []mat.Point {
	var at []mat.Point
	for _, p := range places {
		if p.PlusMinusMM != nil {
			at = append(at, mat.Point{X: p.X, Y: p.Y})
		}
	}
	return at
}

func plusMinus(s *rectify.Squared, places []mat.Point) PlusMinus {
	var r PlusMinus
	var all []float64
	for _, p := range places {
		v := s.PlusMinusMM(p)
		if !finite(v) {
			r.NotSeen++
			continue
		}
		all = append(all, v)
		if v > r.WorstMM {
			r.WorstMM, r.WorstAt = v, At(p)
		}
	}
	r.MedianMM = median(all)
	return r
}

// finiteOrNil returns nil for what JSON cannot hold.
func finiteOrNil(v float64) *float64 {
	if !finite(v) {
		return nil
	}
	return &v
}

func roundedOr(v *float64) *float64 {
	if v == nil {
		return nil
	}
	r := round(*v)
	return &r
}
