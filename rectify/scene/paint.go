package scene

import (
	"math"

	"flatwright/rectify/mat"
)

// spot is one sample of the mat's plane: a place and the width in mm of the
// square it stands for. Everything drawn is averaged over that width by a box
// filter, so that an edge lies where its line lies and not where the samples
// happen to fall.
type spot struct{ x, y, widthMM float64 }

// surface gives the colour of a body at a spot: d is the signed distance in
// from its outline, good to a few mm, and under the colour below it.
type surface interface {
	colour(s spot, d float64, under rgb) rgb
}

// body is a solid lying on what was drawn before it.
type body struct {
	edges    []edge
	surface  surface
	children []ink
	// A shadow of this reach and strength, shifted by (dx, dy).
	reachMM, strength, dx, dy float64
}

// ink is something drawn on a body: a stroke, or a filled patch.
type ink struct {
	edges   []edge
	solid   bool
	widthMM float64
	colour  rgb
	alpha   float32
	// lift is the brightness of the patch's own texture, 0 for none.
	lift float32
	seed uint64
}

// strokeCover is the part of a spot that a stroke covers whose centre line
// runs at distance d.
func strokeCover(d, widthMM, spotMM float64) float32 {
	lo := max(d-spotMM/2, -widthMM/2)
	hi := min(d+spotMM/2, widthMM/2)
	if hi <= lo {
		return 0
	}
	return float32((hi - lo) / spotMM)
}

// edgeCover is the part of a spot inside an outline, d in from it.
func edgeCover(d, spotMM float64) float32 {
	return float32(min(max(0.5+d/spotMM, 0), 1))
}

// stage is a scene made ready for sampling.
type stage struct {
	spec   *Spec
	view   *View
	table  tableTop
	bodies []body
	index  *index
	light  *lightField
	slabs  *slabs
}

func newStage(s *Spec) *stage {
	st := &stage{spec: s, view: s.Camera.View(), table: newTableTop(s)}
	if s.Kind == PlainSheet {
		st.bodies = append(st.bodies, sheetBody(s))
	} else {
		st.bodies = append(st.bodies, matBody(s))
	}
	for i := range s.Pieces {
		if s.Pieces[i].ThicknessMM > 0 {
			continue // not in the plane
		}
		st.bodies = append(st.bodies, pieceBody(s, i))
	}
	for i := range s.Objects {
		st.bodies = append(st.bodies, objectBody(s, i))
	}
	st.light = newLightField(s, st.view)
	st.fileShapes()
	st.slabs = newSlabs(s, st.view)
	return st
}

// fileShapes puts all bodies into the index.
func (st *stage) fileShapes() {
	box := emptyBounds()
	for _, b := range st.bodies {
		for _, e := range b.edges {
			box.add(mat.Point{X: e.ax, Y: e.ay})
		}
	}
	st.index = newIndex(box.grow(15), 2)
	for i, b := range st.bodies {
		reach := b.reachMM + math.Hypot(b.dx, b.dy) + 1
		st.index.add(int32(i), -1, b.edges, true, reach)
		for j, k := range b.children {
			st.index.add(int32(i), int32(j), k.edges, k.solid, k.widthMM/2+0.5)
		}
	}
}

// at returns the colour of the plane at a spot before the light falls on it.
func (st *stage) at(s spot) rgb {
	cell, cx, cy := st.index.at(s.x, s.y)
	var c rgb
	if len(cell) == 0 || !cell[0].covers() {
		c = st.table.colour(s)
	}
	for i := 0; i < len(cell); {
		j := i + 1
		for j < len(cell) && cell[j].body == cell[i].body {
			j++
		}
		c = st.lay(s, cell[i:j], cx, cy, c)
		i = j
	}
	return c
}

// lay puts one body (its own entry first, its children after) over a colour.
func (st *stage) lay(s spot, es []entry, cx, cy float64, under rgb) rgb {
	if es[0].child >= 0 {
		return under // a child reaching past its body
	}
	b := &st.bodies[es[0].body]
	d := es[0].signed(s.x, s.y, cx, cy)
	cover := edgeCover(d, s.widthMM)
	if cover < 1 && b.strength > 0 {
		under = under.times(b.shade(s, &es[0], cx, cy))
	}
	if cover == 0 {
		return under
	}
	c := b.surface.colour(s, d, under)
	for k := 1; k < len(es); k++ {
		c = b.children[es[k].child].over(s, &es[k], cx, cy, c)
	}
	if cover == 1 {
		return c
	}
	return under.mix(c, cover)
}

// shade is the light left beside the body: its contact shadow.
func (b *body) shade(s spot, e *entry, cx, cy float64) float32 {
	if len(e.edges) == 0 {
		return 1
	}
	out := -e.signed(s.x-b.dx, s.y-b.dy, cx, cy)
	t := 1 - min(max(out/b.reachMM, 0), 1)
	return float32(1 - b.strength*t*t)
}

func (k *ink) over(s spot, e *entry, cx, cy float64, under rgb) rgb {
	var cover float32
	if k.solid {
		cover = edgeCover(e.signed(s.x, s.y, cx, cy), s.widthMM)
	} else {
		cover = strokeCover(e.distance(s.x, s.y), k.widthMM, s.widthMM)
	}
	if cover == 0 {
		return under
	}
	c := k.colour
	if k.lift > 0 {
		c = c.times(1 + k.lift*noise(k.seed, s.x*1.1, s.y*1.1) + k.lift*noise(k.seed+1, s.x*0.09, s.y*0.09))
	}
	return under.mix(c, cover*k.alpha)
}
