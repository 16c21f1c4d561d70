package scene

import (
	"math"

	"flatwright/rectify/mat"
)

func roundOff(v float64) float64 { return math.Round(v*1e4) / 1e4 }

func roundPoints(ps []mat.Point) []mat.Point {
	out := make([]mat.Point, len(ps))
	for i, p := range ps {
		out[i] = mat.Point{X: roundOff(p.X), Y: roundOff(p.Y)}
	}
	return out
}

// roundedOff is a copy with coordinates to 0.0001 mm, so that the file is
// short and reads the same on every machine.
func (p TruthPiece) roundedOff() TruthPiece {
	p.Outline, p.Corners = roundPoints(p.Outline), roundPoints(p.Corners)
	openings := make([][]mat.Point, len(p.Openings))
	for i, o := range p.Openings {
		openings[i] = roundPoints(o)
	}
	marks := make([]Mark, len(p.Marks))
	for i, m := range p.Marks {
		ends := roundPoints([]mat.Point{m.At, m.In})
		marks[i] = Mark{ends[0], ends[1]}
	}
	lines := make([]TruthLine, len(p.Lines))
	for i, l := range p.Lines {
		lines[i] = TruthLine{roundPoints(l.Points), l.Dashed}
	}
	tapes := make([]TruthTape, len(p.Tapes))
	for i, t := range p.Tapes {
		t.Edge = roundPoints(t.Edge)
		t.FromMM, t.ToMM = roundOff(t.FromMM), roundOff(t.ToMM)
		tapes[i] = t
	}
	p.Openings, p.Marks, p.Lines, p.Tapes = openings, marks, lines, tapes
	p.AreaMM2 = roundOff(p.AreaMM2)
	return p
}
