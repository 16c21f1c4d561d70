package units

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseLength(t *testing.T) {
	for text, want := range map[string]float64{
		"25.4 mm": 25.4, "25,4mm": 25.4, "1 in": 25.4, "1in": 25.4, "1\"": 25.4,
		"3/8 in": 9.525, "1 1/2in": 38.1, "1-1/2 in": 38.1, "1½ in": 38.1,
		"½ inch": 12.7, " 1 CM ": 10, "2.5cm": 25, "0.5 m": 500, "10": 10,
		"12,7": 12.7, ".5in": 12.7, "1 / 2 in": 12.7, "3/8": 9.525, "1 1/2": 38.1, "1½": 38.1, "⅜": 9.525, "1⁄2": 12.7,
		"1/2 mm": 0.5, "1/2 cm": 5, "0,125": 0.125, "2,37 in": 60.198, "0,375in": 9.525, "1,5": 1.5, "1500,125 mm": 1500.125, "2”": 50.8,
		"2.500": 2.5, "1,50 cm": 15, "12,70": 12.7, "1,5000": 1.5, "2ft": 609.6, "1 1/2 feet": 457.2, "3/8\"": 9.525, "9.5mm": 9.5, "0.95 cm": 9.5,
	} {
		got, err := ParseLength(text, 1)
		if err != nil || got != want {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	if got, err := ParseLength("2", MMPerInch); err != nil || got != 50.8 {
		t.Errorf("bare 2 in inches: %v %v", got, err)
	}
}

func TestParseLengthRefuses(t *testing.T) {
	for _, text := range []string{
		"", "mm", "abc", "-5 mm", "0", "1/0 in", "1e9", "inf", "NaN", "1.2.3", "1,000.5",
		"1,500", "1,500 mm", "12,345mm", "999,000", "1,500 in", "2,375\"", "1,500cm", "1 000", "1 500 mm", "1'500", "1’500", "12\u202f345",
		"1,000,000", "1.000,5", "1 000 000", "1 00", "1,500/2", "1.5/2", "1/1,5", "1 0 0",
		"1 2 in", "1.5 1/2 in", "/", "1/", "/2", "1//2", "1 1/2 1/2 in",
	} {
		if got, err := ParseLength(text, 1); !errors.Is(err, ErrNotALength) {
			t.Errorf("%q: got %v, %v; want ErrNotALength", text, got, err)
		}
	}
}

func TestTypedLengthReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := float64(rapid.IntRange(1, 5_000_000).Draw(t, "µm")) / 1000
		got, err := ParseLength(FormatTyped(mm), 1)
		if err != nil || math.Abs(got-mm) > 1e-9 {
			t.Fatalf("%v mm came back as %v, %v", mm, got, err)
		}
	})
}

func TestInchesReadBackWithin64th(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(0.5, 3000).Draw(t, "mm")
		got, err := ParseLength(FormatInches(mm), 1)
		if err != nil || math.Abs(got-mm) > MMPerInch/64+1e-9 {
			t.Fatalf("%v mm came back as %v, %v", mm, got, err)
		}
	})
}

func TestParseLengthNeverPanics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		if mm, err := ParseLength(rapid.String().Draw(t, "text"), 1); err == nil && !(mm > 0) {
			t.Fatalf("accepted %v", mm)
		}
	})
}

func TestParseAngle(t *testing.T) {
	for text, want := range map[string]float64{"45": 45, "22,5°": 22.5, "30 deg": 30, "0.5": 0.5} {
		if got, err := ParseAngleDeg(text); err != nil || got != want {
			t.Errorf("%q: got %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"0", "90", "-3", "", "abc", "91"} {
		if _, err := ParseAngleDeg(text); !errors.Is(err, ErrNotAnAngle) {
			t.Errorf("%q was accepted", text)
		}
	}
}

func TestFormat(t *testing.T) {
	for mm, want := range map[float64]string{25.4: "1 in", 9.525: "3/8 in", 38.1: "1 1/2 in", 0.1: "0 in", 25.3: "1 in"} {
		if got := FormatInches(mm); got != want {
			t.Errorf("%v mm: %q, want %q", mm, got, want)
		}
	}
	if got := FormatDeg(22.5); got != "22.5°" {
		t.Error(got)
	}
}

func TestParseFromZero(t *testing.T) {
	for text, want := range map[string]float64{"0": 0, "0 mm": 0, "0,0": 0, "0.00in": 0, "0 inches": 0, ".0": 0, "3/8": 9.525, "9,5": 9.5} {
		if got, err := (Reading{}).FromZero(text); err != nil || got != want {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "mm", ".", ",", "-0", "1,500", "0/3", "0x", "00 00"} {
		if got, err := (Reading{}).FromZero(text); !errors.Is(err, ErrNotALength) {
			t.Errorf("%q: got %v, %v; want ErrNotALength", text, got, err)
		}
	}
}

func TestParseSize(t *testing.T) {
	for text, want := range map[string][2]float64{
		"610x914mm": {610, 914}, "610 × 914": {610, 914}, "24x36in": {609.6, 914.4}, "24inx36": {609.6, 914.4},
		"8 1/2x11": {215.9, 279.4}, "8 1/2 x 11 in": {215.9, 279.4}, "61,5x91.4cm": {615, 914}, "1/2x2cm": {5, 20},
		"24in x 914mm": {609.6, 914}, "10cmx5in": {100, 127}, "8½X11\"": {215.9, 279.4},
	} {
		a, b, err := ParseSize(text, 1)
		if err != nil || math.Abs(a-want[0]) > 1e-9 || math.Abs(b-want[1]) > 1e-9 {
			t.Errorf("%q: got %v by %v, %v; want %v", text, a, b, err, want)
		}
	}
	for _, text := range []string{"", "x", "610", "610x", "x914", "0x1", "-3x4", "1x2x3", "1,500x2,000mm", "axb", "1e3x5"} {
		if a, b, err := ParseSize(text, 1); !errors.Is(err, ErrNotALength) {
			t.Errorf("%q: got %v by %v, %v", text, a, b, err)
		}
	}
	if a, b, err := ParseSize("24x36", MMPerInch); err != nil || a != 609.6 || math.Abs(b-914.4) > 1e-9 {
		t.Errorf("bare in inches: %v by %v, %v", a, b, err)
	}
}

// What a mark may mean is told, in the unit that is meant, with both ways to
// write it.
func TestUnclearMarkIsTold(t *testing.T) {
	mm, in := Reading{}, Reading{System: Inches}
	comma, commaIn := Reading{DecimalComma: true}, Reading{Inches, true}
	for _, c := range []struct {
		r                          Reading
		text, whole, decimal, unit string
	}{
		{mm, "1,500", "1500", "1.5", "mm"},
		{mm, "12,345 mm", "12345", "12.345", "mm"},
		{mm, "600,000", "600000", "600", "mm"},
		{mm, "1 000", "1000", "1", "mm"},
		{mm, "1\u202f250 mm", "1250", "1.25", "mm"},
		{mm, "1'500", "1500", "1.5", "mm"},
		{mm, "2,375 in", "2375", "2.375", "in"},
		{mm, "1,500 cm", "1500", "1.5", "cm"},
		{mm, "1,500m", "1500", "1.5", "m"},
		{mm, "1,500 ft", "1500", "1.5", "ft"},
		{in, "1,500", "1500", "1.5", "in"},
		{in, "1,500 mm", "1500", "1.5", "mm"},
		{in, "2,375\"", "2375", "2.375", "in"},
		{in, "12 345", "12345", "12.345", "in"},
		{comma, "1.500", "1500", "1.5", "mm"},
		{comma, "1,500", "1500", "1.5", "mm"},
		{comma, "9.525 mm", "9525", "9.5250", "mm"},
		{commaIn, "2.375", "2375", "2.3750", "in"},
		{commaIn, "2,375", "2375", "2.3750", "in"},
		{commaIn, "1 500 mm", "1500", "1.5", "mm"},
	} {
		for read, err := range map[string]error{"Length": second(c.r.Length(c.text)), "FromZero": second(c.r.FromZero(c.text)), "Sizes": second(c.r.Sizes("2x" + c.text))} {
			var u *UnclearError
			if !errors.As(err, &u) || u.Whole != c.whole || u.Decimal != c.decimal || u.Unit != c.unit || u.Text != c.text || !errors.Is(err, ErrNotALength) {
				t.Errorf("%s of %q, %+v: %#v", read, c.text, c.r, err)
			}
		}
		for _, way := range []string{c.whole, c.decimal} {
			if _, err := c.r.Length(way + " " + c.unit); err != nil {
				t.Errorf("of %q is said to write %q: %v", c.text, way, err)
			}
		}
	}
	if _, err := mm.Length("1,500 mm"); err == nil || err.Error() != `"1,500 mm" may be 1500 or 1.5 mm: write 1500mm or 1.5mm` {
		t.Errorf("said %v", err)
	}
}

func TestNumber(t *testing.T) {
	for text, want := range map[string]float64{"20": 20, " 20,5 ": 20.5, "20.5": 20.5, "0,125": 0.125, "1500": 1500} {
		if got, err := (Reading{}).Number(text); err != nil || got != want {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "0", "-3", "abc", "20 mm", "1/2", "NaN", "1e3", "1,500", "1 000"} {
		if got, err := (Reading{}).Number(text); !errors.Is(err, ErrNotALength) {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	if _, err := (Reading{}).Number("1,500"); err.Error() != `"1,500" may be 1500 or 1.5: write the one that is meant` {
		t.Error(err)
	}
	if _, err := (Reading{DecimalComma: true}).Number("1.500"); err == nil {
		t.Error("behind a comma 1.500 is taken")
	}
}

func second[T any](_ T, err error) error { return err }

// What has one reading only is taken as that, wherever the maker lives.
func TestClearMarksAreTaken(t *testing.T) {
	for _, r := range []Reading{{}, {DecimalComma: true}} {
		for text, want := range map[string]float64{
			"1,5": 1.5, "1.5": 1.5, "1,50": 1.5, "1.50": 1.5, "1,5000": 1.5, "1.5000": 1.5, "0,125": 0.125, "0.125": 0.125, ",500": 0.5, ".500": 0.5,
			"1500": 1500, "1500,125": 1500.125, "1500.125": 1500.125, "24 1/2": 622.3, "1,5 in": 38.1,
		} {
			if got, err := r.Length(text); err != nil || got != want {
				t.Errorf("%q, %+v: got %v, %v; want %v", text, r, got, err, want)
			}
		}
	}
	if got, err := (Reading{}).Length("9.525"); err != nil || got != 9.525 {
		t.Errorf("behind a point: %v, %v", got, err)
	}
}

// What is shown is read back where decimals stand behind a comma too.
func TestClearReadsBackBehindAComma(t *testing.T) {
	for i := range 2 * rounds {
		r := Reading{[]System{Millimetres, Inches}[i%2], true}
		rapid.Check(t, func(t *rapid.T) {
			mm := float64(rapid.IntRange(1, 5_000_000).Draw(t, "µm")) / 1000
			text := r.Clear(r.System.Typed(mm))
			if got, err := r.Length(text); err != nil || math.Abs(got-mm) > 0.0005001 {
				t.Fatalf("%v mm is shown as %q and read as %v, %v", mm, text, got, err)
			}
			if plain := (Reading{System: r.System}); plain.Clear(text) != text {
				t.Fatalf("behind a point %q is shown as %q", text, plain.Clear(text))
			}
		})
	}
}

func TestSizes(t *testing.T) {
	for text, want := range map[string][]float64{
		"24x60in": {609.6, 1524}, "610x914mm": {610, 914}, "61,0x91,4cm": {610, 914}, "24 1/2x60in": {622.3, 1524}, "24 1/2 x 60": {622.3, 1524},
		"24x60x1/2in": {609.6, 1524, 12.7}, "24x60inx10mm": {609.6, 1524, 10}, "24inx60x10": {609.6, 1524, 254}, "600 × 1000 × 9,5": {600, 1000, 9.5},
		"2x4ft": {609.6, 1219.2}, "0.5x1m": {500, 1000}, "9.5mm": {9.5}, "3/8": {9.525},
	} {
		got, err := Reading{}.Sizes(text)
		if err != nil || !slices.EqualFunc(got, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "x", "24x", "24x60x", "24y60in", "1e3x5", "0x1", "24xx60"} {
		if got, err := (Reading{}).Sizes(text); !errors.Is(err, ErrNotALength) {
			t.Errorf("%q: got %v, %v", text, got, err)
		}
	}
}

// rounds are as many times the usual checks, 3000 in all.
const rounds = 30

// What is shown in a field is what would be typed to get the same length,
// whichever the system.
func TestTypedReadsBackInEitherSystem(t *testing.T) {
	for i := range 2 * rounds {
		s := []System{Millimetres, Inches}[i%2]
		rapid.Check(t, func(t *rapid.T) {
			mm := rapid.Float64Range(0.001, 1e5).Draw(t, "mm")
			if rapid.Bool().Draw(t, "small") {
				mm = 0.001 + math.Mod(mm, 10)
			}
			got, err := (Reading{System: s}).Length(s.Typed(mm))
			if err != nil || math.Abs(got-mm) > 0.0005001 {
				t.Fatalf("%v mm is shown as %q and read as %v, %v", mm, s.Typed(mm), got, err)
			}
			if again := s.Typed(got); again != s.Typed(mm) {
				if back, err := (Reading{System: s}).Length(again); err != nil || math.Abs(back-got) > 0.0005001 {
					t.Fatalf("%q became %q", s.Typed(mm), again)
				}
			}
		})
	}
}

// A fraction stands only for a length that is one.
func TestFractionsAreExact(t *testing.T) {
	for range rounds {
		exactFractions(t)
	}
}

func exactFractions(t *testing.T) {
	t.Helper()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4000).Draw(t, "n")
		exact := float64(n) * MMPerInch / 32
		text := Inches.Typed(exact)
		if got, err := (Reading{System: Inches}).Length(text); err != nil || math.Abs(got-exact) > 1e-9 || strings.Contains(text, ".") {
			t.Fatalf("%d/32 in is shown as %q", n, text)
		}
		off := exact + rapid.Float64Range(0.001, 0.39).Draw(t, "off")
		if text := Inches.Typed(off); strings.Contains(text, "/") {
			t.Fatalf("%v mm is shown as %q", off, text)
		}
	})
}

func TestShown(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Inches.Typed(9.525), "3/8 in"},
		{Inches.Typed(9.5), "0.374 in"},
		{Inches.Typed(10), "0.3937 in"},
		{Inches.Typed(100), "3.937 in"},
		{Inches.Typed(38.1), "1 1/2 in"},
		{Inches.Typed(0.5), "0.0197 in"},
		{Inches.Typed(508.4), "20.01575 in"},
		{Millimetres.Typed(9.525), "9.525 mm"},
		{Inches.Length(100, 1), "3 15/16 in"},
		{Inches.Length(34.925, 1), "1 3/8 in"},
		{Inches.Length(34.8, 1), "1.370 in"},
		{Inches.Length(0, 1), "0 in"},
		{Inches.Length(0.01, 1), "0.000 in"},
		{Inches.Length(299.87, 2), "11.8059 in"},
		{Millimetres.Length(299.87, 2), "299.87 mm"},
		{Inches.Residual(0.04, 2), "0.0016 in"},
		{Inches.Residual(0.4, 1), "0.016 in"},
		{Inches.Residual(0, 2), "0 in"},
		{Inches.Residual(1000, 1), "39.37 in"},
		{Inches.Residual(55, 1), "2.17 in"},
		{Inches.Residual(-7.07, 1), "-0.28 in"},
		{Millimetres.Residual(0.04, 2), "0.04 mm"},
		{Inches.Signed(0.12, 2), "+0.0047 in"},
		{Inches.Signed(-0.12, 2), "-0.0047 in"},
		{Millimetres.Signed(-0.12, 2), "-0.12 mm"},
		{Inches.AtMost(0.06), "0.0024 in"},
		{Inches.AtMost(0.0112), "0.0005 in"},
		{Inches.AtMost(0.0001), "0.0001 in"},
		{Inches.Residual(0.001, 2), "0 in"},
		{Inches.Residual(0.002, 2), "0.0001 in"},
		{Inches.AtMost(0.0254), "0.0010 in"},
		{Inches.AtMost(0.0255), "0.0011 in"},
		{Inches.AtMost(0.0253), "0.0010 in"},
		{Millimetres.AtMost(0.0021), "0.01 mm"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

// An accuracy is never promised better than it is, nor much worse.
func TestAtMostIsNeverLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(0.001, 90).Draw(t, "mm")
		for s, slack := range map[System]float64{Millimetres: 0.01, Inches: 0.11*mm + 0.00254} {
			got, err := ParseLength(s.AtMost(mm), 1)
			if err != nil || got < mm-1e-6 || got > mm+slack+1e-6 {
				t.Fatalf("%v mm is said to be at most %q", mm, s.AtMost(mm))
			}
		}
	})
}
