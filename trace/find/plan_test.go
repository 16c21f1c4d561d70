package find

import (
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
	"flatwright/trace/curve"
)

// above is a drawn scene's camera over the plane heightMM above the mat,
// exactly.
type above struct {
	view     *scene.View
	heightMM float64
}

func (a above) ToPhoto(p mat.Point) photo.Point { return a.view.ToPhotoAt(p, a.heightMM) }

func (a above) ToMat(p photo.Point) (mat.Point, bool) {
	low, ok := a.view.ToMat(p)
	c, k := a.view.FootMM(), 1-a.heightMM/a.view.HeightMM()
	return mat.Point{X: c.X + k*(low.X-c.X), Y: c.Y + k*(low.Y-c.Y)}, ok
}

func raisedIn(c scene.Camera, thicknessMM float64) Input {
	v := c.View()
	return Input{View: v, Raised: &Raised{View: above{v, thicknessMM}, FootMM: v.FootMM()}}
}

// ring is a closed plan, a point every 0.1 mm with its outward normal.
type ringPoint struct{ at, out mat.Point }

func dense(corners []mat.Point) (out []ringPoint) {
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		d := math.Hypot(b.X-a.X, b.Y-a.Y)
		n := mat.Point{X: (b.Y - a.Y) / d, Y: -(b.X - a.X) / d}
		for s := 0.0; s < d; s += 0.1 {
			out = append(out, ringPoint{mat.Point{X: a.X + (b.X-a.X)*s/d, Y: a.Y + (b.Y-a.Y)*s/d}, n})
		}
	}
	return out
}

// silhouette is what a slab over a plan is seen as: the outline of all
// heights together, by the definition, a spot about every px.
func silhouette(in Input, polygon []mat.Point) []spot {
	foot, ring := in.Raised.FootMM, dense(polygon)
	up := func(p mat.Point) mat.Point { // the mat's place behind an upper edge
		q, _ := in.View.ToMat(in.Raised.View.ToPhoto(p))
		return q
	}
	far := func(r ringPoint) bool { return (r.at.X-foot.X)*r.out.X+(r.at.Y-foot.Y)*r.out.Y > 0 }
	var l []spot
	add := func(p, out mat.Point) {
		a := in.View.ToPhoto(p)
		b := in.View.ToPhoto(mat.Point{X: p.X + 0.01*out.X, Y: p.Y + 0.01*out.Y})
		c := in.View.ToPhoto(mat.Point{X: p.X - 0.01*out.Y, Y: p.Y + 0.01*out.X})
		tx, ty := c.X-a.X, c.Y-a.Y
		d := math.Hypot(tx, ty)
		n := photo.Point{X: ty / d, Y: -tx / d}
		if n.X*(b.X-a.X)+n.Y*(b.Y-a.Y) < 0 {
			n.X, n.Y = -n.X, -n.Y
		}
		if k := len(l); k > 0 && math.Hypot(l[k-1].X-a.X, l[k-1].Y-a.Y) < 1 {
			return
		}
		l = append(l, spot{Point: a, out: n, sigma: 0.05})
	}
	for i, r := range ring {
		seen := visible(polygon, r, far(r), up)
		next := ring[(i+1)%len(ring)]
		if seen && far(r) {
			add(up(r.at), r.out)
		} else if seen {
			add(r.at, r.out)
		}
		if far(r) == far(next) || !seen || !visible(polygon, next, far(next), up) {
			continue
		}
		if cross := r.out.X*next.out.Y - r.out.Y*next.out.X; cross < 0 {
			continue // a notch: the two sides meet in the picture, not on the plan
		}
		a, b := next.at, up(next.at)
		if far(r) {
			a, b = b, a
		}
		d := math.Hypot(b.X-a.X, b.Y-a.Y)
		for s := 0.1; s < d; s += 0.1 {
			add(mat.Point{X: a.X + (b.X-a.X)*s/d, Y: a.Y + (b.Y-a.Y)*s/d}, mat.Point{X: (b.Y - a.Y) / d, Y: -(b.X - a.X) / d})
		}
	}
	return l
}

// visible reports whether no other part of the slab covers the outline that
// a place of the plan gives.
func visible(polygon []mat.Point, r ringPoint, far bool, up func(mat.Point) mat.Point) bool {
	top := up(r.at)
	a, b := r.at, top // from the plan to the place behind its upper edge
	if !far {
		// The upper edge of another part hides it: what stands towards the foot.
		a, b = r.at, mat.Point{X: 2*r.at.X - top.X, Y: 2*r.at.Y - top.Y}
	}
	const steps = 24
	for k := 1; k <= steps; k++ {
		t := 0.01 + 0.99*float64(k)/steps
		if within(polygon, a.X+(b.X-a.X)*t, a.Y+(b.Y-a.Y)*t) {
			return false
		}
	}
	return true
}

var planCorners = map[string][]mat.Point{
	"oblong": {{X: 60, Y: 50}, {X: 170, Y: 60}, {X: 162, Y: 140}, {X: 52, Y: 128}},
	"wedge":  {{X: 420, Y: 80}, {X: 505, Y: 150}, {X: 400, Y: 175}},
	"angle":  {{X: 380, Y: 280}, {X: 520, Y: 290}, {X: 515, Y: 330}, {X: 425, Y: 325}, {X: 420, Y: 400}, {X: 372, Y: 398}},
	"notched": {
		{X: 60, Y: 300}, {X: 150, Y: 300}, {X: 150, Y: 400}, {X: 120, Y: 400}, {X: 112, Y: 330}, {X: 98, Y: 400}, {X: 60, Y: 400},
	},
	"disc": disc(300, 90, 45), "oval": disc(90, 220, 30),
	"below": {{X: 270, Y: 190}, {X: 350, Y: 200}, {X: 340, Y: 260}, {X: 262, Y: 252}},
}

func disc(x, y, r float64) (out []mat.Point) {
	const n = 120
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		out = append(out, mat.Point{X: x + r*c, Y: y + 0.8*r*s})
	}
	return out
}

// Every plan comes back from the silhouette of its slab to a hundredth of a
// millimetre, in order and whole, at every tilt and thickness.
func TestPlanOfSilhouettes(t *testing.T) {
	for _, tilt := range []float64{0, 10, 20} {
		for _, thick := range []float64{3, 10, 25} {
			c := scene.Camera{
				FocalPx: 3000, CentreX: 2015, CentreY: 1511, K1: -0.05, K2: 0.01, P1: 0.0004, P2: -0.0003,
				TargetX: 300, TargetY: 225, DistanceMM: 640, TiltDeg: tilt, AzimuthDeg: 70, RollDeg: 3,
			}
			in := raisedIn(c, thick)
			for name, corners := range planCorners {
				s := silhouette(in, corners)
				plan, hidden := toPlan(&in, s)
				checkPlan(t, name, tilt, thick, corners, plan)
				rms, worst := offPlan(corners, plan)
				_, flat := offPlan(corners, toSamples(&in, s))
				t.Logf("%-8s tilt %2.0f, %2.0f mm: RMS %.4f worst %.4f mm, uncorrected %.2f mm, hidden %.1f",
					name, tilt, thick, rms, worst, flat, hidden)
			}
		}
	}
}

// offPlan is how far the measured points lie from a ring, mm.
func offPlan(ring []mat.Point, s []curve.Sample) (rms, worst float64) {
	n := 0.0
	for _, q := range s {
		if q.SigmaMM < bridgedSigmaMM {
			d, _ := distTo(ring, q.At)
			worst = max(worst, d)
			rms, n = rms+d*d, n+1
		}
	}
	return math.Sqrt(rms / max(n, 1)), worst
}

func checkPlan(t *testing.T, name string, tilt, thick float64, corners []mat.Point, plan []curve.Sample) {
	t.Helper()
	if rms, worst := offPlan(corners, plan); rms > 0.003 || worst > 0.03 {
		t.Errorf("%s, tilt %g, %g mm: RMS %.4f, worst %.3f mm off the plan, want at most 0.003 and 0.03", name, tilt, thick, rms, worst)
	}
	var area, want, way float64
	for i, q := range plan {
		r := plan[(i+1)%len(plan)].At
		area += (q.At.X*r.Y - r.X*q.At.Y) / 2
		way += math.Hypot(r.X-q.At.X, r.Y-q.At.Y)
	}
	round := 0.0
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		want += (p.X*q.Y - q.X*p.Y) / 2
		round += math.Hypot(q.X-p.X, q.Y-p.Y)
	}
	if math.Abs(area/want-1) > 0.005 {
		t.Errorf("%s, tilt %g, %g mm: area %.1f of %.1f mm2", name, tilt, thick, area, want)
	}
	if way > 1.01*round || way < 0.98*round {
		t.Errorf("%s, tilt %g, %g mm: %.1f mm round, want %.1f: the order is lost", name, tilt, thick, way, round)
	}
}
