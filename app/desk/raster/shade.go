package raster

import (
	"image/color"
	"math"

	"flatwright/app/desk/view"
)

// Lattice holds values at the nodes of a lattice over a rectangle in device
// pixels, row by row. Between nodes they are interpolated along both axes; NaN
// leaves the squares around it out.
type Lattice struct {
	Bounds        view.Rect
	Columns, Rows int
	Values        []float64
}

// Shade lays a colour over every place by the band its value lies in: below
// the first level the first colour, and so on; there is one colour more than
// levels, which grow. Along a row of pixels the value changes by a constant
// step within a square, so that whole runs are filled at once.
func (c Canvas) Shade(l Lattice, levels []float64, bands []color.NRGBA) {
	if l.Columns < 2 || l.Rows < 2 || len(l.Values) != l.Columns*l.Rows || len(bands) != len(levels)+1 || l.Bounds.Empty() {
		return
	}
	_, h := c.Size()
	s := shader{canvas: c, lattice: l, levels: levels, bands: bands, row: make([]float64, l.Columns)}
	y0, y1 := clampSpan(l.Bounds.Min.Y+0.5, l.Bounds.Max.Y-0.5, h)
	for y := y0; y <= y1; y++ {
		s.shadeRow(y)
	}
}

type shader struct {
	canvas  Canvas
	lattice Lattice
	levels  []float64
	bands   []color.NRGBA
	row     []float64
}

// shadeRow interpolates the values along one row of pixels and fills it.
func (s *shader) shadeRow(y int) {
	l := &s.lattice
	v := (float64(y) + 0.5 - l.Bounds.Min.Y) / (l.Bounds.Max.Y - l.Bounds.Min.Y) * float64(l.Rows-1)
	r := min(int(v), l.Rows-2)
	t := v - float64(r)
	for k := range s.row {
		s.row[k] = l.Values[r*l.Columns+k]*(1-t) + l.Values[(r+1)*l.Columns+k]*t
	}
	step := (l.Bounds.Max.X - l.Bounds.Min.X) / float64(l.Columns-1)
	from, band := l.Bounds.Min.X, -1
	for k := range l.Columns - 1 {
		x, a, b := l.Bounds.Min.X+float64(k)*step, s.row[k], s.row[k+1]
		if math.IsNaN(a + b) {
			s.fill(y, from, x, band)
			from, band = x+step, -1
			continue
		}
		for now := s.band(a); ; {
			if now != band {
				s.fill(y, from, x, band)
				from, band = x, now
			}
			at, next := s.leave(a, b, now)
			if next == now {
				break
			}
			x, now = l.Bounds.Min.X+(float64(k)+at)*step, next
		}
	}
	s.fill(y, from, l.Bounds.Max.X, band)
}

// band returns the number of levels at or below a value.
func (s *shader) band(v float64) int {
	n := 0
	for n < len(s.levels) && v >= s.levels[n] {
		n++
	}
	return n
}

// leave returns where a value that changes from a to b leaves a band, as a part
// of the way, and the band it enters; the same band when it does not.
func (s *shader) leave(a, b float64, band int) (part float64, next int) {
	switch {
	case b > a && band < len(s.levels) && b >= s.levels[band]:
		return (s.levels[band] - a) / (b - a), band + 1
	case b < a && band > 0 && b < s.levels[band-1]:
		return (s.levels[band-1] - a) / (b - a), band - 1
	}
	return 0, band
}

// fill paints a band's run between two positions of a row.
func (s *shader) fill(y int, from, to float64, band int) {
	if band < 0 || s.bands[band].A == 0 {
		return
	}
	w, _ := s.canvas.Size()
	x0, x1 := clampSpan(from+0.5, to-0.5, w)
	s.canvas.run(y, x0, x1, s.bands[band], coverage(1, s.bands[band].A))
}
