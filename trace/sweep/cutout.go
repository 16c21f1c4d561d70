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

// A cut-out shows cutPx pixels of the photograph a side, each zoom times.
const (
	cutPx = 90
	zoom  = 8
)

// cutOut writes a worst place of a photograph as a picture: the true outline
// in red, the one found in cyan.
func (c choices) cutOut(r result, w worstPlace, k int) error {
	mid := r.truth.Camera.ToPhoto(w.at)
	x0, y0 := math.Round(mid.X)-cutPx/2, math.Round(mid.Y)-cutPx/2
	im := image.NewRGBA(image.Rect(0, 0, cutPx*zoom, cutPx*zoom))
	for y := range cutPx * zoom {
		for x := range cutPx * zoom {
			px, py := int(x0)+x/zoom, int(y0)+y/zoom
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
			line(im, place(a, x0, y0), place(b, x0, y0), col)
		}
	}
	for _, p := range r.truth.Pieces {
		draw(p.Outline, color.RGBA{255, 40, 40, 255})
	}
	s, cos := math.Sincos(r.score.TurnDeg * math.Pi / 180)
	for _, o := range outlines(r.pattern) {
		ring := make([]mat.Point, len(o.Polygon))
		for i, q := range o.Polygon {
			ring[i] = mat.Point{X: cos*q.X - s*q.Y + r.score.Shift.X, Y: s*q.X + cos*q.Y + r.score.Shift.Y}
		}
		draw(ring, color.RGBA{0, 230, 255, 255})
	}
	name := fmt.Sprintf("%s-%d-%s-%.2f.png", strings.ReplaceAll(r.name, " ", "-"), k+1, w.piece, w.mm)
	f, err := os.Create(filepath.Join(c.out, name))
	if err != nil {
		return err
	}
	defer f.Close()
	return png.Encode(f, im)
}

// place maps the photograph to a cut-out.
func place(p photo.Point, x0, y0 float64) [2]float64 {
	return [2]float64{(p.X - x0 + 0.5) * zoom, (p.Y - y0 + 0.5) * zoom}
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
