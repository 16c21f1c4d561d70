// Package page lays a pattern out on sheets of paper: paper sizes, the grid
// of tiles, which tiles are needed, and the kinds of line that are drawn on
// them. Everything is a plain value, so that a window can show a layout
// before anything is printed.
package page

import (
	"fmt"
	"math"
	"strings"

	"flatwright/rectify/mat"
)

// Paper is a size of paper, upright: WidthMM ≤ HeightMM.
type Paper struct {
	Name              string
	WidthMM, HeightMM float64
	// Roll is paper of any length: WidthMM is the roll's, HeightMM the longest
	// print on it, and a page takes only as much as it needs.
	Roll bool
}

// Papers returns the sizes known by name, the commonest first. A0 to A5: ISO
// 216:2007, table 1; Letter and Tabloid: ANSI/ASME Y14.1 sizes A and B (8½ × 11
// in, 11 × 17 in); Legal: 8½ × 14 in, a North American trade size (common
// practice, no source). All from memory.
func Papers() []Paper {
	return []Paper{
		{Name: "A4", WidthMM: 210, HeightMM: 297},
		{Name: "Letter", WidthMM: 215.9, HeightMM: 279.4},
		{Name: "A3", WidthMM: 297, HeightMM: 420},
		{Name: "Tabloid", WidthMM: 279.4, HeightMM: 431.8},
		{Name: "Legal", WidthMM: 215.9, HeightMM: 355.6},
		{Name: "A5", WidthMM: 148, HeightMM: 210},
		{Name: "A2", WidthMM: 420, HeightMM: 594},
		{Name: "A1", WidthMM: 594, HeightMM: 841},
		{Name: "A0", WidthMM: 841, HeightMM: 1189},
	}
}

// PaperByName returns a known paper (in capitals or not), or a paper of one's
// own written as width × height in millimetres or inches, like "610x914" or
// "24x36in", or a roll by its width, like "roll 610 mm" or "roll24in".
func PaperByName(name string) (Paper, error) {
	wanted := strings.TrimSpace(name)
	for _, p := range Papers() {
		if strings.EqualFold(p.Name, wanted) {
			return p, nil
		}
	}
	if p, ok := customPaper(wanted); ok {
		return p, nil
	}
	if p, ok := rollPaper(wanted); ok {
		return p, nil
	}
	return Paper{}, fmt.Errorf("paper %q is not known; use one of %s, width x height in mm like 610x914, or a roll by its width like roll610",
		name, strings.Join(paperNames(), ", "))
}

func paperNames() []string {
	var names []string
	for _, p := range Papers() {
		names = append(names, p.Name)
	}
	return names
}

func customPaper(s string) (Paper, bool) {
	w, h, ok := twoSides(s)
	if !ok {
		return Paper{}, false
	}
	w, h = math.Min(w, h), math.Max(w, h)
	return Paper{Name: fmt.Sprintf("%gx%g mm", w, h), WidthMM: w, HeightMM: h}, true
}

// twoSides reads two lengths above 0 in their order, like "610x914mm" or
// "24 × 36 in".
func twoSides(s string) (a, b float64, ok bool) {
	s = strings.ToLower(strings.NewReplacer(" ", "", "×", "x").Replace(s))
	first, second, _ := strings.Cut(s, "x")
	if strings.HasSuffix(second, "in") && !strings.HasSuffix(first, "mm") {
		first = strings.TrimSuffix(first, "in") + "in"
	}
	a, okA := side(first)
	b, okB := side(second)
	return a, b, okA && okB
}

// Orientation is how the paper lies.
type Orientation string

// The orientations. Auto takes the one that needs fewer sheets.
const (
	Auto      Orientation = "auto"
	Portrait  Orientation = "portrait"
	Landscape Orientation = "landscape"
)

// Setup is what the maker chooses about paper.
type Setup struct {
	Paper       Paper
	Orientation Orientation
	// MarginMM is left free on every side; printers reach about 6 mm from the
	// edge (common practice, no source).
	MarginMM float64
	// OverlapMM is the width of the strip that neighbouring tiles share.
	OverlapMM float64
	// Printer is how far from true the printer prints.
	Printer Printer
	// Packed asks for pieces turned and packed on few pages instead of as they
	// lay on the mat.
	Packed bool
	// ShiftMM moves the sheets over the pattern from the place that is best by
	// itself, to keep a join off a delicate spot. It has no say in packed layouts
	// and on rolls.
	ShiftMM mat.Point
}

// DefaultSetup returns A4, auto, with margins of 10 mm and strips of 10 mm.
func DefaultSetup() Setup {
	p, _ := PaperByName("A4")
	return Setup{Paper: p, Orientation: Auto, MarginMM: 10, OverlapMM: 10}
}

// The bounds of what can be laid out. maxSideMM is the largest page a PDF
// may have, 14 400 units of 1/72 in (PDF 1.7, ISO 32000-1:2008, annex C.2).
const (
	minMarginMM  = 5
	maxMarginMM  = 60
	maxShiftMM   = 1e5
	minContentMM = 104
	minTallMM    = 150
	maxSideMM    = 14400 * 25.4 / 72
)

// Check returns what is wrong with a setup, in a sentence; nil when it can be
// printed. The content area must hold the 100 mm square and 4 in bar.
func (s Setup) Check() error {
	w, h := s.Paper.WidthMM, s.Paper.HeightMM
	switch {
	case !(math.Abs(s.ShiftMM.X) <= maxShiftMM) || !(math.Abs(s.ShiftMM.Y) <= maxShiftMM):
		return fmt.Errorf("the sheets are moved by %g mm × %g mm; put them back to their usual place", s.ShiftMM.X, s.ShiftMM.Y)
	case !(w > 0) || !(h > 0):
		return fmt.Errorf("the paper is %g mm × %g mm; give it a width and a height", w, h)
	case w > maxSideMM || h > maxSideMM:
		return fmt.Errorf("the paper is %g mm × %g mm, but a PDF page ends at %.0f mm; choose a smaller one", w, h, maxSideMM)
	case !(s.MarginMM >= minMarginMM && s.MarginMM <= maxMarginMM):
		return fmt.Errorf("the margin is %g mm; choose %d to %d mm", s.MarginMM, minMarginMM, maxMarginMM)
	case math.Min(w, h)-2*s.MarginMM < minContentMM || math.Max(w, h)-2*s.MarginMM < minTallMM:
		return fmt.Errorf("paper of %g mm × %g mm with margins of %g mm does not hold the 100 mm test square and its text; choose a larger paper or smaller margins", w, h, s.MarginMM)
	case !(s.OverlapMM >= 0 && s.OverlapMM <= 40):
		return fmt.Errorf("the overlap is %g mm; choose 0 to 40 mm", s.OverlapMM)
	}
	if err := s.Printer.check(); err != nil {
		return err
	}
	switch s.Orientation {
	case Auto, Portrait, Landscape:
		return nil
	}
	return fmt.Errorf("orientation %q is not known; use auto, portrait or landscape", s.Orientation)
}

// footerMM is the height of the line of text at the foot of each page. It
// sits in the bottom margin when that is tall enough; FooterReserveMM is what
// has to be taken from the content area otherwise.
const footerMM = 10

// FooterReserveMM returns the height taken from the foot of the content area.
func (s Setup) FooterReserveMM() float64 { return math.Max(0, footerMM-s.MarginMM) }
