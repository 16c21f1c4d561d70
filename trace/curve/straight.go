package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// leastStraightMM is the shortest line kept within a curved span.
const leastStraightMM = 8

// straights finds the straight stretches of a span and moves the knots at
// their ends onto the line.
func straights(k []knot, l limits) []part {
	var out []part
	limit := 0.6 * l.worst
	n := len(k)
	for a := 0; a < n-1; {
		b := growLine(k, a, limit)
		if b < 0 {
			a++
			continue
		}
		lo, hi := trimLine(k, a, b, limit)
		o, d, _ := lineThrough(inner(k, lo, hi))
		if !standsOut(k, lo, hi, o, d, limit) {
			a++
			continue
		}
		out = append(out, lineBetween(k, lo, hi, o, d))
		a = hi
	}
	return out
}

// trimLine draws in the ends of a straight stretch to where the knots begin
// to leave the line of its middle.
func trimLine(k []knot, a, b int, limit float64) (int, int) {
	cut := (b - a) / 6
	o, d, _ := lineThrough(inner(k, a+cut, b-cut))
	off := func(i int) bool { return k[i].trust*math.Abs(cross(d, sub(k[i].p, o))) > 0.5*limit }
	for a < b-6 && !k[a].end && off(a) {
		a++
	}
	for b > a+6 && !k[b].end && off(b) {
		b--
	}
	return a, b
}

// standsOut tells whether the outline beyond a straight stretch bends much
// more than the stretch itself could without showing: on an even curve every
// short piece looks straight.
func standsOut(k []knot, a, b int, o, d mat.Point, limit float64) bool {
	long := k[b].s - k[a].s
	before, knownBefore := beyond(k, a, -1, long, o, d)
	after, knownAfter := beyond(k, b, 1, long, o, d)
	if !knownBefore && !knownAfter {
		return false
	}
	// A stretch of an even curve that keeps within ±limit of a line bends by
	// 16·limit/long².
	least := 1.6 * 16 * limit / (long * long)
	return (!knownBefore || before > least) && (!knownAfter || after > least)
}

// beyond returns the bend in 1/mm that the knots after a straight stretch
// have, if the stretch bends just as much; known is false when the span ends.
func beyond(k []knot, i, step int, longMM float64, o, d mat.Point) (bend float64, known bool) {
	x := min(20, longMM)
	j := i
	for j+step >= 0 && j+step < len(k) && math.Abs(k[j].s-k[i].s) < x {
		j += step
	}
	away := math.Abs(k[j].s - k[i].s)
	if away < 3 {
		return 0, false
	}
	reach := longMM/2 + away
	return 2 * math.Abs(cross(d, sub(k[j].p, o))) / (reach * reach), true
}

// inner leaves out corners, whose places are extrapolated.
func inner(k []knot, a, b int) []knot {
	if k[a].end {
		a++
	}
	if k[b].end {
		b--
	}
	return k[a : b+1]
}

// growLine returns the last knot of the longest straight stretch from knot
// a, or −1 when there is none of the least length.
func growLine(k []knot, a int, limit float64) int {
	b := a
	for b < len(k)-1 && k[b].s-k[a].s < leastStraightMM {
		b++
	}
	if k[b].s-k[a].s < leastStraightMM || !straightRun(k, a, b, limit) {
		return -1
	}
	step := 4
	for step > 0 {
		if b+step < len(k) && straightRun(k, a, b+step, limit) {
			b += step
			step *= 2
			continue
		}
		step /= 2
	}
	return b
}

// straightRun tells whether knots a..b are straight and keep their direction.
func straightRun(k []knot, a, b int, limit float64) bool {
	q := inner(k, a, b)
	if len(q) < 4 {
		return false
	}
	// Cheap refusal first: the middle against the chord.
	c := sub(q[len(q)-1].p, q[0].p)
	if q[len(q)/2].trust*math.Abs(cross(unit(c), sub(q[len(q)/2].p, q[0].p))) > 3*limit {
		return false
	}
	_, _, worst := lineThrough(q)
	return worst <= limit
}
