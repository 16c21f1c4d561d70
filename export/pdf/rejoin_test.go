package pdf

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// reader reads a page's paths: stroked black ones of 0.35 mm, which are cut
// lines and marks, and filled triangles, which are halves of match marks. In mm
// from the page's top left corner.
type reader func(t *testing.T, file string, page int) (cuts, triangles [][]mat.Point)

// byMuPDF reads with mupdf's parser.
func byMuPDF(t *testing.T, file string, page int) (cuts, triangles [][]mat.Point) {
	t.Helper()
	for _, p := range traced(t, file, page, "stroke_path") {
		if p.colour == "0 0 0" && math.Abs(p.widthMM-0.35) < 1e-3 {
			cuts = append(cuts, p.pts)
		}
	}
	for _, p := range traced(t, file, page, "fill_path") {
		if len(p.pts) == 3 {
			triangles = append(triangles, p.pts)
		}
	}
	return cuts, triangles
}

var (
	popplerPath = regexp.MustCompile(`<path style="([^"]*)" d="([^"]*)"(?: transform="matrix\(([^)]*)\)")?/>`)
	svgNumber   = regexp.MustCompile(`-?\d+(?:\.\d+)?`)
)

// byPoppler reads with poppler's parser, which hands the paths on as SVG.
func byPoppler(t *testing.T, file string, page int) (cuts, triangles [][]mat.Point) {
	t.Helper()
	n := strconv.Itoa(page)
	out := run(t, "pdftocairo", "-svg", "-noshrink", "-nocenter", "-f", n, "-l", n, file, "-")
	for _, m := range popplerPath.FindAllStringSubmatch(out, -1) {
		pts := popplerPoints(t, m[2], m[3])
		switch {
		case strings.Contains(m[1], "stroke-width:0.35;") && strings.Contains(m[1], "stroke:rgb(0%,0%,0%)"):
			cuts = append(cuts, pts)
		case strings.Contains(m[1], "fill:rgb(13.3") && strings.Count(m[2], "L") == 2 && strings.Contains(m[2], "Z"):
			triangles = append(triangles, pts)
		}
	}
	return cuts, triangles
}

// popplerPoints reads a path's points; what follows its closing is where
// poppler puts the pen next.
func popplerPoints(t *testing.T, d, matrix string) []mat.Point {
	t.Helper()
	d, _, _ = strings.Cut(d, "Z")
	m := [6]float64{1, 0, 0, 1, 0, 0}
	if matrix != "" {
		if _, err := fmt.Sscanf(matrix, "%g,%g,%g,%g,%g,%g", &m[0], &m[1], &m[2], &m[3], &m[4], &m[5]); err != nil {
			t.Fatal(matrix, err)
		}
	}
	numbers := svgNumber.FindAllString(d, -1)
	var pts []mat.Point
	for i := 0; i+1 < len(numbers); i += 2 {
		pts = append(pts, onPage(t, m, numbers[i], numbers[i+1]))
	}
	return pts
}

// large is a capital E of 300 mm × 450 mm whose lower arm is the shorter one, so
// that neither mirror image of it is the same, with a registration mark.
func large() pattern.Pattern {
	p := specimen.Chiral()
	q := &p.Pieces[0]
	q.Outline = curve.Polygon(
		mat.Point{X: 20, Y: 30}, mat.Point{X: 320, Y: 30}, mat.Point{X: 320, Y: 100}, mat.Point{X: 90, Y: 100},
		mat.Point{X: 90, Y: 200}, mat.Point{X: 220, Y: 200}, mat.Point{X: 220, Y: 270}, mat.Point{X: 90, Y: 270},
		mat.Point{X: 90, Y: 410}, mat.Point{X: 290, Y: 410}, mat.Point{X: 290, Y: 480}, mat.Point{X: 20, Y: 480})
	if err := pattern.EdgesFromCorners(q); err != nil {
		panic(err)
	}
	q.Marks = []pattern.Mark{{At: mat.Point{X: 320, Y: 60}, In: mat.Point{X: 310, Y: 60}}}
	return p
}

// joinOf returns by how much the over sheet must be moved to lie right on the
// under sheet, from the halves of the match marks alone: their bases coincide.
func joinOf(t *testing.T, under, over [][]mat.Point, upright bool) mat.Point {
	t.Helper()
	u, o := bases(under, upright, -1), bases(over, upright, 1)
	if len(u) != 2 || len(o) != 2 {
		t.Fatalf("%d and %d halves of match marks on a join, want 2 and 2", len(u), len(o))
	}
	first := mat.Point{X: u[0].X - o[0].X, Y: u[0].Y - o[0].Y}
	second := mat.Point{X: u[1].X - o[1].X, Y: u[1].Y - o[1].Y}
	if d := math.Hypot(first.X-second.X, first.Y-second.Y); d > 0.01 {
		t.Fatalf("the two match marks of a join disagree by %.4f mm", d)
	}
	return first
}

// bases returns the middles of the bases of the triangles that point to a side
// (-1: left or up), in order along the join.
func bases(triangles [][]mat.Point, upright bool, side float64) []mat.Point {
	var out []mat.Point
	for _, p := range triangles {
		for i := range 3 {
			tip, a, b := p[i], p[(i+1)%3], p[(i+2)%3]
			along, across := a.X-b.X, tip.X-a.X
			if !upright {
				along, across = a.Y-b.Y, tip.Y-a.Y
			}
			if math.Abs(along) < 0.01 && across*side > 2.9 {
				out = append(out, mat.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2})
			}
		}
	}
	slices.SortFunc(out, func(a, b mat.Point) int { return int(math.Copysign(1, (a.X+a.Y)-(b.X+b.Y))) })
	return out
}

// A large E over four sheets, put together by the match marks as two readers of
// PDF see them: on every sheet its corners lie where they lie on the first,
// and they are the pattern's, not mirrored, within 0.01 mm. So they are when
// the sheets were moved.
func TestChiralPieceRejoined(t *testing.T) {
	for name, shift := range map[string]mat.Point{"usual": {}, "moved": {X: -17.3, Y: 41.9}} {
		t.Run(name, func(t *testing.T) { rejoinShifted(t, shift) })
	}
}

func rejoinShifted(t *testing.T, shift mat.Point) {
	t.Helper()
	doc := document(large())
	doc.Setup.ShiftMM = shift
	set, err := draw.Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	l := set.Layout
	if l.Rows != 2 || l.Cols != 2 || len(l.Tiles) != 4 {
		t.Fatalf("%d sheets in %d × %d, want four", len(l.Tiles), l.Rows, l.Cols)
	}
	file := written(t, "large.pdf", doc)
	for name, read := range map[string]reader{"mupdf": byMuPDF, "poppler": byPoppler} {
		t.Run(name, func(t *testing.T) { rejoin(t, read, file, set, doc.Pattern) })
	}
}

func rejoin(t *testing.T, read reader, file string, set *draw.Set, p pattern.Pattern) {
	t.Helper()
	l := set.Layout
	cuts, halves := make([][][]mat.Point, 4), make([][][]mat.Point, 4)
	for i := range l.Tiles {
		cuts[i], halves[i] = read(t, file, len(set.Pages)-4+i+1)
	}
	// Each sheet is moved by what its joins say, from the first on.
	at := map[int]mat.Point{0: {}}
	for _, j := range []struct {
		under, over int
		upright     bool
	}{{0, l.Tiles[0].Right, true}, {0, l.Tiles[0].Below, false}, {l.Tiles[0].Right, l.Tiles[l.Tiles[0].Right].Below, false}} {
		d := joinOf(t, halves[j.under], halves[j.over], j.upright)
		at[j.over] = mat.Point{X: at[j.under].X + d.X, Y: at[j.under].Y + d.Y}
	}
	want := pointsOf(p.Pieces[0].Outline)
	mark := []mat.Point{p.Pieces[0].Marks[0].At, p.Pieces[0].Marks[0].In}
	shift := mat.Point{X: l.Content.MinX - l.Tiles[0].OriginMM.X, Y: l.Content.MinY - l.Tiles[0].OriginMM.Y}
	// The outline is on every sheet; a reader may leave the mark out where it
	// lies off the page.
	worst, stroke := 0.0, math.Inf(1)
	for i := range l.Tiles {
		outline := math.Inf(1)
		for _, pts := range cuts[i] {
			moved := shifted(pts, at[i])
			outline = math.Min(outline, farthest(unclosed(moved), unclosed(shifted(want, shift))))
			stroke = math.Min(stroke, farthest(moved, shifted(mark, shift)))
		}
		worst = max(worst, outline)
	}
	worst = max(worst, stroke)
	if !(worst <= 0.01) {
		t.Errorf("put together, a point lies %.4f mm off", worst)
	}
	t.Logf("worst point %.4f mm off", worst)
}

// unclosed leaves out a last point on the first, which some readers drop.
func unclosed(pts []mat.Point) []mat.Point {
	if n := len(pts); n > 2 && math.Hypot(pts[0].X-pts[n-1].X, pts[0].Y-pts[n-1].Y) < 0.01 {
		return pts[:n-1]
	}
	return pts
}

func shifted(pts []mat.Point, by mat.Point) []mat.Point {
	out := make([]mat.Point, len(pts))
	for i, p := range pts {
		out[i] = mat.Point{X: p.X + by.X, Y: p.Y + by.Y}
	}
	return out
}

// The sizes of pages as poppler reads them, against ISO 216:2007 (A sizes, in
// mm) and ANSI/ASME Y14.1 (8½ × 11 in, 11 × 17 in); Legal is 8½ × 14 in
// (common practice, no source). Both standards from memory.
func TestPageSizes(t *testing.T) {
	const inch = 25.4
	size := regexp.MustCompile(`Page +\d+ size: +([\d.]+) x ([\d.]+) pts`)
	for name, want := range map[string][2]float64{
		"a5": {148, 210}, "a4": {210, 297}, "a3": {297, 420}, "a2": {420, 594}, "a1": {594, 841}, "a0": {841, 1189},
		"letter": {8.5 * inch, 11 * inch}, "legal": {8.5 * inch, 14 * inch}, "tabloid": {11 * inch, 17 * inch},
		"610x914": {610, 914},
	} {
		for _, way := range []page.Orientation{page.Portrait, page.Landscape} {
			doc := document(specimen.Chiral())
			doc.Setup.Paper, _ = page.PaperByName(name)
			doc.Setup.Orientation = way
			set, err := draw.Pages(doc)
			if err != nil {
				t.Fatal(err)
			}
			n := strconv.Itoa(len(set.Pages))
			m := size.FindStringSubmatch(run(t, "pdfinfo", "-f", n, "-l", n, written(t, name+string(way)+".pdf", doc)))
			if m == nil {
				t.Fatal("pdfinfo tells no size")
			}
			w, _ := strconv.ParseFloat(m[1], 64)
			h, _ := strconv.ParseFloat(m[2], 64)
			if way == page.Landscape {
				w, h = h, w
			}
			if math.Abs(w*inch/72-want[0]) > 0.005 || math.Abs(h*inch/72-want[1]) > 0.005 {
				t.Errorf("%s, %s: %.3f × %.3f mm, want %v", name, way, w*inch/72, h*inch/72, want)
			}
		}
	}
}

// A print on a roll is as wide as the roll and as long as it must be, whatever
// the printer makes of it, and its cut lines are drawn larger by just that.
func TestRollAsRead(t *testing.T) {
	const inch = 25.4
	for _, printer := range []page.Printer{{}, {Short: 0.995, Long: 1.002}} {
		doc := document(large())
		doc.Setup.Paper, _ = page.PaperByName("roll24in")
		doc.Setup.Printer = printer
		set, err := draw.Pages(doc)
		if err != nil || len(set.Layout.Tiles) != 1 {
			t.Fatalf("%d sheets, %v", len(set.Layout.Tiles), err)
		}
		file := written(t, "roll.pdf", doc)
		n := len(set.Pages)
		out := run(t, "pdfinfo", "-f", strconv.Itoa(n), "-l", strconv.Itoa(n), file)
		m := regexp.MustCompile(`size: +([\d.]+) x ([\d.]+) pts`).FindStringSubmatch(out)
		if m == nil {
			t.Fatal("pdfinfo tells no size")
		}
		w, _ := strconv.ParseFloat(m[1], 64)
		h, _ := strconv.ParseFloat(m[2], 64)
		w, h = w*inch/72, h*inch/72
		// The E is 300 mm × 450 mm; along the roll only its 300 mm count.
		if set.Layout.PageWidthMM > set.Layout.PageHeightMM || math.Abs(h-24*inch) > 0.01 || w > 340 || w < 320 {
			t.Errorf("the page is %.2f × %.2f mm", w, h)
		}
		along, across := 1.0, 1.0
		if !printer.True() {
			along, across = printer.Long, printer.Short
		}
		cuts, _ := byPoppler(t, file, n)
		worst := math.Inf(1)
		for _, c := range cuts {
			cw, ch := spanMM(c)
			worst = min(worst, math.Hypot(cw*along-300, ch*across-450))
		}
		if worst > 0.01 {
			t.Errorf("the piece comes out %.3f mm off", worst)
		}
	}
}

// Every sheet has its own bar of 50 mm, as poppler reads it.
func TestEverySheetHasItsBar(t *testing.T) {
	doc := document(specimen.Helmet())
	file := written(t, "helmet.pdf", doc)
	set, err := draw.Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	for i := range set.Layout.Tiles {
		n := strconv.Itoa(len(set.Pages) - len(set.Layout.Tiles) + i + 1)
		out := run(t, "pdftocairo", "-svg", "-noshrink", "-nocenter", "-f", n, "-l", n, file, "-")
		found := false
		for _, m := range popplerPath.FindAllStringSubmatch(out, -1) {
			pts := popplerPoints(t, m[2], m[3])
			w, h := spanMM(pts)
			found = found || strings.Contains(m[1], "stroke-width:0.25;") && math.Abs(w-50) < 0.01 && h < 4 && len(pts) == 2+2*6
		}
		if !found {
			t.Errorf("sheet %s has no bar of 50 mm", set.Layout.Tiles[i].Label)
		}
	}
}
