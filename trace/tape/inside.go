package tape

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// inside is a coarse map of a piece: how far into the material a place lies.
type inside struct {
	x0, y0 float64
	w, h   int
	deepMM []float32
}

const (
	cellMM = 0.5
	// shallowMM is how near to any border colours are mixed by the optics.
	shallowMM = 0.9
	deepestMM = 60
)

func newInside(p Piece) *inside {
	box := p.Outline.Bounds()
	m := &inside{x0: box.Min.X - 1, y0: box.Min.Y - 1}
	m.w, m.h = int((box.Max.X-box.Min.X+2)/cellMM)+1, int((box.Max.Y-box.Min.Y+2)/cellMM)+1
	const most = 1 << 24
	if m.w < 1 || m.h < 1 || m.w > most/m.h {
		return nil
	}
	m.deepMM = make([]float32, m.w*m.h)
	rings := [][]mat.Point{p.Outline.Flatten(0.1)}
	for _, o := range p.Openings {
		rings = append(rings, o.Flatten(0.1))
	}
	m.fill(rings)
	m.measure()
	return m
}

// fill sets the cells whose middle lies in the material, by even-odd crossings
// of each row.
func (m *inside) fill(rings [][]mat.Point) {
	for j := range m.h {
		y := m.y0 + float64(j)*cellMM
		xs := curve.RowCrossings(rings, y)
		for k := 0; k+1 < len(xs); k += 2 {
			lo, hi := int(math.Ceil((xs[k]-m.x0)/cellMM)), int((xs[k+1]-m.x0)/cellMM)
			for i := max(lo, 0); i <= min(hi, m.w-1); i++ {
				m.deepMM[j*m.w+i] = deepestMM
			}
		}
	}
}

// measure turns the filled cells into distances by a chamfer of 1 and √2
// steps, both ways (Borgefors 1986), good to 8 %.
func (m *inside) measure() {
	near := func(i int, k int, cost float32) {
		if v := m.deepMM[k] + cost; v < m.deepMM[i] {
			m.deepMM[i] = v
		}
	}
	const one, skew = cellMM, cellMM * math.Sqrt2
	for j := 1; j < m.h-1; j++ {
		for i := 1; i < m.w-1; i++ {
			k := j*m.w + i
			near(k, k-1, one)
			near(k, k-m.w, one)
			near(k, k-m.w-1, skew)
			near(k, k-m.w+1, skew)
		}
	}
	for j := m.h - 2; j > 0; j-- {
		for i := m.w - 2; i > 0; i-- {
			k := j*m.w + i
			near(k, k+1, one)
			near(k, k+m.w, one)
			near(k, k+m.w+1, skew)
			near(k, k+m.w-1, skew)
		}
	}
}

// depthMM is how far into the material a place lies, 0 outside.
func (m *inside) depthMM(p mat.Point) float64 {
	i, j := int(math.Round((p.X-m.x0)/cellMM)), int(math.Round((p.Y-m.y0)/cellMM))
	if i < 0 || j < 0 || i >= m.w || j >= m.h {
		return 0
	}
	return float64(m.deepMM[j*m.w+i])
}

// places returns places at least depthMM deep on a grid of stepMM.
func (m *inside) places(depthMM, stepMM float64) []mat.Point {
	step := max(1, int(stepMM/cellMM))
	var out []mat.Point
	for j := 0; j < m.h; j += step {
		for i := 0; i < m.w; i += step {
			if float64(m.deepMM[j*m.w+i]) >= depthMM {
				out = append(out, mat.Point{X: m.x0 + float64(i)*cellMM, Y: m.y0 + float64(j)*cellMM})
			}
		}
	}
	return out
}
