package page

import (
	"math"
	"strings"
	"testing"
)

func TestPrinterOf(t *testing.T) {
	for s, want := range map[string]Printer{
		"99.6x100.1mm":  {0.996, 1.001},
		"100.1x99.6mm":  {1.001, 0.996}, // the order counts, not the size
		"100 x 100":     {1, 1},
		"99.85 × 99.85": {0.9985, 0.9985},
	} {
		p, err := PrinterOf(s)
		if err != nil || math.Abs(p.Short-want.Short) > 1e-12 || math.Abs(p.Long-want.Long) > 1e-12 {
			t.Errorf("%q: %v, %v", s, p, err)
		}
	}
	for _, s := range []string{"", "99.6", "x", "96x96", "100x106", "-100x100", "NaNxNaN", "1e9x100"} {
		if _, err := PrinterOf(s); err == nil {
			t.Errorf("%q was taken", s)
		}
	}
	if _, err := PrinterOf("94x94mm"); err == nil || !strings.Contains(err.Error(), "100 %") {
		t.Errorf("a fitted print: %v", err)
	}
}

// What is drawn larger by Scale on a sheet of the paper's own size comes out of
// the printer true.
func TestPrinterScale(t *testing.T) {
	p := Printer{Short: 0.996, Long: 1.002}
	a4, _ := PaperByName("A4")
	lying := Paper{Name: "A4 lying", WidthMM: a4.HeightMM, HeightMM: a4.WidthMM}
	for _, paper := range []Paper{a4, lying} {
		s := p.Sheet(paper)
		x, y := p.Scale(s.WidthMM, s.HeightMM)
		if math.Abs(s.WidthMM*x-paper.WidthMM) > 1e-9 || math.Abs(s.HeightMM*y-paper.HeightMM) > 1e-9 {
			t.Errorf("%s: a sheet of %.3f x %.3f mm drawn larger by %.5f, %.5f is not the paper", paper.Name, s.WidthMM, s.HeightMM, x, y)
		}
	}
	if x, y := p.Scale(210, 297); math.Abs(100*x*p.Short-100) > 1e-9 || math.Abs(100*y*p.Long-100) > 1e-9 {
		t.Error("100 mm do not come out as 100 mm")
	}
	if x, y := p.Scale(297, 210); math.Abs(100*x*p.Long-100) > 1e-9 || math.Abs(100*y*p.Short-100) > 1e-9 {
		t.Error("100 mm do not come out as 100 mm on a page that lies")
	}
	if !(Printer{}).True() || (Printer{}).check() != nil {
		t.Error("a printer that nothing is known of is not taken for true")
	}
}
