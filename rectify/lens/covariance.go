package lens

import (
	"math"
	"slices"

	gmat "gonum.org/v1/gonum/mat"
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
// Methods, 1977, chapter VIII; from memory). They were left at 0, so it is the
// posterior's second moment about 0: evidence too weak to let a term in may
// still speak for a value of several standard errors.
func (pr *problem) covariance(p *params, terms Terms, scale, inflation float64) (s [paramCount][paramCount]float64) {
	n := pr.information(p, scale, inflation)
	fitted, left := terms.places(), []int{}
	for i := range paramCount {
		if slices.Contains(fitted, i) {
			continue
		}
		left = append(left, i)
		n.a[i][i] += 1 / (considered[i] * considered[i])
	}
	full, ok := n.inverse(append(slices.Clone(fitted), left...))
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
		n.consider(&s, own, full, fitted, left, n.posteriorMean(full, fitted, left))
	}
	return s
}

// information returns JᵀWJ/inflation + P⁻¹, both triangles.
func (pr *problem) information(p *params, scale, inflation float64) *normal {
	n, believed := pr.evaluate(p, scale), &normal{}
	pr.addPriors(believed, p)
	for i := range paramCount {
		for k := 0; k <= i; k++ {
			b := believed.a[i][k]
			n.a[i][k] = (n.a[i][k]-b)/inflation + b
			n.a[k][i] = n.a[i][k]
		}
		n.g[i] = (n.g[i]-believed.g[i])/inflation + believed.g[i]
	}
	return n
}

// posteriorMean is where the terms left out would go, were they let in.
func (n *normal) posteriorMean(full *gmat.SymDense, fitted, left []int) []float64 {
	all := append(slices.Clone(fitted), left...)
	mean := make([]float64, len(left))
	for r := range left {
		for c, k := range all {
			mean[r] += full.At(len(fitted)+r, c) * n.g[k]
		}
	}
	return mean
}

// consider adds the effect of the terms left out: an error e of theirs shifts
// the fitted parameters by -G e with G = A_ff⁻¹ A_fl.
func (n *normal) consider(s *[paramCount][paramCount]float64, own, full *gmat.SymDense, fitted, left []int, mean []float64) {
	cross := gmat.NewDense(len(fitted), len(left), nil)
	sigma := gmat.NewDense(len(left), len(left), nil)
	for c, k := range left {
		for r, i := range fitted {
			cross.Set(r, c, n.a[i][k])
		}
		for r := range left {
			sigma.Set(r, c, full.At(len(fitted)+r, len(fitted)+c)+mean[r]*mean[c])
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
