package raster

import (
	"image/color"
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/view"
)

// Every pixel gets the colour of the band that its interpolated value lies in.
func TestShadePaintsEveryPixelByItsBand(t *testing.T) {
	bands := []color.NRGBA{{}, {255, 0, 0, 255}, {0, 255, 0, 255}, {0, 0, 255, 255}}
	levels := []float64{1, 2, 3}
	rapid.Check(t, func(t *rapid.T) {
		l := Lattice{
			Bounds:  view.Rect{Min: view.Point{X: rapid.Float64Range(-30, 20).Draw(t, "x"), Y: rapid.Float64Range(-30, 20).Draw(t, "y")}},
			Columns: rapid.IntRange(2, 5).Draw(t, "columns"), Rows: rapid.IntRange(2, 5).Draw(t, "rows"),
		}
		l.Bounds.Max = view.Point{X: l.Bounds.Min.X + rapid.Float64Range(10, 60).Draw(t, "w"), Y: l.Bounds.Min.Y + rapid.Float64Range(10, 60).Draw(t, "h")}
		for range l.Columns * l.Rows {
			l.Values = append(l.Values, rapid.SampledFrom([]float64{0, 0.5, 1, 1.5, 2.5, 3, 4.7, math.NaN()}).Draw(t, "value"))
		}
		c := Resized(Canvas{}, 50, 40)
		ground := color.NRGBA{9, 9, 9, 255}
		c.Fill(ground)
		c.Shade(l, levels, bands)
		for y := range 40 {
			for x := range 50 {
				v, near := valueAt(l, float64(x)+0.5, float64(y)+0.5)
				if near {
					continue
				}
				want := ground
				if n := bandOf(levels, v); !math.IsNaN(v) && n > 0 {
					want = bands[n]
				}
				q := c.Pix[y*c.Stride+4*x:]
				if got := (color.NRGBA{q[0], q[1], q[2], 255}); got != want {
					t.Fatalf("pixel %d, %d of value %v is %v, want %v", x, y, v, got, want)
				}
			}
		}
	})
}

func bandOf(levels []float64, v float64) int {
	n := 0
	for _, l := range levels {
		if v >= l {
			n++
		}
	}
	return n
}

// valueAt interpolates a lattice; near tells that a pixel lies within a pixel
// of a square's border or of a change of band, where rounding decides.
func valueAt(l Lattice, x, y float64) (v float64, near bool) {
	u := (x - l.Bounds.Min.X) / (l.Bounds.Max.X - l.Bounds.Min.X) * float64(l.Columns-1)
	w := (y - l.Bounds.Min.Y) / (l.Bounds.Max.Y - l.Bounds.Min.Y) * float64(l.Rows-1)
	stepX := (l.Bounds.Max.X - l.Bounds.Min.X) / float64(l.Columns-1)
	if d := math.Abs(u-math.Round(u)) * stepX; d < 0.51 {
		return 0, true
	}
	if min(math.Abs(w), math.Abs(w-float64(l.Rows-1))) < 1e-9 {
		return 0, true
	}
	if u < 0 || w < 0 || u > float64(l.Columns-1) || w > float64(l.Rows-1) {
		return math.NaN(), false
	}
	c, r := int(u), min(int(w), l.Rows-2)
	s, t := u-float64(c), w-float64(r)
	at := func(i, k int) float64 { return l.Values[(r+k)*l.Columns+c+i] }
	left, right := at(0, 0)*(1-t)+at(0, 1)*t, at(1, 0)*(1-t)+at(1, 1)*t
	v = left*(1-s) + right*s
	slope := math.Abs(right-left) / stepX
	for _, level := range []float64{1, 2, 3} {
		if math.Abs(v-level) <= 0.51*slope+1e-9 {
			return v, true
		}
	}
	return v, false
}

func TestShadeOfNothingDoesNoHarm(t *testing.T) {
	c := Resized(Canvas{}, 10, 10)
	c.Fill(color.NRGBA{1, 2, 3, 255})
	for _, l := range []Lattice{{}, {Columns: 2, Rows: 2, Values: []float64{1, 2, 3, 4}}, {Columns: 3, Rows: 2, Values: []float64{1}, Bounds: view.Rect{Max: view.Point{X: 5, Y: 5}}}} {
		c.Shade(l, []float64{1}, []color.NRGBA{{}, {255, 0, 0, 255}})
	}
	if c.Pix[0] != 1 || c.Pix[1] != 2 {
		t.Error("something was painted")
	}
}
