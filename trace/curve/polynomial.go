package curve

import "math"

// maxDegree is the highest degree of a polyFit.
const maxDegree = 4

// polyFit fits v as a polynomial of u with weights, in a basis that is
// orthogonal over the data, so that every degree's share of the data can be
// weighed on its own (Forsythe 1957; from memory).
type polyFit struct {
	u, v, w []float64
	// Recurrence p[k+1](u) = (u−alpha[k])·p[k](u) − beta[k]·p[k−1](u).
	alpha, beta [maxDegree + 1]float64
	// norm2 is Σ w·p[k]², coef the coefficient of p[k].
	norm2, coef [maxDegree + 1]float64
	degree      int
	p, q, r     []float64
}

func (f *polyFit) reset() { f.u, f.v, f.w = f.u[:0], f.v[:0], f.w[:0] }

// grow makes room for n points.
func (f *polyFit) grow(n int) {
	buf := make([]float64, 6*n)
	f.u, f.v, f.w = buf[:0:n], buf[n:n:2*n], buf[2*n:2*n:3*n]
	f.p, f.q, f.r = buf[3*n:4*n:4*n], buf[4*n:5*n:5*n], buf[5*n:6*n:6*n]
}

func (f *polyFit) push(u, v, w float64) {
	f.u, f.v, f.w = append(f.u, u), append(f.v, v), append(f.w, w)
}

// solve finds the coefficients of degrees 0..degree of the first n points.
func (f *polyFit) solve(degree int) { f.solveFirst(len(f.u), degree) }

func (f *polyFit) solveFirst(n, degree int) {
	f.room(n)
	p, before, r := f.p[:n], f.q[:n], f.r[:n]
	for i := range p {
		p[i], before[i], r[i] = 1, 0, f.v[i]
	}
	f.degree = degree
	last := 0.0
	for k := 0; k <= degree; k++ {
		var n2, un2, c float64
		for i := range p {
			wp := f.w[i] * p[i]
			n2 += wp * p[i]
			un2 += wp * p[i] * f.u[i]
			c += wp * r[i]
		}
		if n2 <= 1e-300 {
			f.norm2[k], f.coef[k], f.alpha[k], f.beta[k] = 0, 0, 0, 0
			f.degree = k - 1
			return
		}
		f.norm2[k], f.coef[k], f.alpha[k] = n2, c/n2, un2/n2
		f.beta[k] = 0
		if k > 0 {
			f.beta[k] = n2 / last
		}
		last = n2
		for i := range p {
			r[i] -= f.coef[k] * p[i]
			next := (f.u[i]-f.alpha[k])*p[i] - f.beta[k]*before[i]
			before[i], p[i] = p[i], next
		}
	}
}

func (f *polyFit) room(n int) {
	if cap(f.p) < n {
		f.p, f.q, f.r = make([]float64, 2*n), make([]float64, 2*n), make([]float64, 2*n)
	}
	f.p, f.q, f.r = f.p[:cap(f.p)], f.q[:cap(f.q)], f.r[:cap(f.r)]
}

// basis returns p[0..degree] at u.
func (f *polyFit) basis(u float64) (p [maxDegree + 1]float64) {
	before := 0.0
	p[0] = 1
	for k := 0; k < f.degree && k < maxDegree; k++ {
		p[k+1] = (u-f.alpha[k])*p[k] - f.beta[k]*before
		before = p[k]
	}
	return p
}

// eval returns the polynomial's terms up to the degree given, at u.
func (f *polyFit) eval(u float64, degree int) float64 {
	p := f.basis(u)
	sum := 0.0
	for k := 0; k <= min(degree, f.degree); k++ {
		sum += f.coef[k] * p[k]
	}
	return sum
}

// slope returns the derivative at u of the terms up to the degree given.
func (f *polyFit) slope(u float64, degree int) float64 {
	var p, d [maxDegree + 1]float64
	p[0] = 1
	before, dBefore, sum := 0.0, 0.0, 0.0
	for k := 0; k < min(degree, f.degree); k++ {
		p[k+1] = (u-f.alpha[k])*p[k] - f.beta[k]*before
		d[k+1] = p[k] + (u-f.alpha[k])*d[k] - f.beta[k]*dBefore
		before, dBefore = p[k], d[k]
		sum += f.coef[k+1] * d[k+1]
	}
	return sum
}

// slopeSigma returns the standard deviation of the slope at u of the fit cut
// off at the degree given, when one point has the variance given.
func (f *polyFit) slopeSigma(u float64, degree int, variance float64) float64 {
	var p, d [maxDegree + 1]float64
	p[0] = 1
	before, dBefore, sum := 0.0, 0.0, 0.0
	for k := 0; k < min(degree, f.degree); k++ {
		p[k+1] = (u-f.alpha[k])*p[k] - f.beta[k]*before
		d[k+1] = p[k] + (u-f.alpha[k])*d[k] - f.beta[k]*dBefore
		before, dBefore = p[k], d[k]
		sum += variance / f.norm2[k+1] * d[k+1] * d[k+1]
	}
	return math.Sqrt(sum)
}

// share returns degree k's share of the weighted sum of squares.
func (f *polyFit) share(k int) float64 {
	if k > f.degree {
		return 0
	}
	return f.coef[k] * f.coef[k] * f.norm2[k]
}

// risk returns the expected squared error at u of the fit cut off at the
// degree given, when one point has the variance given: the coefficients'
// variance and what the next degree says is missing.
func (f *polyFit) risk(u float64, degree int, variance float64) float64 {
	p := f.basis(u)
	sum := 0.0
	for k := 0; k <= min(degree, f.degree); k++ {
		sum += variance / f.norm2[k] * p[k] * p[k]
	}
	if k := degree + 1; k <= f.degree {
		sum += max(0, f.coef[k]*f.coef[k]-variance/f.norm2[k]) * p[k] * p[k]
	}
	return sum
}
