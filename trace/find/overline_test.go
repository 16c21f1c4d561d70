package find

import (
	"math"
	"slices"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
)

// stripOf is what a camera sees along a normal whose edge lies at o px, beside
// a line from a to b px, the ground and the line in a shade.
func stripOf(in, line [3]float32, o, a, b float64, shade float32) strip {
	s := strip{in: in, bg: [3]float32{20, 40, 90}, line: line}
	s.weight = 1 / apart2(s.in, s.bg)
	for k := range s.seen {
		x := overInner + offsetStep*float64(k)
		s.cover[k] = float32(normalPart((x-a)/overBlurPx) - normalPart((x-b)/overBlurPx))
		out := float32(normalPart((x - o) / overBlurPx))
		for c := range s.in {
			bg := shade * (s.bg[c] + s.cover[k]*(s.line[c]-s.bg[c]))
			s.seen[k][c] = s.in[c] + out*(bg-s.in[c])
		}
	}
	return s
}

// placeOf is the cheapest place of a strip alone.
func placeOf(s strip) (at float64, ok bool) {
	row := make([]float32, overPlaces)
	if !s.costs(row, newBlurredEdge()) {
		return 0, false
	}
	at, _, ok = placeIn(row, slices.Index(row, slices.Min(row)))
	return at, ok
}

// An edge is found to 0.1 px wherever it lies about a line of the colours that
// tape and print have, also where the line is half covered; to 0.18 px in a shade.
func TestPredictedEdgeBesideALine(t *testing.T) {
	tan, white := [3]float32{200, 160, 110}, [3]float32{225, 225, 220}
	for _, in := range [][3]float32{tan, white} {
		for _, shade := range []float32{1, 0.8} {
			for o := -3.0; o <= 3; o += 0.37 {
				at, ok := placeOf(stripOf(in, [3]float32{215, 210, 190}, o, 0.2, 3, shade))
				if !ok {
					continue // told in TestPredictedEdgeIsMostlyTold
				}
				if math.Abs(at-o) > 0.1+0.4*float64(1-shade) {
					t.Errorf("piece %v, shade %g: edge at %.2f px is put at %.2f", in, shade, o, at)
				}
			}
		}
	}
}

// Of a tan piece every place is told; of a piece of the line's own colour
// none may be told wrongly where the line hides it.
func TestPredictedEdgeIsMostlyTold(t *testing.T) {
	line := [3]float32{215, 210, 190}
	told := 0
	for o := -3.0; o <= 3; o += 0.5 {
		if _, ok := placeOf(stripOf([3]float32{200, 160, 110}, line, o, 0.2, 3, 1)); ok {
			told++
		}
	}
	if told < 9 {
		t.Errorf("of 13 places beside a line %d are told", told)
	}
	if at, ok := placeOf(stripOf(line, line, 1.6, 0.2, 3, 1)); ok {
		t.Errorf("an edge within a line of its own colour was put at %.2f px", at)
	}
}

// What no edge explains is not told.
func TestPredictedEdgeNeedsAnEdge(t *testing.T) {
	s := stripOf([3]float32{200, 160, 110}, [3]float32{215, 210, 190}, 1, 0.2, 3, 1)
	for k := range s.seen {
		s.seen[k] = [3]float32{120, 30, 30}
	}
	if at, ok := placeOf(s); ok {
		t.Errorf("an edge at %.2f px in a plain colour that is neither side's", at)
	}
}

// The way holds on through places that tell nothing, and does not jump to a
// stray one.
func TestCheapestWay(t *testing.T) {
	const n, m = 200, 9
	cost := make([]float32, n*m)
	for i := range n {
		if i%5 == 2 {
			continue // tells nothing
		}
		for k := range m {
			at := 4
			if i == 77 {
				at = 0
			}
			cost[i*m+k] = min(float32((k-at)*(k-at)), 9)
		}
	}
	for i, k := range cheapestWay(cost, n, m, 2) {
		if k != 4 {
			t.Errorf("point %d lies at place %d", i, k)
		}
	}
}

// Each printed line's width is learnt, minors apart from majors, to a fifth.
func TestPrintIsLearnt(t *testing.T) {
	s := scene.Random(5022, scene.RandomOptions{Megapixels: 6})
	s.Mat.Wear = 0
	in := Input{Photo: shoot(t, "s5022-6-plain", s), View: s.Camera.View(), Pitch: mat.Square(s.Mat.PitchMM), Grid: gridOf(s.Mat)}
	f := finder{in: &in, linear: powerTone(blurPower), coded: powerTone(1)}
	f.lookForThings()
	if f.err != nil || f.print == nil {
		t.Fatal("nothing was learnt", f.err)
	}
	n, off := s.Mat.MinorPerPitch, 0
	for _, side := range [2][]printedLine{f.print.x, f.print.y} {
		for k, l := range side {
			want := s.Mat.MinorMM
			if k%n == 0 {
				want = s.Mat.MajorMM
			}
			if math.Abs(2*l.half-want) > 0.2*want+0.03 || math.Abs(l.shift) > 0.06 {
				off++
				t.Logf("line %d of %d: %.2f mm wide, %.2f mm beside its place; printed %.2f mm", k, len(side), 2*l.half, l.shift, want)
			}
		}
	}
	if all := len(f.print.x) + len(f.print.y); 10*off > all {
		t.Errorf("%d of %d lines are not as printed", off, all)
	}
}
