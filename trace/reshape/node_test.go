package reshape_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/reshape"
)

func at(x, y float64) mat.Point { return mat.Point{X: x, Y: y} }

// quarter is the handle's length of the cubic that passes for a quarter of the
// unit circle (common practice, no source: 4/3·(√2 − 1)).
const quarter = 0.5522847498307936

// disc is a circle of four cubics.
func disc(r float64) curve.Path {
	q := quarter * r
	return curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Cubic(at(r, 0), at(r, q), at(q, r), at(0, r)),
		curve.Cubic(at(0, r), at(-q, r), at(-r, q), at(-r, 0)),
		curve.Cubic(at(-r, 0), at(-r, -q), at(-q, -r), at(0, -r)),
		curve.Cubic(at(0, -r), at(q, -r), at(r, -q), at(r, 0)),
	}}
}

// tongue is a straight strap with a round end: lines that run smoothly into
// curves.
func tongue() curve.Path {
	q := quarter * 10
	return curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Line(at(0, -10), at(50, -10)),
		curve.Cubic(at(50, -10), at(50+q, -10), at(60, -q), at(60, 0)),
		curve.Cubic(at(60, 0), at(60, q), at(50+q, 10), at(50, 10)),
		curve.Line(at(50, 10), at(0, 10)),
		curve.Line(at(0, 10), at(0, -10)),
	}}
}

func TestMovedNodesStaySmooth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := tongue()
		d := at(rapid.Float64Range(-4, 4).Draw(t, "dx"), rapid.Float64Range(-4, 4).Draw(t, "dy"))
		k := rapid.IntRange(0, 4).Draw(t, "node")
		out, err := reshape.MoveNodes(p, d, k)
		if err != nil {
			t.Fatal(err)
		}
		for i, s := range out.Segments {
			if next := out.Segments[(i+1)%5]; s.P3 != next.P0 {
				t.Errorf("segment %d ends at %v, the next begins at %v", i, s.P3, next.P0)
			}
			if reshape.IsSmooth(p, i) && reshape.TurnDeg(out, i) > 1e-4 {
				t.Errorf("node %d has a corner of %g degrees now", i, reshape.TurnDeg(out, i))
			}
		}
		if got := out.Segments[k].P0; math.Hypot(got.X-p.Segments[k].P0.X-d.X, got.Y-p.Segments[k].P0.Y-d.Y) > 1e-9 {
			t.Errorf("node %d went to %v", k, got)
		}
	})
}

func TestHandlesTurnTogether(t *testing.T) {
	p := disc(30)
	for _, after := range []bool{true, false} {
		to := at(42, 12)
		out, err := reshape.MoveHandle(p, 0, after, to, false)
		if err != nil {
			t.Fatal(err)
		}
		got, other := out.Segments[0].P1, out.Segments[3].P2
		if !after {
			got, other = other, got
		}
		if got != to || reshape.TurnDeg(out, 0) > 1e-4 || math.Abs(math.Hypot(other.X-30, other.Y)-30*quarter) > 1e-9 {
			t.Errorf("after %v: handle at %v, the other at %v, corner of %g degrees", after, got, other, reshape.TurnDeg(out, 0))
		}
		out, err = reshape.MoveHandle(p, 0, after, to, true)
		if err != nil || reshape.IsSmooth(out, 0) {
			t.Errorf("after %v, free: still smooth (%v)", after, err)
		}
	}
	if _, err := reshape.MoveHandle(tongue(), 0, true, at(1, 1), false); !errors.Is(err, reshape.ErrNoHandle) {
		t.Errorf("a handle of a line: %v", err)
	}
	out, err := reshape.MoveHandle(tongue(), 1, true, at(58, -3), false)
	if err != nil || math.Abs(out.Segments[1].P1.Y+10) > 1e-9 || math.Abs(out.Segments[1].P1.X-58) > 1e-9 {
		t.Errorf("a handle beside a line went to %v (%v)", out.Segments[1].P1, err)
	}
}

func TestSmoothAndCorner(t *testing.T) {
	for k := range 5 {
		out, err := reshape.Smooth(tongue(), k)
		if err != nil || reshape.TurnDeg(out, k) > 1e-4 {
			t.Errorf("node %d: corner of %g degrees (%v)", k, reshape.TurnDeg(out, k), err)
		}
	}
	for k := range 4 {
		out, err := reshape.Corner(disc(30), k)
		if err != nil || reshape.IsSmooth(out, k) {
			t.Errorf("node %d of a circle is no corner (%v)", k, err)
		}
	}
	// Between the near chords of a 32-gon's arc there is next to no corner.
	flat := curve.Path{Closed: true}
	for _, rest := range disc(30).Segments {
		for k := range 7 {
			var head curve.Segment
			head, rest = rest.Split(1 / float64(8-k))
			flat.Segments = append(flat.Segments, head)
		}
		flat.Segments = append(flat.Segments, rest)
	}
	flat, _ = flat.Insert(curve.Position{Segment: 0, T: 0.5})
	if _, err := reshape.Corner(flat, 1); !errors.Is(err, reshape.ErrNoBend) {
		t.Errorf("a node of 6 degrees between chords: %v", err)
	}
}

// Taking a node out of a circle's quarter that was split gives the quarter back.
func TestRemovedNodeLeavesTheShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := disc(30)
		k := rapid.IntRange(0, 3).Draw(t, "segment")
		split, err := p.Insert(curve.Position{Segment: k, T: rapid.Float64Range(0.15, 0.85).Draw(t, "t")})
		if err != nil {
			t.Fatal(err)
		}
		out, err := reshape.RemoveNode(split, k+1)
		if err != nil || len(out.Segments) != 4 {
			t.Fatalf("%d segments (%v)", len(out.Segments), err)
		}
		for _, q := range out.Flatten(0.01) {
			if at, _ := p.Nearest(q); at.DistanceMM > 0.01 {
				t.Fatalf("%.4f mm off the circle at %v", at.DistanceMM, q)
			}
		}
	})
	p := disc(5)
	for range 2 {
		p, _ = reshape.RemoveNode(p, 0)
	}
	if _, err := reshape.RemoveNode(p, 0); !errors.Is(err, reshape.ErrFewNodes) {
		t.Errorf("the second last node: %v", err)
	}
}

func TestNoSuchNode(t *testing.T) {
	for _, k := range []int{-1, 4} {
		if _, err := reshape.MoveNodes(disc(9), at(1, 1), k); !errors.Is(err, reshape.ErrNoNode) {
			t.Errorf("node %d: %v", k, err)
		}
		if _, err := reshape.Smooth(disc(9), k); !errors.Is(err, reshape.ErrNoNode) {
			t.Errorf("node %d: %v", k, err)
		}
	}
}

// A circle of another radius deviates by the difference.
func TestDeviationOfACircle(t *testing.T) {
	var s []curve.Sample
	for k := range 720 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 360)
		q := curve.Sample{At: at(30.5*cos, 30.5*sin), SigmaMM: 0.02}
		if k%9 == 0 {
			q = curve.Sample{At: at(99*cos, 99*sin), SigmaMM: 1} // bridged: not looked at
		}
		s = append(s, q)
	}
	// The four cubics leave the circle by 0.03 % at most.
	d := reshape.DeviationOf(disc(30), s, 0)
	if math.Abs(d.WorstMM-0.5) > 0.01 || math.Abs(d.RMSMM-0.5) > 0.01 || d.Samples != 640 {
		t.Errorf("%+v", d)
	}
	if few := reshape.DeviationOf(disc(30), s, 100); few.Samples > 100 || math.Abs(few.RMSMM-0.5) > 0.01 {
		t.Errorf("%+v", few)
	}
}
