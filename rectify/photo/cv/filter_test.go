package cv

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawGray draws a small picture of random size and values.
func drawGray(t *rapid.T) Gray {
	w, h := rapid.IntRange(1, 24).Draw(t, "w"), rapid.IntRange(1, 24).Draw(t, "h")
	return Gray{w, h, rapid.SliceOfN(rapid.Byte(), w*h, w*h).Draw(t, "pix")}
}

// drawMask draws a small picture of zeroes and ones.
func drawMask(t *rapid.T) Gray {
	g := drawGray(t)
	for i := range g.Pix {
		g.Pix[i] &= 1
	}
	return g
}

// mirrored is the index that stands for one beyond the border: the picture is
// mirrored about its last pixel.
func mirrored(i, n int) int {
	for n > 1 && (i < 0 || i >= n) {
		if i < 0 {
			i = -i
		} else {
			i = 2*(n-1) - i
		}
	}
	return max(0, min(i, n-1))
}

// around returns the values of a window of w*h about a pixel.
func around(p Gray, x, y, w, h int, border func(i, n int) int) []byte {
	var values []byte
	for j := range h {
		for i := range w {
			values = append(values, p.Pix[border(y+j-h/2, p.H)*p.W+border(x+i-w/2, p.W)])
		}
	}
	return values
}

func repeated(i, n int) int { return max(0, min(i, n-1)) }

func mean(values []byte) float64 {
	total := 0
	for _, v := range values {
		total += int(v)
	}
	return float64(total) / float64(len(values))
}

func TestBoxBlurIsMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := drawGray(t)
		w, h := 2*rapid.IntRange(0, 4).Draw(t, "kw")+1, 2*rapid.IntRange(0, 4).Draw(t, "kh")+1
		got, err := BoxBlur(src, w, h)
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range got.Pix {
			want := mean(around(src, i%src.W, i/src.W, w, h, mirrored))
			if math.Abs(float64(v)-want) > 0.51 {
				t.Fatalf("pixel %d: %d, want %.2f", i, v, want)
			}
		}
	})
}

func TestMedianBlurIsMedian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := drawGray(t)
		size := 2*rapid.IntRange(1, 4).Draw(t, "half") + 1
		got, err := MedianBlur(src, size)
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range got.Pix {
			window := around(src, i%src.W, i/src.W, size, size, repeated)
			slices.Sort(window)
			if want := window[len(window)/2]; v != want {
				t.Fatalf("pixel %d: %d, want %d", i, v, want)
			}
		}
	})
}

// TestGaussianBlurOfPoint holds the blur of a point against the Gaussian.
func TestGaussianBlurOfPoint(t *testing.T) {
	const w, sigma = 41, 2.5
	src := blank(Float{}, w, w)
	src.Pix[20*w+20] = 1000
	got, err := GaussianBlur(src, sigma)
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range got.Pix {
		dx, dy := float64(i%w-20), float64(i/w-20)
		want := 1000 * math.Exp(-(dx*dx+dy*dy)/(2*sigma*sigma)) / (2 * math.Pi * sigma * sigma)
		if math.Abs(float64(v)-want) > 0.01 {
			t.Fatalf("(%g, %g): %.4f, want %.4f", dx, dy, v, want)
		}
	}
}

// TestGaussianBlurAgrees: the 8-bit blur is the one in floating point rounded,
// but for its cut at 3 sigma (a level at most) and its weights, which are
// whole 256ths: a quarter of a step off each in the mean, along both axes.
func TestGaussianBlurAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := drawGray(t)
		sigma := rapid.Float64Range(0.5, 3).Draw(t, "sigma")
		exact := blank(Float{}, src.W, src.H)
		for i, v := range src.Pix {
			exact.Pix[i] = float32(v)
		}
		got, err := GaussianBlur(src, sigma)
		if err != nil {
			t.Fatal(err)
		}
		want, err := GaussianBlur(exact, sigma)
		if err != nil {
			t.Fatal(err)
		}
		weights := 6*sigma + 2
		most := 0.5 + 1 + 255*weights/1024
		for i, v := range got.Pix {
			if math.Abs(float64(v)-float64(want.Pix[i])) > most {
				t.Fatalf("pixel %d: %d, want %.2f", i, v, want.Pix[i])
			}
		}
	})
}

// TestDerivativesOfRamp: of a ramp of 2 levels a pixel along x and 3 along y
// Sobel's kernel makes 8 times the slope and Scharr's 32 times.
func TestDerivativesOfRamp(t *testing.T) {
	const w, h = 20, 15
	src := NewGray(w, h)
	for i := range src.Pix {
		src.Pix[i] = byte(2*(i%w) + 3*(i/w))
	}
	middle := 7*w + 10
	for name, c := range map[string]struct {
		run  func() (Float, error)
		want float32
	}{
		"sobel x":   {func() (Float, error) { return Sobel(src, 1, 0, 3) }, 16},
		"sobel y":   {func() (Float, error) { return Sobel(src, 0, 1, 3) }, 24},
		"sobel xx":  {func() (Float, error) { return Sobel(src, 2, 0, 5) }, 0},
		"scharr x":  {func() (Float, error) { return Scharr(src, true) }, 64},
		"scharr y":  {func() (Float, error) { return Scharr(src, false) }, 96},
		"sobel 7 y": {func() (Float, error) { return Sobel(src, 0, 1, 7) }, 3 * 64 * 32}, // smoothing adds up to 64, the slope to 32
	} {
		got, err := c.run()
		if err != nil {
			t.Fatal(err)
		}
		if got.Pix[middle] != c.want {
			t.Errorf("%s: %g, want %g", name, got.Pix[middle], c.want)
		}
	}
}

func TestCannyFindsStep(t *testing.T) {
	const w, h = 30, 20
	src := NewGray(w, h)
	for i := range src.Pix {
		if i%w >= 15 {
			src.Pix[i] = 200
		}
	}
	got, err := Canny(src, 100, 300)
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range got.Pix {
		if x := i % w; v == 255 && x != 14 && x != 15 {
			t.Fatalf("an edge at column %d", x)
		}
	}
	if !contains(got.Pix[10*w:11*w], 255) {
		t.Error("no edge")
	}
}

func TestResize(t *testing.T) {
	src := RGB{4, 2, []byte{
		0, 10, 1, 2, 20, 1, 100, 0, 9, 100, 0, 9,
		4, 30, 1, 6, 40, 1, 200, 0, 9, 200, 0, 9,
	}}
	got, err := ResizeArea(src, 2, 1)
	if err != nil || !slices.Equal(got.Pix, []byte{3, 25, 1, 150, 0, 9}) {
		t.Errorf("%v, error %v", got, err)
	}
	ramp := blank(Float{}, 90, 70)
	for i := range ramp.Pix {
		ramp.Pix[i] = float32(i%90) + 1000*float32(i/90)
	}
	small, err := ResizeArea(ramp, 30, 14)
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range small.Pix { // the place that the comment names
		x, y := (float64(i%30)+0.5)*90/30-0.5, (float64(i/30)+0.5)*70/14-0.5
		if want := x + 1000*y; math.Abs(float64(v)-want) > 0.02 {
			t.Fatalf("pixel %d: %.3f, want %.3f", i, v, want)
		}
	}
	large, err := ResizeLinear(ramp, 180, 140)
	if err != nil {
		t.Fatal(err)
	}
	if want := (101+0.5)/2 - 0.5 + 1000*((51+0.5)/2-0.5); math.Abs(float64(large.Pix[51*180+101])-want) > 0.02 {
		t.Errorf("%.3f, want %.3f", large.Pix[51*180+101], want)
	}
}

func TestMorphIsMinAndMax(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := drawGray(t)
		w, h := 2*rapid.IntRange(0, 3).Draw(t, "kw")+1, 2*rapid.IntRange(0, 3).Draw(t, "kh")+1
		low, err := Morph(src, Erode, Rectangle, w, h)
		if err != nil {
			t.Fatal(err)
		}
		high, err := Morph(src, Dilate, Rectangle, w, h)
		if err != nil {
			t.Fatal(err)
		}
		for i := range src.Pix {
			window := around(src, i%src.W, i/src.W, w, h, repeated)
			if low.Pix[i] != slices.Min(window) || high.Pix[i] != slices.Max(window) {
				t.Fatalf("pixel %d: %d and %d of %v", i, low.Pix[i], high.Pix[i], window)
			}
		}
	})
}

// TestOpenAndClose: opening takes away, closing adds, and neither does
// anything the second time (Serra 1982).
func TestOpenAndClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := drawGray(t)
		op := rapid.SampledFrom([]MorphOp{Open, Close}).Draw(t, "op")
		shape := rapid.SampledFrom([]Shape{Rectangle, Ellipse, Cross}).Draw(t, "shape")
		once, err := Morph(src, op, shape, 3, 5)
		if err != nil {
			t.Fatal(err)
		}
		twice, err := Morph(once, op, shape, 3, 5)
		if err != nil {
			t.Fatal(err)
		}
		hat, err := Morph(src, map[MorphOp]MorphOp{Open: TopHat, Close: BlackHat}[op], shape, 3, 5)
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range src.Pix {
			change := int(v) - int(once.Pix[i])
			if op == Close {
				change = -change
			}
			if twice.Pix[i] != once.Pix[i] || change < 0 || int(hat.Pix[i]) != change {
				t.Fatalf("pixel %d: %d, once %d, twice %d, hat %d", i, v, once.Pix[i], twice.Pix[i], hat.Pix[i])
			}
		}
	})
}

func TestThresholds(t *testing.T) {
	src := Gray{4, 1, []byte{10, 12, 200, 210}}
	got, err := Threshold(src, 12)
	if err != nil || !slices.Equal(got.Pix, []byte{0, 0, 255, 255}) {
		t.Errorf("%v, error %v", got, err)
	}
	got, level, err := Otsu(src)
	if err != nil || !slices.Equal(got.Pix, []byte{0, 0, 255, 255}) || level < 12 || level >= 200 {
		t.Errorf("%v at %d, error %v", got, level, err)
	}
	got, err = InRange(RGB{2, 1, []byte{1, 2, 3, 1, 2, 4}}, [3]byte{1, 2, 3}, [3]byte{9, 2, 3})
	if err != nil || !slices.Equal(got.Pix, []byte{255, 0}) {
		t.Errorf("%v, error %v", got, err)
	}
}

func TestAdaptiveThresholdIsLocalMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := drawGray(t)
		side := 2*rapid.IntRange(1, 4).Draw(t, "half") + 1
		offset := float64(rapid.IntRange(-20, 20).Draw(t, "offset"))
		got, err := AdaptiveThreshold(src, Mean, side, offset)
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range got.Pix {
			over := float64(src.Pix[i]) - mean(around(src, i%src.W, i/src.W, side, side, repeated)) + offset
			if math.Abs(over) > 0.51 && (v == 255) != (over > 0) {
				t.Fatalf("pixel %d: %d, %.2f above", i, v, over)
			}
		}
	})
}
