package desk

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
)

var drawGoldens = flag.Bool("goldens", false, "draw the golden pictures of the window anew instead of comparing with them")

// The golden pictures are the smallest window, 1024 by 700, shrunk by four each
// way, so that the smoothing of letters does not count, and set to 32 levels a
// channel, so that they are small. They differ when the channels differ by more
// than goldenMean on average, or more than goldenShare of the pixels by more
// than goldenStep in a channel, of 255. Drawn twice on one machine they are
// alike; a label that is missing changes a share of 0.0008.
const (
	goldenShrink = 4
	goldenLevel  = 8
	goldenMean   = 0.3
	goldenStep   = 28
	goldenShare  = 0.0006
)

// goldenRungs are the names of the pictures of the six rungs.
var goldenRungs = [session.Stages]string{"photograph", "squareup", "trace", "markup", "check", "print"}

func TestGoldens(t *testing.T) {
	for _, appearance := range []string{"light", "dark"} {
		b := newBench(t, Options{PitchMM: practice.PitchMM, DemoPath: "demo.jpg", Appearance: appearance}, &practice.Job{})
		b.win.Resize(fyne.NewSize(1024, 700))
		b.golden("empty-" + appearance)
		b.open(b.file)
		b.settle()
		b.capture()
		b.markForGoldens()
		for st, name := range goldenRungs {
			b.goTo(session.Stage(st))
			b.golden(name + "-" + appearance)
		}
	}
}

// markForGoldens bevels two edges, joins them, and gives all pieces a thickness.
func (b *bench) markForGoldens() {
	b.t.Helper()
	b.s.SelectEdge("A2")
	b.typed("b")
	if _, err := b.s.Pair("A2", "B3"); err != nil {
		b.t.Fatal(err)
	}
	for _, p := range b.s.Document().Pattern.Pieces {
		if err := b.s.SetThickness(p.ID, 10); err != nil {
			b.t.Fatal(err)
		}
	}
	b.s.SelectEdge("A2")
	b.changed()
}

// golden compares the window with a picture that was looked at.
func (b *bench) golden(name string) {
	b.t.Helper()
	for end := time.Now().Add(20 * time.Second); b.counting && time.Now().Before(end); {
		(<-b.queue)()
	}
	b.capture() // lays out what has just been shown
	got := shrunk(b.capture(), goldenShrink)
	path := filepath.Join("testdata", name+".png")
	if *drawGoldens {
		savePNG(b.t, path, got)
		return
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		b.t.Fatalf("%v; make goldens draws it", err)
	}
	want, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		b.t.Fatal(err)
	}
	d := differing(got, want)
	b.t.Logf("%s: mean %.2f, share %.5f", name, d.mean, d.share)
	if d.mean > goldenMean || d.share > goldenShare {
		dir := filepath.Join("..", "..", "out", "goldens")
		savePNG(b.t, filepath.Join(dir, name+"-got.png"), b.capture())
		savePNG(b.t, filepath.Join(dir, name+"-difference.png"), d.picture)
		b.t.Errorf("%s differs by %.2f on average and at %.3f %% of its pixels: see out/goldens; if it is meant, look at it and run make goldens", name, d.mean, 100*d.share)
	}
}

// shrunk is a picture whose pixels are means of by times by, set to
// levels.
func shrunk(m image.Image, by int) *image.RGBA {
	size := m.Bounds().Size()
	out := image.NewRGBA(image.Rect(0, 0, size.X/by, size.Y/by))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			var sum [3]uint32
			for k := range by * by {
				r, g, b, _ := m.At(m.Bounds().Min.X+x*by+k%by, m.Bounds().Min.Y+y*by+k/by).RGBA()
				sum[0], sum[1], sum[2] = sum[0]+r>>8, sum[1]+g>>8, sum[2]+b>>8
			}
			n := uint32(by * by)
			out.SetRGBA(x, y, color.RGBA{level(sum[0] / n), level(sum[1] / n), level(sum[2] / n), 255})
		}
	}
	return out
}

// level is the nearest of the levels that pictures are kept in.
func level(v uint32) uint8 { return uint8(min(255, (v+goldenLevel/2)/goldenLevel*goldenLevel)) }

// difference is how far two pictures lie apart.
type difference struct {
	mean, share float64
	picture     *image.Gray
}

// differing compares two pictures; of another size they differ wholly.
func differing(got, want image.Image) difference {
	r := got.Bounds()
	d := difference{picture: image.NewGray(r)}
	if r.Size() != want.Bounds().Size() {
		d.mean, d.share = 255, 1
		return d
	}
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			p, _ := color.NRGBAModel.Convert(got.At(x, y)).(color.NRGBA)
			q, _ := color.NRGBAModel.Convert(want.At(x, y)).(color.NRGBA)
			a := [3]int{apart(p.R, q.R), apart(p.G, q.G), apart(p.B, q.B)}
			most := max(a[0], a[1], a[2])
			d.mean += float64(a[0]+a[1]+a[2]) / 3
			if most > goldenStep {
				d.share++
			}
			d.picture.SetGray(x, y, color.Gray{uint8(min(255, 4*most))})
		}
	}
	n := float64(r.Dx() * r.Dy())
	d.mean, d.share = d.mean/n, d.share/n
	return d
}

func apart(a, b uint8) int { return max(int(a), int(b)) - min(int(a), int(b)) }

func savePNG(t *testing.T, path string, m image.Image) {
	t.Helper()
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, m); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// What the comparison is for: a missing word, a missing rung and a wrong
// colour are noticed.
func TestGoldensNoticeWhatMatters(t *testing.T) {
	b := ready(t)
	b.win.Resize(fyne.NewSize(1024, 700))
	b.s.SelectEdge("A2")
	b.typed("b")
	shot := func() *image.RGBA {
		b.capture()
		return shrunk(b.capture(), goldenShrink)
	}
	before := shot()
	if d := differing(shot(), before); d.mean > 0.01 || d.share > 0 {
		t.Errorf("the same window drawn twice differs by %.3f at a share of %.5f", d.mean, d.share)
	}
	mark, _ := b.panels[session.StageMarkUp].(*markPanel)
	for what, change := range map[string][2]func(){
		"a button without its word": {func() { b.flat.SetText("") }, func() { b.flat.SetText(tr.viewFlat) }},
		"a field that is hidden":    {mark.thickness.Hide, mark.thickness.Show},
		"a rung that is hidden":     {b.rungs[2].Hide, b.rungs[2].Show},
		"a line of another colour":  {func() { b.editor.pal.ink = b.pal.wrong; b.editor.redraw() }, func() { b.editor.pal.ink = b.pal.ink; b.editor.redraw() }},
	} {
		change[0]()
		if d := differing(shot(), before); d.mean <= goldenMean && d.share <= goldenShare {
			t.Errorf("%s is not noticed: mean %.3f, share %.5f", what, d.mean, d.share)
		} else {
			t.Logf("%s: mean %.3f, share %.5f", what, d.mean, d.share)
		}
		change[1]()
		b.changed()
	}
}
