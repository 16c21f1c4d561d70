package picture

import (
	"bytes"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"flatwright/export/page"
	pages "flatwright/export/page/draw"
	"flatwright/export/page/specimen"
	"flatwright/export/pdf"
)

func document() pages.Document {
	return pages.Document{Pattern: specimen.Helmet(), Setup: page.DefaultSetup(), Date: time.Date(2026, 3, 14, 0, 0, 0, 0, time.UTC)}
}

// square returns a page with a drawing of ours.
func square(t *testing.T, draw func(pages.Canvas)) *image.RGBA {
	t.Helper()
	k := &canvas{img: image.NewRGBA(image.Rect(0, 0, 400, 400)), scale: 10}
	for i := range k.img.Pix {
		k.img.Pix[i] = 255
	}
	draw(k)
	return k.img
}

// ink sums the darkness of the red channel, in whole px.
func ink(img *image.RGBA, r image.Rectangle) float64 {
	sum := 0.0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			sum += float64(255-img.RGBAAt(x, y).R) / 255
		}
	}
	return sum
}

func line(pts ...float64) pages.Path {
	p := pages.Path{{Verb: pages.Move, To: pages.Point{X: pts[0], Y: pts[1]}}}
	for i := 2; i < len(pts); i += 2 {
		p = append(p, pages.Step{Verb: pages.Line, To: pages.Point{X: pts[i], Y: pts[i+1]}})
	}
	return p
}

// Lines cover length × width; dashes their share of it; a clip its part.
func TestLinesCoverTheirArea(t *testing.T) {
	all := image.Rect(0, 0, 400, 400)
	pen := pages.Pen{WidthMM: 0.5}
	cases := []struct {
		name string
		draw func(pages.Canvas)
		want float64 // px²
	}{
		{"level", func(c pages.Canvas) { c.Stroke(line(5, 10.03, 35, 10.03), pen) }, 300 * 5},
		{"aslant", func(c pages.Canvas) { c.Stroke(line(5, 5, 35, 35), pen) }, 300 * math.Sqrt2 * 5},
		{"dashed", func(c pages.Canvas) {
			c.Stroke(line(5, 10, 35, 10), pages.Pen{WidthMM: 0.5, DashMM: []float64{2, 1}})
		}, 200 * 5},
		{"clipped", func(c pages.Canvas) {
			c.Clip(page.Rect{MinX: 10, MinY: 0, MaxX: 20, MaxY: 40})
			c.Stroke(line(5, 10, 35, 10), pen)
			c.Unclip()
		}, 100 * 5},
		{"filled", func(c pages.Canvas) { c.Fill(line(5, 5, 15, 5, 15, 25, 5, 25), page.Black) }, 100 * 200},
		// Two bars of a corner share a square of 2.5 px, and the disc adds
		// less than a quarter of one outside.
		{"corner", func(c pages.Canvas) { c.Stroke(line(5, 5, 25, 5, 25, 25), pen) }, 2*200*5 + 2.5*2.5*0.5},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := ink(square(t, c.draw), all); math.Abs(got-c.want) > 0.01*c.want {
				t.Errorf("%.1f px², want %.1f", got, c.want)
			}
		})
	}
}

// The preview is the print: mupdf's picture of the PDF and ours differ by
// little more than how each smooths edges.
func TestPreviewIsThePrint(t *testing.T) {
	if _, err := exec.LookPath("mutool"); err != nil {
		t.Skip("SKIPPED: mutool is not installed, so preview and print were not compared")
	}
	doc := document()
	set, err := pages.Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := pdf.WriteSet(&b, set, doc); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a.pdf"), b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	const dpi = 100
	for _, i := range []int{0, 1, len(set.Pages) - 3} {
		n := strconv.Itoa(i + 1)
		out := filepath.Join(dir, "p"+n)
		cmd := exec.Command("mutool", "draw", "-q", "-r", strconv.Itoa(dpi), "-o", out+".png", filepath.Join(dir, "a.pdf"), n)
		if said, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, said)
		}
		ours, err := Render(&set.Pages[i], dpi)
		if err != nil {
			t.Fatal(err)
		}
		keep(t, ours, set.Pages[i].Name)
		compare(t, set.Pages[i].Name, ours, out+".png")
	}
}

// compare compares the ink in squares of 12 px (3 mm): lines that sit a
// fraction of a pixel apart agree, a letter or line that is missing does not.
func compare(t *testing.T, name string, ours *image.RGBA, file string) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	theirs := image.NewRGBA(ours.Rect)
	for y := range ours.Rect.Dy() {
		for x := range ours.Rect.Dx() {
			theirs.Set(x, y, img.At(x, y))
		}
	}
	const cell = 12
	worst := 0.0
	for y := 0; y+2*cell < ours.Rect.Dy(); y += cell {
		for x := 0; x+2*cell < ours.Rect.Dx(); x += cell {
			r := image.Rect(x, y, x+2*cell, y+2*cell)
			worst = math.Max(worst, math.Abs(ink(ours, r)-ink(theirs, r)))
		}
	}
	t.Logf("%s: worst square differs by %.1f px of ink", name, worst)
	// A line of 0.35 mm through such a square has 33 px of ink.
	if worst > 20 {
		t.Errorf("%s: a square of 6 mm differs by %.1f px of ink", name, worst)
	}
}

func keep(t *testing.T, img *image.RGBA, name string) {
	dir := os.Getenv("FLATWRIGHT_KEEP")
	if dir == "" {
		return
	}
	var b bytes.Buffer
	if err := encode(&b, img); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestSizes(t *testing.T) {
	set, err := pages.Pages(document())
	if err != nil {
		t.Fatal(err)
	}
	img, err := Render(&set.Pages[0], 25.4)
	if err != nil || img.Rect != image.Rect(0, 0, 210, 297) || img.Stride != 4*210 {
		t.Errorf("%v, %v", img.Rect, err)
	}
	for _, dpi := range []float64{0, -1, math.NaN(), math.Inf(1), 1e6} {
		if _, err := Render(&set.Pages[0], dpi); err == nil {
			t.Errorf("%g dpi is made", dpi)
		}
	}
}

func BenchmarkTilePreview(b *testing.B) {
	set, _ := pages.Pages(document())
	for b.Loop() {
		if _, err := Render(&set.Pages[len(set.Pages)-3], 100); err != nil {
			b.Fatal(err)
		}
	}
}
