package lens

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// An observation is one measured position. It lies on a line of constant x
// (Columns), on a line of constant y (Rows), or on a known point. Mat
// coordinates are in the scaled frame of the problem. The coordinate along a
// line is not known: it is the foot of the perpendicular, found afresh in
// every evaluation.
type observation struct {
	at     photo.Point
	x, y   float64
	kind   observationKind
	weight float64 // 1/sigma², 1/px²
	out    bool    // rejected: takes no part
}

type observationKind uint8

const (
	onColumn observationKind = iota
	onRow
	onPoint
)

func (o observation) isPoint() bool { return o.kind == onPoint }

// scaledFrame makes mat coordinates of order one about the middle of what was
// seen: scaled = (mm - centre) / unit. There the homography's last element is
// the depth of the middle, which is never zero, so it can be fixed at 1.
type scaledFrame struct {
	centre mat.Point
	unitMM float64
}

func (f scaledFrame) scale(p mat.Point) (x, y float64) {
	return (p.X - f.centre.X) / f.unitMM, (p.Y - f.centre.Y) / f.unitMM
}

// matrix returns the map from mm to the scaled frame.
func (f scaledFrame) matrix() [9]float64 {
	u := 1 / f.unitMM
	return [9]float64{u, 0, -f.centre.X * u, 0, u, -f.centre.Y * u, 0, 0, 1}
}

func (f scaledFrame) inverse() [9]float64 {
	return [9]float64{f.unitMM, 0, f.centre.X, 0, f.unitMM, f.centre.Y, 0, 0, 1}
}

// camera is what stays fixed during an adjustment.
type camera struct {
	frame   scaledFrame
	scalePx float64
	middle  photo.Point // of the photograph
}

func (c camera) model(p *params) Model {
	h := [9]float64{p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], 1}
	return Model{
		H:       multiply(h, c.frame.matrix()),
		ScalePx: c.scalePx,
		CentreX: c.middle.X + c.scalePx*p[iCX],
		CentreY: c.middle.Y + c.scalePx*p[iCY],
		K1:      p[iK1], K2: p[iK2], K3: p[iK3], P1: p[iP1], P2: p[iP2],
	}
}

// params returns the parameters of a model. The model's scale must be that of
// the camera; false when it sees the frame's centre from behind.
func (c camera) params(m Model) (params, bool) {
	h := multiply(m.H, c.frame.inverse())
	if !(h[8] > 0) {
		return params{}, false
	}
	var p params
	for i := range homographyCount {
		p[i] = h[i] / h[8]
	}
	p[iK1], p[iK2], p[iK3], p[iP1], p[iP2] = m.K1, m.K2, m.K3, m.P1, m.P2
	p[iCX] = (m.CentreX - c.middle.X) / c.scalePx
	p[iCY] = (m.CentreY - c.middle.Y) / c.scalePx
	return p, true
}

// projection is one projected point with all that its derivatives need.
type projection struct {
	at         photo.Point
	x, y, w    float64 // ideal normalised position and depth
	xx, xy, yy float64 // slope of the distortion
}

// project sends a scaled mat point to the photograph; false when it is behind
// the camera or folded.
func (m *projector) project(X, Y float64) (projection, bool) {
	p := m.p
	w := p[6]*X + p[7]*Y + 1
	if !(w > 1e-3) {
		return projection{}, false
	}
	x := (p[0]*X + p[1]*Y + p[2]) / w
	y := (p[3]*X + p[4]*Y + p[5]) / w
	xd, yd, xx, xy, yy := m.lens.distortWithSlope(x, y)
	if xx*yy-xy*xy <= 0 {
		return projection{}, false
	}
	return projection{
		at: photo.Point{X: m.lens.CentreX + m.lens.ScalePx*xd, Y: m.lens.CentreY + m.lens.ScalePx*yd},
		x:  x, y: y, w: w, xx: xx, xy: xy, yy: yy,
	}, true
}

// tangent returns d(u, v)/dX or d(u, v)/dY in px per scaled unit.
func (m *projector) tangent(q *projection, column bool) (tu, tv float64) {
	p := m.p
	i := 0
	if column {
		i = 1 // along a column Y runs
	}
	dx := (p[i] - q.x*p[6+i]) / q.w
	dy := (p[3+i] - q.y*p[6+i]) / q.w
	s := m.lens.ScalePx
	return s * (q.xx*dx + q.xy*dy), s * (q.xy*dx + q.yy*dy)
}

// projector holds parameters ready for many projections.
type projector struct {
	p    *params
	lens Model
}

func newProjector(c *camera, p *params) projector {
	return projector{p: p, lens: Model{
		ScalePx: c.scalePx,
		CentreX: c.middle.X + c.scalePx*p[iCX],
		CentreY: c.middle.Y + c.scalePx*p[iCY],
		K1:      p[iK1], K2: p[iK2], K3: p[iK3], P1: p[iP1], P2: p[iP2],
	}}
}

// footTolerancePx is how far along the line the foot may still move without a
// new projection; with a bend of radius 500 px it costs 1e-5 px.
const footTolerancePx = 0.1

// residual returns the signed distance in px of the observation from its
// projected line, the projection of the foot of the perpendicular, and the
// line's unit normal there. It moves the observation's free coordinate to the
// foot. By the envelope theorem the derivative of the distance by any
// parameter is minus the normal component of the foot's own motion.
func (m *projector) residual(o *observation) (r, nu, nv float64, q projection, ok bool) {
	column := o.kind == onColumn
	for range 3 {
		q, ok = m.project(o.x, o.y)
		if !ok {
			return 0, 0, 0, q, false
		}
		tu, tv := m.tangent(&q, column)
		t := math.Sqrt(tu*tu + tv*tv)
		if !(t > 0) {
			return 0, 0, 0, q, false
		}
		eu, ev := o.at.X-q.at.X, o.at.Y-q.at.Y
		nu, nv = -tv/t, tu/t
		if column {
			// The normal points to growing x on a column, to growing y on a row
			// when the mat is seen from above.
			nu, nv = -nu, -nv
		}
		r = nu*eu + nv*ev
		along := (tu*eu + tv*ev) / t
		move := along / t
		if column {
			o.y += move
		} else {
			o.x += move
		}
		if math.Abs(along) < footTolerancePx {
			break
		}
	}
	return r, nu, nv, q, true
}

// gradient fills the derivative of (nu, nv)·(position of the projection) by
// all parameters, at a scaled mat point.
func (m *projector) gradient(q *projection, X, Y, nu, nv float64, j *params) {
	s := m.lens.ScalePx
	au, av := s*nu, s*nv
	bx := (au*q.xx + av*q.xy) / q.w
	by := (au*q.xy + av*q.yy) / q.w
	bw := -(bx*q.x + by*q.y)
	x, y := q.x, q.y
	r2 := x*x + y*y
	radial := (au*x + av*y) * r2
	j[0], j[1], j[2] = bx*X, bx*Y, bx
	j[3], j[4], j[5] = by*X, by*Y, by
	j[6], j[7] = bw*X, bw*Y
	j[iK1] = radial
	j[iK2] = radial * r2
	j[iK3] = radial * r2 * r2
	j[iP1] = 2*au*x*y + av*(r2+2*y*y)
	j[iP2] = au*(r2+2*x*x) + 2*av*x*y
	j[iCX], j[iCY] = au, av
}

// distance is the residual in px: signed for lines, a length for points.
func (m *projector) distance(o *observation) (float64, bool) {
	if o.kind != onPoint {
		r, _, _, _, ok := m.residual(o)
		return r, ok
	}
	q, ok := m.project(o.x, o.y)
	return math.Hypot(o.at.X-q.at.X, o.at.Y-q.at.Y), ok
}
