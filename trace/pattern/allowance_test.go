package pattern

import (
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// outlineOf closes a strip along its edge and returns its corners.
func cornersOf(s Strip) []mat.Point {
	var out []mat.Point
	for _, x := range s.Cut.Segments {
		out = append(out, x.P0)
	}
	return append(out, s.Cut.Segments[len(s.Cut.Segments)-1].P3)
}

func TestAllowances(t *testing.T) {
	for _, c := range []struct {
		name   string
		corner AllowanceCorner
		widths [4]float64
		want   []mat.Point // of the first edge, y = 0 from x = 0 to 100
	}{
		{"mitred all round", Mitred, [4]float64{10, 10, 10, 10}, []mat.Point{pt(0, 0), pt(-10, -10), pt(110, -10), pt(100, 0)}},
		{"mitred by default, unlike widths", "", [4]float64{10, 5, 10, 8}, []mat.Point{pt(0, 0), pt(-8, -10), pt(105, -10), pt(100, 0)}},
		{"square", Square, [4]float64{10, 10, 10, 10}, []mat.Point{pt(0, 0), pt(0, -10), pt(100, -10), pt(100, 0)}},
		{"folded at right angles", Folded, [4]float64{10, 0, 0, 0}, []mat.Point{pt(0, 0), pt(0, -10), pt(100, -10), pt(100, 0)}},
		{"neighbours without", Mitred, [4]float64{10, 0, 0, 0}, []mat.Point{pt(0, 0), pt(0, -10), pt(100, -10), pt(100, 0)}},
	} {
		p := sheet(t, rectangle())
		for k := range p.Edges {
			p.Edges[k].Allowance = Allowance{WidthMM: c.widths[k], Corner: c.corner}
		}
		strips, err := p.Allowances()
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		got := cornersOf(strips[0])
		if len(got) != len(c.want) {
			t.Fatalf("%s: %v, want %v", c.name, got, c.want)
		}
		for i := range got {
			if apartMM(got[i], c.want[i]) > 1e-6 {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
				break
			}
		}
	}
}

// Folded under along its edge, a folded strip ends flush with the neighbour,
// whatever the corner's angle: its end, mirrored in the edge, lies on the
// neighbour.
func TestFoldedAllowance(t *testing.T) {
	for _, deg := range []float64{50, 70, 90, 110, 140} {
		s, k := math.Sincos(deg * radPerDeg)
		tip := pt(100-80*k, 80*s) // the corner at (100, 0) measures deg
		p := sheet(t, curve.Polygon(pt(0, 0), pt(100, 0), tip))
		p.Edges[0].Allowance = Allowance{WidthMM: 10, Corner: Folded}
		strips, err := p.Allowances()
		if err != nil {
			t.Fatal(err)
		}
		got := cornersOf(strips[0])
		end := got[len(got)-2]
		under := pt(end.X, -end.Y)
		if math.Abs(end.Y+10) > 1e-6 {
			t.Errorf("%g°: the strip is %g mm wide at its end", deg, -end.Y)
		}
		n, err := p.EdgePath(1).Nearest(under)
		if err != nil || n.DistanceMM > 1e-6 {
			t.Errorf("%g°: folded under, the end lies %.3f mm off the neighbour", deg, n.DistanceMM)
		}
	}
}

// Round a disc the allowance is a circle as much larger.
func TestAllowanceOfDisc(t *testing.T) {
	p := sheet(t, disc(20))
	p.Edges[0].Allowance = Allowance{WidthMM: 7}
	strips, err := p.Allowances()
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range cornersOf(strips[0]) {
		if d := math.Abs(math.Hypot(q.X, q.Y) - 27); d > 0.03 {
			t.Fatalf("the strip strays by %.3f mm", d)
		}
	}
}

// Along an arch whose ends stand nearly upright the strip runs all the way.
func TestAllowanceOfAnArch(t *testing.T) {
	arch := curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Cubic(pt(0, 100), pt(0, -30), pt(200, -30), pt(200, 90)),
		curve.Line(pt(200, 90), pt(100, 60)),
		curve.Line(pt(100, 60), pt(0, 100)),
	}}
	p := sheet(t, arch)
	for k := range p.Edges {
		p.Edges[k].Allowance = Allowance{WidthMM: 10, Corner: Square}
	}
	strips, err := p.Allowances()
	if err != nil {
		t.Fatal(err)
	}
	for k, s := range strips {
		edge := p.EdgePath(k)
		for along := 5.0; along < edge.Length()-5; along += 10 {
			at, err := edge.PointAtLength(along)
			if err != nil {
				t.Fatal(err)
			}
			if n, err := s.Cut.Nearest(at); err != nil || math.Abs(n.DistanceMM-10) > 0.05 && along > 12 && along < edge.Length()-12 {
				t.Errorf("edge %d, %g mm along: the strip is %.2f mm wide", k, along, n.DistanceMM)
			}
		}
	}
}
