package curve

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
)

func drawPoint(t *rapid.T) mat.Point {
	f := rapid.Float64Range(-100, 100)
	return pt(f.Draw(t, "x"), f.Draw(t, "y"))
}

func drawSegment(t *rapid.T) Segment {
	if rapid.Bool().Draw(t, "line") {
		return Line(drawPoint(t), drawPoint(t))
	}
	return Cubic(drawPoint(t), drawPoint(t), drawPoint(t), drawPoint(t))
}

// drawRing returns a star-shaped closed path of cubics and lines.
func drawRing(t *rapid.T) Path {
	n := rapid.IntRange(3, 7).Draw(t, "n")
	q := make([]mat.Point, n)
	for i := range q {
		q[i] = scale(direction(2*math.Pi*float64(i)/float64(n)), rapid.Float64Range(20, 60).Draw(t, "r"))
	}
	p := Path{Closed: true}
	for i, a := range q {
		b := q[(i+1)%n]
		if rapid.Bool().Draw(t, "line") {
			p.Segments = append(p.Segments, Line(a, b))
			continue
		}
		out := leftOf(sub(b, a))
		k := rapid.Float64Range(-0.2, 0.2).Draw(t, "bulge")
		p.Segments = append(p.Segments, Cubic(a, along(lerp(a, b, 0.3), out, k), along(lerp(a, b, 0.7), out, k), b))
	}
	return p
}

// TestGaussRule integrates x⁹, of the highest degree that five points can.
func TestGaussRule(t *testing.T) {
	sum := 0.0
	for i, x := range gaussNode {
		sum += gaussWeight[i] * math.Pow(1+x, 9)
	}
	if want := math.Pow(2, 10) / 10; math.Abs(sum-want) > 1e-12*want {
		t.Errorf("∫(1+x)⁹ = %.15g, want %.15g", sum, want)
	}
}

// TestDerivatives against central differences.
func TestDerivatives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSegment(t)
		u := rapid.Float64Range(0.01, 0.99).Draw(t, "t")
		const h = 1e-4
		d := scale(sub(s.Eval(u+h), s.Eval(u-h)), 1/(2*h))
		if dist(d, s.Derivative(u)) > 1e-4 {
			t.Fatalf("derivative %v, differences %v", s.Derivative(u), d)
		}
		dd := scale(sub(s.Derivative(u+h), s.Derivative(u-h)), 1/(2*h))
		if dist(dd, s.Second(u)) > 1e-4 {
			t.Fatalf("second derivative %v, differences %v", s.Second(u), dd)
		}
	})
}

// TestSegmentProperties: flattening keeps its bound, the box is tight, the
// pieces of a split are the segment, the nearest point of a point of the
// segment is that point.
func TestSegmentProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSegment(t)
		u := rapid.Float64Range(0, 1).Draw(t, "t")
		v := rapid.Float64Range(0, 1).Draw(t, "v")
		q := s.Eval(u)
		tol := rapid.SampledFrom([]float64{0.01, 0.1, 1}).Draw(t, "tolerance")
		flat := Path{Segments: []Segment{s}}.Flatten(tol)
		off := math.Inf(1)
		for i := 1; i < len(flat); i++ {
			off = math.Min(off, pointToChord(q, flat[i-1], flat[i]))
		}
		if off > tol {
			t.Fatalf("point %.4f mm from the polyline of tolerance %g", off, tol)
		}
		b := s.Bounds()
		grown := Box{Min: sub(b.Min, pt(1e-9, 1e-9)), Max: add(b.Max, pt(1e-9, 1e-9))}
		if !grown.Contains(q) {
			t.Fatalf("%v outside %v", q, b)
		}
		first, second := s.Split(u)
		if dist(first.Eval(v), s.Eval(u*v)) > 1e-9 || dist(second.Eval(v), s.Eval(u+(1-u)*v)) > 1e-9 {
			t.Fatal("the parts of a split lie elsewhere")
		}
		if l := first.Length(1e-9) + second.Length(1e-9); math.Abs(l-s.Length(1e-9)) > 1e-6 {
			t.Fatalf("parts of %.9f mm make %.9f", l, s.Length(1e-9))
		}
		if dist(s.Reverse().Eval(1-u), q) > 1e-9 {
			t.Fatal("reversed segment lies elsewhere")
		}
		if _, d := s.Nearest(q); d > 1e-6 {
			t.Fatalf("a point of the segment is %.9f mm from it", d)
		}
	})
}

// TestBoundsAreTight: some point of the segment touches every side.
func TestBoundsAreTight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSegment(t)
		seen := emptyBox()
		for i := range 4001 {
			seen = seen.with(s.Eval(float64(i) / 4000))
		}
		b := s.Bounds()
		if dist(b.Min, seen.Min)+dist(b.Max, seen.Max) > 1e-3 {
			t.Fatalf("bounds %v, seen %v", b, seen)
		}
	})
}

// TestRigidMotions keep length and area; mirroring keeps the way round.
func TestRigidMotions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawRing(t)
		m := Rotation(drawPoint(t), rapid.Float64Range(-4, 4).Draw(t, "angle")).Then(Translation(drawPoint(t)))
		mirrored := p.Mirror(drawPoint(t), direction(rapid.Float64Range(-4, 4).Draw(t, "axis")))
		for _, q := range []Path{p.Transform(m), mirrored} {
			if math.Abs(q.Area()-p.Area()) > 1e-7 || math.Abs(q.Length()-p.Length()) > 1e-6 {
				t.Fatalf("area %.9f to %.9f, length %.9f to %.9f", p.Area(), q.Area(), p.Length(), q.Length())
			}
		}
		if r := p.Reverse(); math.Abs(r.Area()+p.Area()) > 1e-7 {
			t.Fatalf("reversed area %.9f of %.9f", r.Area(), p.Area())
		}
	})
}

// TestAreaByPolygon and length against a fine polyline.
func TestAreaByPolygon(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawRing(t)
		flat := Polygon(p.Flatten(1e-4)...)
		if math.Abs(flat.Area()-p.Area()) > 1e-4*p.Length() || flat.Length() > p.Length()+1e-9 || p.Length()-flat.Length() > 0.01 {
			t.Fatalf("area %.6f and %.6f, length %.6f and %.6f", p.Area(), flat.Area(), p.Length(), flat.Length())
		}
	})
}

// TestPlacesAlongPath: arc length there and back.
func TestPlacesAlongPath(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawRing(t)
		want := rapid.Float64Range(0, 0.999).Draw(t, "share") * p.Length()
		at, err := p.PositionAt(want)
		if err != nil {
			t.Fatal(err)
		}
		if got := p.LengthTo(at); math.Abs(got-want) > 1e-5 {
			t.Fatalf("at %.6f mm, back %.6f", want, got)
		}
		place, err := p.Nearest(p.Eval(at))
		if err != nil || place.DistanceMM > 1e-6 {
			t.Fatalf("%.9f mm off: %v", place.DistanceMM, err)
		}
		split, rest, err := p.Split(at)
		if err != nil || len(rest.Segments) != 0 || math.Abs(split.Length()-p.Length()) > 1e-5 || dist(split.Segments[0].P0, p.Eval(at)) > 1e-9 {
			t.Fatalf("split: %v", err)
		}
		whole, err := p.Insert(at)
		if err != nil || math.Abs(whole.Area()-p.Area()) > 1e-7 {
			t.Fatalf("insert: %v", err)
		}
	})
}

// TestNearestBySearch against a dense search.
func TestNearestBySearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := drawRing(t), drawPoint(t)
		got, err := p.Nearest(q)
		if err != nil {
			t.Fatal(err)
		}
		best := math.Inf(1)
		for _, x := range densePoints(p, 0.05) {
			best = math.Min(best, dist(x, q))
		}
		if got.DistanceMM > best+1e-6 || got.DistanceMM < best-0.05 {
			t.Fatalf("%.6f mm, a search finds %.6f", got.DistanceMM, best)
		}
		index := newPolyIndex(p.Flatten(1e-3), true)
		if d := index.distance(q); math.Abs(d-got.DistanceMM) > 2e-3 {
			t.Fatalf("%.6f mm, the index says %.6f", got.DistanceMM, d)
		}
	})
}

// TestEllipsePerimeter: the perimeter of the ellipse 60 × 35 by the
// arithmetic-geometric mean (Gauss; Abramowitz and Stegun 17.6; from memory).
func TestEllipsePerimeter(t *testing.T) {
	a, b := 60.0, 35.0
	x, y, sum, k := a, b, 0.0, 0.5
	for range 8 {
		c := (x - y) / 2
		x, y = (x+y)/2, math.Sqrt(x*y)
		k *= 2
		sum += k * c * c
	}
	want := 2 * math.Pi * ((a*a+b*b)/2 - sum) / x
	p := Path{Segments: ellipseArc(pt(3, 4), a, b, 0, 360), Closed: true}
	if got := p.Length(); math.Abs(got-want) > 1e-4 {
		t.Errorf("perimeter %.7f, want %.7f", got, want)
	}
	if got := p.Area(); math.Abs(got-math.Pi*a*b) > 1e-3 {
		t.Errorf("area %.6f, want %.6f", got, math.Pi*a*b)
	}
}

func TestWinding(t *testing.T) {
	p := Polygon(pt(0, 0), pt(40, 0), pt(40, 30), pt(20, 10), pt(0, 30))
	for _, c := range []struct {
		q    mat.Point
		want int
	}{{pt(5, 5), 1}, {pt(20, 5), 1}, {pt(20, 20), 0}, {pt(35, 20), 1}, {pt(-1, 5), 0}, {pt(50, 0), 0}} {
		if got := p.Winding(c.q, 0.01); got != c.want {
			t.Errorf("%v: %d, want %d", c.q, got, c.want)
		}
		if got := p.Reverse().Winding(c.q, 0.01); got != -c.want {
			t.Errorf("%v reversed: %d, want %d", c.q, got, -c.want)
		}
	}
}

func TestSelfCrossing(t *testing.T) {
	for _, c := range []struct {
		name string
		p    Path
		at   mat.Point
		hit  bool
	}{
		{"square", Polygon(pt(0, 0), pt(10, 0), pt(10, 10), pt(0, 10)), mat.Point{}, false},
		{"bow tie", Polygon(pt(0, 0), pt(10, 10), pt(10, 0), pt(0, 10)), pt(5, 5), true},
		{"loop of one cubic", Path{Segments: []Segment{Cubic(pt(0, 0), pt(30, 20), pt(-20, 20), pt(10, 0))}}, pt(5, 3.75), true},
		{"panel", panel(), mat.Point{}, false},
		{"edge laid on itself", Polyline(pt(0, 0), pt(10, 0), pt(10, 5), pt(5, 5), pt(5, 0), pt(8, 0)), pt(5, 0), true},
	} {
		got, hit := c.p.SelfCrossing(0.001)
		if hit != c.hit || hit && dist(got.At, c.at) > 0.01 {
			t.Errorf("%s: %v %v", c.name, got, hit)
		}
		if hit && (dist(c.p.Segments[got.A.Segment].P0, got.At) > 60 || got.A == got.B) {
			t.Errorf("%s: places %v and %v", c.name, got.A, got.B)
		}
	}
}

func TestEmptyPaths(t *testing.T) {
	var p Path
	if p.Length() != 0 || p.Area() != 0 || !p.Bounds().Empty() || len(p.Flatten(0.1)) != 0 {
		t.Error("an empty path has extent")
	}
	if _, err := p.Nearest(pt(1, 1)); err == nil {
		t.Error("an empty path has a nearest point")
	}
	if _, err := p.PointAtLength(1); err == nil {
		t.Error("an empty path has a point")
	}
	if _, _, err := p.Split(Position{}); err == nil {
		t.Error("an empty path was split")
	}
	if _, hit := p.SelfCrossing(0.1); hit {
		t.Error("an empty path crosses itself")
	}
	if _, err := Offset(p, Constant(1), 0.1); err == nil {
		t.Error("an empty path was offset")
	}
}
