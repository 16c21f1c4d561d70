package page

import (
	"math"
	"testing"
)

// printedStyles are the styles that lie side by side on paper.
var printedStyles = []Style{CutStyle, BevelStyle, UndercutStyle, ScoreStyle, AllowanceStyle}

// seen is a colour in linear light, red, green and blue from 0 to 1.
type seen [3]float64

func light(c Colour) seen {
	var s seen
	for i, v := range [3]uint8{c.R, c.G, c.B} {
		f := float64(v) / 255
		if f <= 0.04045 {
			s[i] = f / 12.92
			continue
		}
		s[i] = math.Pow((f+0.055)/1.055, 2.4)
	}
	return s
}

// Reduction of a colour to what is seen without one kind of cone, in linear
// light: Viénot, Brettel and Mollon, "Digital video colourmaps for checking the
// legibility of displays by dichromats", 1999 (matrices from memory).
var (
	toCones = [3][3]float64{{17.8824, 43.5161, 4.11935}, {3.45565, 27.1554, 3.86714}, {0.0299566, 0.184309, 1.46709}}
	toLight = [3][3]float64{
		{0.0809444479, -0.130504409, 0.116721066},
		{-0.0102485335, 0.0540193266, -0.113614708},
		{-0.000365296938, -0.00412161469, 0.693511405},
	}
	protan = [3][3]float64{{0, 2.02344, -2.52581}, {0, 1, 0}, {0, 0, 1}}
	deutan = [3][3]float64{{1, 0, 0}, {0.494207, 0, 1.24827}, {0, 0, 1}}
	grey   = [3][3]float64{{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}}
)

func times(m [3][3]float64, v seen) seen {
	var out seen
	for i := range 3 {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2]
	}
	return out
}

func (s seen) luminance() float64 { return 0.2126*s[0] + 0.7152*s[1] + 0.0722*s[2] }

// eyes are ways of seeing, black and white print among them.
var eyes = map[string]func(seen) seen{
	"all colours":     func(s seen) seen { return s },
	"protanopia":      func(s seen) seen { return times(toLight, times(protan, times(toCones, s))) },
	"deuteranopia":    func(s seen) seen { return times(toLight, times(deutan, times(toCones, s))) },
	"black and white": func(s seen) seen { return times(grey, s) },
}

// The reduction leaves white and grey as they are, whichever cone is missing.
func TestReductionKeepsGrey(t *testing.T) {
	for name, eye := range eyes {
		for _, v := range []float64{0.2, 1} {
			for i, c := range eye(seen{v, v, v}) {
				if math.Abs(c-v) > 0.01 {
					t.Errorf("%s: channel %d of grey %g becomes %g", name, i, v, c)
				}
			}
		}
	}
}

// Every line stands out from the paper by 3 : 1 or more to any eye (WCAG 2.1,
// 1.4.11, from memory).
func TestLinesStandOut(t *testing.T) {
	for name, eye := range eyes {
		for _, s := range append(printedStyles, MarkStyle) {
			if r := 1.05 / (eye(light(s.Colour)).luminance() + 0.05); r < 3 {
				t.Errorf("%s: line %s stands out by %.2f : 1 only", name, s.Letter, r)
			}
		}
	}
}

// No two kinds of line are told apart by colour alone: their dashes differ, and
// so do their letters. A registration mark is a short stroke across the cut
// line, which it shares its type with.
func TestLinesDifferWithoutColour(t *testing.T) {
	letters := map[string]bool{MarkStyle.Letter: true}
	for i, a := range printedStyles {
		if letters[a.Letter] || a.Letter == "" {
			t.Errorf("letter %q is given twice or empty", a.Letter)
		}
		letters[a.Letter] = true
		for _, b := range printedStyles[:i] {
			if sameDashes(a.DashMM(), b.DashMM()) {
				t.Errorf("lines %s and %s have the same dashes, %v", a.Letter, b.Letter, a.DashMM())
			}
		}
	}
}

// sameDashes reports whether two lines look alike: as many elements, each within
// a third of the other's.
func sameDashes(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if math.Abs(a[i]-b[i]) > 0.34*math.Max(a[i], b[i]) {
			return false
		}
	}
	return true
}
