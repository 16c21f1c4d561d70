package find

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// normalMM is a border's normal carried to the mat, to ask what is printed
// along it.
type normalMM struct {
	at   mat.Point
	x, y float64 // mm a photograph px outward
	// step is the distance of printed lines, half their half width, mm.
	step mat.Pitch
	half float64
	ok   bool
}

func (f *finder) frameAt(at, out photo.Point) normalMM {
	p, ok1 := f.in.View.ToMat(at)
	q, ok2 := f.in.View.ToMat(photo.Point{X: at.X + out.X, Y: at.Y + out.Y})
	return normalMM{
		at: p, x: q.X - p.X, y: q.Y - p.Y, ok: ok1 && ok2,
		step: f.in.minorStep(), half: f.in.lineWidthMM() / 2,
	}
}

// heaviest is how many times wider than the usual lines every fifth or tenth
// may be printed.
const heaviest = 1.6

// onPrintedEdge reports whether an edge found at an offset along the normal,
// px, runs along the far side of a printed line, which would mean that the
// line was taken for a part of the piece.
func (m normalMM) onPrintedEdge(offsetPx float64) bool {
	if !m.ok {
		return false
	}
	pxMM := math.Hypot(m.x, m.y)
	along := func(v, n, step float64) bool {
		if math.Abs(n) < 0.9*pxMM {
			return false
		}
		v += offsetPx * n
		d := (v - math.Round(v/step)*step) * math.Copysign(1, n)
		return d > -0.3*pxMM && d < heaviest*m.half+0.8*pxMM
	}
	return along(m.at.X, m.x, m.step.XMM) || along(m.at.Y, m.y, m.step.YMM)
}

// nearPrinted reports whether an edge at an offset along the normal, px, may
// be either side of a printed line that runs along it.
func (m normalMM) nearPrinted(offsetPx float64) bool {
	if !m.ok || m.half == 0 {
		return false
	}
	pxMM := math.Hypot(m.x, m.y)
	along := func(v, n, step float64) bool {
		if math.Abs(n) < 0.8*pxMM {
			return false
		}
		v += offsetPx * n
		return math.Abs(v-math.Round(v/step)*step) < heaviest*m.half+pxMM
	}
	return along(m.at.X, m.x, m.step.XMM) || along(m.at.Y, m.y, m.step.YMM)
}

// scale returns the size of a photograph pixel at the middle of the grid, mm.
func (f *finder) scale() float64 {
	g := f.in.Grid
	mid := f.in.Pitch.At(float64(g.MinColumn+g.MaxColumn)/2, float64(g.MinRow+g.MaxRow)/2)
	return photoPixelMM(f.in, mid.X, mid.Y)
}
