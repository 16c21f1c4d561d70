package find

import (
	"math"
	"testing"
)

// stripOf is what a camera sees along a normal whose edge lies at o px, beside
// a line from a to b px.
func stripOf(in, line [3]float32, o, a, b float64) strip {
	s := strip{in: in, bg: [3]float32{20, 40, 90}, line: line}
	var d2 float32
	for c := range s.in {
		d2 += (s.in[c] - s.bg[c]) * (s.in[c] - s.bg[c])
	}
	s.weight = 1 / d2
	for k := range s.seen {
		x := overInner + offsetStep*float64(k)
		s.cover[k] = float32(normalPart((x-a)/overBlurPx) - normalPart((x-b)/overBlurPx))
		out := float32(normalPart((x - o) / overBlurPx))
		for c := range s.in {
			bg := s.bg[c] + s.cover[k]*(s.line[c]-s.bg[c])
			s.seen[k][c] = s.in[c] + out*(bg-s.in[c])
		}
	}
	return s
}

// An edge is found to 0.1 px wherever it lies about a line of the colours that
// tape and print have, also where the line is half covered.
func TestPredictedEdgeBesideALine(t *testing.T) {
	tan, white := [3]float32{200, 160, 110}, [3]float32{225, 225, 220}
	for _, in := range [][3]float32{tan, white} {
		for o := -3.0; o <= 3; o += 0.37 {
			s := stripOf(in, [3]float32{215, 210, 190}, o, 0.2, 3)
			r := s.best(reading{})
			if !r.ok {
				continue // told in TestPredictedEdgeIsMostlyTold
			}
			if math.Abs(r.offset-o) > 0.1 {
				t.Errorf("piece %v: edge at %.2f px is put at %.2f", in, o, r.offset)
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
		s := stripOf([3]float32{200, 160, 110}, line, o, 0.2, 3)
		if s.best(reading{}).ok {
			told++
		}
	}
	if told < 9 {
		t.Errorf("of 13 places beside a line %d are told", told)
	}
	s := stripOf(line, line, 1.6, 0.2, 3)
	if r := s.best(reading{}); r.ok {
		t.Errorf("an edge within a line of its own colour was put at %.2f px", r.offset)
	}
}

// What no edge explains is not told.
func TestPredictedEdgeNeedsAnEdge(t *testing.T) {
	s := stripOf([3]float32{200, 160, 110}, [3]float32{215, 210, 190}, 1, 0.2, 3)
	for k := range s.seen {
		s.seen[k] = [3]float32{120, 30, 30}
	}
	if r := s.best(reading{}); r.ok {
		t.Errorf("an edge at %.2f px in a plain colour that is neither side's", r.offset)
	}
}
