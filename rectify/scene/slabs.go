package scene

import (
	"math"

	"flatwright/rectify/mat"
)

// slabs are the thick pieces of a scene as its camera sees them; nil for none.
type slabs struct {
	all      []*slab
	foot     mat.Point // below the camera
	heightMM float64   // of the camera
	reach    bounds    // where they or their shadows touch what is seen
	shadow   *shadowMap
}

func newSlabs(s *Spec, v *View) *slabs {
	k := &slabs{foot: v.FootMM(), heightMM: v.HeightMM(), reach: emptyBounds()}
	for i := range s.Pieces {
		if s.Pieces[i].ThicknessMM > 0 {
			k.all = append(k.all, newSlab(s, i, k.heightMM))
		}
	}
	if len(k.all) == 0 {
		return nil
	}
	k.shadow = newShadowMap(k.all, s.Light)
	for _, b := range k.all {
		// The top of a slab hides the mat behind it.
		for _, p := range []mat.Point{{X: b.box.minX, Y: b.box.minY}, {X: b.box.maxX, Y: b.box.maxY}} {
			k.reach.add(p)
			k.reach.add(add(k.foot, scale(sub(p, k.foot), 1/b.shrink)))
		}
	}
	for _, p := range k.shadow.corners() {
		k.reach.add(p)
	}
	k.reach = k.reach.grow(2)
	return k
}

// near reports whether a ray that would meet the mat here may meet a slab or
// a slab's shadow.
func (k *slabs) near(s spot) bool {
	return k != nil && s.x >= k.reach.minX && s.x <= k.reach.maxX && s.y >= k.reach.minY && s.y <= k.reach.maxY
}

// meets is the first touch of the ray that would meet the mat at a place:
// the highest, since rays come down.
func (k *slabs) meets(ground mat.Point) (b *slab, t touch) {
	t.sure = true
	sure, highest := true, -1.0
	for _, one := range k.all {
		from := add(k.foot, scale(sub(ground, k.foot), one.shrink))
		u := one.meets(from, ground)
		sure = sure && u.sure
		if h := one.highMM * (1 - u.part); u.hit && h > highest {
			b, t, highest = one, u, h
		}
	}
	t.sure = sure
	return b, t
}

// rooks are the places in the unit square, about its middle, at which a spot
// that lies across an edge is looked at: one in each of 16 rows and columns
// (Hammersley's points), so that upright edges are averaged to a sixteenth.
var rooks = func() (out [16]mat.Point) {
	for i := range out {
		r := i&1<<3 | i&2<<1 | i&4>>1 | i&8>>3
		out[i] = mat.Point{X: (float64(i)+0.5)/16 - 0.5, Y: (float64(r)+0.5)/16 - 0.5}
	}
	return out
}()

// amongSlabs is the light of a sample whose ray would meet the mat at a spot,
// seen at u, v.
func (w *worker) amongSlabs(s spot, u, v float64) rgb {
	ground := mat.Point{X: s.x, Y: s.y}
	b, t := w.slabs.meets(ground)
	if t.sure {
		return w.touched(b, t, s, u, v)
	}
	var sum rgb
	var last struct {
		b     *slab
		light rgb
		known bool
	}
	for _, r := range rooks {
		place := mat.Point{X: s.x + r.X*s.widthMM, Y: s.y + r.Y*s.widthMM}
		b, t := w.slabs.meets(place)
		if t.edge == nil && last.known && last.b == b {
			sum = sum.plus(last.light)
			continue
		}
		at := s
		if t.edge != nil {
			at = spot{place.X, place.Y, s.widthMM}
		}
		c := w.touched(b, t, at, u, v)
		if t.edge == nil {
			last.b, last.light, last.known = b, c, true
		}
		sum = sum.plus(c)
	}
	return sum.times(1.0 / float32(len(rooks)))
}

// touched is the light from where a ray meets a slab, or the mat (b nil).
func (w *worker) touched(b *slab, t touch, ground spot, u, v float64) rgb {
	m := mat.Point{X: ground.x, Y: ground.y}
	if b == nil {
		c := w.at(ground).times(1 - w.slabs.shadow.at(m))
		return w.lit(c, m, u, v)
	}
	high := b.highMM * (1 - t.part)
	near := 1 - high/w.slabs.heightMM
	at := add(w.slabs.foot, scale(sub(m, w.slabs.foot), near))
	if t.edge != nil {
		return w.lit(b.wall.colour(t.edge, at, w.slabs.foot, high, b.highMM), at, u, v)
	}
	return w.lit(b.top(spot{at.X, at.Y, ground.widthMM * near}), at, u, v)
}

func (a rgb) plus(b rgb) rgb { return rgb{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

// shadowMap is the part of the light that slabs take from the mat, 0..1, on a
// grid over the plan.
type shadowMap struct {
	x0, y0 float64
	nx, ny int
	dark   []float32
}

// shadowStepMM is the shadow map's grid; shadows are soft and need no finer.
const shadowStepMM = 0.5

func newShadowMap(all []*slab, l Light) *shadowMap {
	lamp := newLamp(l)
	box := emptyBounds()
	for _, b := range all {
		far := b.highMM*lamp.longest() + b.reachMM + 1
		grown := b.box.grow(far)
		box.add(mat.Point{X: grown.minX, Y: grown.minY})
		box.add(mat.Point{X: grown.maxX, Y: grown.maxY})
	}
	m := &shadowMap{x0: box.minX, y0: box.minY}
	m.nx = int((box.maxX-box.minX)/shadowStepMM) + 2
	m.ny = int((box.maxY-box.minY)/shadowStepMM) + 2
	m.dark = make([]float32, m.nx*m.ny)
	for j := range m.ny {
		for i := range m.nx {
			p := mat.Point{X: m.x0 + float64(i)*shadowStepMM, Y: m.y0 + float64(j)*shadowStepMM}
			m.dark[j*m.nx+i] = lamp.darkness(all, p)
		}
	}
	return m
}

func (m *shadowMap) corners() [2]mat.Point {
	return [2]mat.Point{
		{X: m.x0, Y: m.y0},
		{X: m.x0 + shadowStepMM*float64(m.nx-1), Y: m.y0 + shadowStepMM*float64(m.ny-1)},
	}
}

// at interpolates the map, 0 outside.
func (m *shadowMap) at(p mat.Point) float32 {
	fx, fy := (p.X-m.x0)/shadowStepMM, (p.Y-m.y0)/shadowStepMM
	if !(fx >= 0 && fy >= 0 && fx < float64(m.nx-1) && fy < float64(m.ny-1)) {
		return 0
	}
	i, j := int(fx), int(fy)
	u, v := float32(fx-float64(i)), float32(fy-float64(j))
	d := m.dark[j*m.nx+i:]
	top, bottom := d[0]+(d[1]-d[0])*u, d[m.nx]+(d[m.nx+1]-d[m.nx])*u
	return top + (bottom-top)*v
}

// lamp is a broad lamp: directions in which shadows fall, by how far a
// shadow of something 1 mm high reaches over the mat.
type lamp struct {
	throws            [len(rooks)]mat.Point
	strength, reachMM float64
}

// lampHalfDeg is how far the lamp's edge stands from its middle.
const lampHalfDeg = 7

func newLamp(l Light) lamp {
	out := lamp{strength: l.Contact, reachMM: l.ContactMM}
	for i, r := range rooks {
		up := min(max(l.elevation()+2*lampHalfDeg*r.Y, 5), 89)
		far := 1 / math.Tan(radians(up))
		out.throws[i] = turn(l.ContactDeg + 2*lampHalfDeg*r.X).apply(mat.Point{X: far})
	}
	return out
}

// longest is the reach of the longest shadow of something 1 mm high.
func (l *lamp) longest() float64 {
	far := 0.0
	for _, t := range l.throws {
		far = max(far, math.Hypot(t.X, t.Y))
	}
	return far
}

// darkness is the part of the light taken from a place of the mat: the cast
// shadow, and the corner at the foot of a wall that the room does not reach.
func (l *lamp) darkness(all []*slab, p mat.Point) float32 {
	if l.strength <= 0 {
		return 0
	}
	dark, contact := 0.0, 0.0
	for _, b := range all {
		dark = max(dark, l.cast(b, p))
		if e, cx, cy := b.at(p); e != nil && len(e.edges) > 0 && l.reachMM > 0 {
			t := 1 - min(max(-e.signed(p.X, p.Y, cx, cy)/l.reachMM, 0), 1)
			contact = max(contact, t*t)
		}
	}
	return float32(1 - (1-l.strength*dark)*(1-0.5*l.strength*contact))
}

// cast is the part of the lamp that a slab hides from a place.
func (l *lamp) cast(b *slab, p mat.Point) float64 {
	if dist(p, nearestInBox(b.box, p)) > b.highMM*l.longest() {
		return 0
	}
	n := 0
	for _, t := range l.throws {
		if b.meets(sub(p, scale(t, b.highMM)), p).hit {
			n++
		}
	}
	return float64(n) / float64(len(l.throws))
}

func nearestInBox(b bounds, p mat.Point) mat.Point {
	return mat.Point{X: min(max(p.X, b.minX), b.maxX), Y: min(max(p.Y, b.minY), b.maxY)}
}
