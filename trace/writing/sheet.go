package writing

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// sheet is a piece flattened, one luminance a cell. It serves to look for ink;
// nothing is measured on it.
type sheet struct {
	piece  Piece
	x0, y0 float64
	w, h   int
	luma   []float32
	// in is set in the material, edgeMM away from its borders.
	in []bool
	// spent is set where ink has been read as something else.
	spent []bool
}

const (
	cellMM = 0.25
	// edgeMM of a border are mixed with the mat and frayed.
	edgeMM = 1.0
	// aroundMM of a mark or a line is its own ink.
	aroundMM = 1.1
)

func newSheet(in Input, p Piece) (*sheet, bool) {
	if len(p.Outline.Segments) == 0 {
		return nil, false
	}
	box := p.Outline.Bounds()
	s := &sheet{piece: p, x0: box.Min.X - 1, y0: box.Min.Y - 1}
	s.w, s.h = int((box.Max.X-box.Min.X+2)/cellMM)+1, int((box.Max.Y-box.Min.Y+2)/cellMM)+1
	const most = 1 << 25
	if s.w < 8 || s.h < 8 || s.w > most/s.h {
		return nil, false
	}
	n := s.w * s.h
	s.luma, s.in, s.spent = make([]float32, n), make([]bool, n), make([]bool, n)
	s.fill()
	for k := range s.luma {
		if s.in[k] {
			s.luma[k] = float32(in.Photo.LumaAt(in.View.ToPhoto(s.at(k))))
		}
	}
	s.clearBorders()
	s.spendKnown()
	return s, true
}

func (s *sheet) at(k int) mat.Point {
	return mat.Point{X: s.x0 + float64(k%s.w)*cellMM, Y: s.y0 + float64(k/s.w)*cellMM}
}

func (s *sheet) rings() [][]mat.Point {
	out := [][]mat.Point{s.piece.Outline.Flatten(0.1)}
	for _, o := range s.piece.Openings {
		out = append(out, o.Flatten(0.1))
	}
	return out
}

// fill sets the cells in the material by even-odd crossings of each row.
func (s *sheet) fill() {
	rings := s.rings()
	for j := range s.h {
		y := s.y0 + float64(j)*cellMM
		xs := curve.RowCrossings(rings, y)
		for k := 0; k+1 < len(xs); k += 2 {
			lo, hi := int(math.Ceil((xs[k]-s.x0)/cellMM)), int((xs[k+1]-s.x0)/cellMM)
			for i := max(lo, 0); i <= min(hi, s.w-1); i++ {
				s.in[j*s.w+i] = true
			}
		}
	}
}

// along calls do with every cell within reach of a polyline.
func (s *sheet) along(line []mat.Point, reach float64, do func(k int)) {
	n := int(math.Ceil(reach / cellMM))
	for i := 0; i+1 < len(line); i++ {
		a, b := line[i], line[i+1]
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		steps := int(long/(2*cellMM)) + 1
		for t := range steps + 1 {
			f := float64(t) / float64(steps)
			x, y := (a.X+f*(b.X-a.X)-s.x0)/cellMM, (a.Y+f*(b.Y-a.Y)-s.y0)/cellMM
			s.disc(int(math.Round(x)), int(math.Round(y)), n, do)
		}
	}
}

func (s *sheet) disc(cx, cy, n int, do func(k int)) {
	for y := max(0, cy-n); y <= min(s.h-1, cy+n); y++ {
		for x := max(0, cx-n); x <= min(s.w-1, cx+n); x++ {
			if (x-cx)*(x-cx)+(y-cy)*(y-cy) <= n*n {
				do(y*s.w + x)
			}
		}
	}
}

func (s *sheet) clearBorders() {
	for _, r := range s.rings() {
		s.along(append(r, r[0]), edgeMM, func(k int) { s.in[k] = false })
	}
}

// spendKnown takes the ink of marks and inside lines away. A mark's stroke may
// run on a little past the end that was read.
func (s *sheet) spendKnown() {
	spend := func(k int) { s.spent[k] = true }
	for _, m := range s.piece.Marks {
		d := math.Hypot(m[1].X-m[0].X, m[1].Y-m[0].Y)
		if d == 0 {
			continue
		}
		end := mat.Point{X: m[1].X + (m[1].X-m[0].X)/d, Y: m[1].Y + (m[1].Y-m[0].Y)/d}
		s.along([]mat.Point{m[0], end}, aroundMM, spend)
	}
	for _, l := range s.piece.Lines {
		s.along(l.Flatten(0.1), aroundMM, spend)
	}
}
