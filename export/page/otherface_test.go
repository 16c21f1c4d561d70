package page

import (
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// square is 100 mm wide, 10 mm thick; its edges run clockwise from the top.
func square(cuts ...pattern.Cut) pattern.Piece {
	p := box("A", 0, 0, 100, 100)
	p.ThicknessMM = 10
	for i, c := range cuts {
		p.Edges = append(p.Edges, pattern.Edge{ID: string(rune('1' + i)), First: i, Count: 1, Cut: c})
	}
	return p
}

func gap(a, b mat.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

func bevel(deg float64) pattern.Cut    { return pattern.Cut{Kind: pattern.Bevel, AngleDeg: deg} }
func undercut(deg float64) pattern.Cut { return pattern.Cut{Kind: pattern.Undercut, AngleDeg: deg} }

var straight = pattern.Cut{Kind: pattern.Straight}

func TestOtherFaceOfASquare(t *testing.T) {
	cases := []struct {
		name string
		cuts []pattern.Cut
		want [][2]mat.Point
	}{
		{"all straight", []pattern.Cut{straight, straight, straight, straight}, nil},
		{
			"all at 45°",
			[]pattern.Cut{bevel(45), bevel(45), bevel(45), bevel(45)},
			[][2]mat.Point{
				{{X: 10, Y: 10}, {X: 90, Y: 10}},
				{{X: 90, Y: 10}, {X: 90, Y: 90}},
				{{X: 90, Y: 90}, {X: 10, Y: 90}},
				{{X: 10, Y: 90}, {X: 10, Y: 10}},
			},
		},
		{
			"one bevel ends on its neighbours",
			[]pattern.Cut{bevel(45), straight, straight, straight},
			[][2]mat.Point{{{X: 0, Y: 10}, {X: 100, Y: 10}}},
		},
		{
			"one undercut ends on its neighbours",
			[]pattern.Cut{undercut(45), straight, straight, straight},
			[][2]mat.Point{{{X: 0, Y: -10}, {X: 100, Y: -10}}},
		},
		{
			"bevel beside undercut",
			[]pattern.Cut{bevel(45), undercut(45), straight, straight},
			[][2]mat.Point{{{X: 0, Y: 10}, {X: 110, Y: 10}}, {{X: 110, Y: 10}, {X: 110, Y: 100}}},
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			lines, _ := OtherFaceLines(square(c.cuts...))
			if len(lines) != len(c.want) {
				t.Fatalf("%d lines", len(lines))
			}
			for i, l := range lines {
				s := l.Path.Segments
				if gap(s[0].P0, c.want[i][0]) > 1e-9 || gap(s[len(s)-1].P3, c.want[i][1]) > 1e-9 {
					t.Errorf("line %d runs from %v to %v", i, s[0].P0, s[len(s)-1].P3)
				}
			}
		})
	}
}

// thickness × tan(angle), by hand for angles whose tangent is known; the sign
// turns with the face that is shown.
func TestInset(t *testing.T) {
	for _, c := range []struct {
		thick float64
		face  pattern.Face
		cut   pattern.Cut
		want  float64
	}{
		{10, pattern.Front, bevel(45), 10},
		{10, pattern.Back, bevel(45), -10},
		{6, pattern.Front, undercut(45), -6},
		{10, "", bevel(30), 10 / math.Sqrt(3)},
		{10, pattern.Front, straight, 0},
		{0, pattern.Front, bevel(45), 0},
	} {
		p := pattern.Piece{ThicknessMM: c.thick, Face: c.face}
		if got := InsetMM(&p, c.cut); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%+v: %g", c, got)
		}
	}
}

// A round edge's other face is round: a disc of radius 50 bevelled at 45°
// with thickness 10 has a back of radius 40.
func TestOtherFaceOfADisc(t *testing.T) {
	p := pattern.Piece{ID: "A", ThicknessMM: 10, Outline: curve.Path{Closed: true}}
	const k = 50 * 0.5522847498
	for i := range 4 {
		s, c := math.Sincos(float64(i) * math.Pi / 2)
		turn := func(x, y float64) mat.Point { return mat.Point{X: x*c - y*s, Y: x*s + y*c} }
		p.Outline.Segments = append(p.Outline.Segments, curve.Cubic(turn(50, 0), turn(50, k), turn(k, 50), turn(0, 50)))
	}
	p.Edges = []pattern.Edge{{ID: "A1", First: 0, Count: 4, Cut: bevel(45)}}
	lines, _ := OtherFaceLines(p)
	if len(lines) != 1 {
		t.Fatalf("%d lines", len(lines))
	}
	for _, s := range lines[0].Path.Segments {
		if r := math.Hypot(s.P0.X, s.P0.Y); math.Abs(r-40) > 0.05 {
			t.Errorf("%v is %.3f mm from the middle", s.P0, r)
		}
	}
}

// Where the other face cannot be, there is no line but a finding.
func TestVanishingFaceIsFound(t *testing.T) {
	p := square(bevel(60), bevel(60), bevel(60), bevel(60))
	p.ThicknessMM = 40 // 69 mm from either side of 100 mm
	lines, findings := OtherFaceLines(p)
	if len(lines) > 0 || len(findings) != 1 {
		t.Errorf("%d lines, findings %v", len(lines), findings)
	}
}
