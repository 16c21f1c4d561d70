package grid

import "flatwright/rectify/mat"

// cell is the square of the lattice that a span borders on.
func (s span) cell() [2]int {
	if s.family == mat.Columns {
		return [2]int{s.index, s.at}
	}
	return [2]int{s.at, s.index}
}

// occupancy answers how much is marked near a cell, by a table of sums.
type occupancy struct {
	lo, size [2]int
	sums     []int32
}

func newOccupancy(lo, hi [2]int) *occupancy {
	o := &occupancy{lo: lo, size: [2]int{hi[0] - lo[0] + 2, hi[1] - lo[1] + 2}}
	o.sums = make([]int32, max(o.size[0], 0)*max(o.size[1], 0))
	return o
}

// mark adds to a cell within the bounds.
func (o *occupancy) mark(c [2]int) {
	o.sums[(c[1]-o.lo[1]+1)*o.size[0]+c[0]-o.lo[0]+1]++
}

// sum turns marks into sums over all cells above and to the left.
func (o *occupancy) sum() {
	w := o.size[0]
	for y := 1; y < o.size[1]; y++ {
		row := int32(0)
		for x := 1; x < w; x++ {
			row += o.sums[y*w+x]
			o.sums[y*w+x] = row + o.sums[(y-1)*w+x]
		}
	}
}

// within reports whether a marked cell lies within reach of c both ways.
func (o *occupancy) within(c [2]int, reach int) bool { return o.count(c, reach) > 0 }

// count returns what is marked within reach of c both ways.
func (o *occupancy) count(c [2]int, reach int) int {
	clip := func(v, d int) int { return min(max(v-o.lo[d]+1, 0), o.size[d]-1) }
	x0, x1 := clip(c[0]-reach-1, 0), clip(c[0]+reach, 0)
	y0, y1 := clip(c[1]-reach-1, 1), clip(c[1]+reach, 1)
	w := o.size[0]
	return int(o.sums[y1*w+x1] - o.sums[y0*w+x1] - o.sums[y1*w+x0] + o.sums[y0*w+x0])
}
