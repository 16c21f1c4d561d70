package grid

import (
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/photo/intake"
)

// inks are the colours of a mat's ground and lines.
type inks struct {
	name         string
	ground, line color.RGBA
}

// equalLuma are pairs whose luminance by ITU-R BT.601, the one that JPEG files
// carry, differs by less than a grey level.
var equalLuma = []inks{
	{"yellow on light green", color.RGBA{120, 225, 90, 255}, color.RGBA{200, 190, 60, 255}},
	{"grey on pink", color.RGBA{226, 150, 165, 255}, color.RGBA{174, 174, 174, 255}},
}

// photographed paints a mat in two colours, takes it through a JPEG file with
// its colour halved both ways, and opens that as a phone's.
func photographed(t *testing.T, m lens.Model, w, h int, pr print, c inks, noise float64) *photo.Photo {
	t.Helper()
	rng := rand.New(rand.NewPCG(11, 13))
	part := paintPlane(m, w, h, 0, rng, func(x, y float64) float64 { return pr.at(x, y, nil) })
	im := image.NewRGBA(image.Rect(0, 0, w, h))
	for i, v := range part.Luma {
		grain := noise * rng.NormFloat64()
		mix := func(a, b uint8) uint8 {
			s := float64(a) + (float64(b)-float64(a))*float64(v)/255 + grain
			return uint8(min(max(s, 0), 255) + 0.5)
		}
		im.Pix[4*i], im.Pix[4*i+1], im.Pix[4*i+2], im.Pix[4*i+3] = mix(c.ground.R, c.line.R), mix(c.ground.G, c.line.G), mix(c.ground.B, c.line.B), 255
	}
	path := filepath.Join(t.TempDir(), "coloured.jpg")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := jpeg.Encode(f, im, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	p, err := intake.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Lines of their ground's luminance are found in the colours, and where they
// are: the halved colour samples of a JPEG file stand in the middle of the
// pixels they speak for, and a reader that puts them elsewhere moves every line
// by a quarter of a pixel or half of one.
func TestLinesOfEqualLuminance(t *testing.T) {
	const w, h = 1600, 1200
	m := over(w, h, 58, 7, 8, -0.05)
	for _, c := range equalLuma {
		t.Run(c.name, func(t *testing.T) {
			p := photographed(t, m, w, h, print{line: 255}, c, 1.5)
			f, err := Find(context.Background(), p, Sizes{PitchMM: printMM})
			if err != nil {
				t.Fatal(err)
			}
			g := f.Grid
			if g.MaxColumn-g.MinColumn != 24 || g.MaxRow-g.MinRow != 18 {
				t.Errorf("%d by %d pitches", g.MaxColumn-g.MinColumn, g.MaxRow-g.MinRow)
			}
			x, y, worst := crossingsOffPx(m, f)
			t.Logf("moved by (%.3f, %.3f) px, worst crossing %.3f px", x, y, worst)
			if math.Hypot(x, y) > 0.05 {
				t.Errorf("the lines seem moved by (%.3f, %.3f) px", x, y)
			}
			if worst > 0.25 {
				t.Errorf("the worst crossing lies %.3f px off", worst)
			}
		})
	}
}

// crossingsOffPx is by how much a found model's crossings lie off the print's,
// in px of the photograph: on average, and the worst.
func crossingsOffPx(truth lens.Model, f *Found) (x, y, worst float64) {
	n := 0.0
	for c := f.Grid.MinColumn; c <= f.Grid.MaxColumn; c++ {
		for r := f.Grid.MinRow; r <= f.Grid.MaxRow; r++ {
			got := f.Steps.ToPhoto(mat.Point{X: float64(c), Y: float64(r)})
			at, ok := truth.ToMat(got)
			if !ok {
				return math.Inf(1), math.Inf(1), math.Inf(1)
			}
			want := truth.ToPhoto(mat.Point{X: math.Round(at.X/printMM) * printMM, Y: math.Round(at.Y/printMM) * printMM})
			x, y, n = x+got.X-want.X, y+got.Y-want.Y, n+1
			worst = math.Max(worst, math.Hypot(got.X-want.X, got.Y-want.Y))
		}
	}
	return x / n, y / n, worst
}

// A click near a crossing of lines of their ground's luminance lands on it.
func TestSnapInColour(t *testing.T) {
	const w, h = 1600, 1200
	m := over(w, h, 58, 7, 8, -0.05)
	for _, c := range equalLuma {
		p := photographed(t, m, w, h, print{line: 255}, c, 1.5)
		for _, at := range [][2]float64{{4, 5}, {12, 9}, {20, 14}, {7, 12}} {
			want := m.ToPhoto(mat.Point{X: at[0] * printMM, Y: at[1] * printMM})
			got, ok := Snap(p, photo.Point{X: want.X + 4, Y: want.Y - 3})
			if d := math.Hypot(got.X-want.X, got.Y-want.Y); !ok || d > 0.35 {
				t.Errorf("%s, crossing %v: %v, %.2f px off", c.name, at, ok, d)
			}
		}
	}
}

// Lines that luminance shows just well enough to be found are weighed and
// measured in the colours, where heavy and light ones can be told apart.
func TestLinesClearerInColour(t *testing.T) {
	const w, h = 2000, 1500
	m := over(w, h, 72, 5, 12, -0.05)
	red := inks{"red on green", color.RGBA{60, 90, 20, 255}, color.RGBA{175, 45, 70, 255}}
	p := photographed(t, m, w, h, print{line: 255, minors: 2}, red, 7)
	f, err := Find(context.Background(), p, Sizes{PitchMM: printMM})
	if err != nil {
		t.Fatal(err)
	}
	if n := f.Grid.MaxColumn - f.Grid.MinColumn; n != 24 || f.Grid.MinorPerPitch != 2 {
		t.Errorf("%d pitches across, %d divisions each; want 24 and 2", n, f.Grid.MinorPerPitch)
	}
	x, y, worst := crossingsOffPx(m, f)
	if math.Hypot(x, y) > 0.05 || worst > 0.25 {
		t.Errorf("moved by (%.3f, %.3f) px, worst crossing %.3f px", x, y, worst)
	}
	found := false
	err = eachReading(context.Background(), p, func(r reading) bool {
		c := r.inClearestPlane(context.Background(), p)
		found = c.plane != p && c.lattice.clear() > 2*r.lattice.clear()
		t.Logf("heights over noise: %.1f in luminance, %.1f in the clearest plane", r.lattice.clear(), c.lattice.clear())
		return true
	})
	if err != nil || !found {
		t.Errorf("no clearer plane was found: %v", err)
	}
}

// Lines 12 grey levels from their ground under noise of 3.5 are read, bright
// or dark; and a mat whose lines are no brighter than its noise is refused
// rather than guessed at.
func TestWeakContrast(t *testing.T) {
	const w, h = 2600, 1950
	m := over(w, h, 95, -8, 10, -0.06)
	for _, line := range []float64{122, 98} {
		p := paint(m, w, h, print{ground: 110, line: line, noise: 3.5, cover: 0.2}, 3)
		f, err := Find(context.Background(), p, Sizes{PitchMM: printMM})
		if err != nil {
			t.Errorf("lines of %g on 110: %v", line, err)
			continue
		}
		if rms := rmsOffLinePx(m, f); rms > 0.2 {
			t.Errorf("lines of %g on 110: points lie rms %.3f px off", line, rms)
		}
		for _, at := range [][2]int{{f.Grid.MinColumn, f.Grid.MinRow}, {f.Grid.MaxColumn, f.Grid.MaxRow}} {
			if d := offLattice(m, f.Steps, at[0], at[1]); d > 0.02 {
				t.Errorf("lines of %g on 110: crossing %v lies %.3f pitches off", line, at, d)
			}
		}
	}
	if f, err := Find(context.Background(), paint(over(1200, 900, 44, -8, 10, -0.06), 1200, 900, print{ground: 110, line: 111, noise: 6}, 4), Sizes{PitchMM: printMM}); err == nil {
		t.Errorf("lines under the noise: %d points", len(f.Grid.Points))
	}
}
