package find

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"strconv"
	"strings"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
	"flatwright/trace/curve"
)

// CROP="seed:x,y;seed:x,y" FIND_MP=5
func TestCrop(t *testing.T) {
	spec := os.Getenv("CROP")
	if spec == "" {
		t.Skip()
	}
	mp := 5.0
	if v, err := strconv.ParseFloat(os.Getenv("FIND_MP"), 64); err == nil {
		mp = v
	}
	const half, up = 45, 7
	for k, one := range strings.Split(spec, ";") {
		var seed uint64
		var x, y float64
		fmt.Sscanf(one, "%d:%f,%f", &seed, &x, &y)
		s := scene.Random(seed, scene.RandomOptions{Megapixels: mp})
		p := shoot(t, fmt.Sprintf("s%d-%g", seed, mp), s)
		in := Input{Photo: p, View: s.Camera.View(), PitchMM: s.Mat.PitchMM, Grid: gridOf(s.Mat)}
		r, err := Pieces(context.Background(), in)
		if err != nil {
			t.Fatal(err)
		}
		c := in.View.ToPhoto(mat.Point{X: x, Y: y})
		x0, y0 := int(c.X)-half, int(c.Y)-half
		img := image.NewRGBA(image.Rect(0, 0, 2*half*up, 2*half*up))
		for j := 0; j < 2*half*up; j++ {
			for i := 0; i < 2*half*up; i++ {
				px, py := min(max(x0+i/up, 0), p.Width-1), min(max(y0+j/up, 0), p.Height-1)
				o := 3 * (py*p.Width + px)
				img.Set(i, j, color.RGBA{p.RGB[o], p.RGB[o+1], p.RGB[o+2], 255})
			}
		}
		dot := func(m mat.Point, c color.RGBA, w int) {
			q := in.View.ToPhoto(m)
			a, b := int((q.X-float64(x0)+0.5)*up), int((q.Y-float64(y0)+0.5)*up)
			for u := -w; u <= w; u++ {
				for v := -w; v <= w; v++ {
					img.Set(a+u, b+v, c)
				}
			}
		}
		for _, w := range s.Truth().Pieces {
			for _, ring := range append([][]mat.Point{w.Outline}, w.Openings...) {
				for i, a := range ring {
					b := ring[(i+1)%len(ring)]
					for f := 0.0; f < 1; f += 0.02 {
						dot(mat.Point{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)}, color.RGBA{0, 220, 0, 255}, 0)
					}
				}
			}
			for _, m := range w.Marks {
				for f := 0.0; f < 1; f += 0.02 {
					dot(mat.Point{X: m.At.X + f*(m.In.X-m.At.X), Y: m.At.Y + f*(m.In.Y-m.At.Y)}, color.RGBA{0, 220, 0, 255}, 0)
				}
			}
		}
		for _, w := range r.Pieces {
			for _, l := range append([][]curve.Sample{w.Outline}, w.Openings...) {
				for _, q := range l {
					c := color.RGBA{255, 0, 0, 255}
					if q.SigmaMM >= bridgedSigmaMM {
						c = color.RGBA{80, 80, 255, 255}
					}
					dot(q.At, c, 1)
				}
			}
			for _, m := range w.Marks {
				for f := 0.0; f < 1; f += 0.02 {
					dot(mat.Point{X: m.At.X + f*(m.In.X-m.At.X), Y: m.At.Y + f*(m.In.Y-m.At.Y)}, color.RGBA{255, 0, 255, 255}, 0)
				}
			}
		}
		out, _ := os.Create(fmt.Sprintf("%s/crop%d.png", os.Getenv("FIND_OUT"), k))
		png.Encode(out, img)
		out.Close()
	}
}
