package trace_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"flatwright/rectify"
	"flatwright/rectify/scene"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// squared draws a scene and squares it up.
func squared(t *testing.T, spec scene.Spec) *rectify.Squared {
	t.Helper()
	p, err := scene.Shoot(context.Background(), spec)
	if err != nil {
		t.Fatal(err)
	}
	s, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: spec.Mat.PitchMM})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The demo's scene at a quarter of its pixels (about 0.35 mm per pixel, the
// coarse end of what is promised): every piece, lettered in order, edges that
// cover the outline once, marks that stand on it, and the outline within
// 0.10 mm RMS of the truth.
func TestTraceOfTheDemoSmall(t *testing.T) {
	spec := scene.Demo().Resized(5)
	s := squared(t, spec)
	var last float64
	tr, err := trace.Trace(context.Background(), s, trace.Options{
		ThicknessMM: 10,
		Progress: func(part float64) {
			if part < last {
				t.Errorf("progress went back from %.2f to %.2f", last, part)
			}
			last = part
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	if last != 1 {
		t.Errorf("progress ended at %.2f", last)
	}
	var outlines []scene.Outline
	for k, p := range tr.Pattern.Pieces {
		if p.ID != pattern.Letters(k) || p.ThicknessMM != 10 || p.Quantity != 1 {
			t.Errorf("piece %d: ID %q, %g mm, quantity %d", k, p.ID, p.ThicknessMM, p.Quantity)
		}
		checkEdges(t, p)
		o := scene.Outline{Polygon: p.Outline.Flatten(0.01)}
		for _, m := range p.Marks {
			if at, err := p.Outline.Nearest(m.At); err != nil || at.DistanceMM > 1e-6 {
				t.Errorf("piece %s: a mark stands %.3f mm off the outline (%v)", p.ID, at.DistanceMM, err)
			}
			o.Marks = append(o.Marks, scene.Mark{At: m.At, In: m.In})
		}
		for _, h := range p.Openings {
			o.Openings = append(o.Openings, h.Flatten(0.01))
		}
		outlines = append(outlines, o)
	}
	if len(tr.Writing) != 11 || len(tr.Pattern.Tapes) != 1 || len(tr.Pattern.TapedEdges("T1")) != 7 {
		t.Errorf("%d names, tapes %+v along %v; want 11 names and one tape along 7 edges", len(tr.Writing), tr.Pattern.Tapes, tr.Pattern.TapedEdges("T1"))
	}
	r := scene.Score(spec.Truth(), outlines)
	t.Log(r)
	if len(r.Missing)+len(r.Invented)+r.OpeningsMissing+r.OpeningsInvented > 0 {
		t.Errorf("missing %v, invented %v, openings -%d +%d", r.Missing, r.Invented, r.OpeningsMissing, r.OpeningsInvented)
	}
	if rms := max(r.FoundToTruth.RMSMM, r.TruthToFound.RMSMM); rms > 0.10 {
		t.Errorf("outline RMS %.3f mm, want at most 0.10", rms)
	}
	if r.MarksFoundPart() < 0.95 {
		t.Errorf("%d of %d marks", r.MarksFound, r.Marks)
	}
}

// checkEdges checks that edges cover the outline once, in order.
func checkEdges(t *testing.T, p pattern.Piece) {
	t.Helper()
	n := len(p.Outline.Segments)
	covered := make([]int, n)
	for _, e := range p.Edges {
		if !strings.HasPrefix(e.ID, p.ID) || e.Cut.Kind != pattern.Straight {
			t.Errorf("edge %q of piece %s, cut %q", e.ID, p.ID, e.Cut.Kind)
		}
		for k := range e.Count {
			covered[(e.First+k)%n]++
		}
	}
	for k, c := range covered {
		if c != 1 {
			t.Errorf("piece %s: segment %d lies on %d edges", p.ID, k, c)
		}
	}
}

func TestTraceOfABareMat(t *testing.T) {
	spec := scene.Demo().Resized(3)
	spec.Pieces = nil
	if _, err := trace.Trace(context.Background(), squared(t, spec), trace.Options{}); !errors.Is(err, trace.ErrNoPieces) {
		t.Errorf("a bare mat with a rule on it: %v", err)
	}
}

func TestTraceStops(t *testing.T) {
	s := squared(t, scene.Demo().Resized(3))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := trace.Trace(ctx, s, trace.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}
