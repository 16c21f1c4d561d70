package pattern

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// unfold makes a piece of every face of a convex solid about the origin and
// pairs the edges that were one. It returns the angle between the faces along
// every seam, from their normals: a way that knows nothing of corners.
func unfold(t *testing.T, faces [][]point3, thickMM float64) (Pattern, map[string]float64) {
	t.Helper()
	type edge struct {
		id  string
		out point3
	}
	met := map[[2]point3]edge{}
	var pairs [][2]string
	var want []float64
	var pieces []Piece
	for i, f := range faces {
		goRound(f)
		o, x, y, out := trueFrame(f)
		var corners []mat.Point
		for _, q := range f {
			d := q.minus(o)
			corners = append(corners, pt(d.dot(x), d.dot(y)))
		}
		pieces = append(pieces, Piece{ID: Letters(i), Outline: curve.Polygon(corners...), ThicknessMM: thickMM})
		for k := range f {
			key := rounded([2]point3{f[k], f[(k+1)%len(f)]})
			back := [2]point3{key[1], key[0]}
			me := edge{fmt.Sprintf("%s%d", Letters(i), k+1), out}
			if other, ok := met[back]; ok {
				pairs = append(pairs, [2]string{other.id, me.id})
				want = append(want, 180-math.Acos(other.out.dot(out))*180/math.Pi)
			}
			met[key] = me
		}
	}
	p, err := New("solid", pieces...)
	if err != nil {
		t.Fatal(err)
	}
	angles := map[string]float64{}
	for i, pair := range pairs {
		id, err := p.Pair(Facing(pair[0], pair[1]))
		if err != nil {
			t.Fatal(err)
		}
		angles[id] = want[i]
	}
	return p, angles
}

// trueFrame is frameOf for a face whose middle is not the point of it nearest
// to the origin.
func trueFrame(f []point3) (o, x, y, out point3) {
	o, x, _, _ = frameOf(f)
	out = f[1].minus(f[0]).cross(f[2].minus(f[0])).unit()
	if out.dot(o) < 0 {
		out = out.times(-1)
	}
	return o, x, x.cross(out), out
}

func cubeFaces() [][]point3 {
	var faces [][]point3
	for axis := range 3 {
		for _, at := range []float64{-50, 50} {
			var f []point3
			for _, u := range []float64{-50, 50} {
				for _, v := range []float64{-50, 50} {
					q := point3{u, u, u}
					q[axis], q[(axis+1)%3], q[(axis+2)%3] = at, u, v
					f = append(f, q)
				}
			}
			faces = append(faces, f)
		}
	}
	return faces
}

func tetrahedronFaces() [][]point3 {
	v := []point3{{40, 40, 40}, {40, -40, -40}, {-40, 40, -40}, {-40, -40, 40}}
	return [][]point3{{v[0], v[1], v[2]}, {v[0], v[1], v[3]}, {v[0], v[2], v[3]}, {v[1], v[2], v[3]}}
}

// halfOctahedronFaces are a square and four equilateral triangles: at each of
// its lower corners three pieces meet, two of them as in the octahedron.
func halfOctahedronFaces() [][]point3 {
	const r, low = 60.0, 20.0
	v := []point3{{r, 0, -low}, {0, r, -low}, {-r, 0, -low}, {0, -r, -low}, {0, 0, r - low}}
	faces := [][]point3{{v[0], v[1], v[2], v[3]}}
	for k := range 4 {
		faces = append(faces, []point3{v[k], v[(k+1)%4], v[4]})
	}
	return faces
}

func dodecahedronFaces() [][]point3 {
	v := icosahedron()
	near := func(a, b point3) bool { d := a.minus(b); return math.Abs(d.dot(d)-4) < 1e-9 }
	faces := make([][]point3, len(v))
	for i, a := range v {
		for j, b := range v[:i] {
			for k, c := range v[:j] {
				if near(a, b) && near(b, c) && near(a, c) {
					mid := a.plus(b).plus(c).times(20)
					faces[i], faces[j], faces[k] = append(faces[i], mid), append(faces[j], mid), append(faces[k], mid)
				}
			}
		}
	}
	return faces
}

// Regular polyhedra: angles between faces and bevels (Coxeter, Regular
// Polytopes, 1948, table I; from memory), for the ball of pentagons and
// hexagons from the faces' normals alone.
func TestPointsOfPolyhedra(t *testing.T) {
	for _, c := range []struct {
		name   string
		faces  [][]point3
		points int
		// bevels are those that occur, in degrees from square.
		bevels []float64
	}{
		{"cube", cubeFaces(), 8, []float64{45}},
		{"tetrahedron", tetrahedronFaces(), 4, []float64{54.7356}},
		{"half an octahedron", halfOctahedronFaces(), 4, []float64{35.2644, 62.6322}},
		{"dodecahedron", dodecahedronFaces(), 20, []float64{31.7175}},
		{"ball of pentagons and hexagons", truncatedIcosahedron(60), 60, []float64{18.6887, 20.9052}},
	} {
		p, want := unfold(t, c.faces, 10)
		points := p.Points()
		if len(points) != c.points {
			t.Errorf("%s: %d points, want %d", c.name, len(points), c.points)
		}
		met := map[float64]bool{}
		for _, q := range points {
			if q.Trouble != "" || q.Hollow {
				t.Errorf("%s: %+v", c.name, q)
			}
			for _, s := range q.Seams {
				if math.Abs(s.InteriorDeg-want[s.Seam]) > 1e-5 || s.HaveDeg != 180 || s.Curved || s.Trouble != "" {
					t.Errorf("%s, seam %s: %+v, want %.4f°", c.name, s.Seam, s, want[s.Seam])
				}
				for _, b := range c.bevels {
					if math.Abs(s.BevelADeg-b) < 1e-4 && math.Abs(s.BevelBDeg-b) < 1e-4 {
						met[b] = true
					}
				}
			}
		}
		if len(met) != len(c.bevels) {
			t.Errorf("%s: of the bevels %v only %v occur", c.name, c.bevels, met)
		}
		t.Logf("%s: %d points; the first: %s", c.name, len(points), points[0].Words())
	}
}

// A point is offered as a finding; its mend, and nothing else, bevels the
// seams, and then there is nothing left to find.
func TestPointsAreOfferedAndMended(t *testing.T) {
	p, want := unfold(t, tetrahedronFaces(), 10)
	offered := of(Check(p), PointAngle)
	if len(offered) != 4 {
		t.Fatalf("%d points offered", len(offered))
	}
	f := offered[0]
	for _, says := range []string{"Pieces A, B and D meet at a point with corners of 60.0°, 60.0° and 60.0°", "70.5° inside in seam s1 (the cuts give 180.0°)"} {
		if !strings.Contains(f.Text, says) {
			t.Errorf("%q does not say %q", f.Text, says)
		}
	}
	if label := f.Mend.Label(); label != "Bevel all three, point outwards" {
		t.Errorf("the mend is %q", label)
	}
	for _, x := range offered {
		if err := p.Apply(x.Mend); err != nil {
			t.Fatal(err)
		}
	}
	if left := of(Check(p), PointAngle); len(left) != 0 {
		t.Errorf("mended, and still: %+v", left)
	}
	for _, s := range p.Seams {
		if math.Abs(s.WantDeg-want[s.ID]) > 1e-6 || math.Abs(p.cutsGiveDeg(&s)-want[s.ID]) > 1e-6 {
			t.Errorf("seam %s: %g° wanted, %g° cut, want %g°", s.ID, s.WantDeg, p.cutsGiveDeg(&s), want[s.ID])
		}
	}
	// Without a thickness nothing is offered, with the limit off neither.
	q, _ := unfold(t, tetrahedronFaces(), 0)
	r, _ := unfold(t, tetrahedronFaces(), 10)
	r.Limits.AngleDeg = -1
	if len(of(Check(q), PointAngle))+len(of(Check(r), PointAngle)) != 0 {
		t.Error("offered without a thickness, or with the limit off")
	}
}

// Pointing inwards, the corner of a cube is 270° inside everywhere.
func TestHollowPoint(t *testing.T) {
	p, _ := unfold(t, cubeFaces(), 10)
	q := p.Turned(p.Points()[0])
	for _, s := range q.Seams {
		if math.Abs(s.InteriorDeg-270) > 1e-6 || math.Abs(s.BevelADeg+45) > 1e-6 {
			t.Errorf("%+v", s)
		}
	}
	if err := p.Apply(q.Mend()); err != nil {
		t.Fatal(err)
	}
	// Cut hollow, it is taken for a hollow point from then on.
	if again := p.Points()[0]; !again.Hollow || again.MissDeg() > 1e-6 {
		t.Errorf("%+v", again)
	}
	if back := p.Turned(q); math.Abs(back.Seams[0].InteriorDeg-90) > 1e-6 || back.Hollow {
		t.Errorf("turned back: %+v", back)
	}
}

// openPoint is three pieces with corners of 150, 40 and 40° at one point; the
// second side of seam s2 is 83 mm long, all others are 80 mm.
func openPoint(t *testing.T) Pattern {
	t.Helper()
	var pieces []Piece
	for i, deg := range []float64{150, 40, 40} {
		s, c := math.Sincos(deg * math.Pi / 180)
		pieces = append(pieces, Piece{ID: Letters(i), ThicknessMM: 10, Outline: curve.Polygon(pt(0, 0), pt(80, 0), pt(float64(80+3*(i/2))*c, float64(80+3*(i/2))*s))})
	}
	p, err := New("open", pieces...)
	if err != nil {
		t.Fatal(err)
	}
	for _, pair := range [][2]string{{"A1", "B3"}, {"B1", "C3"}, {"C1", "A3"}} {
		if _, err := p.Pair(Facing(pair[0], pair[1])); err != nil {
			t.Fatal(err)
		}
	}
	return p
}

// Corners that cannot close are told of, with what is wrong with their angles,
// and the seam that is least sure can be taken apart.
func TestPointThatDoesNotClose(t *testing.T) {
	p := openPoint(t)
	found := of(Check(p), PointAngle)
	if len(found) != 1 || found[0].Severity != Warning || math.Abs(found[0].AmountDeg-70) > 1e-9 || !strings.Contains(found[0].Text, "the corner of piece A has 150.0°, and the others only 80.0° together: 70.0° too much") {
		t.Fatalf("%+v", found)
	}
	if m := found[0].Mend; m.Kind != TakeApart || m.Seam != "s2" || !strings.Contains(found[0].Text, "seam s2 is the least sure, its sides differ by 3.0 mm") {
		t.Errorf("%+v", found[0])
	}
	if err := p.Apply(found[0].Mend); err != nil || len(of(Check(p), PointAngle)) != 0 {
		t.Errorf("taken apart, and still %+v, %v", of(Check(p), PointAngle), err)
	}
	if apartMM(found[0].At, pt(0, 0)) > 1e-9 {
		t.Errorf("found at %v", found[0].At)
	}
}

// Corners of 130° three times are 30° more than a full turn.
func TestCornersBeyondAFullTurn(t *testing.T) {
	pt := Point{Corners: [3]PointCorner{{AngleDeg: 130}, {AngleDeg: 130}, {AngleDeg: 130}}}
	if math.Abs(pt.openDeg()-30) > 1e-9 || pt.misfit() != "they add up to 390.0°, and less than 360° is needed: 30.0° too much" {
		t.Errorf("%g°, %s", pt.openDeg(), pt.misfit())
	}
}

// Where seams are open, or four pieces meet, nothing follows.
func TestNoPoints(t *testing.T) {
	p, _ := unfold(t, cubeFaces(), 10)
	if err := p.Unpair("s1"); err != nil {
		t.Fatal(err)
	}
	if n := len(p.Points()); n != 6 {
		t.Errorf("a cube with one seam open has %d points, want 6", n)
	}
	q, _ := unfold(t, halfOctahedronFaces(), 10)
	for _, x := range q.Points() {
		for _, c := range x.Corners {
			if c.Piece == "A" {
				goto next
			}
		}
		t.Errorf("four triangles hold no angle, and yet: %s", x.Words())
	next:
	}
}
