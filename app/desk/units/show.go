package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// System is the way lengths are shown, and what a bare number is.
type System uint8

const (
	// Millimetres shows lengths as "12.5 mm".
	Millimetres System = iota
	// Inches shows lengths as fractions of an inch to 1/32 where they are such,
	// else as decimals.
	Inches
)

// UnitMM returns the millimetres of a bare number.
func (s System) UnitMM() float64 {
	if s == Inches {
		return MMPerInch
	}
	return 1
}

// readsBackMM is how near what Typed returns lies to the length.
const readsBackMM = 0.0005

// Typed returns a length the way it would be typed again, without needless
// digits: "5 mm", "25.4 mm", "3/8 in", "0.3937 in". What it returns is within
// 0.0005 mm of the length; a fraction stands only for a length that is one.
func (s System) Typed(mm float64) string {
	if s == Millimetres {
		return FormatTyped(mm)
	}
	if text, ok := fraction(mm, readsBackMM); ok {
		return text
	}
	in := mm / MMPerInch
	for decimals := 1; ; decimals++ {
		text := strconv.FormatFloat(in, 'f', decimals, 64)
		if v, err := strconv.ParseFloat(text, 64); err != nil || math.Abs(v*MMPerInch-mm) <= readsBackMM || decimals == 6 {
			return text + " in"
		}
	}
}

// Length returns a size to so many decimals of a millimetre, "9.5 mm". In
// inches it is a fraction where it is one to that accuracy, "3/8 in", else has
// two decimals more, "0.374 in".
func (s System) Length(mm float64, decimals int) string {
	if s == Millimetres {
		return FormatMM(mm, decimals)
	}
	if text, ok := fraction(mm, math.Pow10(-decimals)/2); ok {
		return text
	}
	return strconv.FormatFloat(mm/MMPerInch, 'f', decimals+2, 64) + " in"
}

// BoundMM is how near what Bound returns lies to the bound.
const BoundMM = 0.0005 * MMPerInch

// Bound returns a bound as a refusal says it: as Typed in millimetres; in inches
// as a fraction if it is one, else to three decimals.
func (s System) Bound(mm float64) string {
	if s == Millimetres {
		return FormatTyped(mm)
	}
	if text, ok := fraction(mm, readsBackMM); ok {
		return text
	}
	return strconv.FormatFloat(mm/MMPerInch, 'f', 3, 64) + " in"
}

// Residual returns a difference or an accuracy to so many decimals of a
// millimetre; in inches to two significant digits or one decimal more, whichever
// is finer, but no finer than 0.0001 in: "0.04 mm", "0.0016 in", "2.17 in".
func (s System) Residual(mm float64, decimals int) string {
	if s == Millimetres {
		return FormatMM(mm, decimals)
	}
	in := mm / MMPerInch
	if math.Abs(in) < leastIn/2 {
		return "0 in"
	}
	return strconv.FormatFloat(in, 'f', significant(in, decimals+1), 64) + " in"
}

// leastIn is the least part of an inch that is shown, 0.0025 mm, and
// leastDecimals its decimals.
const (
	leastIn       = 1e-4
	leastDecimals = 4
)

// significant is how many decimals show two digits of a number of inches, and
// at least so many.
func significant(v float64, least int) int {
	return min(max(least, 1-int(math.Floor(math.Log10(math.Abs(v))))), leastDecimals)
}

// Signed is Residual with its sign: "+0.12 mm", "-0.0047 in".
func (s System) Signed(mm float64, decimals int) string {
	text := s.Residual(mm, decimals)
	if !strings.HasPrefix(text, "-") {
		text = "+" + text
	}
	return text
}

// AtMost is Residual rounded up, for accuracies: none is promised better than
// it is.
func (s System) AtMost(mm float64) string {
	const crumb = 1e-9
	if s == Millimetres {
		return FormatMM(math.Ceil(mm*100-crumb)/100, 2)
	}
	in := mm / MMPerInch
	if !(in > 0) {
		return "0 in"
	}
	unit := math.Pow10(significant(in, 3))
	return s.Residual(math.Ceil(in*unit-crumb)/unit*MMPerInch, 2)
}

// fraction returns a length as a fraction of an inch to 1/32 when it is one to
// within a tolerance in mm.
func fraction(mm, withinMM float64) (string, bool) {
	n := math.Round(mm / MMPerInch * 32)
	if n == 0 && mm != 0 || math.Abs(n*MMPerInch/32-mm) > withinMM {
		return "", false
	}
	return FormatInches(mm), true
}

// FormatMM returns a length with the given decimals and its unit, "12.5 mm".
func FormatMM(mm float64, decimals int) string {
	return strconv.FormatFloat(mm, 'f', decimals, 64) + " mm"
}

// FormatInches returns a length as a fraction of an inch to the nearest 1/32:
// "1 3/8 in", "5/32 in", "2 in".
func FormatInches(mm float64) string {
	n := int(math.Round(math.Abs(mm) / MMPerInch * 32))
	sign := ""
	if mm < 0 && n > 0 {
		sign = "-"
	}
	whole, num, den := n/32, n%32, 32
	for num > 0 && num%2 == 0 {
		num, den = num/2, den/2
	}
	switch {
	case num == 0:
		return fmt.Sprintf("%s%d in", sign, whole)
	case whole == 0:
		return fmt.Sprintf("%s%d/%d in", sign, num, den)
	}
	return fmt.Sprintf("%s%d %d/%d in", sign, whole, num, den)
}

// FormatDeg returns an angle without needless zeros, "45°" or "22.5°".
func FormatDeg(deg float64) string {
	return strconv.FormatFloat(math.Round(deg*100)/100, 'f', -1, 64) + "°"
}

// FormatTyped returns a length the way it would be typed again, without
// needless zeros: "5 mm", "25.4 mm".
func FormatTyped(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*1000)/1000, 'f', -1, 64) + " mm"
}
