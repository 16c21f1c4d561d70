package pattern

import (
	"math"
	"testing"
)

// dihedralDeg is the interior angle along the edges of the regular polyhedron
// with p-gons, q at a vertex: sin(θ/2) = cos(π/q)/sin(π/p) (Coxeter, Regular
// Polytopes, 1948, section 2.4; from memory).
func dihedralDeg(p, q float64) float64 {
	return 2 * math.Asin(math.Cos(math.Pi/q)/math.Sin(math.Pi/p)) * 180 / math.Pi
}

// TestMitreOfRegularPolyhedra holds our formulas to the published angles of
// the regular polyhedra (geom.uiuc.edu, CRC tables; figures from the
// project's collection, to four places).
func TestMitreOfRegularPolyhedra(t *testing.T) {
	for _, c := range []struct {
		name          string
		p, q          float64
		corner        float64
		dihedral, cut float64
	}{
		{"tetrahedron", 3, 3, 60, 70.5288, 54.7356},
		{"cube", 4, 3, 90, 90, 45},
		{"octahedron", 3, 4, 0, 109.4712, 35.2644},
		{"dodecahedron", 5, 3, 108, 116.5651, 31.7175},
		{"icosahedron", 3, 5, 0, 138.1897, 20.9052},
	} {
		if got := dihedralDeg(c.p, c.q); math.Abs(got-c.dihedral) > 5e-5 {
			t.Errorf("%s: dihedral %.5f, want %.4f", c.name, got, c.dihedral)
		}
		cut := MitreDeg(c.dihedral)
		if math.Abs(cut-c.cut) > 6e-5 {
			t.Errorf("%s: mitre %.5f, want %.4f", c.name, cut, c.cut)
		}
		if got := InteriorDeg(CutOf(cut), CutOf(cut)); math.Abs(got-c.dihedral) > 1e-9 {
			t.Errorf("%s: two mitres make %.5f", c.name, got)
		}
		if c.q != 3 {
			continue
		}
		got, err := EdgeAngleDeg(c.corner, c.corner, c.corner)
		if err != nil || math.Abs(got-c.dihedral) > 5e-5 {
			t.Errorf("%s: from corners %.5f %v, want %.4f", c.name, got, err, c.dihedral)
		}
	}
}

// TestMitreOfPyramid: sides inclined s to the base of n sides turn through
// cos(turn) = cos²s + sin²s·cos(2π/n); the same from the corners that meet
// at a base point (formula and figures from the project's collection).
func TestMitreOfPyramid(t *testing.T) {
	for _, c := range []struct{ n, s, want float64 }{{4, 45, 120}, {6, 60, 128.6822}, {8, 90, 135}} {
		const rad = math.Pi / 180
		turn := math.Acos(math.Pow(math.Cos(c.s*rad), 2) + math.Pow(math.Sin(c.s*rad), 2)*math.Cos(2*math.Pi/c.n))
		if got := 180 - turn/rad; math.Abs(got-c.want) > 5e-5 {
			t.Errorf("n=%g s=%g: %.5f, want %.4f", c.n, c.s, got, c.want)
		}
		// At a base corner meet the base's own corner and two side corners β
		// with tan β = tan(π/2 − π/n)/cos s.
		base := 180 - 360/c.n
		beta := math.Atan2(math.Tan((90-180/c.n)*rad), math.Cos(c.s*rad)) / rad
		got, err := EdgeAngleDeg(base, beta, beta)
		if err != nil || math.Abs(got-c.want) > 5e-5 {
			t.Errorf("n=%g s=%g: from corners %.5f %v, want %.4f", c.n, c.s, got, err, c.want)
		}
	}
}

func TestEdgeAngleRefuses(t *testing.T) {
	for _, c := range [][3]float64{{100, 40, 40}, {150, 150, 150}, {90, 0, 0}} {
		if got, err := EdgeAngleDeg(c[0], c[1], c[2]); err == nil {
			t.Errorf("corners %v made %g°", c, got)
		}
	}
}

// TestMitreInsets: equal sheets give t/tan(T/2) each, which is t·tan of the
// even bevel; unequal ones make the two inner faces and the bevel plane meet
// in a point, checked by construction.
func TestMitreInsets(t *testing.T) {
	for _, angle := range []float64{60, 90, 120, 150} {
		d1, d2, err := MitreInsetsMM(6, 6, angle)
		if want := InsetMM(CutOf(MitreDeg(angle)), 6); err != nil || math.Abs(d1-want)+math.Abs(d2-want) > 1e-9 {
			t.Errorf("%g°: %g and %g, want %g (%v)", angle, d1, d2, want, err)
		}
		d1, d2, err = MitreInsetsMM(4, 9, angle)
		if err != nil {
			t.Fatal(err)
		}
		// The corner at the origin, face 1 along +x, face 2 at the angle; the
		// inner edge seen from each face.
		s, c := math.Sincos(angle * math.Pi / 180)
		x1, y1 := d1, 4.0
		x2, y2 := d2*c+9*s, d2*s-9*c
		if math.Hypot(x1-x2, y1-y2) > 1e-9 {
			t.Errorf("%g°: inner edges at (%g, %g) and (%g, %g)", angle, x1, y1, x2, y2)
		}
	}
	if _, _, err := MitreInsetsMM(4, 9, 180); err == nil {
		t.Error("180° was taken")
	}
}
