package page

import (
	"math"
	"strings"
	"testing"
)

// The A series halves: each size's height is the width of the one before and
// its area half, each side rounded down to whole mm (ISO 216, from memory).
func TestASeriesHalves(t *testing.T) {
	for _, step := range [][2]string{{"A0", "A1"}, {"A1", "A2"}, {"A2", "A3"}, {"A3", "A4"}, {"A4", "A5"}} {
		big, small := mustPaper(t, step[0]), mustPaper(t, step[1])
		if small.HeightMM != big.WidthMM || small.WidthMM != math.Floor(big.HeightMM/2) {
			t.Errorf("%v does not halve into %v", big, small)
		}
	}
}

func TestInchPapers(t *testing.T) {
	for name, inches := range map[string][2]float64{"Letter": {8.5, 11}, "Legal": {8.5, 14}, "Tabloid": {11, 17}} {
		p := mustPaper(t, name)
		if math.Abs(p.WidthMM-inches[0]*25.4) > 1e-9 || math.Abs(p.HeightMM-inches[1]*25.4) > 1e-9 {
			t.Errorf("%s is %g × %g mm", name, p.WidthMM, p.HeightMM)
		}
	}
}

func mustPaper(t *testing.T, name string) Paper {
	t.Helper()
	p, err := PaperByName(name)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPaperByName(t *testing.T) {
	for in, want := range map[string][2]float64{
		"a4": {210, 297}, " A3 ": {297, 420}, "LETTER": {215.9, 279.4},
		"610x914": {610, 914}, "914 x 610 mm": {610, 914}, "300.5×400": {300.5, 400},
		"24x36in": {609.6, 914.4}, "36in × 24in": {609.6, 914.4}, "610mm x 36in": {610, 914.4},
	} {
		p, err := PaperByName(in)
		if err != nil || math.Abs(p.WidthMM-want[0]) > 1e-9 || math.Abs(p.HeightMM-want[1]) > 1e-9 || p.Roll {
			t.Errorf("%q gave %v, %v", in, p, err)
		}
	}
	for _, in := range []string{"", "A9", "x", "0x100", "-5x100", "NaNx100", "10x", "1x2x3", "roll", "roll0", "rollNaN", "roll 9000", "roll610x900"} {
		if p, err := PaperByName(in); err == nil {
			t.Errorf("%q gave %v", in, p)
		} else if !strings.Contains(err.Error(), "Letter") {
			t.Errorf("%q: the message names no papers: %v", in, err)
		}
	}
}

// A roll is known by its width, by its own name too.
func TestRollByName(t *testing.T) {
	for in, want := range map[string]float64{"roll610": 610, "Roll 610 mm": 610, "roll24in": 609.6, "roll 914.4 mm": 914.4} {
		p, err := PaperByName(in)
		if err != nil || !p.Roll || math.Abs(p.WidthMM-want) > 1e-9 {
			t.Errorf("%q gave %v, %v", in, p, err)
			continue
		}
		if again, err := PaperByName(p.Name); err != nil || again != p {
			t.Errorf("%q is called %q, which gave %v, %v", in, p.Name, again, err)
		}
	}
}

func TestSetupCheck(t *testing.T) {
	good := DefaultSetup()
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(*Setup){
		"no paper":     func(s *Setup) { s.Paper = Paper{} },
		"NaN paper":    func(s *Setup) { s.Paper.WidthMM = math.NaN() },
		"too small":    func(s *Setup) { s.Paper = Paper{WidthMM: 100, HeightMM: 150} },
		"too long":     func(s *Setup) { s.Paper = Paper{WidthMM: 300, HeightMM: 5081} },
		"no margin":    func(s *Setup) { s.MarginMM = 0 },
		"NaN margin":   func(s *Setup) { s.MarginMM = math.NaN() },
		"wide margin":  func(s *Setup) { s.MarginMM = 55 },
		"less overlap": func(s *Setup) { s.OverlapMM = -1 },
		"more overlap": func(s *Setup) { s.OverlapMM = 41 },
		"orientation":  func(s *Setup) { s.Orientation = "sideways" },
	} {
		s := DefaultSetup()
		spoil(&s)
		if s.Check() == nil {
			t.Errorf("%s passes: %+v", name, s)
		}
	}
	for _, p := range Papers() {
		s := DefaultSetup()
		s.Paper = p
		if err := s.Check(); err != nil {
			t.Errorf("%s: %v", p.Name, err)
		}
	}
}
