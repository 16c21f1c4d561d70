package lens

import (
	"math"
	"slices"

	gmat "gonum.org/v1/gonum/mat"

	"flatwright/rectify/mat"
)

// considered are the standard deviations, per unit of ScalePx, that a lens
// term is believed to have while it is not fitted, when the data say nothing.
var considered = map[int]float64{
	iK1: 0.05, iK2: 0.05, iK3: 0.02, iP1: 0.001, iP2: 0.001, iCX: centreSigma, iCY: centreSigma,
}

// covariance returns the covariance of all parameters. Of the fitted ones it
// is (JᵀWJ/inflation + P⁻¹)⁻¹; what the terms left out may still be (their
// posterior, had they been fitted with priors of their own) is carried through
// the fit as a considered parameter (Schmidt 1966; Bierman, Factorization
// Methods, 1977, chapter VIII; from memory).
func (pr *problem) covariance(p *params, terms Terms, scale, inflation float64) [paramCount][paramCount]float64 {
	n, believed := pr.evaluate(p, scale), &normal{}
	pr.addPriors(believed, p)
	for i := range paramCount {
		for k := 0; k <= i; k++ {
			b := believed.a[i][k]
			n.a[i][k] = (n.a[i][k]-b)/inflation + b
			n.a[k][i] = n.a[i][k]
		}
	}
	fitted, left := terms.places(), []int{}
	for i := range paramCount {
		if slices.Contains(fitted, i) {
			continue
		}
		left = append(left, i)
		sigma := considered[i]
		n.a[i][i] += 1 / (sigma * sigma)
	}
	all := make([]int, paramCount)
	for i := range all {
		all[i] = i
	}
	var s [paramCount][paramCount]float64
	full, ok := n.inverse(all)
	own, ok2 := n.inverse(fitted)
	if !ok || !ok2 {
		for i := range s {
			s[i][i] = math.Inf(1)
		}
		return s
	}
	for r, i := range fitted {
		for c, k := range fitted {
			s[i][k] = own.At(r, c)
		}
	}
	if len(left) > 0 {
		n.consider(&s, own, full, fitted, left)
	}
	return s
}

// consider adds the effect of the terms left out: an error e of theirs shifts
// the fitted parameters by -G e with G = A_ff⁻¹ A_fl.
func (n *normal) consider(s *[paramCount][paramCount]float64, own, full *gmat.SymDense, fitted, left []int) {
	cross := gmat.NewDense(len(fitted), len(left), nil)
	sigma := gmat.NewDense(len(left), len(left), nil)
	for c, k := range left {
		for r, i := range fitted {
			cross.Set(r, c, n.a[i][k])
		}
		for r, i := range left {
			sigma.Set(r, c, full.At(i, k))
		}
	}
	var g, gs, gsg gmat.Dense
	g.Mul(own, cross)
	gs.Mul(&g, sigma)
	gsg.Mul(&gs, g.T())
	for r, i := range fitted {
		for c, k := range fitted {
			s[i][k] += gsg.At(r, c)
		}
		for c, k := range left {
			s[i][k], s[k][i] = -gs.At(r, c), -gs.At(r, c)
		}
	}
	for r, i := range left {
		for c, k := range left {
			s[i][k] = sigma.At(r, c)
		}
	}
}

// inverse returns the inverse of the rows and columns listed.
func (n *normal) inverse(list []int) (*gmat.SymDense, bool) {
	var chol gmat.Cholesky
	if !chol.Factorize(n.part(list)) {
		return nil, false
	}
	inv := gmat.NewSymDense(len(list), nil)
	if err := chol.InverseTo(inv); err != nil {
		// A condition warning: the figures are then large, and rightly so.
		if _, warning := err.(gmat.Condition); !warning {
			return nil, false
		}
	}
	return inv, true
}

// part returns the rows and columns listed. A list in no order is allowed.
func (n *normal) part(list []int) *gmat.SymDense {
	a := gmat.NewSymDense(len(list), nil)
	for r, i := range list {
		for c, k := range list[:r+1] {
			a.SetSym(r, c, n.a[max(i, k)][min(i, k)])
		}
	}
	return a
}

// logDeterminant of the equations over the rows and columns listed.
func (n *normal) logDeterminant(list []int) (float64, bool) {
	var chol gmat.Cholesky
	if !chol.Factorize(n.part(list)) {
		return 0, false
	}
	return chol.LogDet(), true
}

// inflation returns how many times larger the variance of a mean over a
// stretch of line is than independent samples would make it, at least 1:
// samples share the errors of printing, and what the lens terms cannot
// express. Some parameters live on the means of whole lines, others on bends
// within them, so it is the mean for whole lines and for thirds of lines. The
// fit absorbs some freedom, which is given back by the usual n/(n-p).
func (pr *problem) inflation(p *params, free int) float64 {
	type key struct {
		kind  observationKind
		line  int
		block int
	}
	m := newProjector(&pr.camera, p)
	mean := 0.0
	for _, parts := range [2]float64{3, 1} {
		sums := map[key]float64{}
		squares := 0.0
		for i := range pr.obs {
			o := &pr.obs[i]
			if o.out || o.kind == onPoint {
				continue
			}
			d, ok := m.distance(o)
			if !ok {
				continue
			}
			line, along := o.x, o.y
			if o.kind == onRow {
				line, along = o.y, o.x
			}
			z := d * math.Sqrt(o.weight)
			block := int(math.Floor((along + 1) / 2 * parts))
			sums[key{o.kind, int(math.Round(line * 1e4)), block}] += z
			squares += z * z
		}
		blocks, total := float64(len(sums)), 0.0
		for _, s := range sums {
			total += s * s
		}
		if squares == 0 || blocks < 4 {
			mean += 0.5
			continue
		}
		mean += 0.5 * total / squares * blocks / max(blocks-float64(free), blocks/3)
	}
	return max(mean, 1)
}

// PlusMinusMM returns two standard errors of the map at a point of the mat,
// in mm; it grows outside the hull of the lines used, and is +Inf where the
// mat is not seen. It is the root of the larger eigenvalue of the 2x2
// covariance, so that the error in any one direction is covered with about
// 95 %; errors of the mat's own printing are not part of it.
func (f *Fit) PlusMinusMM(at mat.Point) float64 {
	s, ok := f.covarianceAt(at)
	if !ok {
		return math.Inf(1)
	}
	mean, half := (s[0][0]+s[1][1])/2, (s[0][0]-s[1][1])/2
	return 2 * math.Sqrt(max(mean+math.Hypot(half, s[0][1]), 0))
}

// covarianceAt returns the covariance in mm² of the mat point that the fit
// reports where the given one is really seen.
func (f *Fit) covarianceAt(at mat.Point) (s Slope, ok bool) {
	if f.cam.scalePx == 0 {
		return s, false
	}
	m := newProjector(&f.cam, &f.p)
	x, y := f.cam.frame.scale(at)
	q, ok := m.project(x, y)
	if !ok {
		return s, false
	}
	var t Slope
	t[0][1], t[1][1] = m.tangent(&q, true)
	t[0][0], t[1][0] = m.tangent(&q, false)
	inv, ok := t.Inverse()
	if !ok {
		return s, false
	}
	// What neighbouring lines share is wrong in any direction alike.
	px := f.cam.frame.unitMM * f.MisfitPx
	for r := range 2 {
		for c := range 2 {
			s[r][c] = px * px * (inv[r][0]*inv[c][0] + inv[r][1]*inv[c][1])
		}
	}
	var du, dv params
	m.gradient(&q, x, y, 1, 0, &du)
	m.gradient(&q, x, y, 0, 1, &dv)
	var j [2]params
	for i := range paramCount {
		j[0][i] = f.cam.frame.unitMM * (inv[0][0]*du[i] + inv[0][1]*dv[i])
		j[1][i] = f.cam.frame.unitMM * (inv[1][0]*du[i] + inv[1][1]*dv[i])
	}
	for r := range 2 {
		for c := range 2 {
			for i := range paramCount {
				for k := range paramCount {
					s[r][c] += j[r][i] * f.covariance[i][k] * j[c][k]
				}
			}
		}
	}
	return s, true
}
