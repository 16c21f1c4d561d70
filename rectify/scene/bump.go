package scene

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

// Bump is a place where the mat does not lie flat: a round swell about At, or
// with Ridge a swell along the line through At at AngleDeg, such as a mat
// keeps that was rolled up. Its height is AmplitudeMM (below 0 for a hollow)
// in the middle and falls by a raised cosine to nothing at RadiusMM. What is
// printed and laid on the mat keeps its place in the plan: the surface is
// stretched, not bent like paper.
type Bump struct {
	At          mat.Point `json:"at_mm"`
	AmplitudeMM float64   `json:"amplitude_mm"`
	RadiusMM    float64   `json:"radius_mm"`
	Ridge       bool      `json:"ridge,omitempty"`
	AngleDeg    float64   `json:"angle_deg,omitempty"`
}

// HeightMM returns the surface's height above the plane at a place.
func (b Bump) HeightMM(p mat.Point) float64 {
	r := b.from(p) / b.RadiusMM
	if b.AmplitudeMM == 0 || !(r < 1) {
		return 0
	}
	return b.AmplitudeMM * (1 + math.Cos(math.Pi*r)) / 2
}

// from is the distance from the middle, or from the ridge.
func (b Bump) from(p mat.Point) float64 {
	if !b.Ridge {
		return dist(p, b.At)
	}
	return math.Abs(cross(turn(b.AngleDeg).apply(mat.Point{X: 1}), sub(p, b.At)))
}

// slope is the surface's slope at a place, by central differences.
func (b Bump) slope(p mat.Point) mat.Point {
	const h = 0.01
	return mat.Point{
		X: (b.HeightMM(mat.Point{X: p.X + h, Y: p.Y}) - b.HeightMM(mat.Point{X: p.X - h, Y: p.Y})) / (2 * h),
		Y: (b.HeightMM(mat.Point{X: p.X, Y: p.Y + h}) - b.HeightMM(mat.Point{X: p.X, Y: p.Y - h})) / (2 * h),
	}
}

// maxBumpSlope is the steepest bump that is drawn: no part of it may hide
// another.
const maxBumpSlope = 0.3

func (b Bump) check() error {
	if b.AmplitudeMM == 0 {
		return nil
	}
	if steep := math.Abs(b.AmplitudeMM) * math.Pi / (2 * b.RadiusMM); !(b.RadiusMM > 0) || !(steep <= maxBumpSlope) {
		return fmt.Errorf("scene: a bump of %g mm within %g mm is steeper than %g", b.AmplitudeMM, b.RadiusMM, maxBumpSlope)
	}
	return nil
}

// onBump is where the ray that would meet the plane at a place meets
// the bent mat, in plan, to 1e-6 mm. Seen from above the camera's foot a
// place z up lies at C + (X - C)(1 - z / C_z).
func (v *View) onBump(b *Bump, plane mat.Point) mat.Point {
	foot, high := v.FootMM(), v.HeightMM()
	p := plane
	for range 60 {
		next := add(foot, scale(sub(plane, foot), 1-b.HeightMM(p)/high))
		d := sub(next, p)
		p = next
		if dot(d, d) < 1e-14 {
			break
		}
	}
	return p
}

// lightOn is the factor by which a lamp at an angle lights a slope more or
// less than the flat mat.
func (b *Bump) lightOn(p mat.Point, l Light) float32 {
	lit := turn(l.ContactDeg + 180).apply(mat.Point{X: 1})
	return float32(max(1-dot(b.slope(p), lit)/math.Tan(radians(l.elevation())), 0.2))
}

// bent is the spot of the bent mat that a ray meets which would meet the
// plane at a spot, and the light's factor there.
func (w *worker) bent(plane spot) (spot, float32) {
	b := &w.spec.Mat.Bump
	at := w.view.onBump(b, mat.Point{X: plane.x, Y: plane.y})
	near := 1 - b.HeightMM(at)/w.view.HeightMM()
	return spot{at.X, at.Y, plane.widthMM * near}, b.lightOn(at, w.spec.Light)
}
