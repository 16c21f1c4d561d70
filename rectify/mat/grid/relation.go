package grid

import (
	"context"
	"math"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

const (
	// turnedDeg is by how much the lines of one mat may seem turned where the
	// model of one part of it is carried on to another.
	turnedDeg = 15
	// unlike is the same for spacings, as a logarithm.
	unlike = 0.2
	// oneSteps is how far off, in steps, the lines of one mat may lie from one
	// model of both, beyond oneTimes what they lie off from models of their own:
	// a sheared view and a bent lens take up most of a wrong shift, but not all.
	oneSteps = 0.002
	oneTimes = 2
	// apartTimes is how many times further off than that the best numbering
	// must leave the lines for two mats to be told: a model of little may be
	// poor far from it.
	apartTimes = 4
	// oneSpans is how many spans of either are compared.
	oneSpans = 150
)

// oneWith returns the models, in this lattice's steps, under which another
// lattice is the same mat seen again: one for each numbering of its lines with
// which one camera explains both. Where there is none, told says whether the
// other is another mat: none comes near, and its cells are a mat's, square and
// not far wider or narrower.
func (g *lattice) oneWith(ctx context.Context, other *lattice) (models []lens.Model, told bool, err error) {
	v, ok := g.cellOf(other)
	if !ok || math.Abs(math.Log(v.across)) > math.Log(rivalSpacing) || math.Abs(math.Log(v.down)) > math.Log(rivalSpacing) {
		return nil, false, nil
	}
	told = math.Abs(math.Log(v.across/v.down)) < unlike
	r, ok := v.relation()
	if !ok {
		return nil, told, nil
	}
	// How far off each may lie does not depend on the numbering.
	limits := [2][2]float64{g.looseness(), other.looseness()}
	nearest := math.Inf(1)
	for dx := -r.slack(0); dx <= r.slack(0); dx++ {
		for dy := -r.slack(1); dy <= r.slack(1); dy++ {
			if err := ctx.Err(); err != nil {
				return nil, told, err
			}
			m, off := g.explain(ctx, other, r, dx, dy, limits)
			if off < 1 {
				models = append(models, m)
			}
			nearest = math.Min(nearest, off)
		}
	}
	return models, told && nearest > apartTimes, nil
}

// view is a cell of another lattice in steps of this one, where the other
// comes nearest: its crossing (column, row), where that lies, its two sides and
// their lengths.
type view struct {
	column, row  int
	at           mat.Point
	a, b         mat.Point
	across, down float64
}

// cellOf views another lattice; false where the model does not reach.
func (g *lattice) cellOf(other *lattice) (view, bool) {
	at, ok := other.model.ToMat(g.nearestOf(other))
	if !ok {
		return view{}, false
	}
	v := view{column: int(math.Round(at.X)), row: int(math.Round(at.Y))}
	place := func(dx, dy float64) (mat.Point, bool) {
		return g.model.ToMat(other.model.ToPhoto(mat.Point{X: float64(v.column) + dx, Y: float64(v.row) + dy}))
	}
	o, ok0 := place(0, 0)
	a, ok1 := place(1, 0)
	b, ok2 := place(0, 1)
	if !ok0 || !ok1 || !ok2 {
		return view{}, false
	}
	v.at, v.a, v.b = o, mat.Point{X: a.X - o.X, Y: a.Y - o.Y}, mat.Point{X: b.X - o.X, Y: b.Y - o.Y}
	v.across, v.down = math.Hypot(v.a.X, v.a.Y), math.Hypot(v.b.X, v.b.Y)
	return v, v.across > 0 && v.down > 0
}

// relation is how the steps of another lattice may be those of this one: a
// quarter turn, a whole ratio of the spacings each way, a shift. One unit of a
// direction is the finer of both steps in it.
type relation struct {
	own, others [2]int // units in a step of each, across the columns and down
	turn        [2][2]int
	shift       [2]int
}

// slack is by how many units of a direction the shift may be off.
func (r relation) slack(d int) int { return max(1, r.own[d]/3) }

// relation reads it off a cell; false when the cell stands at an angle or its
// size is none that goes with the other's.
func (v view) relation() (r relation, ok bool) {
	if offAxisDeg(v.a) > turnedDeg || offAxisDeg(v.b) > turnedDeg {
		return relation{}, false
	}
	r.turn = [2][2]int{
		{int(math.Round(v.a.X / v.across)), int(math.Round(v.b.X / v.down))},
		{int(math.Round(v.a.Y / v.across)), int(math.Round(v.b.Y / v.down))},
	}
	if r.turn[0][0]*r.turn[1][1]-r.turn[0][1]*r.turn[1][0] != 1 {
		return relation{}, false
	}
	steps := [2]float64{v.across, v.down}
	if r.turn[0][0] == 0 {
		steps = [2]float64{v.down, v.across}
	}
	for d, step := range steps {
		r.own[d], r.others[d] = max(1, int(math.Round(1/step))), max(1, int(math.Round(step)))
		if math.Abs(math.Log(step*float64(r.own[d])/float64(r.others[d]))) > unlike {
			return relation{}, false
		}
	}
	x, y := r.turned(v.column, v.row)
	r.shift = [2]int{int(math.Round(float64(r.own[0])*v.at.X)) - x, int(math.Round(float64(r.own[1])*v.at.Y)) - y}
	return r, true
}

// turned turns a crossing of the other lattice and gives it in units.
func (r relation) turned(i, j int) (x, y int) {
	return r.others[0] * (r.turn[0][0]*i + r.turn[0][1]*j), r.others[1] * (r.turn[1][0]*i + r.turn[1][1]*j)
}

// offAxisDeg is the angle between a direction and the nearer axis.
func offAxisDeg(p mat.Point) float64 {
	a := math.Mod(math.Abs(math.Atan2(p.Y, p.X))*180/math.Pi, 90)
	return math.Min(a, 90-a)
}

// nearestOf returns the place on another lattice that lies nearest to the
// middle of this one.
func (g *lattice) nearestOf(other *lattice) photo.Point {
	mid, best, out := middleOf(g.seen), math.Inf(1), photo.Point{}
	for _, s := range other.spans() {
		at := other.seen[s].at
		if d := math.Hypot(at.X-mid.X, at.Y-mid.Y); d < best {
			best, out = d, at
		}
	}
	return out
}

// explain looks for one model of both lattices with the other's lines numbered
// by a relation, its shift changed by (dx, dy) units. limits are how far off, in
// steps of each, the lines of its families may lie; off is how far those of the
// worst do, in parts of that.
func (g *lattice) explain(ctx context.Context, other *lattice, r relation, dx, dy int, limits [2][2]float64) (m lens.Model, off float64) {
	var pts []mat.LinePoint
	for _, s := range thin(g.spans(), oneSpans) {
		pts = append(pts, g.unitPoint(s, r.ownLine(s)))
	}
	mine := len(pts)
	for _, s := range thin(other.spans(), oneSpans) {
		pts = append(pts, other.unitPoint(s, r.line(s, dx, dy)))
	}
	o := g.options()
	// Every line counts in full: those of the other grid must not be taken for
	// strays.
	o.LossScale = 1e4
	m = g.model.Stretch(1/float64(r.own[0]), 1/float64(r.own[1]))
	for range 2 {
		fit, err := lens.SolveFrom(ctx, m, pts, o)
		if err != nil {
			return lens.Model{}, math.Inf(1)
		}
		m = fit.Model
	}
	a, b := offBy(m, pts[:mine]), offBy(m, pts[mine:])
	for _, f := range families {
		// The other's families are this one's, or change places with them.
		theirs := f
		if r.turn[0][0] == 0 {
			theirs = 1 - f
		}
		off = math.Max(off, a[f]/float64(r.own[f])/limits[0][f])
		off = math.Max(off, b[f]/float64(r.others[f])/limits[1][theirs])
	}
	return m.Stretch(float64(r.own[0]), float64(r.own[1])), off
}

// looseness is how far off, in steps, one model of this and another lattice may
// leave the lines of each family.
func (g *lattice) looseness() (steps [2]float64) {
	for f, off := range g.ownOff() {
		steps[f] = oneSteps + oneTimes*off
	}
	return steps
}

// ownOff is the median distance of the spans of each family from the
// lattice's own lines, in steps.
func (g *lattice) ownOff() [2]float64 {
	pts := make([]mat.LinePoint, 0, len(g.seen))
	for s, v := range g.seen {
		pts = append(pts, mat.LinePoint{Family: s.family, Index: s.index, At: v.at})
	}
	return offBy(g.model, pts)
}

// unitPoint completes a sample with what was seen of a span.
func (g *lattice) unitPoint(s span, p mat.LinePoint) mat.LinePoint {
	p.At, p.SigmaPx = g.seen[s].at, 0.15*float64(g.lvl.factor)
	return p
}

// ownLine numbers a span of this lattice in units.
func (r relation) ownLine(s span) mat.LinePoint {
	return mat.LinePoint{Family: s.family, Index: r.own[s.family] * s.index, Along: float64(r.own[1-s.family]) * (float64(s.at) + 0.5)}
}

// line numbers a span of the other lattice in units.
func (r relation) line(s span, dx, dy int) mat.LinePoint {
	c := s.cell()
	x, y := r.turned(c[0], c[1])
	x, y = x+r.shift[0]+dx, y+r.shift[1]+dy
	// The span's own direction, turned with it, tells its family and middle.
	ux, uy := r.turned(0, 1)
	if s.family == mat.Rows {
		ux, uy = r.turned(1, 0)
	}
	if ux == 0 {
		return mat.LinePoint{Family: mat.Columns, Index: x, Along: float64(y) + 0.5*float64(uy)}
	}
	return mat.LinePoint{Family: mat.Rows, Index: y, Along: float64(x) + 0.5*float64(ux)}
}

// offBy is the median distance of the samples of each family from their lines
// under a model. The families are told apart: a shift along one of them leaves
// the other where it is.
func offBy(m lens.Model, pts []mat.LinePoint) (offs [2]float64) {
	var all [2][]float64
	for _, p := range pts {
		at, ok := m.ToMat(p.At)
		if !ok {
			return [2]float64{math.Inf(1), math.Inf(1)}
		}
		off := at.X - float64(p.Index)
		if p.Family == mat.Rows {
			off = at.Y - float64(p.Index)
		}
		all[p.Family] = append(all[p.Family], math.Abs(off))
	}
	for f := range all {
		offs[f] = median(all[f])
	}
	return offs
}
