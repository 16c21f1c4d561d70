package pdf

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"flatwright/export/page/draw"
	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
)

// grey is a picture of a page, 0 black to 255 white.
type grey struct {
	w, h int
	pix  []byte
}

// rendered lets poppler draw a page.
func rendered(t *testing.T, file string, number, dpi int) grey {
	t.Helper()
	base := t.TempDir() + "/page"
	n := strconv.Itoa(number)
	run(t, "pdftoppm", "-gray", "-singlefile", "-r", strconv.Itoa(dpi), "-f", n, "-l", n, file, base)
	data, err := os.ReadFile(base + ".pgm")
	if err != nil {
		t.Fatal(err)
	}
	var g grey
	var deep int
	r := bytes.NewReader(data)
	if _, err := fmt.Fscanf(r, "P5\n%d %d\n%d\n", &g.w, &g.h, &deep); err != nil {
		t.Fatal(err)
	}
	g.pix = data[len(data)-g.w*g.h:]
	return g
}

func (g grey) at(x, y int) float64 { return float64(g.pix[y*g.w+x]) }

// lineAcross returns the centre of the dark line between two positions along
// a row (or column), weighted by darkness, in px; positions count from the
// picture's border, so that px i reaches from i to i+1.
func (g grey) lineAcross(from, to, other int, column bool) float64 {
	sum, moment := 0.0, 0.0
	for i := from; i < to; i++ {
		v := 255 - g.at(i, other)
		if column {
			v = 255 - g.at(other, i)
		}
		sum += v
		moment += v * (float64(i) + 0.5)
	}
	return moment / sum
}

// The 100 mm square, measured in a picture of 600 dpi made by poppler, on
// three rows and three columns.
func TestSquareByPixels(t *testing.T) {
	const dpi = 600
	px := func(mm float64) int { return int(mm * dpi / 25.4) }
	file := written(t, "helmet.pdf", document(specimen.Helmet()))
	var left, top float64
	for _, p := range traced(t, file, 1, "stroke_path") {
		if len(p.pts) == 4 && math.Abs(p.pts[1].X-p.pts[0].X-100) < 0.01 {
			left, top = p.pts[0].X, p.pts[0].Y
		}
	}
	g := rendered(t, file, 1, dpi)
	worst := 0.0
	for _, along := range []float64{5, 63.5, 97} {
		for _, column := range []bool{false, true} {
			start, across := left, top
			if column {
				start, across = top, left
			}
			other := px(across + along)
			a := g.lineAcross(px(start-1.2), px(start+1.2), other, column)
			b := g.lineAcross(px(start+98.8), px(start+101.2), other, column)
			mm := (b - a) / dpi * 25.4
			worst = math.Max(worst, math.Abs(mm-100))
		}
	}
	if !(worst <= 0.05) {
		t.Errorf("the square is off by %.4f mm", worst)
	}
	t.Logf("worst side %.4f mm off", worst)
}

// The F's bars are to the right of its stem on paper, and its mark is there.
func TestChiralPieceIsNotMirrored(t *testing.T) {
	const dpi = 150
	doc := document(specimen.Chiral())
	file := written(t, "chiral.pdf", doc)
	set, err := draw.Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	l := set.Layout
	g := rendered(t, file, len(set.Pages), dpi)
	dark := func(p mat.Point) bool {
		x := (p.X - l.Tiles[0].OriginMM.X + l.Content.MinX) * dpi / 25.4
		y := (p.Y - l.Tiles[0].OriginMM.Y + l.Content.MinY) * dpi / 25.4
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				if g.at(int(x)+dx, int(y)+dy) < 100 {
					return true
				}
			}
		}
		return false
	}
	for _, c := range []struct {
		at   mat.Point
		want bool
	}{
		{mat.Point{X: 20, Y: 100}, true},  // stem's left side
		{mat.Point{X: 35, Y: 100}, true},  // stem's right side
		{mat.Point{X: 80, Y: 33}, true},   // end of the upper bar
		{mat.Point{X: 76, Y: 37}, true},   // its mark
		{mat.Point{X: 65, Y: 68}, true},   // end of the lower bar
		{mat.Point{X: 80, Y: 110}, false}, // where a turned F would be
		{mat.Point{X: 65, Y: 100}, false},
		{mat.Point{X: 50, Y: 52}, false}, // between the bars
	} {
		if dark(c.at) != c.want {
			t.Errorf("at %v: dark is %t", c.at, !c.want)
		}
	}
}
