// Package units reads and writes lengths and angles the way makers type them.
package units

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// MMPerInch is exact (international yard and pound agreement, 1959).
const MMPerInch = 25.4

// ErrNotALength is returned for text that holds no length.
var ErrNotALength = errors.New("not a length")

// suffixes are tried in order, the longer before the shorter that ends alike.
var suffixes = []struct {
	text string
	mm   float64
}{
	{"inches", MMPerInch},
	{"inch", MMPerInch},
	{"in.", MMPerInch},
	{"in", MMPerInch},
	{"\"", MMPerInch},
	{"″", MMPerInch},
	{"”", MMPerInch},
	{"''", MMPerInch},
	{"mm", 1},
	{"cm", 10},
	{"m", 1000},
}

// ParseLength returns the millimetres in text such as "25.4 mm", "1cm",
// "3/8 in", "1 1/2in", "1-1/2\"" or "2,5" (decimal comma). A bare number is
// taken in the unit that bareMM gives the length of; a bare fraction, "3/8" or
// "1½", is inches whatever the unit, since nobody types fractions of a
// millimetre. The length is finite and positive, else the error wraps
// ErrNotALength; it is a *CommaError where a comma may be a decimal comma or
// stand between thousands.
func ParseLength(text string, bareMM float64) (float64, error) {
	s, unit, suffixed := cutUnit(text)
	if !suffixed {
		unit = bareUnit(bareMM, s)
	}
	return inUnit(text, s, unit)
}

// ParseFromZero is ParseLength for what may be nothing too: "0" or "0 mm" is 0.
func ParseFromZero(text string, bareMM float64) (float64, error) {
	s, _, _ := cutUnit(text)
	if v, err := parseDecimal(s); err == nil && v == 0 {
		return 0, nil
	}
	return ParseLength(text, bareMM)
}

// bareUnit is the unit of numbers that name none: inches for fractions.
func bareUnit(bareMM float64, numbers ...string) float64 {
	for _, s := range numbers {
		if strings.Contains(s, "/") {
			return MMPerInch
		}
	}
	return bareMM
}

// ParseSize returns both lengths in text such as "610x914mm", "24 × 36 in" or
// "8 1/2 x 11", in mm. A unit behind one of them is that of both, and so is a
// fraction's. Its errors are those of ParseLength.
func ParseSize(text string, bareMM float64) (first, second float64, err error) {
	a, b, ok := strings.Cut(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	if !ok {
		return 0, 0, fmt.Errorf("%q: %w", text, ErrNotALength)
	}
	numberA, unitA, foundA := cutUnit(a)
	numberB, unitB, foundB := cutUnit(b)
	switch {
	case foundA && !foundB:
		unitB = unitA
	case foundB && !foundA:
		unitA = unitB
	case !foundA:
		unitA = bareUnit(bareMM, numberA, numberB)
		unitB = unitA
	}
	if first, err = inUnit(text, numberA, unitA); err != nil {
		return 0, 0, err
	}
	if second, err = inUnit(text, numberB, unitB); err != nil {
		return 0, 0, err
	}
	return first, second, nil
}

// inUnit reads a number, in lower case and without its unit, of the text typed.
func inUnit(text, s string, unit float64) (float64, error) {
	if unit == 1 && isUnclear(s) {
		return 0, &CommaError{Text: text, Whole: strings.Replace(s, ",", "", 1), Decimal: decimal(s)}
	}
	v, err := parseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("%q: %w", text, err)
	}
	mm := math.Round(v*unit*1e9) / 1e9 // inches leave no crumbs
	if !(mm > 0) || math.IsInf(mm, 0) {
		return 0, fmt.Errorf("%q: %w", text, ErrNotALength)
	}
	return mm, nil
}

// cutUnit returns the number in a text, in lower case and with its fractions
// written out, and the millimetres of its unit if it names one.
func cutUnit(text string) (number string, unitMM float64, found bool) {
	s := strings.ToLower(strings.TrimSpace(text))
	s = vulgar.Replace(strings.NewReplacer("\u00a0", " ", "\u202f", " ", "⁄", "/", " / ", "/").Replace(s))
	for _, x := range suffixes {
		if rest, ok := strings.CutSuffix(s, x.text); ok {
			return strings.TrimSpace(rest), x.mm, true
		}
	}
	return strings.TrimSpace(s), 0, false
}

// CommaError is returned for millimetres like "1,500", which one maker means as
// one and a half and another as fifteen hundred. It is an ErrNotALength.
type CommaError struct {
	// Text is what was typed, Whole and Decimal are its two readings: "1500" and
	// "1.5".
	Text, Whole, Decimal string
}

// Error says how to write either.
func (e *CommaError) Error() string {
	return fmt.Sprintf("%q may be %s or %s: write %s or %s", e.Text, e.Whole, e.Decimal, e.Whole, e.Decimal)
}

// Unwrap returns ErrNotALength.
func (e *CommaError) Unwrap() error { return ErrNotALength }

// isUnclear reports whether a comma may stand between thousands: one to three
// digits before it that do not begin with 0, three behind it. Nobody types
// thousandths of a millimetre, but "0,125" and inches like "2,375" are typed.
func isUnclear(s string) bool {
	whole, rest, ok := strings.Cut(s, ",")
	digits := strings.Trim(whole+rest, "0123456789") == ""
	return ok && digits && len(rest) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'
}

// decimal is a number with a decimal comma as one with a point, without
// needless zeros.
func decimal(s string) string {
	return strings.TrimRight(strings.TrimRight(strings.Replace(s, ",", ".", 1), "0"), ".")
}

// vulgar are the ready-made fractions that phones and word processors type.
var vulgar = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8")

// parseNumber reads "2.5", "2,5", "3/8", "1 1/2" and "1-1/2".
func parseNumber(s string) (float64, error) {
	whole, frac := "", s
	if i := strings.LastIndexAny(s, " -"); i > 0 && strings.Contains(s, "/") {
		whole, frac = strings.TrimSpace(s[:i]), s[i+1:]
	}
	v, err := parseFraction(frac)
	if err != nil || whole == "" {
		return v, err
	}
	if strings.ContainsAny(whole, ".,/ ") {
		return 0, ErrNotALength
	}
	w, err := parseDecimal(whole)
	return w + v, err
}

func parseFraction(s string) (float64, error) {
	top, bottom, ok := strings.Cut(s, "/")
	if !ok {
		return parseDecimal(s)
	}
	a, errA := parseDecimal(strings.TrimSpace(top))
	b, errB := parseDecimal(strings.TrimSpace(bottom))
	if errA != nil || errB != nil || b == 0 {
		return 0, ErrNotALength
	}
	return a / b, nil
}

// parseDecimal takes digits and at most one point or comma: no exponent, no
// thousands separators, no sign, no "inf".
func parseDecimal(s string) (float64, error) {
	if strings.Trim(s, "0123456789.,") != "" {
		return 0, ErrNotALength
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(s, ",", "."), 64)
	if err != nil {
		return 0, ErrNotALength
	}
	return v, nil
}

// ErrNotAnAngle is returned for text that is no cutting angle.
var ErrNotAnAngle = errors.New("not an angle between 0 and 90 degrees")

// ParseAngleDeg returns the degrees in text such as "45", "22,5" or "30°".
// The angle lies strictly between 0 and 90.
func ParseAngleDeg(text string) (float64, error) {
	v, err := ParseSignedDeg(text)
	if err != nil || v <= 0 || v >= 90 {
		return 0, fmt.Errorf("%q: %w", text, ErrNotAnAngle)
	}
	return v, nil
}

// ErrNotDegrees is returned for text that is no number of degrees.
var ErrNotDegrees = errors.New("not a number of degrees within a full turn")

// ParseSignedDeg returns the degrees in text such as "116.6", "-20" or "0°",
// at most a full turn either way.
func ParseSignedDeg(text string) (float64, error) {
	s := strings.ToLower(strings.TrimSpace(text))
	for _, x := range []string{"degrees", "deg", "°"} {
		s = strings.TrimSpace(strings.TrimSuffix(s, x))
	}
	sign := 1.0
	for _, minus := range []string{"-", "−"} {
		if rest, ok := strings.CutPrefix(s, minus); ok {
			s, sign = strings.TrimSpace(rest), -1
			break
		}
	}
	v, err := parseDecimal(s)
	if err != nil || !(v >= 0 && v <= 360) {
		return 0, fmt.Errorf("%q: %w", text, ErrNotDegrees)
	}
	return sign * v, nil
}
