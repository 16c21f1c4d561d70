package curve

import (
	"errors"
	"math"
	"testing"
)

func circle(r float64) Path {
	return Path{Segments: arc(pt(10, 5), r, 0, 360), Closed: true}
}

// TestOffsetOfCircle: the offset of a circle is a circle.
func TestOffsetOfCircle(t *testing.T) {
	for _, d := range []float64{-7, -0.5, 0, 3, 19} {
		q, err := Offset(circle(20), Constant(d), 0.001)
		if err != nil {
			t.Fatalf("distance %g: %v", d, err)
		}
		for _, p := range q.Flatten(1) {
			if got := dist(p, pt(10, 5)); math.Abs(got-(20-d)) > 1e-4 {
				t.Fatalf("distance %g: radius %.6f", d, got)
			}
		}
		if want := math.Pi * (20 - d) * (20 - d); math.Abs(q.Area()-want) > 0.001*2*math.Pi*(20-d) {
			t.Errorf("distance %g: area %.4f, want %.4f", d, q.Area(), want)
		}
	}
	var e *OffsetError
	if _, err := Offset(circle(20), Constant(21), 0.01); !errors.As(err, &e) {
		t.Errorf("offset past the centre: got %v", err)
	}
}

// TestOffsetOfConvexPolygon uses the area of a mitred outward offset,
// A + P·d + d²·Σtan(turn/2) (from memory; follows from adding one strip a
// side and two triangles a corner).
func TestOffsetOfConvexPolygon(t *testing.T) {
	for _, p := range []Path{
		Polygon(pt(0, 0), pt(40, 0), pt(40, 25), pt(0, 25)),
		Polygon(pt(0, 0), pt(50, 10), pt(60, 40), pt(20, 55), pt(-5, 30)),
	} {
		kites := 0.0
		for i, s := range p.Segments {
			kites += math.Tan(turn(s.Tangent(1), p.Segments[(i+1)%len(p.Segments)].Tangent(0)) / 2)
		}
		for _, d := range []float64{-2, 0.7, 3} {
			q, err := Offset(p, Constant(-d), 0.001)
			if err != nil {
				t.Fatal(err)
			}
			want := p.Area() + p.Length()*d + kites*d*d
			if math.Abs(q.Area()-want) > 1e-9*want {
				t.Errorf("distance %g: area %.9f, want %.9f", d, q.Area(), want)
			}
		}
	}
}

// TestOffsetDistancesPerEdge: a rectangle whose sides move by different
// distances stays a rectangle.
func TestOffsetDistancesPerEdge(t *testing.T) {
	d := []float64{1, 2, 3, -4}
	q, err := Offset(Polygon(pt(0, 0), pt(40, 0), pt(40, 25), pt(0, 25)), func(i int, _ float64) float64 { return d[i] }, 0.01)
	if err != nil {
		t.Fatal(err)
	}
	b := q.Bounds()
	if b.Min != pt(-4, 1) || b.Max != pt(38, 22) {
		t.Errorf("bounds %v", b)
	}
}

func TestOffsetIntoCurvedCorner(t *testing.T) {
	// A half disc: the corner between the arc and its chord.
	p := closeUp(arc(pt(0, 0), 30, 180, 360))
	q, err := Offset(p, Constant(4), 0.002)
	if err != nil {
		t.Fatal(err)
	}
	// Segment of the circle of radius 26 above the line y = −4.
	a := math.Acos(4.0 / 26)
	want := 26*26*a - 4*26*math.Sin(a)
	if math.Abs(q.Area()-want) > 0.002*q.Length() {
		t.Errorf("area %.4f, want %.4f", q.Area(), want)
	}
}

func TestOffsetRefuses(t *testing.T) {
	for _, c := range []struct {
		name string
		path Path
		d    float64
		near float64
		at   [2]float64
	}{
		{"rectangle too narrow", Polygon(pt(0, 0), pt(40, 0), pt(40, 5), pt(0, 5)), 3, 45, [2]float64{20, 2}},
		{"waist", Polygon(pt(0, 0), pt(20, 0), pt(20, 9), pt(40, 9), pt(40, 0), pt(60, 0), pt(60, 20), pt(40, 20), pt(40, 11), pt(20, 11), pt(20, 20), pt(0, 20)), 1.2, 12, [2]float64{30, 10}},
		{"short side", Polygon(pt(0, 0), pt(40, 0), pt(41, 1), pt(41, 30), pt(0, 30)), 6, 12, [2]float64{40, 0}},
		{"tight curve", closeUp(arc(pt(0, 0), 3, 0, 180), []Segment{Line(pt(-20, -30), pt(20, -30))}), 3.5, 4, [2]float64{0, 2}},
	} {
		_, err := Offset(c.path, Constant(c.d), 0.005)
		var e *OffsetError
		if !errors.As(err, &e) {
			t.Errorf("%s: got %v", c.name, err)
			continue
		}
		if dist(e.At, pt(c.at[0], c.at[1])) > c.near {
			t.Errorf("%s: told at %v", c.name, e.At)
		}
	}
}

// TestOffsetVarying: along a line a linear distance gives a slanted line.
func TestOffsetVarying(t *testing.T) {
	q, err := Offset(Polyline(pt(0, 0), pt(10, 0)), func(_ int, t float64) float64 { return 1 + 2*t }, 0.001)
	if err != nil {
		t.Fatal(err)
	}
	n := len(q.Segments)
	if q.Segments[0].P0 != pt(0, 1) || dist(q.Segments[n-1].P3, pt(10, 3)) > 1e-9 {
		t.Errorf("from %v to %v", q.Segments[0].P0, q.Segments[n-1].P3)
	}
}

// TestOffsetOverWiggles: a bump as tracing leaves them, too tight for the
// distance, is passed over; the offset of the straight side around it stays
// where it is.
func TestOffsetOverWiggles(t *testing.T) {
	p := closeUp([]Segment{
		Line(pt(0, 0), pt(28, 0)),
		Cubic(pt(28, 0), pt(29.3, 0), pt(29.3, 0.15), pt(30, 0.15)),
		Cubic(pt(30, 0.15), pt(30.7, 0.15), pt(30.7, 0), pt(32, 0)),
		Line(pt(32, 0), pt(60, 0)),
		Line(pt(60, 0), pt(60, 40)),
		Line(pt(60, 40), pt(0, 40)),
	})
	q, err := Offset(p, Constant(8), 0.005)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range q.Flatten(0.01) {
		if c.Y < 15 && (c.Y < 7.9 || c.Y > 8.3) && c.X > 9 && c.X < 51 {
			t.Errorf("the side lies at %v, want y = 8 to 8.15", c)
		}
	}
	if want := 44.0 * 24; math.Abs(q.Area()-want) > 4 {
		t.Errorf("area %.2f, want about %.0f", q.Area(), want)
	}
}

// TestOffsetCutsPastShortSegments: a corner may take more of the neighbouring
// side than the segment beside it.
func TestOffsetCutsPastShortSegments(t *testing.T) {
	p := Polygon(pt(0, 0), pt(60, 0), pt(60, 3), pt(60.01, 6), pt(60, 9), pt(60, 40), pt(0, 40))
	q, err := Offset(p, func(i int, _ float64) float64 {
		if i == 0 {
			return 10
		}
		return 0
	}, 0.005)
	if err != nil {
		t.Fatal(err)
	}
	if want := 60.0 * 30; math.Abs(q.Area()-want) > 0.1 {
		t.Errorf("area %.3f, want %.0f", q.Area(), want)
	}
}
