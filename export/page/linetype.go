package page

import (
	"fmt"
	"math"
	"strings"

	"flatwright/trace/pattern"
)

// Colour is an sRGB colour.
type Colour struct{ R, G, B uint8 }

// Hex returns the colour as SVG writes it, like "#0072b2".
func (c Colour) Hex() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// Ink and the greys of things that are not cut; cut colours are of Okabe and
// Ito, "Color Universal Design", 2008 (values from memory).
var (
	Ink        = Colour{0x22, 0x26, 0x2b}
	Black      = Colour{0, 0, 0}
	White      = Colour{255, 255, 255}
	Grey       = Colour{0x76, 0x76, 0x76}
	PaleGrey   = Colour{0xd6, 0xd6, 0xd6}
	Vermillion = Colour{0xd5, 0x5e, 0x00}
	Blue       = Colour{0x00, 0x72, 0xb2}
	Green      = Colour{0x00, 0x9e, 0x73}
)

// LineType is one kind of line in a drawing: number and name of ISO 128-2,
// and the lengths of its dashes and gaps as multiples of the line's width
// (ISO 128-20, table of line elements: gap 3, dash 12, long dash 24; from
// memory). The standard's dots are at most ½ long; here they are 1, because
// printers lose smaller ones.
type LineType struct {
	Number int
	Name   string
	Dash   []float64
}

// The types used.
var (
	Continuous      = LineType{1, "continuous", nil}
	Dashed          = LineType{2, "dashed", []float64{12, 3}}
	LongDashDot     = LineType{4, "long-dashed dotted", []float64{24, 3, 1, 3}}
	LongDashTwoDots = LineType{5, "long-dashed double-dotted", []float64{24, 3, 1, 3, 1, 3}}
	Dotted          = LineType{7, "dotted", []float64{1, 3}}
	DashedDotted    = LineType{10, "dashed dotted", []float64{12, 3, 1, 3}}
)

// Style is how a line is drawn, and the letter that says the same without
// colour or dashes.
type Style struct {
	Letter  string
	Colour  Colour
	Type    LineType
	WidthMM float64
	Meaning string
}

// DashMM returns the dashes and gaps in mm; nil for a continuous line.
func (s Style) DashMM() []float64 {
	var d []float64
	for _, m := range s.Type.Dash {
		d = append(d, m*s.WidthMM)
	}
	return d
}

// Summary returns the type in words, like "type 02, dashed".
func (s Style) Summary() string {
	return fmt.Sprintf("type %02d, %s, %.2g mm", s.Type.Number, s.Type.Name, s.WidthMM)
}

// The styles of what is drawn. Line widths are of the ISO 128-2 series 0.18,
// 0.25, 0.35.
var (
	CutStyle       = Style{"C", Black, Continuous, 0.35, "Cut here: outline and openings, on the face shown"}
	BevelStyle     = Style{"B", Vermillion, Dashed, 0.25, "Bevel, back face smaller: edge of the other face"}
	UndercutStyle  = Style{"U", Blue, DashedDotted, 0.25, "Undercut, back face larger: edge of the other face"}
	ScoreStyle     = Style{"S", Green, LongDashDot, 0.25, "Inside line: score or draw, do not cut through"}
	AllowanceStyle = Style{"A", Ink, LongDashTwoDots, 0.25, "Allowance: cut here instead, and fold or sew along the edge"}
	MarkStyle      = Style{"R", Black, Continuous, 0.35, "Registration mark: meets its twin on the mating edge"}
)

// CutLineStyle returns the style of the other face's line for a cut. Straight
// cuts have none: both faces share the cut line. A cut that varies is drawn as what
// it is where it leans most.
func CutLineStyle(c pattern.Cut) (Style, bool) {
	if c.Varies && math.Abs(c.ToDeg) >= math.Abs(c.SignedDeg()) {
		c = pattern.CutOf(c.ToDeg)
	}
	switch c.Kind {
	case pattern.Bevel:
		return BevelStyle, true
	case pattern.Undercut:
		return UndercutStyle, true
	}
	return CutStyle, false
}

// CutTag returns the letter and angle of a cut, like "B45°"; empty for a
// straight cut. A cut that varies has both its angles in the direction of the
// outline, like "B15°>U10°".
func CutTag(c pattern.Cut) string {
	s, leans := CutLineStyle(c)
	if !leans {
		return ""
	}
	if c.Varies {
		return endTag(c.SignedDeg()) + ">" + endTag(c.ToDeg)
	}
	return s.Letter + degrees(c.AngleDeg)
}

// endTag is the tag of a cut at one of its ends; square is B0°.
func endTag(signedDeg float64) string {
	if signedDeg < 0 {
		return UndercutStyle.Letter + degrees(-signedDeg)
	}
	return BevelStyle.Letter + degrees(signedDeg)
}

func degrees(deg float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", deg), ".0") + "°" }
