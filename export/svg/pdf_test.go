package svg

import (
	"bytes"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/specimen"
	"flatwright/export/pdf"
	"flatwright/trace/pattern"
)

// drawing dots per mm; 254 dpi.
const dotsPerMM = 10

// made runs another program that makes a file.
func made(t *testing.T, name string, args ...string) {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("SKIPPED: %s is not installed, so drawing and print are not compared", name)
	}
	if said, err := exec.Command(name, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v: %s", name, err, said)
	}
}

// onePage is a pattern of the helmet's pieces B to E on one large sheet.
func onePage(t *testing.T) (draw.Document, *draw.Set) {
	t.Helper()
	p := specimen.Helmet()
	p.Pieces = p.Pieces[1:5]
	doc := draw.Document{Pattern: p, Setup: page.DefaultSetup()}
	doc.Setup.Paper, _ = page.PaperByName("400x620")
	doc.Setup.Orientation = page.Landscape
	set, err := draw.Pages(doc)
	if err != nil || len(set.Layout.Tiles) != 1 {
		t.Fatalf("%d sheets, %v", len(set.Layout.Tiles), err)
	}
	return doc, set
}

// svgPicture is the drawing without its words, as librsvg draws it.
func svgPicture(t *testing.T, dir string, p pattern.Pattern) image.Image {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	silent := regexp.MustCompile(`(?s)<text.*?</text>`).ReplaceAll(b.Bytes(), nil)
	if err := os.WriteFile(filepath.Join(dir, "p.svg"), silent, 0o644); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "svg.png")
	made(t, "rsvg-convert", "-b", "white", "-d", "254", "-p", "254", "-o", out, filepath.Join(dir, "p.svg"))
	return decoded(t, out)
}

// pdfPicture is the printed sheet as mupdf draws it with the layers of words and
// of the paper's joins hidden.
func pdfPicture(t *testing.T, dir string, doc draw.Document, number int) image.Image {
	t.Helper()
	var b bytes.Buffer
	if err := pdf.Write(&b, doc); err != nil {
		t.Fatal(err)
	}
	file, out := filepath.Join(dir, "p.pdf"), filepath.Join(dir, "pdf.png")
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	made(t, "mutool", "draw", "-q", "-N", "-r", "254", "-z", "5", "-z", "6", "-o", out, file, strconv.Itoa(number))
	return decoded(t, out)
}

// The drawing and the print show the same lines in the same places and colours,
// as two renderers draw them: every strongly coloured dot of one has its like
// within two dots (0.2 mm) in the other. At the ends of dashes the renderers
// round differently; 1 dot in 10 000 is allowed for that.
func TestDrawingAgreesWithPrint(t *testing.T) {
	doc, set := onePage(t)
	dir := t.TempDir()
	drawing := svgPicture(t, dir, doc.Pattern)
	print := pdfPicture(t, dir, doc, len(set.Pages))
	bounds, err := page.Bounds(doc.Pattern)
	if err != nil {
		t.Fatal(err)
	}
	l := set.Layout
	svgAt := func(x, y float64) (int, int) {
		return dot(x - bounds.MinX + borderMM), dot(y - bounds.MinY + borderMM)
	}
	pdfAt := func(x, y float64) (int, int) {
		return dot(x - l.Tiles[0].OriginMM.X + l.Content.MinX), dot(y - l.Tiles[0].OriginMM.Y + l.Content.MinY)
	}
	seen := map[string]int{}
	for _, p := range doc.Pattern.Pieces {
		box := p.Outline.Bounds()
		for y := box.Min.Y - 2; y <= box.Max.Y+2; y += 1.0 / dotsPerMM {
			for x := box.Min.X - 2; x <= box.Max.X+2; x += 1.0 / dotsPerMM {
				ax, ay := svgAt(x, y)
				bx, by := pdfAt(x, y)
				seen["drawing"] += missing(drawing, ax, ay, print, bx, by, seen)
				seen["print"] += missing(print, bx, by, drawing, ax, ay, seen)
			}
		}
	}
	if allowed := seen["dots"] / 10000; seen["drawing"] > allowed || seen["print"] > allowed || seen["dots"] < 50000 {
		t.Errorf("of %d coloured dots %d of the drawing are missing in the print and %d of the print in the drawing", seen["dots"], seen["drawing"], seen["print"])
	}
}

func dot(mm float64) int { return int(math.Floor(mm*dotsPerMM + 1e-6)) }

// missing returns 1 when a dot is strongly coloured and no dot near by in the
// other picture has at least as much of the same inks. Both ways round that
// tells colours apart too.
func missing(a image.Image, ax, ay int, b image.Image, bx, by int, seen map[string]int) int {
	const strong, near = 110, 2
	r, g, bl, _ := a.At(ax, ay).RGBA()
	if min(r, g, bl)>>8 > strong {
		return 0
	}
	seen["dots"]++
	for dy := -near; dy <= near; dy++ {
		for dx := -near; dx <= near; dx++ {
			r2, g2, b2, _ := b.At(bx+dx, by+dy).RGBA()
			if inked(r, r2) && inked(g, g2) && inked(bl, b2) {
				return 0
			}
		}
	}
	return 1
}

// inked reports whether a channel is as dark as another, or nearly.
func inked(a, b uint32) bool { return b>>8 <= a>>8+50 }
