package main

import (
	"flag"
	"math"
	"strings"
	"testing"

	"flatwright/export/page"
)

func paperSetup(args ...string) (page.Setup, error) {
	var x paperTexts
	fs := flag.NewFlagSet("make", flag.ContinueOnError)
	x.register(fs)
	if err := fs.Parse(args); err != nil {
		return page.Setup{}, err
	}
	return x.read()
}

func TestPaperOptions(t *testing.T) {
	plain, err := paperSetup()
	if err != nil || plain != page.DefaultSetup() {
		t.Errorf("without options: %+v, %v", plain, err)
	}
	s, err := paperSetup("--paper", "roll24in", "--orientation", "Landscape", "--margin", "1/4in", "--overlap=15mm", "--printed", "99.5x100.2mm", "--layout", "Packed")
	if err != nil {
		t.Fatal(err)
	}
	want := page.Setup{
		Paper:       page.Paper{Name: "roll 609.6 mm", WidthMM: 609.6, HeightMM: s.Paper.HeightMM, Roll: true},
		Orientation: page.Landscape, MarginMM: 6.35, OverlapMM: 15, Printer: page.Printer{Short: 0.995, Long: 1.002},
		Packed: true,
	}
	if s != want {
		t.Errorf("%+v, want %+v", s, want)
	}
}

// A bare fraction is inches, a comma a decimal one, and sheets need not share
// a strip.
func TestPaperLengths(t *testing.T) {
	s, err := paperSetup("--margin", "3/8", "--overlap", "0", "--printed", "99,5x100,2mm")
	if err != nil || math.Abs(s.MarginMM-9.525) > 1e-9 || s.OverlapMM != 0 || s.Printer != (page.Printer{Short: 0.995, Long: 1.002}) {
		t.Errorf("%+v, %v", s, err)
	}
}

// What cannot be printed on is refused in a sentence before any work is done.
func TestPaperRefused(t *testing.T) {
	for _, c := range [][]string{
		{"letter", "--paper", "b9"},
		{"neither", "--layout", "scattered"},
		{"portrait", "--orientation", "upside down"},
		{"length", "--margin", "wide"},
		{"margin", "--margin", "2mm"},
		{"length", "--overlap", "x"},
		{"overlap", "--overlap", "50mm"},
		{"--margin \"1,500\" may be 1500 or 1.5 mm: write 1500mm or 1.5mm", "--margin", "1,500"},
		{"smaller margins", "--paper", "a5", "--margin", "40mm"},
		{"100 %", "--printed", "90x90mm"},
	} {
		_, err := paperSetup(c[1:]...)
		if err == nil || !strings.Contains(err.Error(), c[0]) {
			t.Errorf("%v: %v, want a sentence with %q", c[1:], err, c[0])
		}
	}
}
