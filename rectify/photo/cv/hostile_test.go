package cv

import (
	"image"
	"math"
	"strings"
	"testing"

	"flatwright/rectify/photo"
)

// TestBadArgumentsAreErrors makes every call that would end the process if it
// reached OpenCV unguarded, or that it would not notice.
func TestBadArgumentsAreErrors(t *testing.T) {
	g, c, f := NewGray(9, 7), blank(RGB{}, 9, 7), blank(Float{}, 9, 7)
	nan := math.NaN()
	one := func(_ any, err error) error { return err }
	two := func(_, _ any, err error) error { return err }
	unit := [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 1}
	square := []photo.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}}
	for name, err := range map[string]error{
		"empty":            one(GaussianBlur(Gray{}, 1)),
		"short":            one(GaussianBlur(Gray{9, 7, make([]byte, 62)}, 1)),
		"long":             one(GaussianBlur(Gray{9, 7, make([]byte, 64)}, 1)),
		"negative":         one(GaussianBlur(Gray{-9, -7, make([]byte, 63)}, 1)),
		"wide":             one(GaussianBlur(Gray{MaxSide + 1, 1, make([]byte, MaxSide+1)}, 1)),
		"sigma 0":          one(GaussianBlur(g, 0)),
		"sigma NaN":        one(GaussianBlur(g, nan)),
		"sigma huge":       one(GaussianBlur(f, 1e9)),
		"box 0":            one(BoxBlur(g, 0, 3)),
		"box even":         one(BoxBlur(g, 3, 2)),
		"median even":      one(MedianBlur(g, 4)),
		"median 1":         one(MedianBlur(c, 1)),
		"sobel 0":          one(Sobel(g, 0, 0, 3)),
		"sobel kernel":     one(Sobel(f, 1, 0, 4)),
		"sobel short":      one(Sobel(Gray{9, 7, nil}, 1, 0, 3)),
		"canny falls":      one(Canny(g, 2, 1)),
		"area larger":      one(ResizeArea(g, 10, 7)),
		"area 0":           one(ResizeArea(g, 0, 7)),
		"linear huge":      one(ResizeLinear(g, 400000, 400000)),
		"linear many":      one(ResizeLinear(g, 32000, 32000)),
		"linear negative":  one(ResizeLinear(c, -5, 10)),
		"warp singular":    one(WarpPerspective(g, [9]float64{}, 5, 5, Linear, 0)),
		"warp NaN":         one(WarpPerspective(g, [9]float64{nan, 0, 0, 0, 1, 0, 0, 0, 1}, 5, 5, Linear, 0)),
		"warp huge":        one(WarpPerspective(g, unit, 400000, 400000, Linear, 0)),
		"warp empty":       one(WarpPerspective(Gray{}, unit, 5, 5, Linear, 0)),
		"warp 0":           one(WarpPerspective(g, unit, 0, 0, Linear, 0)),
		"warp how":         one(WarpPerspective(g, unit, 5, 5, Interpolation(7), 0)),
		"remap differ":     one(Remap(g, f, blank(Float{}, 7, 9), Linear, 0)),
		"remap empty":      one(Remap(g, Float{}, Float{}, Linear, 0)),
		"remap fill":       one(Remap(g, f, f, Linear, nan)),
		"morph op":         one(Morph(g, MorphOp(9), Ellipse, 3, 3)),
		"morph 0":          one(Morph(g, Open, Ellipse, 0, 3)),
		"morph huge":       one(Morph(g, Open, Rectangle, 1<<30, 1<<30)),
		"threshold empty":  one(Threshold(Gray{}, 1)),
		"otsu empty":       two(anyOf(Otsu(Gray{}))),
		"adaptive even":    one(AdaptiveThreshold(g, Gaussian, 4, 0)),
		"adaptive NaN":     one(AdaptiveThreshold(g, Mean, 3, nan)),
		"adaptive how":     one(AdaptiveThreshold(g, Surround(5), 3, 0)),
		"range short":      one(InRange(RGB{9, 7, make([]byte, 63)}, [3]byte{}, [3]byte{})),
		"components empty": two(anyOf(Components(Gray{}, true))),
		"contours empty":   one(FindContours(Gray{}, Tree)),
		"contours nesting": one(FindContours(g, Nesting(-1))),
		"distance of all":  one(DistanceTransform(Gray{1, 1, []byte{1}})),
		"polygons huge":    one(FillPolygons(1<<20, 1, nil)),
		"polygons far":     one(FillPolygons(9, 7, [][]image.Point{{{1 << 40, 0}}})),
		"lab short":        one(ToLab(RGB{1, 1, nil})),
		"k-means none":     one(KMeans(nil, 1, 1, 1)),
		"k-means K > N":    one(KMeans([][]float32{{1}}, 2, 1, 1)),
		"k-means ragged":   one(KMeans([][]float32{{1}, {1, 2}}, 1, 1, 1)),
		"k-means NaN":      one(KMeans([][]float32{{float32(nan)}}, 1, 1, 1)),
		"cut differs":      one(GrabCut(c, NewGray(7, 9), 1, 1)),
		"cut large":        one(GrabCut(RGB{1000, 301, nil}, Gray{1000, 301, nil}, 1, 1)),
		"cut one-sided":    one(GrabCut(c, g, 1, 1)),
		"cut values":       one(GrabCut(RGB{1, 1, make([]byte, 3)}, Gray{1, 1, []byte{9}}, 1, 1)),
		"encode empty":     one(EncodePNG(RGB{})),
		"encode quality":   one(EncodeJPEG(g, 0)),
		"board 2":          two(anyOf(FindChessboard(g, 2, 5))),
		"refine outside":   one(RefineCorners(NewGray(50, 50), []photo.Point{{X: 60, Y: 5}}, 5)),
		"refine NaN":       one(RefineCorners(NewGray(50, 50), []photo.Point{{X: nan, Y: 5}}, 5)),
		"refine small":     one(RefineCorners(g, []photo.Point{{X: 1, Y: 1}}, 5)),
		"undistort flat":   one(Calibration{}.UndistortPoints(square)),
		"undistort NaN":    one(Calibration{FocalX: 1, FocalY: 1, K1: nan}.UndistortPoints(square)),
		"undistort at NaN": one(Calibration{FocalX: 1, FocalY: 1}.UndistortPoints([]photo.Point{{X: nan}})),
		"calibrate none":   one(CalibrateCamera(nil, 640, 480, Terms{})),
		"calibrate 3":      one(CalibrateCamera([]View{{square[:3], square[:3]}}, 640, 480, Terms{})),
		"calibrate uneven": one(CalibrateCamera([]View{{square, square[:3]}}, 640, 480, Terms{})),
		"calibrate NaN":    one(CalibrateCamera([]View{{square, []photo.Point{{X: nan}, {}, {}, {}}}}, 640, 480, Terms{})),
		"threads":          SetThreads(-1),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func anyOf[A, B any](a A, b B, err error) (any, any, error) { return a, b, err }

// TestExceptionsComeBack: points on a line pass the checks here and make
// OpenCV throw, which would end the process.
func TestExceptionsComeBack(t *testing.T) {
	line := []photo.Point{{X: 0}, {X: 1}, {X: 2}, {X: 3}, {X: 4}}
	for range 3 {
		_, err := CalibrateCamera([]View{{line, line}}, 640, 480, Terms{})
		if err == nil || !strings.Contains(err.Error(), "at least 6 points") {
			t.Errorf("error %v", err)
		}
	}
}

// TestSmallestPictures: every call that takes a picture copes with one pixel,
// one row and one column.
func TestSmallestPictures(t *testing.T) {
	for _, size := range []image.Point{{1, 1}, {1, 40}, {40, 1}, {2, 2}} {
		g, c, f := NewGray(size.X, size.Y), blank(RGB{}, size.X, size.Y), blank(Float{}, size.X, size.Y)
		run := func(name string, err error) {
			if err != nil {
				t.Errorf("%v: %s: %v", size, name, err)
			}
		}
		_, err := GaussianBlur(f, 20)
		run("gaussian", err)
		_, err = BoxBlur(g, 2801, 2801)
		run("box", err)
		_, err = MedianBlur(c, 255)
		run("median", err)
		_, err = Sobel(g, 2, 2, 7)
		run("sobel", err)
		_, err = Canny(g, 1, 2)
		run("canny", err)
		_, err = Morph(g, BlackHat, Ellipse, 101, 101)
		run("morph", err)
		_, err = AdaptiveThreshold(g, Gaussian, 51, 2)
		run("adaptive", err)
		_, _, err = Components(g, true)
		run("components", err)
		_, err = FindContours(Gray{size.X, size.Y, bytesFull(size.X * size.Y)}, Tree)
		run("contours", err)
		_, err = DistanceTransform(g)
		run("distance", err)
		_, err = ToLab(c)
		run("lab", err)
		_, err = EncodeJPEG(c, 50)
		run("encode", err)
		_, err = ResizeArea(f, 1, 1)
		run("resize", err)
		_, _, err = FindChessboard(g, 3, 3)
		t.Logf("%v: chessboard: %v", size, err) // may be either, but must come back
	}
}

func bytesFull(n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = 255
	}
	return b
}

func TestSetThreads(t *testing.T) {
	before := Threads()
	if err := SetThreads(1); err != nil || Threads() != 1 {
		t.Errorf("%d threads, error %v", Threads(), err)
	}
	if err := SetThreads(before); err != nil {
		t.Error(err)
	}
}
