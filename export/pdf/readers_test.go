package pdf

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/lettering"
	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// run runs a PDF reader, or skips the test, saying so, where it is missing.
func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("SKIPPED: %s is not installed, so nobody else has read this PDF", name)
	}
	var out, said bytes.Buffer
	cmd := exec.Command(name, args...)
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %v: %v\n%s%s", name, args, err, out.String(), said.String())
	}
	if s := strings.ToLower(said.String()); strings.Contains(s, "warning") || strings.Contains(s, "error") {
		t.Fatalf("%s complains: %s", name, said.String())
	}
	return out.String()
}

// checkClean lets two readers look for faults in a file's structure.
func checkClean(t *testing.T, file string) {
	t.Helper()
	if out := run(t, "qpdf", "--check", file); strings.Contains(out, "WARNING") {
		t.Errorf("qpdf: %s", out)
	}
	run(t, "mutool", "clean", file, t.TempDir()+"/clean.pdf")
}

func TestReadersFindNoFault(t *testing.T) {
	file := written(t, "helmet.pdf", document(specimen.Helmet()))
	checkClean(t, file)
	if out := run(t, "mutool", "show", file, "trailer/Root/ViewerPreferences/PrintScaling"); !strings.Contains(out, "/None") {
		t.Errorf("print scaling is %q", out)
	}
	out := run(t, "pdffonts", file)
	for _, line := range strings.Split(strings.TrimSpace(out), "\n")[2:] {
		if !strings.Contains(line, " yes ") {
			t.Errorf("font not embedded: %s", line)
		}
	}
}

// Title and author are in the file's properties, in any script.
func TestProperties(t *testing.T) {
	doc := document(specimen.Chiral())
	doc.Title, doc.Author = "Größe 鎧", "Zoë Щит"
	out := run(t, "pdfinfo", "-enc", "UTF-8", written(t, "named.pdf", doc))
	for _, want := range []string{"Title:           Größe 鎧\n", "Author:          Zoë Щит\n", "Producer:        Flatwright\n"} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in %s", want, out)
		}
	}
}

// tracedPath is a path as mutool draws it: points in mm from the page's top
// left corner.
type tracedPath struct {
	widthMM float64
	colour  string
	pts     []mat.Point
}

// traced reads the paths of a kind, "stroke_path" or "fill_path", on a page. The numbers come from
// the reader's own parser and matrix, not from ours.
func traced(t *testing.T, file string, number int, kind string) []tracedPath {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(run(t, "mutool", "trace", file, strconv.Itoa(number))))
	var paths []tracedPath
	var m [6]float64
	stroking := false
	for {
		tok, err := d.Token()
		if err != nil {
			return paths
		}
		switch e := tok.(type) {
		case xml.StartElement:
			a := attributes(e)
			switch {
			case e.Name.Local == kind:
				stroking = true
				_, err := fmt.Sscan(a["transform"], &m[0], &m[1], &m[2], &m[3], &m[4], &m[5])
				if err != nil {
					t.Fatal(err)
				}
				w, _ := strconv.ParseFloat(a["linewidth"], 64)
				paths = append(paths, tracedPath{widthMM: w * m[0] * 25.4 / 72, colour: a["color"]})
			case stroking && len(a) > 0:
				p := &paths[len(paths)-1]
				for _, k := range [][2]string{{"x1", "y1"}, {"x2", "y2"}, {"x3", "y3"}, {"x", "y"}} {
					if x, has := a[k[0]]; has {
						p.pts = append(p.pts, onPage(t, m, x, a[k[1]]))
					}
				}
			}
		case xml.EndElement:
			if e.Name.Local == kind {
				stroking = false
			}
		}
	}
}

func attributes(e xml.StartElement) map[string]string {
	a := map[string]string{}
	for _, at := range e.Attr {
		a[at.Name.Local] = at.Value
	}
	return a
}

func onPage(t *testing.T, m [6]float64, xs, ys string) mat.Point {
	t.Helper()
	x, errX := strconv.ParseFloat(xs, 64)
	y, errY := strconv.ParseFloat(ys, 64)
	if errX != nil || errY != nil {
		t.Fatal(xs, ys)
	}
	return mat.Point{X: (m[0]*x + m[2]*y + m[4]) * 25.4 / 72, Y: (m[1]*x + m[3]*y + m[5]) * 25.4 / 72}
}

// pointsOf lists a path's points as a PDF has them: controls for curves only.
func pointsOf(c curve.Path) []mat.Point {
	pts := []mat.Point{c.Segments[0].P0}
	for _, s := range c.Segments {
		if !s.Line {
			pts = append(pts, s.P1, s.P2)
		}
		pts = append(pts, s.P3)
	}
	return pts
}

// farthest returns how far apart two runs of points are; infinite when they
// do not match one to one.
func farthest(a, b []mat.Point) float64 {
	if len(a) != len(b) {
		return math.Inf(1)
	}
	d := 0.0
	for i := range a {
		d = math.Max(d, math.Hypot(a[i].X-b[i].X, a[i].Y-b[i].Y))
	}
	return d
}

// Every cut line of every piece is on its tiles, at its place within
// 0.005 mm, black, continuous and 0.35 mm wide. Since places are compared,
// nothing can be mirrored, turned or scaled.
func TestCutLinesReadBack(t *testing.T) {
	doc := document(specimen.Helmet())
	t.Run("as laid", func(t *testing.T) { cutLinesReadBack(t, doc) })
	doc.Setup.Packed = true
	doc.Pattern.Pieces = doc.Pattern.Pieces[1:5] // packing takes its time
	t.Run("packed", func(t *testing.T) { cutLinesReadBack(t, doc) })
}

func cutLinesReadBack(t *testing.T, doc draw.Document) {
	t.Helper()
	file := written(t, "helmet.pdf", doc)
	set, err := draw.Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	_, printed, err := page.LayOut(t.Context(), doc.Pattern, doc.Setup)
	if err != nil {
		t.Fatal(err)
	}
	l := set.Layout
	front := len(set.Pages) - len(l.Tiles)
	worst := 0.0
	for i, tile := range l.Tiles {
		paths := traced(t, file, front+i+1, "stroke_path")
		for _, k := range tile.Pieces {
			piece := printed.Pieces[k]
			for _, loop := range append([]curve.Path{piece.Outline}, piece.Openings...) {
				want := pointsOf(loop)
				for j := range want {
					want[j].X += l.Content.MinX - tile.OriginMM.X
					want[j].Y += l.Content.MinY - tile.OriginMM.Y
				}
				best := math.Inf(1)
				for _, p := range paths {
					if p.colour == "0 0 0" && math.Abs(p.widthMM-0.35) < 1e-4 {
						best = math.Min(best, farthest(p.pts, want))
					}
				}
				worst = math.Max(worst, best)
			}
		}
	}
	if !(worst <= 0.005) {
		t.Errorf("a cut line is %g mm off", worst)
	}
	t.Logf("worst point %.5f mm off", worst)
}

// The cover's square and bar, as another program reads them.
func TestProofReadBack(t *testing.T) {
	file := written(t, "helmet.pdf", document(specimen.Helmet()))
	square, bar := false, false
	for _, p := range traced(t, file, 1, "stroke_path") {
		box := page.EmptyRect()
		for _, q := range p.pts {
			box = box.With(q)
		}
		if len(p.pts) == 4 && math.Abs(box.Width()-100) < 0.005 && math.Abs(box.Height()-100) < 0.005 {
			square = true
		}
		if math.Abs(box.Width()-101.6) < 0.005 && len(p.pts) == 2+2*17 {
			bar = true
		}
	}
	if !square || !bar {
		t.Errorf("100 mm square found: %t; 4 in bar found: %t", square, bar)
	}
}

// Match marks pair: on both sheets the number stands beside a half diamond.
func TestMatchMarksAreWritten(t *testing.T) {
	doc := document(specimen.Helmet())
	file := written(t, "helmet.pdf", doc)
	set, _ := draw.Pages(doc)
	front := len(set.Pages) - len(set.Layout.Tiles)
	for i := range set.Layout.Tiles {
		n := strconv.Itoa(front + i + 1)
		words := strings.Fields(run(t, "pdftotext", "-f", n, "-l", n, file, "-"))
		has := map[string]bool{}
		for _, w := range words {
			has[w] = true
		}
		for _, m := range set.Layout.Marks {
			if (m.Under == i || m.Over == i) && !has[m.Label] {
				t.Errorf("sheet %s lacks the match mark %s", set.Layout.Tiles[i].Label, m.Label)
			}
		}
	}
}

// Laid over each other by the trim line, the two halves of every match mark
// make one diamond: their bases coincide and their points lie opposite.
func TestMatchMarksMakeDiamonds(t *testing.T) {
	doc := document(specimen.Helmet())
	file := written(t, "helmet.pdf", doc)
	set, _ := draw.Pages(doc)
	l := set.Layout
	front := len(set.Pages) - len(l.Tiles)
	filled := make([][]tracedPath, len(l.Tiles))
	for i, tile := range l.Tiles {
		filled[i] = traced(t, file, front+i+1, "fill_path")
		for _, p := range filled[i] {
			for k := range p.pts { // to the pattern's frame
				p.pts[k].X += tile.OriginMM.X - l.Content.MinX
				p.pts[k].Y += tile.OriginMM.Y - l.Content.MinY
			}
		}
	}
	half := func(tile int, base, point mat.Point) bool {
		for _, p := range filled[tile] {
			if len(p.pts) == 3 && has(p.pts, base) && has(p.pts, point) {
				return true
			}
		}
		return false
	}
	const h = 3
	for _, m := range l.Marks {
		along, across := mat.Point{X: h}, mat.Point{Y: h}
		if m.Upright {
			along, across = across, along
		}
		base := mat.Point{X: m.AtMM.X + along.X, Y: m.AtMM.Y + along.Y}
		if !half(m.Under, base, mat.Point{X: m.AtMM.X - across.X, Y: m.AtMM.Y - across.Y}) ||
			!half(m.Over, base, mat.Point{X: m.AtMM.X + across.X, Y: m.AtMM.Y + across.Y}) {
			t.Errorf("match mark %s makes no diamond", m.Label)
		}
	}
}

func has(pts []mat.Point, p mat.Point) bool {
	for _, q := range pts {
		if math.Hypot(p.X-q.X, p.Y-q.Y) < 0.005 {
			return true
		}
	}
	return false
}

// A bookmark for each piece leads to the page and height that it should,
// although the pages differ in size.
func TestBookmarks(t *testing.T) {
	doc := document(specimen.Helmet())
	doc.Setup.Orientation = page.Landscape
	file := written(t, "landscape.pdf", doc)
	set, _ := draw.Pages(doc)
	line := regexp.MustCompile(`"(.*)"\s+#page=(\d+)&zoom=nan,[\d.-]+,([\d.-]+)`)
	type place struct {
		page int
		y    float64
	}
	got := map[string]place{}
	for _, m := range line.FindAllStringSubmatch(run(t, "mutool", "show", file, "outline"), -1) {
		n, _ := strconv.Atoi(m[2])
		y, _ := strconv.ParseFloat(m[3], 64)
		got[m[1]] = place{n, y * 25.4 / 72}
	}
	pieces := 0
	for i, p := range set.Pages {
		for _, b := range p.Bookmarks {
			g, found := got[b.Text]
			if !found || g.page != i+1 || math.Abs(g.y-b.YMM) > 0.02 {
				t.Errorf("%q leads to %v (%t), want page %d at %.2f mm", b.Text, g, found, i+1, b.YMM)
			}
			pieces += b.Level
		}
	}
	if pieces != len(doc.Pattern.Pieces) {
		t.Errorf("%d pieces have bookmarks", pieces)
	}
}

// Words are as wide in print as they were measured.
func TestWordsAreAsWideAsMeasured(t *testing.T) {
	doc := document(specimen.Helmet())
	out := run(t, "pdftotext", "-f", "1", "-l", "1", "-bbox", written(t, "helmet.pdf", doc), "-")
	seen := 0
	for _, m := range regexp.MustCompile(`xMin="([\d.]+)".*xMax="([\d.]+)".*>(Lantern|guard|helmet)<`).FindAllStringSubmatch(out, 3) {
		x0, _ := strconv.ParseFloat(m[1], 64)
		x1, _ := strconv.ParseFloat(m[2], 64)
		got, want := (x1-x0)*25.4/72, lettering.Bold.WidthMM(m[3], 6)
		if math.Abs(got-want) > 0.03 {
			t.Errorf("%q is %.3f mm wide, measured %.3f", m[3], got, want)
		}
		seen++
	}
	if seen != 3 {
		t.Errorf("%d of 3 words found", seen)
	}
}
