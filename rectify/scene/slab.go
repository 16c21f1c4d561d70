package scene

import (
	"math"

	"flatwright/rectify/mat"
)

// slab is a thick piece made ready: walls stand straight up from its outline
// to a flat top. A ray of the camera comes down over the plan along a straight
// track, from the place where it passes the slab's height to the place where
// it would meet the mat.
type slab struct {
	body
	highMM float64
	// shrink is how much nearer to the camera's foot a ray passes the slab's
	// height than it meets the mat.
	shrink float64
	box    bounds
	index  *index
	wall   wallPaint
}

// walkMM is the longest stretch of a track that is looked at in one go; every
// edge within half of it from anywhere in a cell is filed in that cell.
const walkMM = 2

func newSlab(s *Spec, i int, heightMM float64) *slab {
	p := &s.Pieces[i]
	b := &slab{body: pieceBody(s, i), highMM: p.ThicknessMM, shrink: 1 - p.ThicknessMM/heightMM, box: boundsOf(p.Outline)}
	seed := mix64(s.Seed + uint64(i)*91)
	base := p.Tape.Colour.linear()
	b.surface = &foam{base: base, seed: seed}
	b.wall = newWallPaint(base, seed, s.Light)
	b.index = newIndex(b.box.grow(walkMM+b.reachMM), 2)
	b.index.add(0, -1, b.edges, true, walkMM/2+b.reachMM)
	for k, c := range b.children {
		b.index.add(0, int32(k), c.edges, c.solid, c.widthMM/2+0.5)
	}
	return b
}

// at returns the outline's entry near a place of the plan, nil where there is
// none, and the centre of its cell.
func (b *slab) at(p mat.Point) (e *entry, cx, cy float64) {
	cell, cx, cy := b.index.at(p.X, p.Y)
	if len(cell) == 0 || cell[0].child >= 0 {
		return nil, 0, 0
	}
	return &cell[0], cx, cy
}

// touch is where a ray first meets a slab.
type touch struct {
	// part is how far down the slab it lies, 0 on the top face, 1 at the foot.
	part float64
	// edge is the wall's; nil on the top face.
	edge *edge
	hit  bool
	// sure is set when no wall stands within walkMM/2 of the track, so that
	// the rays beside this one fare alike.
	sure bool
}

// meets follows a ray over the plan from the slab's height down to the mat.
func (b *slab) meets(from, to mat.Point) touch {
	t := touch{sure: true}
	if max(from.X, to.X) < b.box.minX-walkMM || min(from.X, to.X) > b.box.maxX+walkMM ||
		max(from.Y, to.Y) < b.box.minY-walkMM || min(from.Y, to.Y) > b.box.maxY+walkMM {
		return t
	}
	if e, cx, cy := b.at(from); e != nil {
		t.sure = len(e.edges) == 0
		if e.holds(from.X, from.Y, cx, cy) {
			t.hit = true
			return t
		}
	}
	long := dist(from, to)
	steps := max(1, int(math.Ceil(long/walkMM)))
	for k := range steps {
		a, z := float64(k)/float64(steps), float64(k+1)/float64(steps)
		e, _, _ := b.at(lerp(from, to, (a+z)/2))
		if e == nil || len(e.edges) == 0 {
			continue
		}
		t.sure = false
		if at, wall := firstCut(e.edges, from, to, a, z); wall != nil {
			return touch{part: at, edge: wall, hit: true}
		}
	}
	return t
}

// firstCut is the first edge that the track crosses between the parts a and z
// of its way, and where; nil for none.
func firstCut(edges []edge, from, to mat.Point, a, z float64) (part float64, e *edge) {
	part = math.Inf(1)
	for i := range edges {
		if !edges[i].crosses(from.X, from.Y, to.X, to.Y) {
			continue
		}
		t := edges[i].cutAt(from, to)
		if t >= a-1e-9 && t <= z+1e-9 && t < part {
			part, e = t, &edges[i]
		}
	}
	return part, e
}

// cutAt is the part of the way from one point to another at which it crosses
// the edge's line.
func (e *edge) cutAt(from, to mat.Point) float64 {
	a := e.dx*(from.Y-e.ay) - e.dy*(from.X-e.ax)
	b := e.dx*(to.Y-e.ay) - e.dy*(to.X-e.ax)
	return a / (a - b)
}

// holds reports whether a place lies inside a solid; cx, cy is its cell's
// centre.
func (e *entry) holds(x, y, cx, cy float64) bool {
	inside := e.inside
	for i := range e.edges {
		if e.edges[i].crosses(x, y, cx, cy) {
			inside = !inside
		}
	}
	return inside
}

// top is the colour of the top face at a place, before the light falls on it.
func (b *slab) top(s spot) rgb {
	c := b.surface.colour(s, 0, rgb{})
	cell, cx, cy := b.index.at(s.x, s.y)
	for k := range cell {
		if cell[k].child >= 0 {
			c = b.children[cell[k].child].over(s, &cell[k], cx, cy, c)
		}
	}
	return c
}

// foam is the skin of a foam sheet.
type foam struct {
	base rgb
	seed uint64
}

func (f *foam) colour(s spot, _ float64, _ rgb) rgb {
	return f.base.times(1 + 0.03*noise(f.seed, s.x*2.3, s.y*2.3) + 0.025*noise(f.seed+1, s.x/30, s.y/30))
}

// wallPaint is the cut side of a foam sheet.
type wallPaint struct {
	base         rgb
	shade, swing float32
	lit          mat.Point // direction from which the light comes
	seed         uint64
}

// A pale wall is darker than the skin, since less of the lamp's light falls on
// it; dark foam is rough where it is cut and lighter than its skin.
func newWallPaint(base rgb, seed uint64, l Light) wallPaint {
	p := wallPaint{base: base, shade: 0.68, swing: 0.17, seed: seed + 5}
	if luma601(base[0], base[1], base[2]) < 0.1 {
		p.shade, p.swing = 1.6, 0.35
	}
	p.lit = turn(l.ContactDeg + 180).apply(mat.Point{X: 1})
	return p
}

// colour is the wall's at a place of the plan, heightMM above the mat, on the
// side that the eye stands on.
func (p *wallPaint) colour(e *edge, at, eye mat.Point, heightMM, highMM float64) rgb {
	out := mat.Point{X: e.dy, Y: -e.dx}
	if dot(out, sub(eye, at)) < 0 {
		out = scale(out, -1)
	}
	k := p.shade + p.swing*float32(dot(out, p.lit)*math.Sqrt(e.invLen2))
	// Little light reaches the corner between wall and mat.
	low := 1 - min(heightMM/highMM, 1)
	k *= 1 - 0.2*float32(low*low)
	return p.base.times(k * (1 + 0.05*noise(p.seed, (at.X+at.Y)*1.4, (heightMM+at.X-at.Y)*1.4)))
}
