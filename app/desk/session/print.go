package session

import (
	"math"
	"path/filepath"
	"strings"

	"flatwright/trace/pattern"
)

// Print is how the maker wants the pattern printed.
type Print struct {
	// Paper is a paper's name, like "a4" or "610x914mm".
	Paper string
	// Orientation is "auto", "portrait" or "landscape".
	Orientation string
	// MarginMM is left free on every side, OverlapMM shared by neighbours.
	MarginMM, OverlapMM float64
	// Packed asks for pieces turned and packed on few pages instead of as they
	// lie on the mat.
	Packed bool
	// ShiftXMM and ShiftYMM move the sheets over the pattern from where they lie
	// best by themselves; of no say when packed.
	ShiftXMM, ShiftYMM float64
	// ShortMM and LongMM are what the 100 mm square of an earlier cover measured
	// along the paper's sides; 0 when it was not measured.
	ShortMM, LongMM float64
	// SVG, DXF and Bundle ask for these files beside the PDF.
	SVG, DXF, Bundle bool
}

// SquareMM is the side of the square on the cover.
const SquareMM = 100

// UsualPrint is a paper as it comes out without another wish.
func UsualPrint(paper string) Print {
	return Print{Paper: paper, Orientation: "auto", MarginMM: 10, OverlapMM: 10}
}

// ForAnother is the choice for another pattern: where the sheets lie belongs to
// this one.
func (p Print) ForAnother() Print {
	p.ShiftXMM, p.ShiftYMM = 0, 0
	return p
}

// Laid is the choice without what is of no say for where pieces lie on pages: the
// further files, and where sheets are moved that are packed.
func (p Print) Laid() Print {
	p.SVG, p.DXF, p.Bundle = false, false, false
	if p.Packed {
		return p.ForAnother()
	}
	return p
}

// Beside returns the files that are written beside a PDF: they have its name.
func (p Print) Beside(pdf string) []string {
	var out []string
	for _, x := range []struct {
		asked  bool
		ending string
	}{{p.SVG, ".svg"}, {p.DXF, ".dxf"}, {p.Bundle, ".zip"}} {
		if x.asked {
			out = append(out, strings.TrimSuffix(pdf, filepath.Ext(pdf))+x.ending)
		}
	}
	return out
}

// Printout is all that a print says: the pattern, how it is printed, and the
// photographs that it came from, of which the cover speaks.
type Printout struct {
	Pattern pattern.Pattern
	Print   Print
	Parts   []Part
}

// Printout returns what an export would print now.
func (s *Session) Printout() Printout { return Printout{s.doc.Pattern, s.doc.Print, s.Parts()} }

// StartWithPrint sets how patterns are printed without a step of undo, before
// there is work.
func (s *Session) StartWithPrint(p Print) {
	s.doc.Print = p
	s.version++
}

// SetPrint chooses how the pattern is printed.
func (s *Session) SetPrint(p Print) {
	if p != s.doc.Print {
		s.edit(Edit{Action: printAction(s.doc.Print, p)}, func(d *Document) { d.Print = p })
	}
}

// printAction names what differs between two choices.
func printAction(a, b Print) Action {
	switch {
	case a.ShiftXMM != b.ShiftXMM || a.ShiftYMM != b.ShiftYMM:
		return ActionSheets
	case a.ShortMM != b.ShortMM || a.LongMM != b.LongMM:
		return ActionPrinter
	case a.SVG != b.SVG || a.DXF != b.DXF || a.Bundle != b.Bundle:
		return ActionFiles
	}
	return ActionPaper
}

// MoveSheets moves the sheets over the pattern by mm, as part of a drag or a run
// of nudges that EndGesture ends. Beyond the furthest, mm, they stay.
func (s *Session) MoveSheets(dxMM, dyMM, furthestMM float64) {
	p := s.doc.Print
	p.ShiftXMM, p.ShiftYMM = p.ShiftXMM+dxMM, p.ShiftYMM+dyMM
	if math.Abs(p.ShiftXMM) > furthestMM || math.Abs(p.ShiftYMM) > furthestMM {
		return
	}
	s.gesture(Edit{Action: ActionSheets}, func(d *Document) { d.Print = p })
}
