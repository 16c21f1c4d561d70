package units

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestParseLength(t *testing.T) {
	for text, want := range map[string]float64{
		"25.4 mm": 25.4, "25,4mm": 25.4, "1 in": 25.4, "1in": 25.4, "1\"": 25.4,
		"3/8 in": 9.525, "1 1/2in": 38.1, "1-1/2 in": 38.1, "1½ in": 38.1,
		"½ inch": 12.7, " 1 CM ": 10, "2.5cm": 25, "0.5 m": 500, "10": 10,
		"12,7": 12.7, ".5in": 12.7, "1 / 2 in": 12.7,
	} {
		got, err := ParseLength(text, 1)
		if err != nil || math.Abs(got-want) > 1e-9 {
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
	if got := Format(12.34, Millimetres); got != "12.3 mm" {
		t.Error(got)
	}
	if got := FormatDeg(22.5); got != "22.5°" {
		t.Error(got)
	}
}
