package trace_test

import (
	"context"
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// strap is a tapering piece, 1000 mm long and so too large for the mat, with
// registration marks in its middle, drawn as it lies on the mat when it has
// been pushed back by shiftMM and turned a little.
func strap(spec scene.Spec, shiftMM, turnDeg float64) (scene.Spec, func(mat.Point) mat.Point) {
	sin, cos := math.Sincos(turnDeg * math.Pi / 180)
	lies := func(p mat.Point) mat.Point {
		x, y := p.X-shiftMM, p.Y+170
		return mat.Point{X: x*cos - y*sin, Y: x*sin + y*cos}
	}
	p := spec.Pieces[0]
	p.ThicknessMM, p.Edges, p.Texts, p.Lines, p.Openings = 0, nil, nil, nil, nil
	p.Outline, p.Marks = nil, nil
	for k := range 101 {
		p.Outline = append(p.Outline, lies(mat.Point{X: 10 * float64(k), Y: 20 * math.Pow(float64(k)/100, 2)}))
	}
	for k := 100; k >= 0; k-- {
		p.Outline = append(p.Outline, lies(mat.Point{X: 10 * float64(k), Y: 140 - 10*float64(k)/100}))
	}
	p.Corners = nil
	for _, x := range []float64{450, 520} {
		top, low := 20*math.Pow(x/1000, 2), 140-10*x/1000
		p.Marks = append(p.Marks,
			scene.Mark{At: lies(mat.Point{X: x, Y: top}), In: lies(mat.Point{X: x, Y: top + 7})},
			scene.Mark{At: lies(mat.Point{X: x, Y: low}), In: lies(mat.Point{X: x, Y: low - 7})})
	}
	spec.Pieces, spec.Objects = []scene.Piece{p}, nil
	return spec, lies
}

// A piece too large for the mat, photographed twice: the two parts are found,
// and joined at the registration marks they are the whole piece.
func TestAPieceOfTwoPhotographs(t *testing.T) {
	var whole pattern.Pattern
	var ids []string
	var shared [][]mat.Point
	var truth scene.Truth
	for k, lie := range [2][2]float64{{-60, 0}, {420, 1.2}} {
		spec, lies := strap(scene.Demo().Resized(2.5), lie[0], lie[1])
		again, err := trace.LookAgain(context.Background(), squared(t, spec))
		if err != nil {
			t.Fatal(err)
		}
		part, _, err := again.PartAt(lies(mat.Point{X: 480, Y: 70}), trace.Options{})
		if err != nil {
			t.Fatalf("photograph %d: %v", k+1, err)
		}
		var one pattern.Pattern
		if _, err := one.Add(part); err != nil {
			t.Fatal(err)
		}
		d := whole.Below(one)
		ids = append(ids, whole.Append(one, curve.Translation(d))["A"])
		var at []mat.Point
		for _, m := range spec.Pieces[0].Marks {
			q := nearestMark(part, m.At)
			at = append(at, mat.Point{X: q.X + d.X, Y: q.Y + d.Y})
		}
		shared = append(shared, at)
		if k == 0 {
			truth = spec.Truth()
		}
	}
	out, err := whole.JoinParts(ids[0], shared[0], ids[1], shared[1])
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("points miss by %.3f mm (RMS %.3f), outlines by %.3f, stretch %.5f", out.Fit.WorstMM, out.Fit.RMSMM, out.EndsMM, out.Fit.Stretch)
	if out.Fit.WorstMM > 0.3 || out.EndsMM > 0.3 || len(whole.Pieces) != 1 {
		t.Errorf("%+v, %d pieces", out, len(whole.Pieces))
	}
	r := scene.Score(truth, []scene.Outline{{Polygon: whole.Pieces[0].Outline.Flatten(0.01)}})
	t.Log(r)
	if rms := max(r.FoundToTruth.RMSMM, r.TruthToFound.RMSMM); rms > 0.15 {
		t.Errorf("the whole piece is off by RMS %.3f mm", rms)
	}
}

// nearestMark is where a piece's mark next to a point meets the outline.
func nearestMark(p pattern.Piece, at mat.Point) mat.Point {
	best, near := mat.Point{}, math.Inf(1)
	for _, m := range p.Marks {
		if d := math.Hypot(m.At.X-at.X, m.At.Y-at.Y); d < near {
			best, near = m.At, d
		}
	}
	return best
}
