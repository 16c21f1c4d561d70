package main

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// sidePx is the side of a cut-out's picture; it shows at least leastPx pixels
// of the photograph a side, and an error times as far as it reaches.
const (
	sidePx  = 800
	leastPx = 80
	times   = 4
)

// window is a square of the photograph as a cut-out shows it.
type window struct{ x0, y0, zoom float64 }

// inTruth carries a point found to the truth's frame by the score's motion.
func (r result) inTruth(p mat.Point) mat.Point {
	s, c := math.Sincos(r.score.TurnDeg * math.Pi / 180)
	return mat.Point{X: c*p.X - s*p.Y + r.score.Shift.X, Y: s*p.X + c*p.Y + r.score.Shift.Y}
}

// windowOn is the square about a worst place.
func windowOn(r result, w worstPlace) window {
	cam := r.truth.Camera
	mid, right := cam.ToPhoto(w.at), cam.ToPhoto(mat.Point{X: w.at.X + w.mm, Y: w.at.Y})
	shown := max(leastPx, times*math.Hypot(right.X-mid.X, right.Y-mid.Y))
	return window{mid.X - shown/2, mid.Y - shown/2, sidePx / shown}
}

// place maps the photograph to the cut-out.
func (v window) place(p photo.Point) [2]float64 {
	return [2]float64{(p.X - v.x0) * v.zoom, (p.Y - v.y0) * v.zoom}
}

// cutOut writes a worst place of a photograph as a picture: the true outline
// in red, the one found in cyan.
func (c choices) cutOut(r result, w worstPlace, k int) error {
	v := windowOn(r, w)
	im := image.NewRGBA(image.Rect(0, 0, sidePx, sidePx))
	for y := range sidePx {
		for x := range sidePx {
			px, py := int(math.Round(v.x0+float64(x)/v.zoom)), int(math.Round(v.y0+float64(y)/v.zoom))
			if px < 0 || py < 0 || px >= r.photo.Width || py >= r.photo.Height {
				continue
			}
			i := 3 * (py*r.photo.Width + px)
			im.SetRGBA(x, y, color.RGBA{r.photo.RGB[i], r.photo.RGB[i+1], r.photo.RGB[i+2], 255})
		}
	}
	draw := func(ring []mat.Point, col color.RGBA) {
		for i := range ring {
			a, b := r.truth.Camera.ToPhoto(ring[i]), r.truth.Camera.ToPhoto(ring[(i+1)%len(ring)])
			line(im, v.place(a), v.place(b), col)
		}
	}
	for _, p := range r.truth.Pieces {
		for _, ring := range append([][]mat.Point{p.Outline}, p.Openings...) {
			draw(ring, color.RGBA{255, 40, 40, 255})
		}
	}
	for _, o := range outlines(r.pattern) {
		for _, found := range append([][]mat.Point{o.Polygon}, o.Openings...) {
			ring := make([]mat.Point, len(found))
			for i, q := range found {
				ring[i] = r.inTruth(q)
			}
			draw(ring, color.RGBA{0, 230, 255, 255})
		}
	}
	at := r.truth.Camera.ToPhoto(w.at)
	fmt.Printf("    %d: piece %s, %.2f mm off at %.0f, %.0f px\n", k+1, w.piece, w.mm, at.X, at.Y)
	name := fmt.Sprintf("%s-%d-%s-%.2f.png", strings.ReplaceAll(r.name, " ", "-"), k+1, w.piece, w.mm)
	f, err := os.Create(filepath.Join(c.out, name))
	if err != nil {
		return err
	}
	defer f.Close()
	return png.Encode(f, im)
}

// line draws a straight line where it crosses the picture.
func line(im *image.RGBA, a, b [2]float64, col color.RGBA) {
	size := float64(im.Rect.Dx())
	if max(a[0], b[0]) < 0 || max(a[1], b[1]) < 0 || min(a[0], b[0]) > size || min(a[1], b[1]) > size {
		return
	}
	n := int(math.Hypot(b[0]-a[0], b[1]-a[1])) + 1
	for i := range n + 1 {
		t := float64(i) / float64(n)
		im.SetRGBA(int(a[0]+t*(b[0]-a[0])), int(a[1]+t*(b[1]-a[1])), col)
	}
}
