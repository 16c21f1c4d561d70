package edge

import "math"

// bow is a curve beside a chord: px across it as a polynomial of the part of
// the way along, about the middle.
type bow [5]float64

func (b bow) at(part float64) float64 {
	u := 2*part - 1
	return b[0] + u*(b[1]+u*(b[2]+u*(b[3]+u*b[4])))
}

// slope is the change of at by part.
func (b bow) slope(part float64) float64 {
	u := 2*part - 1
	return 2 * (b[1] + u*(2*b[2]+u*(3*b[3]+u*4*b[4])))
}

// through returns the parabola through three places.
func through(part, across [3]float64) (bow, bool) {
	u := [3]float64{2*part[0] - 1, 2*part[1] - 1, 2*part[2] - 1}
	d1, d2, d3 := u[1]-u[0], u[2]-u[0], u[2]-u[1]
	if math.Abs(d1*d2*d3) < 1e-6 {
		return bow{}, false
	}
	s1, s2 := (across[1]-across[0])/d1, (across[2]-across[1])/d3
	c := (s2 - s1) / d2
	// Newton's form, spread out.
	return bow{
		across[0] - s1*u[0] + c*u[0]*u[1],
		s1 - c*(u[0]+u[1]),
		c,
	}, true
}

// fitBow is the least-squares polynomial of so many terms through weighted
// places.
func fitBow(part, across, weight []float64, terms int) (bow, bool) {
	var a [5][6]float64
	for i := range part {
		u := 2*part[i] - 1
		var row [5]float64
		row[0] = 1
		for k := 1; k < terms; k++ {
			row[k] = row[k-1] * u
		}
		for r := range terms {
			for c := range terms {
				a[r][c] += weight[i] * row[r] * row[c]
			}
			a[r][5] += weight[i] * row[r] * across[i]
		}
	}
	x, ok := solve(&a, terms)
	var b bow
	copy(b[:], x[:])
	return b, ok
}

// solve is Gauss's elimination of the first n unknowns; the right side stands
// in the last column.
func solve(a *[5][6]float64, n int) (x [5]float64, ok bool) {
	for c := range n {
		best := c
		for r := c + 1; r < n; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[best][c]) {
				best = r
			}
		}
		a[c], a[best] = a[best], a[c]
		if !(math.Abs(a[c][c]) > 1e-12) {
			return x, false
		}
		for r := c + 1; r < n; r++ {
			k := a[r][c] / a[c][c]
			for j := c; j < 6; j++ {
				a[r][j] -= k * a[c][j]
			}
		}
	}
	for r := n - 1; r >= 0; r-- {
		v := a[r][5]
		for j := r + 1; j < n; j++ {
			v -= a[r][j] * x[j]
		}
		x[r] = v / a[r][r]
	}
	return x, true
}
