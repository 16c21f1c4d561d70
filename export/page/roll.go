package page

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// longestRollMM is the longest print on a roll: a PDF page ends a little
// beyond it, printer correction included.
const longestRollMM = 4900

// leastRollMM is the shortest print on a roll, which holds the line of text at
// its foot whichever way it lies.
const leastRollMM = 180

// rollPaper reads a roll's width, like "roll 610 mm", "roll610" or "roll24in".
func rollPaper(s string) (Paper, bool) {
	s = strings.ToLower(strings.ReplaceAll(s, " ", ""))
	rest, found := strings.CutPrefix(s, "roll")
	if !found {
		return Paper{}, false
	}
	w, ok := side(rest)
	if !ok || w > longestRollMM {
		return Paper{}, false
	}
	return Paper{Name: fmt.Sprintf("roll %g mm", w), WidthMM: w, HeightMM: longestRollMM, Roll: true}, true
}

// side reads a length above 0 in mm, or in inches when it ends in "in".
func side(s string) (mm float64, ok bool) {
	unit := 1.0
	if t, inches := strings.CutSuffix(s, "in"); inches {
		s, unit = t, 25.4
	}
	v, err := strconv.ParseFloat(strings.TrimSuffix(s, "mm"), 64)
	// Rounded, so that inches leave no crumbs in a paper's name.
	return math.Round(v*unit*1e6) / 1e6, err == nil && v > 0
}

// rollGrid lays tiles over a roll. Each takes as much of its length as the
// pattern needs, the same for all when one is not enough.
func rollGrid(bounds Rect, s Setup, landscape bool) (*grid, error) {
	along := bounds.Height()
	if landscape {
		along = bounds.Width()
	}
	around := 2 * s.MarginMM
	if !landscape {
		around += s.FooterReserveMM()
	}
	length := math.Ceil(math.Max(along+around, leastRollMM))
	w, h := s.Paper.WidthMM, math.Min(length, s.Paper.HeightMM)
	if landscape {
		w, h = h, w
	}
	return gridOn(bounds, s, landscape, w, h)
}

// PrinterScale returns by how much a page of the given true size, as it lies,
// must be drawn larger across and down for the printer to come out true. Of a
// roll the width counts as the paper's shorter side, however little of its
// length is used.
func (s Setup) PrinterScale(widthMM, heightMM float64) (x, y float64) {
	if s.Paper.Roll && heightMM == s.Paper.WidthMM && widthMM < heightMM {
		x, y = s.Printer.Scale(heightMM, widthMM+heightMM)
		return y, x
	}
	if s.Paper.Roll && widthMM == s.Paper.WidthMM {
		return s.Printer.Scale(widthMM, widthMM+heightMM)
	}
	return s.Printer.Scale(widthMM, heightMM)
}
