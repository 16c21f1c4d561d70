package raster

import (
	"image/color"
	"math"
	"testing"

	"golang.org/x/image/font/gofont/goregular"
	"pgregory.net/rapid"

	"flatwright/app/desk/view"
)

var (
	black = color.NRGBA{A: 255}
	white = color.NRGBA{255, 255, 255, 255}
)

func blank(w, h int) Canvas {
	c := Resized(Canvas{}, w, h)
	c.Fill(white)
	return c
}

// ink returns how much darkness lies on the canvas, in whole black pixels.
func ink(c Canvas) float64 {
	sum := 0.0
	for i := 0; i < len(c.Pix); i += 4 {
		sum += 1 - float64(c.Pix[i])/255
	}
	return sum
}

func TestLineInkIsLengthTimesWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := view.Point{X: rapid.Float64Range(20, 180).Draw(t, "ax"), Y: rapid.Float64Range(20, 180).Draw(t, "ay")}
		b := view.Point{X: rapid.Float64Range(20, 180).Draw(t, "bx"), Y: rapid.Float64Range(20, 180).Draw(t, "by")}
		width := rapid.Float64Range(1, 6).Draw(t, "width")
		c := blank(200, 200)
		c.Line(a, b, width, black)
		want := math.Hypot(b.X-a.X, b.Y-a.Y)*width + math.Pi*width*width/4
		// The sides are exact but for whole steps of 255; the round ends are
		// drawn with the line's own profile all round.
		if got := ink(c); math.Abs(got-want) > 1+0.01*want {
			t.Fatalf("%v to %v, %v wide: ink %.1f, want %.1f", a, b, width, got, want)
		}
	})
}

func TestLineTouchesOnlyItsOwnPixels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := view.Point{X: rapid.Float64Range(-90, 190).Draw(t, "ax"), Y: rapid.Float64Range(-90, 190).Draw(t, "ay")}
		b := view.Point{X: rapid.Float64Range(-90, 190).Draw(t, "bx"), Y: rapid.Float64Range(-90, 190).Draw(t, "by")}
		c := blank(100, 100)
		c.Line(a, b, 3, black)
		for y := range 100 {
			for x := range 100 {
				d := distance(view.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}, a, b)
				dark := c.Pix[y*c.Stride+4*x] < 128
				// No pixel reaches further than half its diagonal from its centre.
				if d < 1.2 && !dark || d > 1.5+math.Sqrt2/2 && c.Pix[y*c.Stride+4*x] != 255 {
					t.Fatalf("pixel %d,%d lies %.2f from the line and is %d", x, y, d, c.Pix[y*c.Stride+4*x])
				}
			}
		}
	})
}

func distance(p, a, b view.Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := ((p.X-a.X)*dx + (p.Y-a.Y)*dy) / (dx*dx + dy*dy)
	t = math.Max(0, math.Min(1, t))
	return math.Hypot(p.X-a.X-t*dx, p.Y-a.Y-t*dy)
}

func TestTranslucentPolylineHasNoBeads(t *testing.T) {
	c := blank(120, 20)
	var pts []view.Point
	for x := 10.0; x <= 110; x += 7.3 {
		pts = append(pts, view.Point{X: x, Y: 10.5})
	}
	c.Polyline(pts, 1, color.NRGBA{A: 128})
	for x := 12; x < 105; x++ {
		if v := c.Pix[10*c.Stride+4*x]; v < 125 || v > 130 {
			t.Fatalf("column %d is %d, the rest about 127", x, v)
		}
	}
}

func TestDashShare(t *testing.T) {
	c := blank(240, 20)
	c.Dashed([]view.Point{{X: -5000, Y: 10.5}, {X: 100, Y: 10.5}, {X: 220, Y: 10.5}}, []float64{6, 4}, 1, black)
	if got := ink(c); math.Abs(got-0.6*220) > 8 {
		t.Errorf("ink %.1f, want about %.1f", got, 0.6*220)
	}
}

func TestHugeAndBrokenCoordinatesAreHarmless(t *testing.T) {
	c := blank(50, 50)
	nan, inf := math.NaN(), math.Inf(1)
	for _, p := range []view.Point{{X: nan, Y: 1}, {X: inf, Y: 2}, {X: 1e300, Y: -1e300}, {X: -1e12, Y: 4}} {
		c.Line(p, view.Point{X: 3, Y: 3}, 2, black)
		c.Dashed([]view.Point{p, {X: 3, Y: 3}, p}, []float64{3, 2}, 2, black)
		c.FillDisc(p, 3, black)
		c.FillRect(view.Rect{Min: p, Max: view.Point{X: 3, Y: 3}}, black)
		c.FillPolygon([][]view.Point{{p, {X: 1, Y: 1}, {X: 9, Y: 20}}}, black)
	}
}

func TestDiscArea(t *testing.T) {
	c := blank(60, 60)
	c.FillDisc(view.Point{X: 30.3, Y: 29.8}, 11, black)
	if got, want := ink(c), math.Pi*121; math.Abs(got-want) > 0.01*want {
		t.Errorf("area %.1f, want %.1f", got, want)
	}
}

func TestPolygonLeavesTheHole(t *testing.T) {
	c := blank(60, 60)
	square := func(a, b float64) []view.Point {
		return []view.Point{{X: a, Y: a}, {X: b, Y: a}, {X: b, Y: b}, {X: a, Y: b}}
	}
	c.FillPolygon([][]view.Point{square(10, 50), square(20, 30)}, black)
	if got := ink(c); got != 1500 {
		t.Errorf("area %.1f, want 1500", got)
	}
}

// ramp is a picture in which red is x/16 and green y/16 of the world.
func ramp(w, h int) *Pyramid {
	rgb := make([]byte, 3*w*h)
	for y := range h {
		for x := range w {
			rgb[3*(y*w+x)], rgb[3*(y*w+x)+1] = byte(x/16), byte(y/16)
		}
	}
	return NewPyramid(rgb, w, h)
}

func TestPyramidShowsThePictureInItsPlace(t *testing.T) {
	p := ramp(4001, 2999)
	rapid.Check(t, func(t *rapid.T) {
		v := view.View{
			Scale:  math.Exp(rapid.Float64Range(-3, 3).Draw(t, "log scale")),
			Offset: view.Point{X: rapid.Float64Range(-900, 100).Draw(t, "ox"), Y: rapid.Float64Range(-900, 100).Draw(t, "oy")},
		}
		c := Resized(Canvas{}, 97, 71)
		p.Draw(c, v, color.NRGBA{R: 255, G: 255, B: 255, A: 255})
		for y := 0; y < 71; y += 5 {
			for x := 0; x < 97; x += 3 {
				at := v.ToWorld(view.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5})
				checkPlace(t, c.Pix[y*c.Stride+4*x:], at, 3+2/v.Scale)
			}
		}
	})
}

// checkPlace compares a pixel with the ramp; slack is in world units.
func checkPlace(t *rapid.T, pix []byte, at view.Point, slack float64) {
	outside := pix[2] == 255
	in := at.X > 0.5 && at.Y > 0.5 && at.X < 3999 && at.Y < 2997
	out := at.X < -0.6-slack || at.Y < -0.6-slack || at.X > 4001+slack || at.Y > 2999+slack
	if in && outside || out && !outside {
		t.Fatalf("world %v: outside is %v", at, outside)
	}
	if !in || outside {
		return
	}
	if math.Abs(float64(pix[0])-(at.X/16-0.5)) > 1+slack/16 || math.Abs(float64(pix[1])-(at.Y/16-0.5)) > 1+slack/16 {
		t.Fatalf("world %v shows %v", at, pix[:3])
	}
}

func TestPyramidOfOnePixel(t *testing.T) {
	c := Resized(Canvas{}, 8, 8)
	NewPyramid([]byte{1, 2, 3}, 1, 1).Draw(c, view.View{Scale: 4, Offset: view.Point{X: 4, Y: 4}}, white)
	if c.Pix[0] != 255 && c.Pix[4*c.Stride+16] != 1 {
		t.Error("not shown", c.Pix[4*c.Stride+16])
	}
}

func TestTextLeavesInkAndHasAWidth(t *testing.T) {
	f, err := NewType(goregular.TTF, 14)
	if err != nil {
		t.Fatal(err)
	}
	c := blank(200, 40)
	c.Text(f, view.Point{X: 5, Y: 25}, "12.5 mm", black)
	if w := f.Width("12.5 mm"); w < 40 || w > 70 {
		t.Errorf("width %.1f", w)
	}
	if got := ink(c); got < 60 || got > 260 {
		t.Errorf("ink %.1f", got)
	}
	c.Text(f, view.Point{X: -20, Y: 3}, "over the edge", black)
	if _, err := NewType([]byte("no font"), 12); err == nil {
		t.Error("nonsense was read as a font")
	}
}

func BenchmarkBackground(b *testing.B) {
	p := ramp(4032, 3024)
	c := Resized(Canvas{}, 1280, 800)
	for _, scale := range []float64{0.26, 0.4, 1, 3} {
		b.Run("", func(b *testing.B) {
			for b.Loop() {
				p.Draw(c, view.View{Scale: scale, Offset: view.Point{X: -100, Y: -100}}, white)
			}
		})
	}
}

func BenchmarkLines5000(b *testing.B) {
	c := blank(1280, 800)
	for b.Loop() {
		for i := range 5000 {
			f := float64(i)
			a := view.Point{X: 640 + 600*math.Sin(f*0.7), Y: 400 + 380*math.Cos(f*0.31)}
			c.Line(a, view.Point{X: a.X + 12*math.Sin(f), Y: a.Y + 12*math.Cos(f)}, 1.5, black)
		}
	}
}
