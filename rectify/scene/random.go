package scene

import (
	"fmt"
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Random is a scene drawn by a seed from the range of what makers photograph:
// five mat colours, inch and centimetre lines, tilt to 25 degrees, lenses from
// 16 to 35 mm-equivalent, cast shadows, five to sixteen pieces that do not
// overlap, things left on the mat.
func Random(seed uint64, o RandomOptions) Spec {
	rng := rand.New(rand.NewPCG(seed, 0xf1a7))
	o = o.filled(rng)
	s := Spec{Seed: seed, Name: fmt.Sprintf("scene-%d.jpg", seed)}
	turned := s.size(rng, o)
	s.Mat = randomMat(rng, o, max(s.Width, s.Height))
	o.printMat(&s)
	s.Camera = randomCamera(rng, o, &s, turned)
	s.Sensor = randomSensor(rng, s.Camera, s.Width, s.Height)
	s.Light = randomLight(rng, &s)
	s.Objects = randomObjects(rng, &s)
	s.Pieces = randomPieces(rng, &s, o, min(5+rng.IntN(12), o.MaxPieces))
	if o.Coverage > 0 {
		s.Pieces = coverPieces(&s, o)
	}
	o.finish(&s)
	return s
}

// randomCamera holds the camera over the mat so that it fills most of the
// frame, in one scene of five a little more than the frame.
func randomCamera(rng *rand.Rand, o RandomOptions, s *Spec, turned bool) Camera {
	w, h := s.Mat.SizeMM()
	pw, ph := float64(s.Width), float64(s.Height)
	focal35 := between(rng, o.MinFocal35MM, o.MaxFocal35MM)
	c := Camera{
		FocalPx: focal35 / math.Hypot(36, 24) * math.Hypot(pw, ph),
		CentreX: (pw-1)/2 + clipped(rng, 0.004, 0.01)*pw,
		CentreY: (ph-1)/2 + clipped(rng, 0.004, 0.01)*pw,
		TargetX: w * between(rng, 0.46, 0.54), TargetY: h * between(rng, 0.46, 0.54),
		TiltDeg:    o.MaxTiltDeg * math.Sqrt(rng.Float64()),
		AzimuthDeg: rng.Float64() * 360,
		RollDeg:    180*float64(rng.IntN(2)) + clipped(rng, 4, 10),
		DistanceMM: 100,
	}
	if turned {
		c.RollDeg += 90
	}
	randomLens(rng, &c, math.Hypot(pw, ph)/2/c.FocalPx)
	o.hold(&c, s)
	fill := between(rng, 0.88, 0.98)
	if rng.IntN(5) == 0 {
		fill = between(rng, 1.05, 1.18)
	}
	aside := mat.Point{X: w * between(rng, -0.03, 0.03), Y: h * between(rng, -0.03, 0.03)}
	if o.SidesOut > 0 {
		return cropped(framed(c, s, 0.97, aside), s, o.SidesOut)
	}
	return framed(c, s, fill, aside)
}

// hold changes a drawn camera to the options.
func (o RandomOptions) hold(c *Camera, s *Spec) {
	rng := s.extra(0x401d)
	if o.TiltDeg != nil {
		c.TiltDeg = *o.TiltDeg
	}
	if o.AnyRoll {
		c.RollDeg = rng.Float64() * 360
	}
	if o.CornerBend != nil {
		r := math.Hypot(float64(s.Width), float64(s.Height)) / 2 / c.FocalPx
		c.K1, c.K2 = *o.CornerBend/(r*r), 0
	}
}

// framed brings the mat to the middle of the frame, but for a shift aside, and
// the camera to the distance at which it fills the frame as wished.
func framed(c Camera, s *Spec, fill float64, aside mat.Point) Camera {
	for range 6 {
		c.DistanceMM = distanceFor(c, s, min(fill, 0.98))
		box := matInPhoto(c, s)
		v := c.View()
		seen, ok1 := v.ToMat(photo.Point{X: (box.minX + box.maxX) / 2, Y: (box.minY + box.maxY) / 2})
		middle, ok2 := v.ToMat(photo.Point{X: float64(s.Width) / 2, Y: float64(s.Height) / 2})
		if !ok1 || !ok2 {
			break
		}
		c.TargetX += seen.X - middle.X
		c.TargetY += seen.Y - middle.Y
	}
	c.TargetX, c.TargetY = c.TargetX+aside.X, c.TargetY+aside.Y
	c.DistanceMM = distanceFor(c, s, fill)
	return c
}

// randomLens gives lens terms by what they do in the corner of the picture,
// cornerR focal lengths out: -13 to +3 % for k1, a little for the rest.
func randomLens(rng *rand.Rand, c *Camera, cornerR float64) {
	r2 := cornerR * cornerR
	c.K1 = min(max(between(rng, -0.13, 0.03)/r2, -0.3), 0.1)
	c.K2 = -c.K1 * between(rng, 0, 0.35) / max(r2, 0.7)
	c.P1 = clipped(rng, 0.0006, 0.0015)
	c.P2 = clipped(rng, 0.0006, 0.0015)
}

// clipped is a normal number cut off at a limit.
func clipped(rng *rand.Rand, sigma, limit float64) float64 {
	return min(max(rng.NormFloat64()*sigma, -limit), limit)
}

// distanceFor is the distance at which the mat reaches fill of the way to the
// frame's border on its fullest side.
func distanceFor(c Camera, s *Spec, fill float64) float64 {
	lo, hi := 100.0, 6000.0
	for range 40 {
		c.DistanceMM = (lo + hi) / 2
		if fullness(c, s) > fill {
			lo = c.DistanceMM
		} else {
			hi = c.DistanceMM
		}
	}
	return hi
}

// fullness is how far towards the frame's border the mat reaches, 1 at it.
func fullness(c Camera, s *Spec) float64 {
	box := matInPhoto(c, s)
	off := func(v, size float64) float64 { return math.Abs(2*v/size - 1) }
	w, h := float64(s.Width), float64(s.Height)
	full := max(off(box.minX, w), off(box.maxX, w), off(box.minY, h), off(box.maxY, h))
	if math.IsNaN(full) {
		return math.Inf(1)
	}
	return full
}

// matInPhoto is the box in px that the mat's border is seen in; NaN when some
// of it cannot be seen.
func matInPhoto(c Camera, s *Spec) bounds {
	w, h := s.Mat.SizeMM()
	b := s.Mat.BorderMM
	box := emptyBounds()
	v := c.View()
	for i := 0; i <= 8; i++ {
		t := float64(i) / 8
		x, y := -b+t*(w+2*b), -b+t*(h+2*b)
		for _, p := range []mat.Point{{X: x, Y: -b}, {X: x, Y: h + b}, {X: -b, Y: y}, {X: w + b, Y: y}} {
			q := v.ToPhoto(p)
			box.add(mat.Point(q)) // min and max keep a NaN
		}
	}
	return box
}

// visible reports whether all points, heightMM above the mat, are in the
// frame, marginPx inside it.
func (s *Spec) visible(v *View, ps []mat.Point, heightMM, marginPx float64) bool {
	for _, p := range ps {
		q := v.ToPhotoAt(p, heightMM)
		if !inFrame(q, s.Width, s.Height, marginPx) {
			return false
		}
	}
	return true
}

func inFrame(q photo.Point, w, h int, marginPx float64) bool {
	return q.X >= marginPx && q.Y >= marginPx && // false for NaN
		q.X <= float64(w)-1-marginPx && q.Y <= float64(h)-1-marginPx
}

func randomSensor(rng *rand.Rand, c Camera, w, h int) Sensor {
	s := Sensor{
		BlurPx: between(rng, 0.45, 1.05), Noise: between(rng, 0.7, 2.6),
		Sharpen: between(rng, 0.1, 0.9), SharpenPx: between(rng, 0.9, 1.8),
		Contrast: between(rng, 0, 0.5), Quality: 82 + rng.IntN(14), Orientation: 1,
	}
	if w*h > 30e6 {
		s.BlurPx *= 1.6 // so many pixels are finer than the lens
	}
	if w < h {
		s.Orientation = 6
		if rng.IntN(3) == 0 {
			s.Orientation = 8
		}
	} else if rng.IntN(6) == 0 {
		s.Orientation = 3
	}
	focal35 := c.FocalPx / math.Hypot(float64(w), float64(h)) * math.Hypot(36, 24)
	if rng.IntN(8) > 0 {
		s.Focal35MM = int(math.Round(focal35 * (1 + clipped(rng, 0.015, 0.03))))
	}
	return s
}

func randomLight(rng *rand.Rand, s *Spec) Light {
	w, h := s.Mat.SizeMM()
	l := Light{
		Level: between(rng, 0.75, 1.05), Gradient: between(rng, 0.05, 0.55), GradientDeg: rng.Float64() * 360,
		SpanMM: w, Vignette: between(rng, 0.05, 0.4), ContactDeg: rng.Float64() * 360,
		ContactMM: between(rng, 0.8, 2.6), Contact: between(rng, 0.15, 0.5),
		Red: between(rng, 0.9, 1.14), Blue: between(rng, 0.8, 1.12),
	}
	if rng.IntN(2) == 0 {
		l.Glare, l.GlareRadiusMM = between(rng, 0.02, 0.1), between(rng, 60, 180)
		l.GlareAt = mat.Point{X: w * rng.Float64(), Y: h * rng.Float64()}
	}
	for range rng.IntN(3) {
		l.Shadows = append(l.Shadows, randomShadow(rng, w, h))
	}
	return l
}

// randomShadow comes in from one side, like an arm with a phone in the hand.
func randomShadow(rng *rand.Rand, w, h float64) CastShadow {
	m := turn(float64(rng.IntN(4))*90 + rng.NormFloat64()*20)
	from := mat.Point{X: w * between(rng, 0.1, 0.9), Y: h * between(rng, 0.1, 0.9)}
	m.dx, m.dy = from.X, from.Y
	arm := between(rng, 30, 70)
	hand := between(rng, 40, 80)
	outline := begin(-hand, -hand*0.6).line(hand*0.6, -hand*0.7).bow(hand*0.8, hand*0.5, 8).
		line(hand*0.7, arm).line(1500, arm*2).line(1500, -arm*1.5).line(hand, -arm*0.4).
		line(hand*0.4, hand*0.8).line(-hand, hand*0.7).close()
	if rng.IntN(3) == 0 { // a straight edge: a window frame, a shelf
		outline = begin(0, -1500).line(1500, -1500).line(1500, 1500).line(0, 1500).close()
	}
	return CastShadow{Outline: m.applyAll(outline.points), SoftMM: between(rng, 8, 60), Strength: between(rng, 0.2, 0.55)}
}
