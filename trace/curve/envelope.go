package curve

import "math"

// envelope is a symmetric positive definite system stored row by row from
// the first unknown that a row touches to its diagonal; Cholesky's method
// fills nothing outside (Jennings 1966, envelope scheme; from memory).
type envelope struct {
	low   []int
	start []int
	h     []float64
	// g is the right-hand side, and the solution after solve.
	g []float64
}

func newEnvelope(low []int) *envelope {
	e := &envelope{low: low, start: make([]int, len(low)+1), g: make([]float64, len(low))}
	for i, l := range low {
		e.start[i+1] = e.start[i] + i - l + 1
	}
	e.h = make([]float64, e.start[len(low)])
	return e
}

func (e *envelope) clear() {
	clear(e.h)
	clear(e.g)
}

// addAt adds v to element (i, j), j ≤ i, which must lie in the envelope.
func (e *envelope) addAt(i, j int, v float64) { e.h[e.start[i]+j-e.low[i]] += v }

// damp raises the diagonal by the factor 1 + k.
func (e *envelope) damp(k float64) {
	for i := range e.low {
		e.h[e.start[i+1]-1] *= 1 + k
	}
}

// solve replaces g by the solution; false when the system is not positive
// definite.
func (e *envelope) solve() bool {
	for i := range e.low {
		if !e.factorRow(i) {
			return false
		}
	}
	for i := range e.low {
		row, l := e.row(i), e.low[i]
		sum := e.g[i]
		for j := l; j < i; j++ {
			sum -= row[j-l] * e.g[j]
		}
		e.g[i] = sum / row[i-l]
	}
	for i := len(e.low) - 1; i >= 0; i-- {
		row, l := e.row(i), e.low[i]
		e.g[i] /= row[i-l]
		for j := l; j < i; j++ {
			e.g[j] -= row[j-l] * e.g[i]
		}
	}
	return true
}

func (e *envelope) row(i int) []float64 { return e.h[e.start[i]:e.start[i+1]] }

func (e *envelope) factorRow(i int) bool {
	row, l := e.row(i), e.low[i]
	for j := l; j < i; j++ {
		other, m := e.row(j), e.low[j]
		sum := row[j-l]
		for k := max(l, m); k < j; k++ {
			sum -= row[k-l] * other[k-m]
		}
		row[j-l] = sum / other[j-m]
	}
	d := row[i-l]
	for k := l; k < i; k++ {
		d -= row[k-l] * row[k-l]
	}
	if !(d > 0) {
		return false
	}
	row[i-l] = math.Sqrt(d)
	return true
}
