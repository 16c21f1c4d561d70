package desk

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// dragSteps are the moves of one drag to and fro, 6 px each, some 8 ms apart: quicker
// than any frame.
func dragSteps() []string {
	out := []string{"mousedown", "2"}
	for i := range 600 {
		step := "6"
		if i/40%2 == 1 {
			step = "-6"
		}
		out = append(out, "mousemove_relative", "--", step, step, "sleep", "0.006")
	}
	return append(out, "mouseup", "2")
}

// wheelSteps zoom in and out by 60 notches, 8 ms apart.
func wheelSteps() []string {
	var out []string
	for i := range 6 {
		button := "4"
		if i%2 == 1 {
			button = "5"
		}
		out = append(out, "click", "--repeat", "60", "--delay", "8", button)
	}
	return out
}

// BenchmarkDisplay is the real window on a display in memory, without a GPU,
// over a photograph of 12 MP with 5,000 segments: frames a second, and the times
// between them, with all of the toolkit's own painting in it, while the view is
// dragged with the mouse, and while the wheel zooms.
func BenchmarkDisplay(b *testing.B) {
	file := filepath.Join(b.TempDir(), "photograph.jpg")
	if err := os.WriteFile(file, []byte("practice"), 0o600); err != nil {
		b.Fatal(err)
	}
	s := onScreen(b, "-frames", "-width", "4032", "-open", file, "-pitch", "25.4")
	s.says("50 pieces")
	s.do("search", "--sync", "--onlyvisible", "--name", tr.title, "windowfocus")
	time.Sleep(2 * time.Second)
	for _, x := range []struct {
		name  string
		steps []string
	}{{"pan", dragSteps()}, {"zoom", wheelSteps()}} {
		b.Run(x.name, func(b *testing.B) {
			var rate, half, most []float64
			for b.Loop() {
				s.do("mousemove", "500", "330")
				for len(s.lines) > 0 {
					<-s.lines
				}
				s.do(x.steps...)
				for len(s.lines) > 0 {
					var r, p50, p95 float64
					if _, err := fmt.Sscanf(<-s.lines, "frames %g %g %g", &r, &p50, &p95); err == nil {
						rate, half, most = append(rate, r), append(half, p50), append(most, p95)
					}
				}
			}
			if len(rate) == 0 {
				b.Fatal("no frames were counted")
			}
			b.ReportMetric(middle(rate), "frames/s")
			b.ReportMetric(middle(half), "p50-ms")
			b.ReportMetric(middle(most), "p95-ms")
		})
	}
}

// middle is the median of what was counted in each second.
func middle(all []float64) float64 {
	slices.Sort(all)
	return all[len(all)/2]
}
