// Package sheet plans how a pattern's pieces are cut from sheets, rolls and
// off-cuts: which sheets, how many, and how the pieces lie on them.
//
// The frame of a sheet: millimetres, the origin at a corner, x along its
// length, y across its width, y down as on the mat. Pieces are turned but never
// turned over: what the pattern shows faces up.
package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
)

// Stock is one kind of sheet that there is to cut from.
type Stock struct {
	Name string
	// LengthMM lies along x, WidthMM along y. A roll has no end: its LengthMM is
	// 0.
	LengthMM, WidthMM float64
	// Outline makes it an off-cut; length and width then follow from it.
	// Openings are parts that are gone already.
	Outline  []mat.Point
	Openings [][]mat.Point
	// Number is how many there are; 0 is as many as are needed. Of an off-cut
	// without a number there is one.
	Number int
	// ThicknessMM and Material say which pieces it is for; 0 and "" are any.
	ThicknessMM float64
	Material    string
}

// ParseStock reads a size as width x length: "24x60in", "600x1000mm" (or
// without a unit), "2x4ft"; a third number is the thickness; "roll 24in" is a
// roll of a width. ":3" at the end says that there are three.
func ParseStock(text string) (Stock, error) {
	bad := func() (Stock, error) {
		return Stock{}, fmt.Errorf("the sheet %q is not understood; write width x length such as 24x60in or 600x1000mm, or a roll such as roll 24in", text)
	}
	s := Stock{Name: strings.TrimSpace(text)}
	words := strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(text, "×", "x")), ""))
	if size, number, ok := strings.Cut(words, ":"); ok {
		n, err := strconv.Atoi(number)
		if err != nil || n < 1 {
			return bad()
		}
		s.Number, words = n, size
	}
	words, roll := strings.CutPrefix(words, "roll")
	unit := 1.0
	for _, u := range []struct {
		name string
		mm   float64
	}{{"mm", 1}, {"cm", 10}, {"ft", 304.8}, {"in", 25.4}, {"m", 1000}} {
		if rest, ok := strings.CutSuffix(words, u.name); ok {
			words, unit = rest, u.mm
			break
		}
	}
	var sizes []float64
	for _, w := range strings.Split(words, "x") {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil || !(v > 0) || v*unit > maxSideMM {
			return bad()
		}
		sizes = append(sizes, v*unit)
	}
	if roll {
		sizes = append(sizes[:1], append([]float64{0}, sizes[1:]...)...)
	}
	if len(sizes) < 2 || len(sizes) > 3 {
		return bad()
	}
	s.WidthMM, s.LengthMM = sizes[0], sizes[1]
	if len(sizes) == 3 {
		s.ThicknessMM = sizes[2]
	}
	return s, nil
}

// maxSideMM bounds a sheet's sides: larger ones are slips of the unit.
const maxSideMM = 1e5

func (s *Stock) isRoll() bool   { return s.Outline == nil && s.LengthMM == 0 }
func (s *Stock) isOffCut() bool { return s.Outline != nil }

// number is how many there are; 0 is no end of them.
func (s *Stock) number() int {
	if s.isOffCut() {
		return max(1, s.Number)
	}
	return s.Number
}

// label is how the stock is called in sentences.
func (s *Stock) label() string {
	if s.Name != "" {
		return s.Name
	}
	return s.size()
}

func (s *Stock) size() string {
	if s.isRoll() {
		return fmt.Sprintf("roll %s mm wide", short(s.WidthMM))
	}
	return fmt.Sprintf("%s × %s mm", short(s.WidthMM), short(s.LengthMM))
}

func short(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

// ready returns the stock checked, an off-cut moved to the origin.
func (s Stock) ready() (Stock, error) {
	if s.isOffCut() {
		shape := polygon.Shape{Outline: s.Outline, Openings: s.Openings}
		if len(polygon.Clean(s.Outline)) < 3 || !(shape.AreaMM2() > 0) {
			return s, fmt.Errorf("the off-cut %s has no area; draw its outline again", s.label())
		}
		b := polygon.BoxOf(s.Outline)
		shape = shape.Placed(0, mat.Point{X: -b.MinX, Y: -b.MinY})
		s.Outline, s.Openings = shape.Outline, shape.Openings
		s.LengthMM, s.WidthMM = b.Width(), b.Height()
	}
	for _, v := range []float64{s.LengthMM, s.WidthMM} {
		if !(v >= 0 && v <= maxSideMM) {
			return s, fmt.Errorf("the sheet %s cannot be %g mm long; give its sides in mm, up to %g", s.label(), v, maxSideMM)
		}
	}
	if s.WidthMM == 0 {
		return s, fmt.Errorf("the sheet %s has no width; give it in mm", s.label())
	}
	if s.Number < 0 {
		return s, fmt.Errorf("there cannot be %d sheets of %s; give 0 for as many as are needed", s.Number, s.label())
	}
	return s, nil
}

// areaMM2 is the sheet's area; of a roll, over the length that is used.
func (s *Stock) areaMM2(usedMM float64) float64 {
	switch {
	case s.isOffCut():
		return polygon.Shape{Outline: s.Outline, Openings: s.Openings}.AreaMM2()
	case s.isRoll():
		return usedMM * s.WidthMM
	}
	return s.LengthMM * s.WidthMM
}

// blocked returns what cannot be used of an off-cut's rectangle, as polygons
// that cover it.
func (s *Stock) blocked(toleranceMM float64) []polygon.Shape {
	if !s.isOffCut() {
		return nil
	}
	const beyondMM = 10 // so that the frame has width where the outline touches
	l, w := s.LengthMM+beyondMM, s.WidthMM+beyondMM
	frame := polygon.Shape{
		Outline:  []mat.Point{{X: -beyondMM, Y: -beyondMM}, {X: l, Y: -beyondMM}, {X: l, Y: w}, {X: -beyondMM, Y: w}},
		Openings: [][]mat.Point{s.Outline},
	}
	out := []polygon.Shape{polygon.Cover(frame, toleranceMM)}
	for _, o := range s.Openings {
		out = append(out, polygon.Cover(polygon.Shape{Outline: o}, toleranceMM))
	}
	return out
}
