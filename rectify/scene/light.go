package scene

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// lightField holds the slow part of the light on a coarse grid over the
// plane: three gains and an added sheen.
type lightField struct {
	x0, y0, stepMM float64
	nx, ny         int
	gain           []rgb
	sheen          []float32
}

func newLightField(s *Spec, v *View) *lightField {
	box := seenBounds(s, v)
	f := &lightField{x0: box.minX, y0: box.minY, stepMM: 2.5}
	f.nx = int((box.maxX-box.minX)/f.stepMM) + 2
	f.ny = int((box.maxY-box.minY)/f.stepMM) + 2
	f.gain = make([]rgb, f.nx*f.ny)
	f.sheen = make([]float32, f.nx*f.ny)
	for j := range f.ny {
		for i := range f.nx {
			p := mat.Point{X: f.x0 + float64(i)*f.stepMM, Y: f.y0 + float64(j)*f.stepMM}
			f.gain[j*f.nx+i], f.sheen[j*f.nx+i] = s.lightAt(p)
		}
	}
	return f
}

// seenBounds is the part of the plane in the picture, within 1.5 m.
func seenBounds(s *Spec, v *View) bounds {
	box := emptyBounds()
	add := func(x, y float64) {
		if p, ok := v.ToMat(photo.Point{X: x, Y: y}); ok {
			p.X = min(max(p.X, s.Camera.TargetX-1500), s.Camera.TargetX+1500)
			p.Y = min(max(p.Y, s.Camera.TargetY-1500), s.Camera.TargetY+1500)
			box.add(p)
		}
	}
	for i := 0; i <= 16; i++ {
		t := float64(i) / 16
		x, y := t*float64(s.Width), t*float64(s.Height)
		add(x, 0)
		add(x, float64(s.Height))
		add(0, y)
		add(float64(s.Width), y)
	}
	add(float64(s.Width)/2, float64(s.Height)/2)
	return box.grow(10)
}

// lightAt is the light that falls on a place, and the sheen it throws back.
func (s *Spec) lightAt(p mat.Point) (gain rgb, sheen float32) {
	l := &s.Light
	dir := turn(l.GradientDeg).apply(mat.Point{X: 1})
	from := mat.Point{X: s.Camera.TargetX, Y: s.Camera.TargetY}
	level := l.Level
	if l.SpanMM > 0 {
		level *= math.Exp(-l.Gradient * dot(dir, sub(p, from)) / l.SpanMM)
	}
	gain = rgb{float32(level * l.Red), float32(level), float32(level * l.Blue)}
	for _, c := range l.Shadows {
		dark := c.darkness(p)
		// What is left comes from the room and is bluer than the lamp.
		gain = gain.mul(rgb{float32(1 - dark), float32(1 - 0.97*dark), float32(1 - 0.9*dark)})
	}
	if l.Glare > 0 && l.GlareRadiusMM > 0 {
		r := dist(p, l.GlareAt) / l.GlareRadiusMM
		sheen = float32(l.Glare * math.Exp(-r*r/2))
	}
	return gain, sheen
}

// darkness is the part of the light taken at p, 0..Strength.
func (c CastShadow) darkness(p mat.Point) float64 {
	d := dist(p, nearestOnRing(c.Outline, p))
	if !contains(c.Outline, p) {
		d = -d
	}
	t := min(max(0.5+d/max(c.SoftMM, 1), 0), 1)
	return c.Strength * t * t * (3 - 2*t)
}

// at interpolates the light at a place.
func (f *lightField) at(x, y float64) (rgb, float32) {
	fx := min(max((x-f.x0)/f.stepMM, 0), float64(f.nx-2)+0.999)
	fy := min(max((y-f.y0)/f.stepMM, 0), float64(f.ny-2)+0.999)
	i, j := int(fx), int(fy)
	u, v := float32(fx-float64(i)), float32(fy-float64(j))
	k := j*f.nx + i
	top, bottom := f.gain[k].mix(f.gain[k+1], u), f.gain[k+f.nx].mix(f.gain[k+f.nx+1], u)
	s0 := f.sheen[k] + (f.sheen[k+1]-f.sheen[k])*u
	s1 := f.sheen[k+f.nx] + (f.sheen[k+f.nx+1]-f.sheen[k+f.nx])*u
	return top.mix(bottom, v), s0 + (s1-s0)*v
}
