package find

import (
	"math"
	"testing"

	"flatwright/rectify/photo"
)

// blurredDart is a dark slit in light tape that runs to a point at (60, 40),
// its sides at an angle of 2·half, averaged over 8 x 8 places a px and blurred
// by a box of 3 px.
func blurredDart(half float64) *photo.Photo {
	const w, h, fine = 120, 80, 8
	sharp := make([]float64, w*h)
	for y := range h {
		for x := range w {
			n := 0
			for k := range fine * fine {
				u := float64(x) + (float64(k%fine)+0.5)/fine - 0.5
				v := float64(y) + (float64(k/fine)+0.5)/fine - 0.5
				if u < 60 && math.Abs(v-40) < (60-u)*math.Tan(half) {
					n++
				}
			}
			sharp[y*w+x] = 1 - 0.9*float64(n)/fine/fine
		}
	}
	p := &photo.Photo{Width: w, Height: h, RGB: make([]byte, 3*w*h), Luma: make([]byte, w*h)}
	for y := 1; y < h-1; y++ {
		for x := 1; x < w-1; x++ {
			sum := 0.0
			for k := range 9 {
				sum += sharp[(y+k/3-1)*w+x+k%3-1] / 9
			}
			v := byte(255*math.Pow(0.6*sum, 1/blurPower) + 0.5)
			p.Luma[y*w+x] = v
			p.RGB[3*(y*w+x)], p.RGB[3*(y*w+x)+1], p.RGB[3*(y*w+x)+2] = v, v, v
		}
	}
	return p
}

// The tip of a dart is found to a px, though its sides were guessed to meet
// up to a dozen px off.
func TestMeasuredTip(t *testing.T) {
	for _, half := range []float64{0.06, 0.1, 0.2} {
		p := blurredDart(half)
		f := &finder{in: &Input{Photo: p}, linear: powerTone(blurPower), coded: powerTone(1)}
		light, dark := colourAt(p, 90, 20), float32(255*math.Pow(0.06, 1/blurPower))
		v := sight{f, &border{in: [][3]float32{light}, bg: [][3]float32{{dark, dark, dark}}}}
		for _, off := range []float64{-6, 0, 5, 12} {
			d := dart{tip: photo.Point{X: 60 + off, Y: 40}, dir: photo.Point{X: 1}, half: half}
			got, ok := v.measuredTip(0, d, 5)
			if !ok {
				t.Errorf("half angle %.2f, guessed %g px off: no tip", half, off)
				continue
			}
			if e := math.Hypot(got.X-60, got.Y-40); e > 1 {
				t.Errorf("half angle %.2f, guessed %g px off: the tip is %.2f px off", half, off, e)
			}
		}
	}
}
