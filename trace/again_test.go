package trace_test

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/find"
	"flatwright/trace/reshape"
)

// Looking again at the demo's scene: every piece comes from a click on its
// middle as it does from tracing, the bare mat is refused, and a stretch that
// was bent away is found again between its two nodes.
func TestLookAgain(t *testing.T) {
	spec := scene.Demo().Resized(2.5)
	s := squared(t, spec)
	tr, err := trace.Trace(context.Background(), s, trace.Options{})
	if err != nil {
		t.Fatal(err)
	}
	again, err := trace.LookAgain(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	covered := 0
	for _, p := range tr.Pattern.Pieces {
		in := inside(p.Outline)
		if slices.ContainsFunc(p.Openings, func(o curve.Path) bool { return o.Contains(in, 0.1) }) {
			// Bare mat, or a stain on it too small to be a piece.
			if _, _, err := again.PieceAt(in, trace.Options{}); !errors.Is(err, find.ErrBareMat) && !errors.Is(err, find.ErrTooSmall) {
				t.Errorf("in an opening of piece %s: %v", p.ID, err)
			}
			continue
		}
		covered++
		got, samples, err := again.PieceAt(in, trace.Options{})
		if err != nil {
			t.Errorf("piece %s from a click at %v: %v", p.ID, in, err)
			continue
		}
		if d := reshape.DeviationOf(p.Outline, samples, 400); d.WorstMM > 0.6 || d.RMSMM > 0.1 {
			t.Errorf("piece %s from a click lies %.2f mm off the traced one (RMS %.3f)", p.ID, d.WorstMM, d.RMSMM)
		}
		if len(got.Marks) != len(p.Marks) {
			t.Errorf("piece %s: %d marks, traced %d", p.ID, len(got.Marks), len(p.Marks))
		}
	}
	if covered < 8 {
		t.Errorf("only %d pieces were clicked on", covered)
	}
	if _, _, err := again.PieceAt(mat.Point{X: -500, Y: -500}, trace.Options{}); !errors.Is(err, find.ErrOffMat) {
		t.Errorf("off the mat: %v", err)
	}
	betweenNodes(t, again, tr.Pattern.Pieces[0].Outline)
}

// inside is a point well inside an outline: the middle between its crossings
// with a level line.
func inside(p curve.Path) mat.Point {
	b := p.Bounds()
	for part := 0.5; part < 0.95; part += 0.04 {
		y := b.Min.Y + part*(b.Max.Y-b.Min.Y)
		if x := curve.RowCrossings([][]mat.Point{p.Flatten(0.05)}, y); len(x) >= 2 && x[1]-x[0] > 10 {
			return mat.Point{X: (x[0] + x[1]) / 2, Y: y}
		}
	}
	return b.Min
}

func betweenNodes(t *testing.T, again *trace.Again, o curve.Path) {
	t.Helper()
	n := len(o.Segments)
	for from := range n {
		to := (from + 1) % n
		if o.Segments[from].Length(1e-3) < 15 {
			continue
		}
		// Bent away by 4 mm in the middle.
		bent := curve.Path{Closed: true, Segments: append([]curve.Segment(nil), o.Segments...)}
		s := &bent.Segments[from]
		d := s.Tangent(0.5)
		s.Line = false
		s.P1, s.P2 = mat.Point{X: s.P1.X - 5*d.Y, Y: s.P1.Y + 5*d.X}, mat.Point{X: s.P2.X - 5*d.Y, Y: s.P2.Y + 5*d.X}
		path, _, err := again.Between(bent, from, to, 0.1)
		if err != nil {
			t.Errorf("from node %d to %d: %v", from, to, err)
			continue
		}
		worst := 0.0
		for _, q := range path.Flatten(0.05) {
			at, _ := o.Nearest(q)
			worst = math.Max(worst, at.DistanceMM)
		}
		if worst > 0.5 {
			t.Errorf("from node %d to %d: %.2f mm off the traced edge", from, to, worst)
		}
	}
	if _, _, err := again.Between(o, 0, n, 0.1); err == nil {
		t.Error("a node that is not there was taken")
	}
}
