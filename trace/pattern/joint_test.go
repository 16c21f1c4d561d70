package pattern

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
)

func apartMM(a, b mat.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// Two mitres for an angle close without gap or step, whatever the sheets'
// thicknesses: the cut surfaces run from the one common edge to the other.
func TestJointCloses(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		t1, t2 := rapid.Float64Range(2, 20).Draw(r, "t1"), rapid.Float64Range(2, 20).Draw(r, "t2")
		angle := rapid.Float64Range(60, 179).Draw(r, "angle")
		if rapid.Bool().Draw(r, "hollow") {
			angle = 360 - angle
		}
		b1, b2, err := MitreDegs(t1, t2, angle)
		if err != nil {
			r.Fatal(err)
		}
		if math.Abs(b1+b2-(180-angle)) > 1e-9 {
			r.Fatalf("bevels of %g° and %g° turn through %g°, not %g°", b1, b2, b1+b2, 180-angle)
		}
		a, b := SheetEnd{CutOf(b1), t1}, SheetEnd{CutOf(b2), t2}
		if a.Cut.Validate() != nil || b.Cut.Validate() != nil {
			return
		}
		// CutOf takes a bevel below 0.01° for square: the joint then opens by
		// what that leaves, and no more.
		leftDeg := math.Abs(b1-a.Cut.SignedDeg()) + math.Abs(b2-b.Cut.SignedDeg())
		withinMM := 1e-9 + 2*max(t1, t2)*math.Tan(leftDeg*radPerDeg)
		j, err := JointOf(a, b, 0, 50)
		if err != nil {
			r.Fatal(err)
		}
		if d := apartMM(j.A[2], j.B[2]); d > withinMM || math.Abs(j.StepMM) > withinMM || math.Abs(j.InteriorDeg-angle) > leftDeg+1e-9 {
			r.Errorf("the back faces meet %g mm apart, step %g mm, interior %g°", d, j.StepMM, j.InteriorDeg)
		}
		if b1 != b2 && t1 == t2 {
			r.Errorf("equal sheets share %g° unevenly", angle)
		}
	})
}

func TestJointOf(t *testing.T) {
	for _, c := range []struct {
		name       string
		a, b       SheetEnd
		want       float64
		interior   float64
		wedge, gap float64
		step       float64
	}{
		{"square edges, flat", SheetEnd{CutOf(0), 10}, SheetEnd{CutOf(0), 10}, 0, 180, 0, 0, 0},
		{"box corner", SheetEnd{CutOf(45), 10}, SheetEnd{CutOf(45), 10}, 0, 90, 0, 0, 0},
		{"inside corner", SheetEnd{CutOf(-45), 10}, SheetEnd{CutOf(-45), 10}, 0, 270, 0, 0, 0},
		{"one edge takes the turn", SheetEnd{CutOf(60), 10}, SheetEnd{CutOf(0), 10}, 0, 120, 0, 0, 10 - 20},
		// Square edges bent to 90° gape at the front: 2·10·sin 45°.
		{"bevels forgotten", SheetEnd{CutOf(0), 10}, SheetEnd{CutOf(0), 10}, 90, 90, 90, 20 * math.Sqrt2 / 2, 0},
		{"bevelled too much", SheetEnd{CutOf(30), 10}, SheetEnd{CutOf(30), 10}, 180, 180, -60, 2 * 10 / math.Cos(math.Pi/6) * 0.5, 0},
	} {
		j, err := JointOf(c.a, c.b, c.want, 40)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		for _, v := range [][2]float64{{j.InteriorDeg, c.interior}, {j.WedgeDeg, c.wedge}, {j.GapMM, c.gap}, {j.StepMM, c.step}} {
			if math.Abs(v[0]-v[1]) > 1e-9 {
				t.Errorf("%s: got %+v", c.name, j)
				break
			}
		}
		// The far ends of the front faces see the interior angle from below.
		far := math.Atan2(j.B[0].Y, j.B[0].X) / radPerDeg
		if math.Abs(far-j.TurnDeg) > 1e-9 {
			t.Errorf("%s: sheet B runs at %g°", c.name, far)
		}
	}
	for _, bad := range []struct {
		a, b SheetEnd
		want float64
	}{
		{SheetEnd{CutOf(0), 0}, SheetEnd{CutOf(0), 10}, 0},
		{SheetEnd{CutOf(85), 10}, SheetEnd{CutOf(0), 10}, 0},
		{SheetEnd{CutOf(0), 10}, SheetEnd{CutOf(0), 10}, -5},
		{SheetEnd{CutOf(0), 10}, SheetEnd{CutOf(0), 10}, 360},
	} {
		if j, err := JointOf(bad.a, bad.b, bad.want, 40); err == nil {
			t.Errorf("%+v made %+v", bad, j)
		}
	}
}

// The angles at corners where unlike faces meet: a truncated icosahedron has
// two hexagons and a pentagon at each vertex, 138.1897° between hexagons and
// 142.6226° between hexagon and pentagon (figures from the project's
// collection); a box corner is all 90°; corners of 90, 45 and 45° lie flat.
func TestPointAngles(t *testing.T) {
	got, err := PointAnglesDeg(108, 120, 120)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{138.1897, 142.6226, 142.6226} {
		if math.Abs(got[i]-want) > 5e-5 {
			t.Errorf("edge %d: %.5f°, want %.4f°", i, got[i], want)
		}
	}
	if got, err = PointAnglesDeg(90, 90, 90); err != nil || math.Abs(got[0]-90)+math.Abs(got[1]-90)+math.Abs(got[2]-90) > 1e-9 {
		t.Errorf("a box corner has %v, %v", got, err)
	}
	if _, err := PointAnglesDeg(90, 45, 45); err == nil {
		t.Error("three corners that lie flat made a solid angle")
	}
}
