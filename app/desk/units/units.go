// Package units reads and writes lengths and angles the way makers type them.
package units

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// MMPerInch is exact (international yard and pound agreement, 1959).
const MMPerInch = 25.4

const mmPerFoot = 12 * MMPerInch

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
	{"feet", mmPerFoot},
	{"foot", mmPerFoot},
	{"ft", mmPerFoot},
}

// Reading is how what is typed is read: the unit of a bare number, and whether
// decimals stand behind a comma where the maker lives.
type Reading struct {
	System System
	// DecimalComma tells that a point may stand between thousands: "1.500".
	DecimalComma bool
}

// Length is ParseLength. Where decimals stand behind a comma "1.500" is as
// unclear as "1,500".
func (r Reading) Length(text string) (float64, error) {
	return parseLength(text, r.System.UnitMM(), r.DecimalComma)
}

// FromZero is Length for what may be nothing too: "0" or "0 mm" is 0.
func (r Reading) FromZero(text string) (float64, error) {
	s, _, _ := cutUnit(text)
	if v, err := parseDecimal(s); err == nil && v == 0 {
		return 0, nil
	}
	return r.Length(text)
}

// Size is ParseSize, read like Length.
func (r Reading) Size(text string) (first, second float64, err error) {
	return parseSize(text, r.System.UnitMM(), r.DecimalComma)
}

// Sizes returns all lengths in text such as "24x60x1/2in", in mm. One without a
// unit has that of the next that names one, or else of the one before. A bare
// fraction makes inches of them all where none names a unit. Its errors are
// those of Length.
func (r Reading) Sizes(text string) ([]float64, error) {
	return parseSizes(text, r.System.UnitMM(), r.DecimalComma)
}

// Number returns a number of things above 0, like "20" or "20,5". What has two
// readings is an *UnclearError, other text an error that wraps ErrNotALength.
func (r Reading) Number(text string) (float64, error) {
	s := strings.TrimSpace(text)
	if whole, decimal, ok := twoReadings(s, r.DecimalComma); ok {
		return 0, &UnclearError{Text: s, Whole: whole, Decimal: decimal}
	}
	v, err := parseDecimal(s)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q: %w", text, ErrNotALength)
	}
	return v, nil
}

// Clear returns a length as System shows it so that Length reads it back: where
// "9.525 mm" is unclear it is "9.5250 mm".
func (r Reading) Clear(shown string) string {
	number, unit, _ := strings.Cut(shown, " ")
	if _, _, unclear := twoReadings(number, r.DecimalComma); !unclear {
		return shown
	}
	return number + "0 " + unit
}

// ParseLength returns the millimetres in text such as "25.4 mm", "1cm",
// "3/8 in", "1 1/2in", "1-1/2\"" or "2,5" (decimal comma). A bare number is
// taken in the unit that bareMM gives the length of; a bare fraction, "3/8" or
// "1½", is inches whatever the unit, since nobody types fractions of a
// millimetre. The length is finite and positive, else the error wraps
// ErrNotALength; it is an *UnclearError where a mark may stand before decimals
// or between thousands.
func ParseLength(text string, bareMM float64) (float64, error) {
	return parseLength(text, bareMM, false)
}

func parseLength(text string, bareMM float64, decimalComma bool) (float64, error) {
	s, unit, suffixed := cutUnit(text)
	if !suffixed {
		unit = bareUnit(bareMM, s)
	}
	return inUnit(text, s, unit, decimalComma)
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
	return parseSize(text, bareMM, false)
}

func parseSize(text string, bareMM float64, decimalComma bool) (first, second float64, err error) {
	both, err := parseSizes(text, bareMM, decimalComma)
	switch {
	case err != nil:
		return 0, 0, err
	case len(both) != 2:
		return 0, 0, fmt.Errorf("%q: %w", text, ErrNotALength)
	}
	return both[0], both[1], nil
}

// parseSizes reads lengths with an x or × between them.
func parseSizes(text string, bareMM float64, decimalComma bool) ([]float64, error) {
	parts := strings.Split(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	numbers, unitsMM := make([]string, len(parts)), make([]float64, len(parts))
	for i, part := range parts {
		numbers[i], unitsMM[i], _ = cutUnit(part)
	}
	shareUnits(unitsMM, bareUnit(bareMM, numbers...))
	out := make([]float64, len(parts))
	for i, part := range parts {
		var err error
		out[i], err = inUnit(strings.TrimSpace(part), numbers[i], unitsMM[i], decimalComma)
		var unclear *UnclearError
		switch {
		case errors.As(err, &unclear):
			return nil, err
		case err != nil:
			return nil, fmt.Errorf("%q: %w", text, ErrNotALength)
		}
	}
	return out, nil
}

// shareUnits gives those that are 0 the next unit, else the one before, else the
// bare one.
func shareUnits(unitsMM []float64, bareMM float64) {
	for i, v := range slices.Backward(unitsMM) {
		if v == 0 && i+1 < len(unitsMM) {
			unitsMM[i] = unitsMM[i+1]
		}
	}
	for i, v := range unitsMM {
		switch {
		case v == 0 && i == 0:
			unitsMM[i] = bareMM
		case v == 0:
			unitsMM[i] = unitsMM[i-1]
		}
	}
}

// inUnit reads a number, in lower case and without its unit, of the text typed.
func inUnit(text, s string, unitMM float64, decimalComma bool) (float64, error) {
	if whole, decimal, ok := twoReadings(s, decimalComma); ok {
		return 0, &UnclearError{Text: strings.TrimSpace(text), Whole: whole, Decimal: decimal, Unit: unitName(unitMM)}
	}
	v, err := parseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("%q: %w", text, err)
	}
	mm := math.Round(v*unitMM*1e9) / 1e9 // inches leave no crumbs
	if !(mm > 0) || math.IsInf(mm, 0) {
		return 0, fmt.Errorf("%q: %w", text, ErrNotALength)
	}
	return mm, nil
}

// cutUnit returns the number in a text, in lower case and with its fractions
// written out, and the millimetres of its unit if it names one.
func cutUnit(text string) (number string, unitMM float64, found bool) {
	s := strings.ToLower(strings.TrimSpace(text))
	s = vulgar.Replace(strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\u2009", " ", "⁄", "/", " / ", "/").Replace(s))
	for _, x := range suffixes {
		if rest, ok := strings.CutSuffix(s, x.text); ok {
			return strings.TrimSpace(rest), x.mm, true
		}
	}
	return strings.TrimSpace(s), 0, false
}

// unitName is the short name of a unit of so many millimetres, "in".
func unitName(mm float64) string {
	switch mm {
	case 1:
		return "mm"
	case 10:
		return "cm"
	case 1000:
		return "m"
	case MMPerInch:
		return "in"
	case mmPerFoot:
		return "ft"
	}
	return ""
}

// UnclearError is returned for lengths like "1,500", which one maker means as
// one and a half and another as fifteen hundred. It is an ErrNotALength.
type UnclearError struct {
	// Text is what was typed. Whole and Decimal are its two readings, "1500" and
	// "1.5", either of which is read when it is typed with the Unit, "mm"; of a
	// number of things that is empty.
	Text, Whole, Decimal, Unit string
}

// Error says how to write either.
func (e *UnclearError) Error() string {
	if e.Unit == "" {
		return fmt.Sprintf("%q may be %s or %s: write the one that is meant", e.Text, e.Whole, e.Decimal)
	}
	return fmt.Sprintf("%q may be %s or %s %s: write %s%s or %s%s", e.Text, e.Whole, e.Decimal, e.Unit, e.Whole, e.Unit, e.Decimal, e.Unit)
}

// Unwrap returns ErrNotALength.
func (e *UnclearError) Unwrap() error { return ErrNotALength }

// twoReadings returns both readings of a number whose mark may stand between
// thousands or before decimals, "1500" and "1.5" of "1,500": one to three digits
// before the mark that do not begin with 0, three behind it. A comma, a blank and
// an apostrophe are such marks, and a point where decimals stand behind a comma.
// The decimal one is written so that it has no second reading itself.
func twoReadings(s string, decimalComma bool) (whole, decimal string, ok bool) {
	before, mark, after := cutMark(s)
	if mark == 0 || mark == '.' && !decimalComma || len(after) != 3 || strings.Trim(before+after, "0123456789") != "" {
		return "", "", false
	}
	if len(before) < 1 || len(before) > 3 || before[0] == '0' {
		return "", "", false
	}
	decimal = strings.TrimRight(before+"."+after, "0")
	if decimalComma && len(decimal) == len(before)+len(".500") {
		decimal += "0"
	}
	return before + after, strings.TrimSuffix(decimal, "."), true
}

// cutMark cuts a number at its first mark; 0 when it has none.
func cutMark(s string) (before string, mark rune, after string) {
	i := strings.IndexAny(s, ",. '’")
	if i < 0 {
		return s, 0, ""
	}
	mark, n := utf8.DecodeRuneInString(s[i:])
	return s[:i], mark, s[i+n:]
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
	top, bottom = strings.TrimSpace(top), strings.TrimSpace(bottom)
	if strings.ContainsAny(top+bottom, ".,") {
		return 0, ErrNotALength
	}
	a, errA := parseDecimal(top)
	b, errB := parseDecimal(bottom)
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
