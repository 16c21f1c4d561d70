package scene

import (
	"errors"
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Camera is a pinhole with lens distortion, held over the mat. The optical
// axis meets the mat's plane at TargetX, TargetY (mm), DistanceMM away.
// TiltDeg is the angle between the axis and the mat's normal, AzimuthDeg the
// direction on the mat (from x towards y) in which the camera stands off,
// RollDeg the turn about the axis.
//
// The lens terms are Brown's in the form of Zhang (PAMI 22(11), 2000),
// section 3.3, with the tangential terms of Brown (1966); radii are in focal
// lengths.
type Camera struct {
	FocalPx    float64 `json:"focal_px"`
	CentreX    float64 `json:"centre_x_px"`
	CentreY    float64 `json:"centre_y_px"`
	K1         float64 `json:"k1"`
	K2         float64 `json:"k2"`
	K3         float64 `json:"k3"`
	P1         float64 `json:"p1"`
	P2         float64 `json:"p2"`
	TargetX    float64 `json:"target_x_mm"`
	TargetY    float64 `json:"target_y_mm"`
	DistanceMM float64 `json:"distance_mm"`
	TiltDeg    float64 `json:"tilt_deg"`
	AzimuthDeg float64 `json:"azimuth_deg"`
	RollDeg    float64 `json:"roll_deg"`
}

// View is a Camera made ready: axes worked out, fold radius known. Make one
// with Camera.View.
type View struct {
	cam              Camera
	right, down, fwd vector
	eye              vector
	foldR2           float64
}

type vector struct{ x, y, z float64 }

func (a vector) dot(b vector) float64 { return a.x*b.x + a.y*b.y + a.z*b.z }

func (a vector) plus(b vector, k float64) vector {
	return vector{a.x + k*b.x, a.y + k*b.y, a.z + k*b.z}
}

// View makes the camera ready for many points.
func (c Camera) View() *View {
	tilt, azimuth, roll := radians(c.TiltDeg), radians(c.AzimuthDeg), radians(c.RollDeg)
	st, ct := math.Sincos(tilt)
	sa, ca := math.Sincos(azimuth)
	// The axes of an upright camera are x, y and z (into the mat). Leaning
	// turns them about k = (sin a, -cos a, 0) by the tilt (Rodrigues).
	lean := func(v vector) vector {
		k := vector{sa, -ca, 0}
		cross := vector{k.y*v.z - k.z*v.y, k.z*v.x - k.x*v.z, k.x*v.y - k.y*v.x}
		out := vector{v.x * ct, v.y * ct, v.z * ct}
		return out.plus(cross, st).plus(k, k.dot(v)*(1-ct))
	}
	r, d, f := lean(vector{1, 0, 0}), lean(vector{0, 1, 0}), lean(vector{0, 0, 1})
	sr, cr := math.Sincos(roll)
	v := &View{cam: c, fwd: f}
	v.right = vector{}.plus(r, cr).plus(d, sr)
	v.down = vector{}.plus(r, -sr).plus(d, cr)
	v.eye = vector{c.TargetX, c.TargetY, 0}.plus(f, -c.DistanceMM)
	v.foldR2 = c.foldRadius2()
	return v
}

// foldRadius2 is the square of the undistorted radius at which the radial
// terms turn back, +Inf when they do not within 10 focal lengths.
func (c Camera) foldRadius2() float64 {
	slope := func(r2 float64) float64 {
		return 1 + r2*(3*c.K1+r2*(5*c.K2+r2*7*c.K3))
	}
	const step = 0.002
	for r := step; r < 10; r += step {
		if slope(r*r) > 0 {
			continue
		}
		lo, hi := r-step, r
		for range 50 {
			m := (lo + hi) / 2
			if slope(m*m) > 0 {
				lo = m
			} else {
				hi = m
			}
		}
		return lo * lo
	}
	return math.Inf(1)
}

// ToPhoto returns where a point of the mat is seen, in px. A point behind the
// camera or beyond the fold of the lens gives NaN.
func (c Camera) ToPhoto(p mat.Point) photo.Point { return c.View().ToPhoto(p) }

// ToMat returns the point of the mat seen at a position, accurate to 1e-9 mm;
// false at or above the horizon and beyond the fold of the lens.
func (c Camera) ToMat(p photo.Point) (mat.Point, bool) { return c.View().ToMat(p) }

// ToPhotoAt is ToPhoto for a point heightMM above the mat.
func (c Camera) ToPhotoAt(p mat.Point, heightMM float64) photo.Point {
	return c.View().ToPhotoAt(p, heightMM)
}

// FootMM returns the point of the mat's plane straight below the camera's
// centre, exactly.
func (c Camera) FootMM() mat.Point { return c.View().FootMM() }

// HeightMM returns the height of the camera's centre above the mat, exactly.
func (c Camera) HeightMM() float64 { return c.View().HeightMM() }

// FootMM is Camera.FootMM on the prepared camera.
func (v *View) FootMM() mat.Point { return mat.Point{X: v.eye.x, Y: v.eye.y} }

// HeightMM is Camera.HeightMM on the prepared camera. The z axis runs into the
// mat, so that a place above the mat has a z below 0.
func (v *View) HeightMM() float64 { return -v.eye.z }

// ToPhoto is Camera.ToPhoto on the prepared camera.
func (v *View) ToPhoto(p mat.Point) photo.Point { return v.ToPhotoAt(p, 0) }

// ToPhotoAt is Camera.ToPhotoAt on the prepared camera.
func (v *View) ToPhotoAt(p mat.Point, heightMM float64) photo.Point {
	q := vector{p.X, p.Y, -heightMM}.plus(v.eye, -1)
	z := v.fwd.dot(q)
	x, y := v.right.dot(q)/z, v.down.dot(q)/z
	if !(z > 0) || x*x+y*y >= v.foldR2 {
		return photo.Point{X: math.NaN(), Y: math.NaN()}
	}
	xd, yd := v.cam.bend(x, y)
	return photo.Point{X: v.cam.CentreX + v.cam.FocalPx*xd, Y: v.cam.CentreY + v.cam.FocalPx*yd}
}

// ToMat is Camera.ToMat on the prepared camera.
func (v *View) ToMat(p photo.Point) (mat.Point, bool) {
	xd := (p.X - v.cam.CentreX) / v.cam.FocalPx
	yd := (p.Y - v.cam.CentreY) / v.cam.FocalPx
	x, y, ok := v.unbend(xd, yd, xd, yd)
	if !ok {
		return mat.Point{}, false
	}
	m, _, ok := v.meet(x, y)
	return m, ok
}

// meet returns where the ray of an undistorted position meets the mat and how
// deep that lies along the axis, in mm.
func (v *View) meet(x, y float64) (mat.Point, float64, bool) {
	rz := x*v.right.z + y*v.down.z + v.fwd.z
	if rz <= 1e-6 {
		return mat.Point{}, 0, false
	}
	t := -v.eye.z / rz
	return mat.Point{
		X: v.eye.x + t*(x*v.right.x+y*v.down.x+v.fwd.x),
		Y: v.eye.y + t*(x*v.right.y+y*v.down.y+v.fwd.y),
	}, t, true
}

// bend applies the lens terms to an undistorted position.
func (c *Camera) bend(x, y float64) (xd, yd float64) {
	r2 := x*x + y*y
	k := 1 + r2*(c.K1+r2*(c.K2+r2*c.K3))
	xd = x*k + 2*c.P1*x*y + c.P2*(r2+2*x*x)
	yd = y*k + c.P1*(r2+2*y*y) + 2*c.P2*x*y
	return xd, yd
}

// unbend undoes bend by Newton's method from the start sx, sy, to rounding.
func (v *View) unbend(xd, yd, sx, sy float64) (x, y float64, ok bool) {
	c := &v.cam
	x, y = sx, sy
	for range 60 {
		r2 := x*x + y*y
		k := 1 + r2*(c.K1+r2*(c.K2+r2*c.K3))
		dk := c.K1 + r2*(2*c.K2+3*r2*c.K3) // by r²
		ex := x*k + 2*c.P1*x*y + c.P2*(r2+2*x*x) - xd
		ey := y*k + c.P1*(r2+2*y*y) + 2*c.P2*x*y - yd
		xx := k + 2*dk*x*x + 2*c.P1*y + 6*c.P2*x
		xy := 2*dk*x*y + 2*c.P1*x + 2*c.P2*y
		yy := k + 2*dk*y*y + 6*c.P1*y + 2*c.P2*x
		det := xx*yy - xy*xy
		if det < 1e-3 {
			// Past the fold of the lens: come back towards the axis.
			x, y = x*0.7, y*0.7
			continue
		}
		dx, dy := (yy*ex-xy*ey)/det, (xx*ey-xy*ex)/det
		x, y = x-dx, y-dy
		// Newton squares the error: after a step of 1e-8 some 1e-15 is left.
		if dx*dx+dy*dy < 1e-16 {
			return x, y, x*x+y*y < v.foldR2
		}
	}
	return 0, 0, false
}

func (c Camera) check() error {
	switch {
	case !(c.FocalPx > 0):
		return errors.New("scene: the camera's focal length must be above 0 px")
	case !(c.DistanceMM > 0):
		return errors.New("scene: the camera's distance must be above 0 mm")
	case !(c.TiltDeg >= 0 && c.TiltDeg < 80):
		return errors.New("scene: the camera's tilt must be from 0 to below 80 degrees")
	}
	return nil
}

func radians(deg float64) float64 { return deg * math.Pi / 180 }
