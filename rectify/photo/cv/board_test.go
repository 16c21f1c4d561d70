package cv

import (
	"math"
	"testing"

	"flatwright/rectify/photo"
)

// camera is what the tests look through.
var camera = struct{ focal, centreX, centreY, k1, k2 float64 }{820, 322, 236, -0.12, 0.05}

// look returns where the camera of 640 × 480 px sees a point of the board, from
// a pose turned about x and y by radians.
func look(x, y, turnX, turnY, away float64) photo.Point {
	x, z := x*math.Cos(turnY), -x*math.Sin(turnY)
	y, z = y*math.Cos(turnX)-z*math.Sin(turnX), y*math.Sin(turnX)+z*math.Cos(turnX)
	x, y = x/(z+away), y/(z+away)
	r := x*x + y*y
	bend := 1 + camera.k1*r + camera.k2*r*r
	return photo.Point{X: camera.centreX + camera.focal*x*bend, Y: camera.centreY + camera.focal*y*bend}
}

func TestCalibrateCameraFindsTruth(t *testing.T) {
	var views []View
	for _, turn := range [][2]float64{{0.3, 0}, {-0.3, 0.1}, {0, 0.4}, {0.1, -0.35}, {0.25, 0.25}} {
		var v View
		for i := range 63 {
			x, y := float64(i%9-4), float64(i/9-3)
			v.Target = append(v.Target, photo.Point{X: x, Y: y})
			v.Seen = append(v.Seen, look(x, y, turn[0], turn[1], 13))
		}
		views = append(views, v)
	}
	c, err := CalibrateCamera(views, 640, 480, Terms{FixK3: true, NoTangential: true})
	if err != nil {
		t.Fatal(err)
	}
	for name, v := range map[string][3]float64{ // got, want, tolerance
		"focal x": {c.FocalX, camera.focal, 0.02}, "focal y": {c.FocalY, camera.focal, 0.02},
		"centre x": {c.CentreX, camera.centreX, 0.02}, "centre y": {c.CentreY, camera.centreY, 0.02},
		"k1": {c.K1, camera.k1, 1e-4}, "k2": {c.K2, camera.k2, 1e-3}, "k3": {c.K3, 0, 0},
		"rms": {c.RMSPx, 0, 1e-4}, "away": {c.Poses[2].Translation[2], 13, 1e-3},
		"turn": {math.Abs(c.Poses[2].Rotation[2]), math.Sin(0.4), 1e-4},
	} {
		if math.Abs(v[0]-v[1]) > v[2] {
			t.Errorf("%s: %g, want %g", name, v[0], v[1])
		}
	}
	if len(c.ViewRMSPx) != 5 || len(c.Poses) != 5 {
		t.Errorf("%d and %d views", len(c.ViewRMSPx), len(c.Poses))
	}
}

// chessboard draws a board of squares of 40 px, turned a little, the crossing
// (0, 0) of which lies at (100.3, 90.7); every pixel is the mean of 64 points.
func chessboard() (Gray, func(column, row int) photo.Point) {
	const side, turn = 40.0, 0.1
	s, c := math.Sincos(turn)
	g := NewGray(520, 400)
	dark := func(x, y float64) bool {
		u, v := ((x-100.3)*c+(y-90.7)*s)/side, (-(x-100.3)*s+(y-90.7)*c)/side
		return u > -1 && v > -1 && u < 8 && v < 5 && (int(math.Floor(u))+int(math.Floor(v)))&1 == 0
	}
	for i := range g.Pix {
		light := 0
		for j := range 64 {
			if !dark(float64(i%g.W)+(float64(j%8)-3.5)/8, float64(i/g.W)+(float64(j/8)-3.5)/8) {
				light++
			}
		}
		g.Pix[i] = byte(30 + 3*light)
	}
	return g, func(column, row int) photo.Point {
		u, v := side*float64(column), side*float64(row)
		return photo.Point{X: 100.3 + u*c - v*s, Y: 90.7 + u*s + v*c}
	}
}

func TestFindChessboard(t *testing.T) {
	g, truth := chessboard()
	points, found, err := FindChessboard(g, 8, 5)
	if err != nil || !found {
		t.Fatalf("found %v, error %v", found, err)
	}
	for i, p := range points {
		want := truth(i%8, i/8)
		if turned := truth(7-i%8, 4-i/8); math.Hypot(p.X-turned.X, p.Y-turned.Y) < math.Hypot(p.X-want.X, p.Y-want.Y) {
			want = turned
		}
		if d := math.Hypot(p.X-want.X, p.Y-want.Y); d > 0.1 {
			t.Errorf("corner %d is %.3f px off", i, d)
		}
	}
	if _, found, err := FindChessboard(NewGray(100, 100), 8, 5); found || err != nil {
		t.Errorf("found %v in nothing, error %v", found, err)
	}
}

func TestRefineCorners(t *testing.T) {
	g, truth := chessboard()
	var rough []photo.Point
	for i := range 24 {
		p := truth(1+i%6, i/6)
		rough = append(rough, photo.Point{X: math.Round(p.X) + 1, Y: math.Round(p.Y) - 1})
	}
	points, err := RefineCorners(g, rough, 6)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range points {
		want := truth(1+i%6, i/6)
		if d := math.Hypot(p.X-want.X, p.Y-want.Y); d > 0.1 {
			t.Errorf("corner %d is %.3f px off", i, d)
		}
	}
}

func TestWarpAndRemap(t *testing.T) {
	src := wavy()
	same, err := WarpPerspective(src, [9]float64{1, 0, 5, 0, 1, 3, 0, 0, 1}, 20, 10, Linear, 7)
	if err != nil {
		t.Fatal(err)
	}
	x, y := blank(Float{}, 20, 10), blank(Float{}, 20, 10)
	for i := range x.Pix {
		x.Pix[i], y.Pix[i] = float32(i%20+5), float32(i/20+3)
	}
	x.Pix[0], x.Pix[1], y.Pix[2] = float32(math.NaN()), float32(math.Inf(1)), -1e30
	mapped, err := Remap(src, x, y, Cubic, 7)
	if err != nil {
		t.Fatal(err)
	}
	for i := range x.Pix {
		want := src.Pix[3*((i/20+3)*src.W+i%20+5):][:3]
		if string(same.Pix[3*i:3*i+3]) != string(want) {
			t.Fatalf("warped pixel %d: %v, want %v", i, same.Pix[3*i:3*i+3], want)
		}
		if i < 3 {
			want = []byte{7, 7, 7}
		}
		if string(mapped.Pix[3*i:3*i+3]) != string(want) {
			t.Fatalf("mapped pixel %d: %v, want %v", i, mapped.Pix[3*i:3*i+3], want)
		}
	}
}

// What the formulas of OpenCV's documentation ("Camera Calibration and 3D
// Reconstruction", from memory) bend, UndistortPoints straightens.
func TestUndistortPoints(t *testing.T) {
	c := Calibration{FocalX: 500, FocalY: 510, CentreX: 320, CentreY: 240, K1: -0.2, K2: 0.05, P1: 0.001, P2: -0.002, K3: 0.01}
	var seen, want []photo.Point
	for i := range 35 {
		x, y := 0.1*float64(i%7-3), 0.1*float64(i/7-2)
		r2 := x*x + y*y
		radial := 1 + r2*(c.K1+r2*(c.K2+r2*c.K3))
		seen = append(seen, photo.Point{
			X: 320 + 500*(x*radial+2*c.P1*x*y+c.P2*(r2+2*x*x)),
			Y: 240 + 510*(y*radial+c.P1*(r2+2*y*y)+2*c.P2*x*y),
		})
		want = append(want, photo.Point{X: x, Y: y})
	}
	got, err := c.UndistortPoints(seen)
	if err != nil {
		t.Fatal(err)
	}
	for i := range want {
		if d := math.Hypot(got[i].X-want[i].X, got[i].Y-want[i].Y); d > 1e-9 {
			t.Errorf("point %d is off by %g", i, d)
		}
	}
	if none, err := c.UndistortPoints(nil); none != nil || err != nil {
		t.Errorf("%v, %v of no points", none, err)
	}
}
