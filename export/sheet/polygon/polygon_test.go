package polygon

import (
	"math"
	"testing"

	"flatwright/rectify/mat"
	"pgregory.net/rapid"
)

func ring(xy ...float64) []mat.Point {
	var out []mat.Point
	for i := 0; i < len(xy); i += 2 {
		out = append(out, mat.Point{X: xy[i], Y: xy[i+1]})
	}
	return out
}

// anyShape is a star about the origin, with an opening round its middle if it
// is wide enough there.
func anyShape(t *rapid.T) Shape {
	n := rapid.IntRange(3, 24).Draw(t, "corners")
	var s Shape
	least := math.Inf(1)
	for i := range n {
		r := rapid.Float64Range(8, 50).Draw(t, "radius")
		least = min(least, r)
		a := 2 * math.Pi * float64(i) / float64(n)
		s.Outline = append(s.Outline, mat.Point{X: r * math.Cos(a), Y: r * math.Sin(a)})
	}
	if rapid.Bool().Draw(t, "opening") {
		m := rapid.IntRange(3, 8).Draw(t, "opening's corners")
		r := 0.4 * least * math.Cos(math.Pi/float64(n))
		var o []mat.Point
		for i := range m {
			a := 2*math.Pi*float64(i)/float64(m) + 0.3
			o = append(o, mat.Point{X: r * math.Cos(a), Y: r * math.Sin(a)})
		}
		s.Openings = append(s.Openings, o)
	}
	if rapid.Bool().Draw(t, "the other way round") {
		reverse(s.Outline)
	}
	return s
}

// Parts are convex, and together they are the shape: a point lies in as many
// parts as in the shape, and areas add up.
func TestPartsMakeUpTheShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyShape(t)
		parts, err := Parts(s)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, p := range parts {
			sum += Area(p)
			for i := range p {
				if c := cross(p[i], p[(i+1)%len(p)], p[(i+2)%len(p)]); c < -1e-6 {
					t.Fatalf("part %v is hollow by %g", p, c)
				}
			}
		}
		if math.Abs(sum-s.AreaMM2()) > 1e-6*s.AreaMM2() {
			t.Fatalf("parts have %g mm², the shape %g", sum, s.AreaMM2())
		}
		q := mat.Point{X: rapid.Float64Range(-50, 50).Draw(t, "x"), Y: rapid.Float64Range(-50, 50).Draw(t, "y")}
		n := 0
		for _, p := range parts {
			if Holds(p, q) {
				n++
			}
		}
		if nearRing(s, q) > 1e-6 && (n == 1) != s.Holds(q) && nearParts(parts, q) > 1e-6 {
			t.Fatalf("%v lies in %d parts; in the shape: %t", q, n, s.Holds(q))
		}
	})
}

func nearRing(s Shape, q mat.Point) float64 {
	return nearParts(s.Rings(), q)
}

func nearParts(rings [][]mat.Point, q mat.Point) float64 {
	least := math.Inf(1)
	for _, r := range rings {
		least = min(least, toRing(q, r))
	}
	return least
}

// A covering holds every corner of the shape and the middles of its sides,
// reaches no farther than asked, and has no more corners.
func TestCoverHoldsTheShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyShape(t).oriented()
		tol := rapid.Float64Range(0.01, 8).Draw(t, "tolerance")
		c := Cover(s, tol)
		if len(c.Outline) > len(s.Outline) || c.AreaMM2() < s.AreaMM2()*(1-1e-9) {
			t.Fatalf("%d corners and %g mm² of %d and %g", len(c.Outline), c.AreaMM2(), len(s.Outline), s.AreaMM2())
		}
		for _, r := range s.Rings() {
			for i, p := range r {
				q := r[(i+1)%len(r)]
				for _, v := range []mat.Point{p, {X: (p.X + q.X) / 2, Y: (p.Y + q.Y) / 2}} {
					if !c.Holds(v) && nearRing(c, v) > 1e-7 {
						t.Fatalf("%v is left out by %g mm", v, nearRing(c, v))
					}
				}
			}
		}
		for _, v := range c.Outline {
			if d := nearRing(s, v); d > tol+1e-9 {
				t.Fatalf("a corner reaches %g mm beyond, more than %g", d, tol)
			}
		}
		if _, err := Parts(c); err != nil {
			t.Fatalf("the covering crosses itself: %v", err)
		}
	})
}

func TestCoverRounds(t *testing.T) {
	var circle Shape
	const n, r = 400, 100.0
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		circle.Outline = append(circle.Outline, mat.Point{X: r * math.Cos(a), Y: r * math.Sin(a)})
	}
	// A regular polygon round a circle reaches r(1/cos(π/k) - 1) beyond: 0.3 mm
	// for k = 41.
	if c := Cover(circle, 0.3); len(c.Outline) < 30 || len(c.Outline) > 90 {
		t.Errorf("a circle of 400 corners is covered by %d", len(c.Outline))
	}
}

func TestDistance(t *testing.T) {
	square := Shape{Outline: ring(0, 0, 10, 0, 10, 10, 0, 10)}
	frame := Shape{Outline: ring(0, 0, 30, 0, 30, 30, 0, 30), Openings: [][]mat.Point{ring(5, 5, 5, 25, 25, 25, 25, 5)}}
	for name, c := range map[string]struct {
		a, b Shape
		want float64
	}{
		"side by side":     {square, square.Placed(0, mat.Point{X: 13}), 3},
		"corner to corner": {square, square.Placed(0, mat.Point{X: 13, Y: 14}), 5},
		"touching":         {square, square.Placed(0, mat.Point{X: 10, Y: 4}), 0},
		"crossing":         {square, square.Placed(45, mat.Point{X: 8, Y: 2}), 0},
		"the same":         {square, square, 0},
		"inside":           {square, Shape{Outline: ring(4, 4, 5, 4, 5, 5)}, 0},
		"in the opening":   {frame, square.Placed(0, mat.Point{X: 8, Y: 7}), 2},
		"in the frame":     {frame, Shape{Outline: ring(1, 1, 3, 1, 3, 3)}, 0},
		"round it":         {square.Placed(0, mat.Point{X: 8, Y: 7}), frame, 2},
	} {
		if got := DistanceMM(c.a, c.b); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %g mm, want %g", name, got, c.want)
		}
	}
}

func TestPartsRefuse(t *testing.T) {
	for name, s := range map[string]Shape{
		"crossing itself": {Outline: ring(0, 0, 10, 10, 10, 0, 0, 10)},
		"no points":       {},
		"a line":          {Outline: ring(0, 0, 5, 0, 9, 0)},
	} {
		if p, err := Parts(s); err == nil {
			t.Errorf("%s: parts %v", name, p)
		}
	}
}

func TestTurnsAreExactAtQuarters(t *testing.T) {
	for deg, want := range map[float64][2]float64{0: {0, 1}, 90: {1, 0}, -90: {-1, 0}, 180: {0, -1}, 450: {1, 0}, -180: {0, -1}, 270: {-1, 0}} {
		if s, c := SinCosDeg(deg); s != want[0] || c != want[1] {
			t.Errorf("%g°: %g, %g", deg, s, c)
		}
	}
}
