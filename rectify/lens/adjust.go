package lens

import (
	"context"
	"math"
	"slices"

	gmat "gonum.org/v1/gonum/mat"

	"flatwright/rectify/mat"
)

// prior is a Gaussian belief about a linear form of the parameters: row·p has
// this mean and inverse variance.
type prior struct {
	row               params
	mean, information float64
}

// problem is one adjustment: robust least squares with priors.
type problem struct {
	camera
	obs    []observation
	priors []prior
	// lossScale is the Cauchy constant in units of the noise.
	lossScale float64
	// floor keeps the noise scale from collapsing on perfect data.
	floor float64
	// norms is scratch for the noise scale.
	norms []float64
	pitch mat.Pitch
}

// normal is a set of normal equations in all parameters; only the lower
// triangle is filled.
type normal struct {
	a [paramCount][paramCount]float64
	g params
	// cost is twice the negative log posterior, up to a constant.
	cost float64
}

func (n *normal) add(j *params, weight, residual float64) {
	wr := weight * residual
	for i := range paramCount {
		n.g[i] += wr * j[i]
		wi := weight * j[i]
		row := &n.a[i]
		for k := 0; k <= i; k++ {
			row[k] += wi * j[k]
		}
	}
}

// lostCost is charged, in noise units, for an observation that the trial
// parameters cannot see at all.
const lostCost = 1e4

// cauchy sums the Cauchy loss c² ln(1 + z²/c²) (twice rho; Holland & Welsch,
// 1977; c = 2.385 gives 95 % efficiency). The logarithm is taken of products
// of many terms, since it would cost as much as a projection.
type cauchy struct {
	c2           float64
	sum, product float64
}

// add counts a squared normalised residual and returns its weight.
func (c *cauchy) add(z2 float64) (weight float64) {
	t := 1 + z2/c.c2
	c.product *= t
	if c.product > 1e150 {
		c.sum += math.Log(c.product)
		c.product = 1
	}
	return 1 / t
}

func (c *cauchy) total() float64 { return c.c2 * (c.sum + math.Log(c.product)) }

// evaluate returns the normal equations at p for a noise scale (a multiple of
// the observations' own standard errors).
func (pr *problem) evaluate(p *params, scale float64) *normal {
	n := &normal{}
	m := newProjector(&pr.camera, p)
	inv := 1 / (scale * scale)
	sum := cauchy{c2: pr.lossScale * pr.lossScale, product: 1}
	var j params
	for i := range pr.obs {
		o := &pr.obs[i]
		if o.out {
			continue
		}
		if o.kind == onPoint {
			n.addPoint(&m, o, inv, &sum)
			continue
		}
		r, nu, nv, q, ok := m.residual(o)
		if !ok {
			sum.add(lostCost * lostCost)
			continue
		}
		w := o.weight * inv
		robust := sum.add(r * r * w)
		m.gradient(&q, o.x, o.y, nu, nv, &j)
		n.add(&j, w*robust, r)
	}
	n.cost = sum.total()
	pr.addPriors(n, p)
	return n
}

func (n *normal) addPoint(m *projector, o *observation, inv float64, sum *cauchy) {
	q, ok := m.project(o.x, o.y)
	if !ok {
		sum.add(lostCost * lostCost)
		return
	}
	eu, ev := o.at.X-q.at.X, o.at.Y-q.at.Y
	w := o.weight * inv
	robust := sum.add((eu*eu + ev*ev) * w)
	var j params
	m.gradient(&q, o.x, o.y, 1, 0, &j)
	n.add(&j, w*robust, eu)
	m.gradient(&q, o.x, o.y, 0, 1, &j)
	n.add(&j, w*robust, ev)
}

func (pr *problem) addPriors(n *normal, p *params) {
	for i := range pr.priors {
		b := &pr.priors[i]
		d := b.mean
		for k, v := range b.row {
			d -= v * p[k]
		}
		n.cost += d * d * b.information
		n.add(&b.row, b.information, d)
	}
}

// The standard deviation of a normal variable by the median of its size, and
// by the median of the length of a two-dimensional one (Rayleigh).
const (
	madUnit      = 1.4826
	rayleighUnit = 1 / 1.17741
)

// noise returns the robust noise scale at p, in units of the observations'
// own standard errors: the normalised median absolute deviation, for points
// the median of the Rayleigh distribution. free is the number of parameters.
func (pr *problem) noise(p *params, free int) float64 {
	m := newProjector(&pr.camera, p)
	z := pr.norms[:0]
	unit, rows := madUnit, 0
	for i := range pr.obs {
		o := &pr.obs[i]
		if o.out {
			continue
		}
		rows++
		if o.kind == onPoint {
			unit = rayleighUnit
			rows++
		}
		d, ok := m.distance(o)
		if !ok {
			d = lostCost
		}
		z = append(z, math.Abs(d)*math.Sqrt(o.weight))
	}
	pr.norms = z
	if len(z) == 0 {
		return pr.floor
	}
	s := unit * median(z)
	if rows > free {
		s *= math.Sqrt(float64(rows) / float64(rows-free))
	}
	return max(s, pr.floor)
}

// median reorders its argument.
func median(z []float64) float64 {
	if len(z) == 0 {
		return 0
	}
	return quickSelect(z, len(z)/2)
}

// quickSelect returns the k-th smallest value (Hoare's selection) and
// reorders its argument.
func quickSelect(z []float64, k int) float64 {
	low, high := 0, len(z)-1
	for high-low > 12 {
		pivot := middleOfThree(z[low], z[(low+high)/2], z[high])
		i, j := low, high
		for i <= j {
			for z[i] < pivot {
				i++
			}
			for z[j] > pivot {
				j--
			}
			if i <= j {
				z[i], z[j] = z[j], z[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return z[k]
		}
	}
	slices.Sort(z[low : high+1])
	return z[k]
}

func middleOfThree(a, b, c float64) float64 {
	return max(min(a, b), min(max(a, b), c))
}

// solveStep solves (A + lambda diag A) d = g over the free parameters; false
// when the matrix is not positive definite.
func (n *normal) solveStep(free []int, lambda float64) (params, bool) {
	size := len(free)
	a := gmat.NewSymDense(size, nil)
	g := gmat.NewVecDense(size, nil)
	for r, i := range free {
		for c := 0; c <= r; c++ {
			a.SetSym(r, c, n.a[i][free[c]])
		}
		a.SetSym(r, r, n.a[i][i]*(1+lambda)+1e-300)
		g.SetVec(r, n.g[i])
	}
	var chol gmat.Cholesky
	var d gmat.VecDense
	if !chol.Factorize(a) || chol.SolveVecTo(&d, g) != nil {
		return params{}, false
	}
	var step params
	for r, i := range free {
		step[i] = d.AtVec(r)
	}
	return step, true
}

// Settling of the adjustment: the fall of the cost that no longer matters (in
// units of one squared noise) and the number of steps.
const (
	costTolerance = 1e-3
	maxSteps      = 40
	maxLambda     = 1e10
)

// descend runs Levenberg-Marquardt (Marquardt 1963) at a fixed noise scale
// until the cost settles, and returns the last equations.
func (pr *problem) descend(ctx context.Context, p *params, free []int, scale float64) (*normal, error) {
	n := pr.evaluate(p, scale)
	lambda := 1e-4
	for range maxSteps {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		next, trial, fell, err := pr.step(p, n, free, scale, &lambda)
		if err != nil {
			return nil, err
		}
		if next == nil {
			return n, nil
		}
		*p, n = trial, next
		if fell < costTolerance {
			return n, nil
		}
	}
	return n, nil
}

// step tries one step with growing damping; it returns nil equations when
// none lowers the cost any more.
func (pr *problem) step(p *params, n *normal, free []int, scale float64, lambda *float64) (*normal, params, float64, error) {
	for *lambda < maxLambda {
		d, ok := n.solveStep(free, *lambda)
		if !ok {
			*lambda = max(*lambda*10, 1e-6)
			continue
		}
		trial := *p
		expected := 0.0
		for _, i := range free {
			trial[i] += d[i]
			expected += d[i] * n.g[i]
		}
		if math.IsNaN(expected) {
			return nil, trial, 0, &FitError{Stage: StageAdjust, Reason: "The lens could not be computed from these lines; check that the lines found lie on the mat's printed lines."}
		}
		if expected < costTolerance/10 {
			return nil, trial, 0, nil
		}
		next := pr.evaluate(&trial, scale)
		if next.cost <= n.cost {
			*lambda = max(*lambda/10, 1e-12)
			return next, trial, n.cost - next.cost, nil
		}
		*lambda *= 10
	}
	return nil, *p, 0, nil
}
