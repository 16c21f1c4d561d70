package scene

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// strip is one length of tape in a piece: a band across which t runs from 0
// to its width.
type strip struct {
	ux, uy, off float64 // t = ux x + uy y - off
	widthMM     float64
	shade       float32
}

// taped is the surface of a piece: overlapping strips of tape.
type taped struct {
	Tape
	base   rgb
	strips []strip
	seed   uint64
	lit    mat.Point // direction from which the light comes
}

func newTaped(p *Piece, seed uint64, light Light) *taped {
	t := &taped{Tape: p.Tape, base: p.Tape.Colour.linear(), seed: mix64(seed)}
	t.lit = turn(light.ContactDeg + 180).apply(mat.Point{X: 1})
	rng := rand.New(rand.NewPCG(seed, 0x7a9e))
	width := max(p.Tape.StripMM, 5)
	box := boundsOf(p.Outline)
	mid := mat.Point{X: (box.minX + box.maxX) / 2, Y: (box.minY + box.maxY) / 2}
	reach := math.Hypot(box.maxX-box.minX, box.maxY-box.minY) / 2
	for at := -reach - width; at < reach; at += width * (0.55 + 0.3*rng.Float64()) {
		t.strips = append(t.strips, t.strip(rng, mid, t.AngleDeg+rng.NormFloat64()*4, at, width))
	}
	// A few strips laid the other way, as on a form with a double curve.
	for range 1 + rng.IntN(3) {
		at := (rng.Float64()*2 - 1) * reach
		t.strips = append(t.strips, t.strip(rng, mid, t.AngleDeg+50+rng.Float64()*80, at, width))
	}
	rng.Shuffle(len(t.strips), func(i, j int) { t.strips[i], t.strips[j] = t.strips[j], t.strips[i] })
	return t
}

func (t *taped) strip(rng *rand.Rand, mid mat.Point, angleDeg, at, width float64) strip {
	across := turn(angleDeg + 90).apply(mat.Point{X: 1})
	return strip{
		ux: across.X, uy: across.Y, off: dot(across, mid) + at,
		widthMM: width, shade: 1 + 0.02*float32(rng.NormFloat64()),
	}
}

func (t *taped) colour(s spot, d float64, under rgb) rgb {
	layers, shade, top, across := t.stack(s)
	k := shade * t.grain(s, top, across)
	// The cut edge catches the light or turns from it.
	if d < 0.35 {
		k *= 1 - float32(0.06*t.Rim*(1-d/0.35))
	}
	c := t.base.times(k)
	gap := math.Pow(1-t.Opacity, float64(max(layers, 1)))
	return c.mix(c.mul(rgb{0.5, 0.5, 0.5}).mix(under, 0.55), float32(gap))
}

// stack counts the strips at a spot and returns the top one's number, its
// shade (dark beside the edge of a strip lying over it) and the place across.
func (t *taped) stack(s spot) (layers int, shade float32, top int, across float64) {
	shade = 1
	for i := range t.strips {
		st := &t.strips[i]
		v := st.ux*s.x + st.uy*s.y - st.off
		e := min(v, st.widthMM-v)
		if e > 0 {
			layers++
			shade, top, across = st.shade, i, v
			if e < 0.6 {
				shade *= 1 + 0.04*float32(1-e/0.6)
			}
		} else if e > -0.8 {
			shade *= 1 - 0.1*float32(1+e/0.8)
		}
	}
	return layers, shade, top, across
}

// grain is the tape's own surface: crepe ripples, cloth, wrinkles.
func (t *taped) grain(s spot, top int, across float64) float32 {
	st := &t.strips[top]
	alongTape := -st.uy*s.x + st.ux*s.y
	k := 1 + 0.02*noise(t.seed, s.x/14, s.y/14) + 0.012*noise(t.seed+1, s.x*2.1, s.y*2.1)
	if t.Crepe > 0 {
		k += float32(t.Crepe) * 0.07 * noise(t.seed+2, alongTape*1.5, across*0.28)
	}
	if t.Weave > 0 {
		k += float32(t.Weave) * 0.03 * float32(math.Sin(alongTape*4.2)*math.Sin(across*4.2))
		k += float32(t.Weave) * 0.08 * noise(t.seed+3, s.x/24, s.y/24)
	}
	if t.Wrinkles > 0 {
		// Creases lie where slow noise crosses zero, bright on one side.
		n := noise(t.seed+4, s.x/17+float64(top)*3, s.y/23)
		if a := n * 14; a > -1 && a < 1 {
			here := max(noise(t.seed+5, s.x/20, s.y/20)+0.15, 0) // only in places
			k += float32(t.Wrinkles) * 0.4 * here * a * (1 - a*a)
		}
	}
	return k
}

// pieceBody is a piece with all that is drawn on it.
func pieceBody(s *Spec, i int) body {
	p := &s.Pieces[i]
	rings := append([][]mat.Point{p.Outline}, p.Openings...)
	dx, dy := shadowShift(s.Light, 0.25*s.Light.ContactMM)
	b := body{
		edges: ringEdges(rings...), surface: newTaped(p, mix64(s.Seed+uint64(i)*77), s.Light),
		reachMM: s.Light.ContactMM, strength: s.Light.Contact, dx: dx, dy: dy,
	}
	for k, e := range p.Edges {
		b.children = append(b.children, edgeTapeInk(p, e, mix64(s.Seed+uint64(100*i+k))))
	}
	b.children = append(b.children, penInk(p, mix64(s.Seed^uint64(i+1)))...)
	return b
}

// shadowShift is the offset of a shadow away from the light.
func shadowShift(l Light, mm float64) (dx, dy float64) {
	d := turn(l.ContactDeg).apply(mat.Point{X: mm})
	return d.X, d.Y
}

// edgeTapeInk is the coloured tape along a run: a band from just outside the
// outline (it is cut off there) to its width inside.
func edgeTapeInk(p *Piece, e EdgeTape, seed uint64) ink {
	return ink{
		edges: ringEdges(bandAlong(p.Outline, e)), solid: true,
		colour: e.Colour.linear(), alpha: 0.97, lift: 0.04, seed: seed,
	}
}

func bandAlong(ring []mat.Point, e EdgeTape) []mat.Point {
	var outer, inner []mat.Point
	put := func(at, dir mat.Point) {
		in := mat.Point{X: -dir.Y, Y: dir.X} // clockwise to the eye, y down
		outer = append(outer, add(at, scale(in, -1)))
		inner = append(inner, add(at, scale(in, e.WidthMM)))
	}
	// Stay off the corners, where the direction is in doubt, and run on past
	// them so that the knife cut the tape's ends.
	const inset = 1e-3
	from, to := e.FromMM+inset, e.ToMM-inset
	at, dir := along(ring, from)
	put(add(at, scale(dir, -e.WidthMM)), dir)
	n := max(2, int(math.Ceil((to-from)/1.5)))
	for i := 0; i <= n; i++ {
		put(along(ring, from+(to-from)*float64(i)/float64(n)))
	}
	at, dir = along(ring, to)
	put(add(at, scale(dir, e.WidthMM)), dir)
	reverse(inner)
	return append(outer, inner...)
}
