package pdf

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
)

// spanMM is the width and height of points.
func spanMM(pts []mat.Point) (w, h float64) {
	lo, hi := mat.Point{X: math.Inf(1), Y: math.Inf(1)}, mat.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range pts {
		lo = mat.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = mat.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	return hi.X - lo.X, hi.Y - lo.Y
}

// For a printer that prints 100 mm as 99.6 mm one way and 100.2 mm the other,
// another reader finds pages of the paper's own size on which the test square
// and every cut line are drawn larger by just that, upright and lying.
func TestPrinterIsMadeUpFor(t *testing.T) {
	printer := page.Printer{Short: 0.996, Long: 1.002}
	for _, way := range []page.Orientation{page.Portrait, page.Landscape} {
		doc := document(specimen.Helmet())
		doc.Setup.Orientation, doc.Setup.Printer = way, printer
		file := written(t, string(way)+".pdf", doc)
		checkClean(t, file)
		set, err := draw.Pages(doc)
		if err != nil {
			t.Fatal(err)
		}
		last := len(set.Pages)
		want := "595.28 x 841.89"
		if way == page.Landscape {
			want = "841.89 x 595.28"
		}
		if out := run(t, "pdfinfo", "-f", fmt.Sprint(last), "-l", fmt.Sprint(last), file); !strings.Contains(out, want) {
			t.Errorf("%s: a sheet is not A4: %s", way, out)
		}
		square := false
		for _, p := range traced(t, file, 1, "stroke_path") {
			if w, h := spanMM(p.pts); math.Abs(w*printer.Short-100) < 0.002 && math.Abs(h*printer.Long-100) < 0.002 {
				square = true
			}
		}
		if !square {
			t.Errorf("%s: no square on the cover comes out as 100 mm", way)
		}
		// The bar of a tile is 50 mm in the direction across the page.
		across := printer.Short
		if way == page.Landscape {
			across = printer.Long
		}
		bar := false
		for _, p := range traced(t, file, last, "stroke_path") {
			if w, _ := spanMM(p.pts); math.Abs(w*across-50) < 0.002 {
				bar = true
			}
		}
		if !bar {
			t.Errorf("%s: no bar on the last sheet comes out as 50 mm", way)
		}
	}
}
