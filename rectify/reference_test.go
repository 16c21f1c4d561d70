package rectify_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/photo/cv"
)

// The outside reference of this file is OpenCV 4.6: calibrateCamera (Zhang,
// PAMI 22(11), 2000) and undistortPoints.

// flattened is where OpenCV's calibration puts places of one of its views on
// the target's plane: undistortPoints, then the pose turned round.
func flattened(t *testing.T, c cv.Calibration, view int, at []photo.Point) []mat.Point {
	t.Helper()
	normal, err := c.UndistortPoints(at)
	if err != nil {
		t.Fatal(err)
	}
	r, d := c.Poses[view].Rotation, c.Poses[view].Translation
	out := make([]mat.Point, len(at))
	for i, n := range normal {
		// R (X, Y, 0) + d lies along (x, y, 1): two equations in X and Y.
		a, b := r[0]-n.X*r[6], r[1]-n.X*r[7]
		e, f := r[3]-n.Y*r[6], r[4]-n.Y*r[7]
		p, q := n.X*d[2]-d[0], n.Y*d[2]-d[1]
		det := a*f - b*e
		out[i] = mat.Point{X: (p*f - b*q) / det, Y: (a*q - p*e) / det}
	}
	return out
}

// modelOf is the same camera in the project's own terms.
func modelOf(c cv.Calibration, view int) lens.Model {
	r, d := c.Poses[view].Rotation, c.Poses[view].Translation
	m := newCamera(c.FocalX, c.CentreX, c.CentreY, c.K1, c.K2, c.P1, c.P2, c.K3)
	m.H = [9]float64{r[0], r[1], d[0], r[3], r[4], d[1], r[6], r[7], d[2]}
	return m
}

// drawnView is a flat target of 17 x 13 crossings, 25 mm apart, seen by a
// camera with corners read to sigmaPx, as OpenCV's types have it, and its
// truth.
func drawnView(r *rand.Rand, sigmaPx float64) (cv.View, lens.Model) {
	tilt, turn := (8+20*r.Float64())*math.Pi/180, 2*math.Pi*r.Float64()
	rot := rotation(math.Cos(turn), math.Sin(turn), 0, tilt)
	c := cv.Calibration{
		FocalX: 3000, FocalY: 3000, CentreX: 2015.5 + 20*r.NormFloat64(), CentreY: 1511.5 + 20*r.NormFloat64(),
		K1: 0.05 * r.NormFloat64(), K2: 0.02 * r.NormFloat64(),
		Poses: []cv.Pose{{Rotation: rot}},
	}
	for i := range 3 { // the middle of the target 500 mm before the lens
		c.Poses[0].Translation[i] = -(rot[3*i]*200 + rot[3*i+1]*150)
	}
	c.Poses[0].Translation[2] += 500
	m := modelOf(c, 0)
	var v cv.View
	for i := range 17 * 13 {
		at := mat.Point{X: 25 * float64(i%17), Y: 25 * float64(i/17)}
		u := m.ToPhoto(at)
		v.Target = append(v.Target, photo.Point{X: at.X, Y: at.Y})
		v.Seen = append(v.Seen, photo.Point{X: u.X + sigmaPx*r.NormFloat64(), Y: u.Y + sigmaPx*r.NormFloat64()})
	}
	return v, m
}

// The map itself is OpenCV's: what undistortPoints and the pose make of a
// place in the photograph, ToMat makes of it too.
func TestMapAgainstUndistortPoints(t *testing.T) {
	worst := 0.0
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 8))
		v, _ := drawnView(r, 0)
		c := cv.Calibration{
			FocalX: 3000, FocalY: 3000, CentreX: 2000, CentreY: 1500, K1: 0.1 * r.NormFloat64(), K2: 0.05 * r.NormFloat64(),
			P1: 0.001 * r.NormFloat64(), P2: 0.001 * r.NormFloat64(), K3: 0.01 * r.NormFloat64(),
			Poses: []cv.Pose{{Rotation: rotation(0.6, 0.8, 0, 0.4), Translation: [3]float64{-200, -140, 520}}},
		}
		m := modelOf(c, 0)
		for i, want := range flattened(t, c, 0, v.Seen) {
			got, ok := m.ToMat(v.Seen[i])
			if !ok {
				continue // beyond where the lens folds, which OpenCV does not tell
			}
			worst = max(worst, math.Hypot(got.X-want.X, got.Y-want.Y))
		}
	}
	t.Logf("at most %.1e mm apart", worst)
	if worst > 1e-6 {
		t.Errorf("%g mm apart, want at most 1e-6", worst)
	}
}

// offBy is the error over a target, in mm, of places seen by the true camera.
func offBy(truth lens.Model, columns, rows int, flatten func([]photo.Point) []mat.Point) (rmsMM, worstMM float64) {
	var at []mat.Point
	var seen []photo.Point
	for i := range columns * 2 {
		for k := range rows * 2 {
			p := mat.Point{X: 12.5 * float64(i), Y: 12.5 * float64(k)}
			if i < 2*columns-1 && k < 2*rows-1 {
				at, seen = append(at, p), append(seen, truth.ToPhoto(p))
			}
		}
	}
	sum := 0.0
	for i, got := range flatten(seen) {
		d := math.Hypot(got.X-at[i].X, got.Y-at[i].Y)
		sum, worstMM = sum+d*d, max(worstMM, d)
	}
	return math.Sqrt(sum / float64(len(at))), worstMM
}

// byOurselves flattens by the project's fit of the same crossings.
func byOurselves(t *testing.T, v cv.View, columns, w, h int) func([]photo.Point) []mat.Point {
	t.Helper()
	cs := make([]lens.Crossing, len(v.Seen))
	for i, at := range v.Seen {
		cs[i] = lens.Crossing{At: at, Column: i % columns, Row: i / columns}
	}
	fit, err := lens.SolveCorners(context.Background(), cs, lens.SolveOptions{PitchMM: squareMM, Width: w, Height: h})
	if err != nil {
		t.Fatal(err)
	}
	return func(seen []photo.Point) []mat.Point {
		out := make([]mat.Point, len(seen))
		for i, at := range seen {
			out[i], _ = fit.ToMat(at)
		}
		return out
	}
}

// singleTerms are the ways in which OpenCV can be asked for a camera from one
// view alone.
var singleTerms = []struct {
	name  string
	terms cv.Terms
}{
	{"centre fixed", cv.Terms{FixK3: true, NoTangential: true, SquarePixels: true, FixCentre: true}},
	{"centre free", cv.Terms{FixK3: true, NoTangential: true, SquarePixels: true}},
	{"all terms", cv.Terms{SquarePixels: true}},
}

// comparison sums up errors of one way of flattening.
type comparison struct{ squares, worst, n float64 }

func (c *comparison) add(rms, worst float64) {
	c.squares, c.worst, c.n = c.squares+rms*rms, max(c.worst, worst), c.n+1
}

func (c comparison) rms() float64 { return math.Sqrt(c.squares / c.n) }

func (c comparison) String() string {
	return fmt.Sprintf("rms %.4f mm, worst %.4f mm over %.0f views", c.rms(), c.worst, c.n)
}

// match holds the fit against OpenCV's ways, over many single views.
type match struct {
	own    comparison
	theirs [3]comparison // as singleTerms
}

// add flattens one view by all, and holds each to a camera taken for true.
func (m *match) add(t *testing.T, v cv.View, truth lens.Model, columns, w, h int) {
	t.Helper()
	rows := len(v.Seen) / columns
	m.own.add(offBy(truth, columns, rows, byOurselves(t, v, columns, w, h)))
	for i, s := range singleTerms {
		c, err := cv.CalibrateCamera([]cv.View{v}, w, h, s.terms)
		if err != nil {
			t.Fatal(err)
		}
		m.theirs[i].add(offBy(truth, columns, rows, func(seen []photo.Point) []mat.Point { return flattened(t, c, 0, seen) }))
	}
}

// hold demands that no one way of OpenCV's does better by more than a part.
func (m *match) hold(t *testing.T, part float64) {
	t.Helper()
	t.Logf("the fit:                      %v", m.own)
	for i, s := range singleTerms {
		t.Logf("calibrateCamera, %-12s %v", s.name+":", m.theirs[i])
		if best := m.theirs[i].rms(); m.own.rms() > (1+part)*best {
			t.Errorf("rms %.4f mm, and %.4f mm by calibrateCamera, %s", m.own.rms(), best, s.name)
		}
	}
}

// From one view of drawn crossings, read to 0.1 px, the fit lies as near to
// the truth as the best that calibrateCamera makes of the same view, and does
// not fall with what it cannot tell: with its centre fixed where it is not,
// calibrateCamera does.
func TestSingleViewAgainstCalibrateCameraOnDrawnPoints(t *testing.T) {
	var m match
	for seed := range uint64(12) {
		v, truth := drawnView(rand.New(rand.NewPCG(seed, 5)), 0.1)
		m.add(t, v, truth, 17, 4032, 3024)
	}
	m.hold(t, 0.15)
}

// The same on the photographs of opencv-doc, 640 x 480 px and 13 of each of
// two cameras, against the camera that a set of 13 gives together.
func TestSingleViewAgainstCalibrateCameraOnPhotographs(t *testing.T) {
	var m match
	for _, name := range []string{"left", "right"} {
		var views []cv.View
		for _, b := range boards(t, name) {
			views = append(views, b.view)
		}
		all, err := cv.CalibrateCamera(views, 640, 480, cv.Terms{SquarePixels: true})
		if err != nil {
			t.Fatal(err)
		}
		for k, v := range views {
			m.add(t, v, modelOf(all, k), boardColumns, 640, 480)
		}
	}
	m.hold(t, 0.1)
}
