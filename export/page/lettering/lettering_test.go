package lettering

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
)

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"Brow band":                  "Brow band",
		"two\nlines\tand  spaces ":   "two lines and spaces",
		"bell\a and \x00 nul\x1b[1m": "bell and nul[1m",
		"Ösenträger ½″ Ελλάδα Щит":   "Ösenträger ½″ Ελλάδα Щит",
		"dragon 🐉 wing":              "dragon □ wing",
		"שלום":                       "□□□□",
		"a\u202eb\u200d":             "ab",
		"bad \xff utf8":              "bad � utf8",
		"":                           "",
	} {
		if got := Regular.Clean(in); got != want {
			t.Errorf("%q gave %q, want %q", in, got, want)
		}
	}
}

// OneLine keeps every script.
func TestOneLineKeepsScripts(t *testing.T) {
	if got := OneLine(" שלום\r\n🐉 "); got != "שלום 🐉" {
		t.Errorf("%q", got)
	}
}

// Widths add up letter by letter and grow with the size. That they are those
// of the printed text is tested with the PDF, by another program's measure.
func TestWidths(t *testing.T) {
	if a, b := Regular.WidthMM("Am", 3), Regular.WidthMM("A", 3)+Regular.WidthMM("m", 3); math.Abs(a-b) > 1e-12 {
		t.Errorf("widths do not add up: %g, %g", a, b)
	}
	if a, b := Bold.WidthMM("Helm", 6), 2*Bold.WidthMM("Helm", 3); math.Abs(a-b) > 1e-12 {
		t.Errorf("twice the height is not twice as wide: %g, %g", a, b)
	}
	if w := Bold.WidthMM("MMMM", 3); w <= Regular.WidthMM("iiii", 3) {
		t.Errorf("bold M is %g wide", w)
	}
}

func TestFitAndWrap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "text")
		room := rapid.Float64Range(0, 60).Draw(t, "room")
		fit := Regular.Fit(s, 3, room)
		if Regular.WidthMM(fit, 3) > room {
			t.Fatalf("%q is wider than %g", fit, room)
		}
		if Regular.Clean(fit) != fit {
			t.Fatalf("%q is not clean", fit)
		}
		for _, line := range Regular.Wrap(s, 3, room) {
			if Regular.WidthMM(line, 3) > room {
				t.Fatalf("line %q is wider than %g", line, room)
			}
		}
	})
}

func rect(x0, y0, x1, y1 float64) []mat.Point {
	return []mat.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func TestWidestByHand(t *testing.T) {
	cases := []struct {
		name       string
		room       Room
		w, h, want float64
	}{
		{"a box in a box", Room{Loops: [][]mat.Point{rect(0, 0, 100, 50)}}, 10, 5, 10},
		{"limited by the height", Room{Loops: [][]mat.Point{rect(0, 0, 100, 50)}}, 10, 10, 5},
		{"a line across", Room{Loops: [][]mat.Point{rect(0, 0, 100, 50)}, Lines: [][]mat.Point{{{X: 60, Y: 0}, {X: 60, Y: 50}}}}, 10, 5, 6},
		{"an opening", Room{Loops: [][]mat.Point{rect(0, 0, 90, 30), rect(30, 0, 60, 30)}}, 10, 10, 3},
		// A square of side s in a right triangle with legs of 60: s = 30.
		{"a triangle", Room{Loops: [][]mat.Point{{{X: 0, Y: 0}, {X: 60, Y: 0}, {X: 0, Y: 60}}}}, 10, 10, 3},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, got := c.room.Widest(c.w, c.h)
			if got > c.want+1e-9 || got < c.want*0.98-0.02 {
				t.Errorf("factor %g, want %g", got, c.want)
			}
		})
	}
}

// The box that Widest promises is free, and a fine grid of places finds none
// that is more than 2 % larger.
func TestWidestAgainstGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 8).Draw(t, "n")
		loop := make([]mat.Point, n)
		for i := range loop {
			r := rapid.Float64Range(10, 60).Draw(t, "r")
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			loop[i] = mat.Point{X: r * c, Y: r * s}
		}
		w, h := rapid.Float64Range(5, 30).Draw(t, "w"), rapid.Float64Range(5, 30).Draw(t, "h")
		at, factor := Room{Loops: [][]mat.Point{loop}}.Widest(w, h)
		if factor > 0 && !boxInside(at, w*factor*0.999, h*factor*0.999, loop) {
			t.Fatalf("the box at %v × %g is not free", at, factor)
		}
		for y := -60.0; y <= 60; y += 3 {
			for x := -60.0; x <= 60; x += 3 {
				f := math.Max(factor, 0)*1.021 + 0.021
				if boxInside(mat.Point{X: x, Y: y}, w*f, h*f, loop) {
					t.Fatalf("found %g at %v, but %g fits at %g, %g", factor, at, f, x, y)
				}
			}
		}
	})
}

// boxInside walks the border of a box and looks that all of it is inside and
// that no corner of the loop is in the box.
func boxInside(c mat.Point, w, h float64, loop []mat.Point) bool {
	for i := range 201 {
		s := float64(i)/100 - 1
		for _, p := range []mat.Point{{X: s, Y: -1}, {X: s, Y: 1}, {X: -1, Y: s}, {X: 1, Y: s}} {
			if !insideLoop(mat.Point{X: c.X + p.X*w/2, Y: c.Y + p.Y*h/2}, loop) {
				return false
			}
		}
	}
	for _, p := range loop {
		if math.Abs(p.X-c.X) < w/2 && math.Abs(p.Y-c.Y) < h/2 {
			return false
		}
	}
	return true
}

func insideLoop(p mat.Point, loop []mat.Point) bool {
	turns := 0.0
	for i := range loop {
		a, b := loop[i], loop[(i+1)%len(loop)]
		ax, ay, bx, by := a.X-p.X, a.Y-p.Y, b.X-p.X, b.Y-p.Y
		turns += math.Atan2(ax*by-ay*bx, ax*bx+ay*by)
	}
	return math.Abs(turns) > math.Pi
}
