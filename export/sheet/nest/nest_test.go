package nest

import (
	"context"
	"math"
	"testing"
	"time"

	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
)

func rect(w, h float64) polygon.Shape {
	return polygon.Shape{Outline: []mat.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}}
}

func solve(t *testing.T, p Problem, o Options) Result {
	t.Helper()
	r, err := Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// verify checks a layout without the engine's own geometry: pieces keep the
// gap from each other and from blocked parts, and lie inside their bins.
func verify(t *testing.T, p Problem, r Result) {
	t.Helper()
	const slack = 1e-6
	shapes := make([]polygon.Shape, len(r.Placements))
	for i, q := range r.Placements {
		shapes[i] = p.Pieces[q.Piece].Shape.Placed(q.TurnDeg, q.ShiftMM)
		b := polygon.BoxOf(shapes[i].Outline)
		length, width := r.LengthMM, p.StripWidthMM
		if p.Bins != nil {
			length, width = p.Bins[q.Bin].LengthMM, p.Bins[q.Bin].WidthMM
			for _, o := range p.Bins[q.Bin].Blocked {
				if d := polygon.DistanceMM(shapes[i], o); d < p.MarginMM-slack || p.MarginMM == 0 && overlap(shapes[i], o) {
					t.Errorf("piece %d lies %g mm from a blocked part", q.Piece, d)
				}
			}
		}
		if m := p.MarginMM - slack; b.MinX < m || b.MinY < m || b.MaxX > length-m || b.MaxY > width-m {
			t.Errorf("piece %d at %+v leaves its sheet of %g × %g mm", q.Piece, b, length, width)
		}
		for j := range i {
			if r.Placements[j].Bin != q.Bin {
				continue
			}
			if p.GapMM > 0 {
				if d := polygon.DistanceMM(shapes[i], shapes[j]); d < p.GapMM-slack {
					t.Errorf("pieces %d and %d lie %g mm apart, want %g", i, j, d, p.GapMM)
				}
			} else if overlap(shapes[i], shapes[j]) {
				t.Errorf("pieces %d and %d overlap", i, j)
			}
		}
	}
}

// overlap reports whether two shapes share more than their borders: they do
// when each, drawn in by a hair, still meets the other.
func overlap(a, b polygon.Shape) bool {
	in := func(s polygon.Shape) polygon.Shape {
		box := polygon.BoxOf(s.Outline)
		cx, cy := (box.MinX+box.MaxX)/2, (box.MinY+box.MaxY)/2
		return s.Map(func(p mat.Point) mat.Point {
			return mat.Point{X: cx + (p.X-cx)*(1-1e-7), Y: cy + (p.Y-cy)*(1-1e-7)}
		})
	}
	return polygon.DistanceMM(in(a), in(b)) == 0
}

// Four squares of 10 fill a strip 20 wide to a length of 20 exactly.
func TestSquaresFillAStrip(t *testing.T) {
	p := Problem{StripWidthMM: 20, Pieces: []Piece{{Name: "A", Shape: rect(10, 10), Count: 4, TurnsDeg: []float64{0}}}}
	r := solve(t, p, Options{Seed: 1, Moves: 200})
	verify(t, p, r)
	if math.Abs(r.LengthMM-20) > 1e-6 {
		t.Errorf("the strip is %g mm long, want 20", r.LengthMM)
	}
}

// Two right triangles lie together as a rectangle when they may be turned
// round, and cannot when they may not.
func TestTrianglesPairUp(t *testing.T) {
	tri := polygon.Shape{Outline: []mat.Point{{}, {X: 30}, {Y: 20}}}
	p := Problem{StripWidthMM: 20.001, Pieces: []Piece{{Name: "A", Shape: tri, Count: 2, TurnsDeg: []float64{0, 180}}}}
	r := solve(t, p, Options{Seed: 1, Moves: 3000})
	verify(t, p, r)
	if r.LengthMM > 30.02 {
		t.Errorf("turned: %g mm long, want 30", r.LengthMM)
	}
	p.Pieces[0].TurnsDeg = []float64{0}
	r = solve(t, p, Options{Seed: 1, Moves: 1000})
	verify(t, p, r)
	if r.LengthMM < 59.9 {
		t.Errorf("not turned: %g mm long, cannot be below 60", r.LengthMM)
	}
}

// A piece that fits in another's opening goes there, with the gap all round.
func TestOpeningsAreUsed(t *testing.T) {
	frame := rect(100, 100)
	frame.Openings = [][]mat.Point{{{X: 20, Y: 20}, {X: 80, Y: 20}, {X: 80, Y: 80}, {X: 20, Y: 80}}}
	p := Problem{
		Bins:  []Bin{{LengthMM: 104, WidthMM: 104}, {LengthMM: 104, WidthMM: 104}},
		GapMM: 3, MarginMM: 2,
		Pieces: []Piece{{Name: "A", Shape: frame, Count: 1}, {Name: "B", Shape: rect(53, 53), Count: 1}},
	}
	r := solve(t, p, Options{Seed: 1, Moves: 5000})
	verify(t, p, r)
	if r.Bins != 1 || len(r.Left) != 0 {
		t.Errorf("%d sheets are used and %d pieces left; both fit on one", r.Bins, len(r.Left))
	}
	p.Pieces[1].Shape = rect(55, 55) // 60 - 2·3 = 54
	if r = solve(t, p, Options{Seed: 1, Moves: 2000}); r.Bins != 2 {
		t.Errorf("a piece that leaves no gap lies in the opening")
	}
	verify(t, p, r)
}

// An off-cut shaped like an L is used in its foot and its leg, not outside.
func TestBlockedParts(t *testing.T) {
	p := Problem{
		Bins:     []Bin{{LengthMM: 100, WidthMM: 100, Blocked: []polygon.Shape{rect(60, 60).Placed(0, mat.Point{X: 50, Y: -10})}}},
		MarginMM: 1,
		Pieces:   []Piece{{Name: "A", Shape: rect(96, 45), Count: 1, TurnsDeg: []float64{0, 90}}, {Name: "B", Shape: rect(45, 48), Count: 1, TurnsDeg: []float64{0}}},
	}
	r := solve(t, p, Options{Seed: 3, Moves: 4000})
	verify(t, p, r)
	if len(r.Placements) != 2 {
		t.Errorf("%d of 2 pieces found room", len(r.Placements))
	}
}

func TestAnswersDoNotDependOnChance(t *testing.T) {
	p := Problem{StripWidthMM: 100, GapMM: 1, MarginMM: 2, Pieces: []Piece{
		{Name: "A", Shape: rect(40, 23), Count: 3},
		{Name: "B", Shape: polygon.Shape{Outline: []mat.Point{{}, {X: 50}, {X: 50, Y: 10}, {X: 10, Y: 10}, {X: 10, Y: 40}, {Y: 40}}}, Count: 4},
	}}
	a := solve(t, p, Options{Seed: 7, Moves: 8000})
	b := solve(t, p, Options{Seed: 7, Moves: 8000})
	verify(t, p, a)
	if len(a.Placements) != len(b.Placements) {
		t.Fatal("two runs differ")
	}
	for i := range a.Placements {
		if a.Placements[i] != b.Placements[i] {
			t.Fatalf("placement %d differs: %v and %v", i, a.Placements[i], b.Placements[i])
		}
	}
}

func TestCancelledSearchGivesWhatItHas(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	p := Problem{StripWidthMM: 100, Pieces: []Piece{{Name: "A", Shape: rect(40, 23), Count: 30}}}
	start := time.Now()
	r, err := Solve(ctx, p, Options{Seed: 1, Progress: func(Progress) { cancel() }})
	if err != nil || len(r.Placements) != 30 {
		t.Fatalf("%d of 30 pieces, error %v", len(r.Placements), err)
	}
	verify(t, p, r)
	if d := time.Since(start); d > 5*time.Second {
		t.Errorf("it took %v to stop", d)
	}
}

func TestStockThatRunsOut(t *testing.T) {
	p := Problem{Bins: []Bin{{LengthMM: 50, WidthMM: 50}}, Pieces: []Piece{{Name: "A", Shape: rect(30, 30), Count: 3}}}
	r := solve(t, p, Options{Seed: 1, Moves: 500})
	if len(r.Placements) != 1 || len(r.Left) != 2 {
		t.Errorf("%d placed and %d left, want 1 and 2", len(r.Placements), len(r.Left))
	}
}

func TestRefusals(t *testing.T) {
	bow := polygon.Shape{Outline: []mat.Point{{}, {X: 10, Y: 10}, {X: 10}, {Y: 10}}}
	for name, p := range map[string]Problem{
		"crossing itself": {StripWidthMM: 50, Pieces: []Piece{{Name: "A", Shape: bow, Count: 1}}},
		"no outline":      {StripWidthMM: 50, Pieces: []Piece{{Name: "A", Count: 1}}},
		"not a number":    {StripWidthMM: 50, Pieces: []Piece{{Name: "A", Shape: rect(math.NaN(), 3), Count: 1}}},
		"negative gap":    {StripWidthMM: 50, GapMM: -1},
		"no width":        {StripWidthMM: 4, MarginMM: 2},
	} {
		if _, err := Solve(context.Background(), p, Options{Moves: 10}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := Solve(context.Background(), Problem{StripWidthMM: 5}, Options{}); err == nil {
		t.Error("a search without bounds is begun")
	}
}
