package units

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

// FuzzParse: whatever is typed, there is a length or an angle within its
// bounds, that reads back as it is shown, or an error that says so.
func FuzzParse(f *testing.F) {
	for _, text := range []string{
		"25.4 mm", "2,5", "1 1/2in", "1-1/2\"", "3⁄8 in", "1½″", "½ inch", "0.5 m", " 1 CM ", ".5''", "1\u00a0/ 2 in.",
		"45", "22,5°", "-20 deg", "−116.6 degrees", "360", "1e9", "NaN", "1/0 in", "1.2.3", "1,000.5", "--5", "", "1,500", "0,125", "1.500", "1 000", "12'345 in", "600,000", "3/8", "2”",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		length(t, text)
		angle(t, text)
		unclear(t, text)
	})
}

// FuzzSizes: whatever is typed for sides, there are as many lengths above 0 as
// there are sides, which read back in mm, or an error that says so.
func FuzzSizes(f *testing.F) {
	for _, text := range []string{"610x914mm", "24 1/2x60in", "61,0x91,4cm", "24x60x1/2in", "1,500x2mm", "1 000 × 2", "2x4ft", "24inx", "x", "1/0x3", "½x⅜\""} {
		f.Add(text, true)
		f.Add(text, false)
	}
	f.Fuzz(func(t *testing.T, text string, comma bool) {
		for _, s := range []System{Millimetres, Inches} {
			r := Reading{s, comma}
			got, err := r.Sizes(text)
			if err != nil {
				if !errors.Is(err, ErrNotALength) || got != nil {
					t.Errorf("%q: %v beside error %v", text, got, err)
				}
				continue
			}
			var parts []string
			for _, mm := range got {
				if !(mm > 0) || math.IsInf(mm, 0) {
					t.Errorf("%q is %v", text, got)
				}
				parts = append(parts, strconv.FormatFloat(mm, 'f', 9, 64))
			}
			again, err := r.Sizes(strings.Join(parts, "x") + "mm")
			if err != nil || !slices.EqualFunc(got, again, func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(1, a) }) {
				t.Errorf("%q is %v, then %v, %v", text, got, again, err)
			}
		}
	})
}

// unclear: of what has two readings both can be written, and mean what is said;
// where decimals stand behind a comma nothing is read otherwise.
func unclear(t *testing.T, text string) {
	point, comma := Reading{}, Reading{DecimalComma: true}
	mm, err := point.Length(text)
	if got, err := comma.Length(text); err == nil && got != mm {
		t.Errorf("%q is %v mm, behind a comma %v mm", text, mm, got)
	}
	for r, err := range map[Reading]error{point: err, comma: second(comma.Length(text))} {
		var u *UnclearError
		if !errors.As(err, &u) {
			continue
		}
		whole, err1 := r.Length(u.Whole + u.Unit)
		part, err2 := r.Length(u.Decimal + u.Unit)
		if err1 != nil || err2 != nil || math.Abs(whole-1000*part) > 1e-9*whole {
			t.Errorf("%q is said to be %v mm or %v mm, %v, %v", text, whole, part, err1, err2)
		}
	}
}

func length(t *testing.T, text string) {
	if mm, err := ParseLength(text, 1); err != nil && !errors.Is(err, ErrNotALength) || err == nil && !(mm > 0) {
		t.Errorf("%q in a field of millimetres: %v, %v", text, mm, err)
	}
	if mm, err := (Reading{}).FromZero(text); err == nil && !(mm >= 0) {
		t.Errorf("%q from zero: %v", text, mm)
	}
	if a, b, err := ParseSize(text, 1); err != nil && !errors.Is(err, ErrNotALength) || err == nil && !(a > 0 && b > 0) {
		t.Errorf("%q as a size: %v by %v, %v", text, a, b, err)
	}
	mm, err := ParseLength(text, MMPerInch)
	if err != nil {
		if !errors.Is(err, ErrNotALength) || mm != 0 {
			t.Errorf("%q: %v beside error %v", text, mm, err)
		}
		if strings.ContainsAny(err.Error(), "\n\r\x1b") || !utf8.ValidString(err.Error()) {
			t.Errorf("said %q", err)
		}
		return
	}
	if !(mm > 0) || math.IsInf(mm, 0) {
		t.Errorf("%q is %v mm", text, mm)
	}
	if !strings.ContainsAny(text, "0123456789½¼¾⅛⅜⅝⅞") {
		t.Errorf("%q has no digit and is %v mm", text, mm)
	}
	readsBack(t, mm)
}

// readsBack: what is shown of a length that a mat can have is that length.
func readsBack(t *testing.T, mm float64) {
	if mm < 0.001 || mm > 1e6 {
		return
	}
	if got, err := ParseLength(FormatTyped(mm), MMPerInch); err != nil || math.Abs(got-mm) > 0.0005001 {
		t.Errorf("%v mm is shown as %q, which is %v mm, %v", mm, FormatTyped(mm), got, err)
	}
	for _, s := range []System{Millimetres, Inches} {
		if got, err := (Reading{System: s}).Length(s.Typed(mm)); err != nil || math.Abs(got-mm) > 0.0005001 {
			t.Errorf("%v mm is shown as %q, which is %v mm, %v", mm, s.Typed(mm), got, err)
		}
	}
	if mm < 1 {
		return
	}
	if got, err := ParseLength(FormatInches(mm), 1); err != nil || math.Abs(got-mm) > MMPerInch/64+1e-6 {
		t.Errorf("%v mm is shown as %q, which is %v mm, %v", mm, FormatInches(mm), got, err)
	}
}

func angle(t *testing.T, text string) {
	deg, err := ParseSignedDeg(text)
	if err != nil && !errors.Is(err, ErrNotDegrees) || !(deg >= -360 && deg <= 360) {
		t.Errorf("%q is %v°, %v", text, deg, err)
	}
	cut, err2 := ParseAngleDeg(text)
	if err2 != nil && !errors.Is(err2, ErrNotAnAngle) || err2 == nil && (err != nil || cut != deg || !(cut > 0 && cut < 90)) {
		t.Errorf("%q is %v° to cut and %v° by sign, %v, %v", text, cut, deg, err, err2)
	}
	if err == nil {
		if got, err := ParseSignedDeg(FormatDeg(deg)); err != nil || math.Abs(got-deg) > 0.005001 {
			t.Errorf("%v° is shown as %q, which is %v°, %v", deg, FormatDeg(deg), got, err)
		}
	}
}
