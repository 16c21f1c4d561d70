package page

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// OtherFaceLine is the line that an edge makes on the other face.
type OtherFaceLine struct {
	EdgeID string
	Cut    pattern.Cut
	Path   curve.Path
}

// OtherFaceLines returns the other face's lines of the edges that lean.
func OtherFaceLines(p pattern.Piece) []OtherFaceLine {
	var lines []OtherFaceLine
	for _, e := range p.Edges {
		if _, leans := CutLineStyle(e.Cut); !leans || p.ThicknessMM <= 0 {
			continue
		}
		d := p.ThicknessMM * math.Tan(e.Cut.AngleDeg*math.Pi/180)
		if e.Cut.Kind == pattern.Undercut {
			d = -d
		}
		lines = append(lines, OtherFaceLine{e.ID, e.Cut, shifted(EdgePath(p, e), d)})
	}
	return lines
}

// EdgePath returns the segments of an edge.
func EdgePath(p pattern.Piece, e pattern.Edge) curve.Path {
	var path curve.Path
	n := len(p.Outline.Segments)
	for i := 0; i < e.Count && n > 0; i++ {
		path.Segments = append(path.Segments, p.Outline.Segments[(e.First+i)%n])
	}
	return path
}

// shifted moves a path to the right of its run by d mm (inwards for an outline).
func shifted(path curve.Path, d float64) curve.Path {
	pts := path.Flatten(0.05)
	moved := make([]mat.Point, len(pts))
	for i := range pts {
		a, b := pts[max(0, i-1)], pts[min(len(pts)-1, i+1)]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		moved[i] = mat.Point{X: pts[i].X - d*(b.Y-a.Y)/l, Y: pts[i].Y + d*(b.X-a.X)/l}
	}
	return curve.Polyline(moved...)
}
