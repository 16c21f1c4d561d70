package find

import (
	"context"
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// flatShot is a picture as plain as one can be drawn: even colours, no
// texture, no noise, no shade, blurred after coding. Estimates of noise and of
// unevenness are nought on it.
func flatShot(mat, line [3]float64, pieces []flatPiece) *photo.Photo {
	const w, h, fine = 1000, 640, 3
	p := &photo.Photo{Width: w, Height: h, RGB: make([]byte, 3*w*h), Luma: make([]byte, w*h)}
	sharp := make([][3]float64, w*h)
	for i := range sharp {
		for k := range fine * fine {
			x := (float64(i%w) + (float64(k%fine)+0.5)/fine - 0.5 - 40) / 4
			y := (float64(i/w) + (float64(k/fine)+0.5)/fine - 0.5 - 40) / 4
			c := flatColour(x, y, mat, line, pieces)
			for j := range c {
				sharp[i][j] += c[j] / fine / fine
			}
		}
	}
	for y := range h {
		for x := range w {
			var c [3]float64
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					q := sharp[min(max(y+dy, 0), h-1)*w+min(max(x+dx, 0), w-1)]
					f := float64((2-abs(dx))*(2-abs(dy))) / 16
					for j := range c {
						c[j] += f * q[j]
					}
				}
			}
			i := y*w + x
			for j := range c {
				p.RGB[3*i+j] = byte(math.Round(c[j]))
			}
			p.Luma[i] = byte(math.Round(0.299*c[0] + 0.587*c[1] + 0.114*c[2]))
		}
	}
	return p
}

type flatPiece struct {
	ring   []mat.Point
	colour [3]float64
}

func flatColour(x, y float64, ground, line [3]float64, pieces []flatPiece) [3]float64 {
	for _, p := range pieces {
		if within(p.ring, x, y) {
			return p.colour
		}
	}
	off := func(v float64) float64 { return math.Abs(v - math.Round(v/10)*10) }
	if x > -0.25 && x < 220.25 && y > -0.25 && y < 140.25 && min(off(x), off(y)) < 0.25 {
		return line
	}
	return ground
}

func within(ring []mat.Point, x, y float64) bool {
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y > y) != (b.Y > y) && x < a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

func TestFlatColours(t *testing.T) {
	rings := [][]mat.Point{
		{{X: 12, Y: 15}, {X: 71, Y: 22}, {X: 64, Y: 83}, {X: 15, Y: 74}},
		{{X: 93, Y: 14}, {X: 141, Y: 40}, {X: 88, Y: 91}},
		{{X: 152, Y: 66}, {X: 207, Y: 57}, {X: 211, Y: 121}, {X: 183, Y: 97}, {X: 149, Y: 126}},
	}
	white, tan, blue, yellow := [3]float64{235, 235, 230}, [3]float64{205, 170, 125}, [3]float64{60, 105, 190}, [3]float64{225, 205, 60}
	for name, c := range map[string]struct {
		mat, line [3]float64
		tape      [3][3]float64
	}{
		"green": {[3]float64{35, 95, 70}, [3]float64{200, 210, 190}, [3][3]float64{white, tan, blue}},
		"blue":  {[3]float64{35, 65, 130}, [3]float64{190, 200, 225}, [3][3]float64{white, tan, yellow}},
		"grey":  {[3]float64{125, 125, 128}, [3]float64{55, 55, 58}, [3][3]float64{white, yellow, blue}},
		"black": {[3]float64{38, 38, 40}, [3]float64{215, 190, 80}, [3][3]float64{white, tan, blue}},
		"pink":  {[3]float64{225, 130, 165}, [3]float64{250, 225, 235}, [3][3]float64{tan, yellow, blue}},
	} {
		t.Run(name, func(t *testing.T) {
			var pieces []flatPiece
			for i, r := range rings {
				pieces = append(pieces, flatPiece{r, c.tape[i]})
			}
			in := Input{
				Photo: flatShot(c.mat, c.line, pieces), View: flat{}, Pitch: mat.Square(10),
				Grid: mat.Grid{MaxColumn: 22, MaxRow: 14, MinorPerPitch: 1, LineWidthPitch: 0.05},
			}
			r, err := Pieces(context.Background(), in)
			if err != nil || len(r.Pieces) != len(rings) {
				t.Fatalf("%d pieces of %d, error %v, problems %v", len(r.Pieces), len(rings), err, r.Problems)
			}
			for _, p := range r.Pieces {
				k, best := -1, math.Inf(1)
				for i, ring := range rings {
					if d, _ := distTo(ring, p.Outline[0].At); d < best {
						k, best = i, d
					}
				}
				var got tally
				got.outline(in, name, p.Outline, rings[k], rings[k])
				// A third of a pixel: what is blurred after coding is read as if
				// light had been blurred.
				if got.rms() > 0.085 || got.worst > 0.5 {
					t.Errorf("piece %d: RMS %.3f mm, worst %.3f %v", k, got.rms(), got.worst, got.notes)
				}
			}
		})
	}
}
