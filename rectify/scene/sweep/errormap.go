package main

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// mapped is the result that the map shows: the scene asked for, or of those
// squared up the one with the median error; nil when there is none.
func mapped(results []result, number int) *result {
	var solved []*result
	for i := range results {
		r := &results[i]
		if r.refused != nil || len(r.places) == 0 {
			continue
		}
		if r.number == number {
			return r
		}
		solved = append(solved, r)
	}
	if len(solved) == 0 {
		return nil
	}
	slices.SortStableFunc(solved, func(a, b *result) int { return cmp.Compare(a.rmsMM, b.rmsMM) })
	return solved[len(solved)/2]
}

// sheetMap places the mat in the picture.
type sheetMap struct {
	left, top, pxPerMM float64
	widthMM, heightMM  float64
	fullMM             float64 // the ± at the dark end of the scale
}

func (s *sheetMap) at(p mat.Point) xy { return xy{s.left + s.pxPerMM*p.X, s.top + s.pxPerMM*p.Y} }

// errorMap draws a scene's errors over its mat as exaggerated arrows, on a
// shading by the ± that the solver claims.
func errorMap(r *result) (*canvas, error) {
	c, err := newCanvas(1300, 1000)
	if err != nil {
		return nil, err
	}
	s := r.layMap()
	s.shade(c, r)
	s.pieces(c, r)
	s.axes(c)
	s.hull(c, r)
	times := s.arrows(c, r)
	s.legend(c, r, times)
	return c, nil
}

// layMap fits the mat into the picture and the scale to the ± claimed.
func (r *result) layMap() *sheetMap {
	s := &sheetMap{left: 80, top: 110}
	for _, p := range r.places {
		s.widthMM, s.heightMM = max(s.widthMM, p.At.X), max(s.heightMM, p.At.Y)
	}
	s.widthMM = max(s.widthMM, float64(r.truth.Columns)*r.truth.PitchMM)
	s.heightMM = max(s.heightMM, float64(r.truth.Rows)*r.truth.PitchMM)
	s.pxPerMM = min(1060/s.widthMM, 760/s.heightMM)
	s.fullMM = 0.01
	var claims []float64
	for _, p := range r.places {
		claims = append(claims, p.plusMinusMM)
	}
	for q := quantile(claims, 0.98); s.fullMM < q && s.fullMM < 100; {
		s.fullMM *= 2
	}
	return s
}

// tone is the shading of a ±: from white to a dark violet.
func (s *sheetMap) tone(mm float64) color.RGBA {
	t := min(max(mm/s.fullMM, 0), 1)
	stops := [][3]float64{{252, 250, 240}, {247, 205, 140}, {226, 120, 100}, {130, 50, 110}}
	f := t * float64(len(stops)-1)
	i := min(int(f), len(stops)-2)
	u := f - float64(i)
	v := func(k int) uint8 { return uint8(stops[i][k]*(1-u) + stops[i+1][k]*u) }
	return color.RGBA{v(0), v(1), v(2), 255}
}

// shade fills a square about every place in the frame; what is out of the
// frame stays grey.
func (s *sheetMap) shade(c *canvas, r *result) {
	if r.truth.Sheet == nil {
		c.fill(faint, s.at(mat.Point{}), s.at(mat.Point{X: s.widthMM}), s.at(mat.Point{X: s.widthMM, Y: s.heightMM}), s.at(mat.Point{Y: s.heightMM}))
	}
	const half = 2.55 // places stand 5 mm apart
	for _, p := range r.places {
		x0, x1 := max(p.At.X-half, 0), min(p.At.X+half, s.widthMM)
		y0, y1 := max(p.At.Y-half, 0), min(p.At.Y+half, s.heightMM)
		c.fill(s.tone(p.plusMinusMM), s.at(mat.Point{X: x0, Y: y0}), s.at(mat.Point{X: x1, Y: y0}),
			s.at(mat.Point{X: x1, Y: y1}), s.at(mat.Point{X: x0, Y: y1}))
	}
}

func (s *sheetMap) pieces(c *canvas, r *result) {
	for _, p := range r.truth.Pieces {
		s.ring(c, color.RGBA{140, 140, 150, 255}, 1.2, p.Outline)
	}
}

func (s *sheetMap) ring(c *canvas, col color.Color, widthPx float64, ring []mat.Point) {
	for i, p := range ring {
		c.stroke(col, widthPx, s.at(p), s.at(ring[(i+1)%len(ring)]))
	}
}

// hull is drawn in dashes.
func (s *sheetMap) hull(c *canvas, r *result) {
	if len(r.hull) == 0 {
		return
	}
	var ps []xy
	for i := range len(r.hull) + 1 {
		ps = append(ps, s.at(r.hull[i%len(r.hull)]))
	}
	c.dashed(blue, 2, ps...)
}

// axes frame the mat, with a tick each 100 mm.
func (s *sheetMap) axes(c *canvas) {
	s.ring(c, ink, 1.5, []mat.Point{{}, {X: s.widthMM}, {X: s.widthMM, Y: s.heightMM}, {Y: s.heightMM}})
	for mm := 0.0; mm <= s.widthMM; mm += 100 {
		p := s.at(mat.Point{X: mm, Y: s.heightMM})
		c.line(ink, 1.5, p, xy{p.x, p.y + 6})
		c.text(ink, xy{p.x, p.y + 26}, 0.5, fmt.Sprintf("%.0f", mm))
	}
	for mm := 0.0; mm <= s.heightMM; mm += 100 {
		p := s.at(mat.Point{Y: mm})
		c.line(ink, 1.5, p, xy{p.x - 6, p.y})
		c.text(ink, xy{p.x - 10, p.y + 6}, 1, fmt.Sprintf("%.0f", mm))
	}
	p := s.at(mat.Point{X: s.widthMM / 2, Y: s.heightMM})
	c.text(ink, xy{p.x, p.y + 50}, 0.5, "x on the mat in mm")
	p = s.at(mat.Point{})
	c.text(ink, xy{p.x - 70, p.y - 14}, 0, "y in mm")
}

// arrowEveryMM is the distance of the arrows, about.
const arrowEveryMM = 25

// arrows draws the errors and returns how many times they are exaggerated.
func (s *sheetMap) arrows(c *canvas, r *result) float64 {
	times := exaggeration(r)
	every := max(1, int(math.Round(max(s.widthMM/24, arrowEveryMM)/5)))
	for _, p := range r.places {
		if int(math.Round(p.At.X/5))%every != every/2 || int(math.Round(p.At.Y/5))%every != every/2 {
			continue
		}
		from := s.at(p.At)
		to := xy{from.x + times*s.pxPerMM*p.OffMM.X, from.y + times*s.pxPerMM*p.OffMM.Y}
		c.arrow(ink, 1.6, from, to)
	}
	return times
}

// exaggeration is the round factor that makes the 95 % error 25 mm long at
// most.
func exaggeration(r *result) float64 {
	var lengths []float64
	for _, p := range r.places {
		lengths = append(lengths, math.Hypot(p.OffMM.X, p.OffMM.Y))
	}
	most := quantile(lengths, 0.95)
	return roundBelow(min(arrowEveryMM/max(most, 1e-6), 1e5))
}

// legend is the heading, the scale of the shading and that of the arrows.
func (s *sheetMap) legend(c *canvas, r *result, times float64) {
	c.text(ink, xy{20, 30}, 0, r.describe())
	c.text(ink, xy{20, 54}, 0, fmt.Sprintf("Error of the sheet: RMS %.3f mm, worst %.3f mm. %.0f%% of the places lie within the ± claimed for them.",
		r.rmsMM, r.worstMM, 100*r.within))
	x, top, bottom := s.left+s.pxPerMM*s.widthMM+30, s.top+10, s.top+300
	for y := top; y < bottom; y++ {
		t := (bottom - y) / (bottom - top)
		c.line(s.tone(t*s.fullMM), 1.2, xy{x, y}, xy{x + 22, y})
	}
	for k := range 5 {
		t := float64(k) / 4
		y := bottom - t*(bottom-top)
		c.line(ink, 1, xy{x + 22, y}, xy{x + 27, y})
		c.text(ink, xy{x + 32, y + 6}, 0, fmt.Sprintf("%.3g", t*s.fullMM))
	}
	c.text(ink, xy{x, top - 14}, 0, "± mm claimed")
	mm := roundBelow(40 / times)
	y := s.top + s.pxPerMM*s.heightMM + 80
	c.arrow(ink, 1.6, xy{s.left, y - 6}, xy{s.left + mm*times*s.pxPerMM, y - 6})
	c.text(ink, xy{s.left + mm*times*s.pxPerMM + 12, y}, 0,
		fmt.Sprintf("error of %.3g mm (arrows %g times true size); dashed: hull of the lines used; grey: out of the frame; outlines: pieces", mm, times))
}

// roundBelow is the largest 1, 2 or 5 times a power of ten not above v.
func roundBelow(v float64) float64 {
	d := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{5, 2} {
		if k*d <= v {
			return k * d
		}
	}
	return d
}
