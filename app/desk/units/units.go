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

// System is the way lengths are shown.
type System uint8

const (
	// Millimetres shows lengths as "12.5 mm".
	Millimetres System = iota
	// Inches shows lengths as fractions of an inch to 1/32.
	Inches
)

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
	{"''", MMPerInch},
	{"mm", 1},
	{"cm", 10},
	{"m", 1000},
}

// ParseLength returns the millimetres in text such as "25.4 mm", "1cm",
// "3/8 in", "1 1/2in", "1-1/2\"" or "2,5" (decimal comma). A bare number is
// taken in the unit that bareMM gives the length of. The length is finite and
// positive, else the error wraps ErrNotALength.
func ParseLength(text string, bareMM float64) (float64, error) {
	s := strings.ToLower(strings.TrimSpace(text))
	s = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "⁄", "/", " / ", "/").Replace(s)
	unit := bareMM
	for _, x := range suffixes {
		if rest, ok := strings.CutSuffix(s, x.text); ok {
			s, unit = strings.TrimSpace(rest), x.mm
			break
		}
	}
	v, err := parseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("%q: %w", text, err)
	}
	mm := v * unit
	if !(mm > 0) || math.IsInf(mm, 0) {
		return 0, fmt.Errorf("%q: %w", text, ErrNotALength)
	}
	return mm, nil
}

// vulgar are the ready-made fractions that phones and word processors type.
var vulgar = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8")

// parseNumber reads "2.5", "2,5", "3/8", "1 1/2" and "1-1/2".
func parseNumber(s string) (float64, error) {
	s = strings.TrimSpace(vulgar.Replace(s))
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

// Format returns a length to 0.1 mm or 1/32 in.
func Format(mm float64, s System) string {
	if s == Inches {
		return FormatInches(mm)
	}
	return FormatMM(mm, 1)
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
