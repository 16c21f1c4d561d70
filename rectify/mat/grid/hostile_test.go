package grid_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"flatwright/rectify/mat/grid"
	"flatwright/rectify/photo"
)

// drawn is a grey picture from a function of the pixel.
func drawn(w, h int, of func(x, y int) byte) *photo.Photo {
	p := &photo.Photo{Name: "hostile.png", Width: w, Height: h, RGB: make([]byte, 3*w*h), Luma: make([]byte, w*h)}
	for y := range h {
		for x := range w {
			v := of(x, y)
			p.Luma[y*w+x] = v
			p.RGB[3*(y*w+x)], p.RGB[3*(y*w+x)+1], p.RGB[3*(y*w+x)+2] = v, v, v
		}
	}
	return p
}

// Pictures that show no mat are refused with a sentence, whatever their shape,
// and none holds the program up.
func TestHostilePictures(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	grey := func(int, int) byte { return 120 }
	noise := func(int, int) byte { return byte(r.IntN(256)) }
	stripes := func(x, _ int) byte { return byte(90 + 80*(x/9%2)) }
	rings := func(x, y int) byte { return byte(128 + 90*math.Sin(math.Hypot(float64(x-300), float64(y-250))/3)) }
	checks := func(x, y int) byte { return byte(255 * ((x/2 + y/2) % 2)) }
	for _, c := range []struct {
		name string
		w, h int
		of   func(x, y int) byte
	}{
		{"one pixel", 1, 1, grey},
		{"two by two", 2, 2, noise},
		{"five", 5, 5, noise},
		{"a strip", 20000, 3, stripes},
		{"a post", 3, 20000, noise},
		{"fifty", 50, 50, checks},
		{"grey", 800, 600, grey},
		{"noise", 800, 600, noise},
		{"stripes one way", 800, 600, stripes},
		{"rings", 800, 600, rings},
		{"checks of two pixels", 800, 600, checks},
	} {
		start := time.Now()
		f, err := grid.Find(context.Background(), drawn(c.w, c.h, c.of), grid.Sizes{PitchMM: 25.4})
		if err == nil {
			t.Errorf("%s: a grid of %d points was found", c.name, len(f.Grid.Points))
		} else if err.Error() == "" {
			t.Errorf("%s: refused without a word", c.name)
		}
		if d := time.Since(start); d > 30*time.Second {
			t.Errorf("%s: took %v", c.name, d)
		}
	}
}
