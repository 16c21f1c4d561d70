package find

// chamfer returns for every pixel its distance to the nearest pixel whose
// mask is not inside (1 = inside when of == 1), times 3, by the 3-4 chamfer
// metric (Borgefors 1986), capped at 65535. Outside the raster counts as
// outside.
func chamfer(mask []uint8, of uint8, w, h int) []uint16 {
	d := make([]uint16, w*h)
	none := make([]uint16, w) // the row outside the raster
	for y := 0; y < h; y++ {
		up := none
		if y > 0 {
			up = d[(y-1)*w : y*w]
		}
		sweepDown(mask[y*w:(y+1)*w], of, up, d[y*w:(y+1)*w])
	}
	for y := h - 1; y >= 0; y-- {
		down := none
		if y < h-1 {
			down = d[(y+1)*w : (y+2)*w]
		}
		sweepUp(down, d[y*w:(y+1)*w])
	}
	return d
}

// sweepDown is the first pass over one row, from the row above it.
func sweepDown(mask []uint8, of uint8, up, row []uint16) {
	const big = 65000
	var left, a, b, c uint16 // the neighbours before, and above from left to right
	n := len(row)
	up, mask = up[:n], mask[:n]
	if n > 0 {
		b = up[0]
	}
	for x := range row {
		c = 0
		if x+1 < n {
			c = up[x+1]
		}
		if mask[x] == of {
			left = min(min(left, b)+3, min(a, c)+4, big)
			row[x] = left
		} else {
			left = 0
		}
		a, b = b, c
	}
}

// sweepUp is the second pass over one row, from the row below it.
func sweepUp(down, row []uint16) {
	var right, a, b, c uint16
	n := len(row)
	down = down[:n]
	if n > 0 {
		b = down[n-1]
	}
	for x := n - 1; x >= 0; x-- {
		c = 0
		if x > 0 {
			c = down[x-1]
		}
		v := row[x]
		if v != 0 {
			v = min(v, min(right, b)+3, min(a, c)+4)
			row[x] = v
		}
		right = v
		a, b = b, c
	}
}

// openThin removes from the mask what is thinner than 2·radius pixels and
// keeps the rest with its corners: erosion, then growth back within the mask
// by a little more than the radius.
func openThin(mask []uint8, w, h int, radius float64) []uint8 {
	d := chamfer(mask, 1, w, h)
	core := make([]uint8, w*h)
	limit := uint16(3*radius + 0.5)
	for i, v := range d {
		if v > limit {
			core[i] = 1
		}
	}
	back := chamfer(core, 0, w, h)
	reach := uint16(3*(radius+1) + 0.5)
	for i, v := range back {
		if mask[i] == 0 || v > reach {
			core[i] = 0
		} else {
			core[i] = 1
		}
	}
	return core
}

// blob is a connected region of a mask (4-neighbours).
type blob struct {
	label                  int32
	area                   int
	minX, minY, maxX, maxY int
	// edge is set when it touches the raster's border.
	edge bool
	// seed is one of its pixels.
	seed int
}

// blobs labels the connected regions where mask == of, from 1 up.
func blobs(mask []uint8, of uint8, w, h int) ([]int32, []blob) {
	labels := make([]int32, w*h)
	parent := []int32{0}
	find := func(a int32) int32 {
		for parent[a] != a {
			parent[a] = parent[parent[a]]
			a = parent[a]
		}
		return a
	}
	for y := 0; y < h; y++ {
		for x := 0; x < w; x++ {
			i := y*w + x
			if mask[i] != of {
				continue
			}
			var left, up int32
			if x > 0 {
				left = labels[i-1]
			}
			if y > 0 {
				up = labels[i-w]
			}
			switch {
			case left == 0 && up == 0:
				l := int32(len(parent))
				parent = append(parent, l)
				labels[i] = l
			case left == 0:
				labels[i] = up
			case up == 0 || up == left:
				labels[i] = left
			default:
				a, b := find(left), find(up)
				if a > b {
					a, b = b, a
				}
				parent[b] = a
				labels[i] = a
			}
		}
	}
	return gather(labels, parent, find, w, h)
}

func gather(labels, parent []int32, find func(int32) int32, w, h int) ([]int32, []blob) {
	number := make([]int32, len(parent))
	var out []blob
	for l := 1; l < len(parent); l++ {
		r := find(int32(l))
		if number[r] == 0 {
			out = append(out, blob{label: int32(len(out) + 1), minX: w, minY: h, maxX: -1, maxY: -1})
			number[r] = int32(len(out))
		}
		number[l] = number[r]
	}
	for y := 0; y < h; y++ {
		for x := 0; x < w; x++ {
			i := y*w + x
			if labels[i] == 0 {
				continue
			}
			n := number[labels[i]]
			labels[i] = n
			b := &out[n-1]
			if b.area == 0 {
				b.seed = i
			}
			b.area++
			b.minX, b.maxX = min(b.minX, x), max(b.maxX, x)
			b.minY, b.maxY = min(b.minY, y), max(b.maxY, y)
			if x == 0 || y == 0 || x == w-1 || y == h-1 {
				b.edge = true
			}
		}
	}
	return labels, out
}

// splitBlobs labels the connected regions of a mask, and parts regions that
// hang together by less than 2·neck pixels only: two pieces laid close may
// touch in a blurred pixel. Cores smaller than minCore pixels start none.
func splitBlobs(mask []uint8, w, h int, neck, minCore float64) ([]int32, []blob) {
	d := chamfer(mask, 1, w, h)
	core := make([]uint8, len(mask))
	limit := uint16(3*neck + 0.5)
	for i, v := range d {
		if v > limit {
			core[i] = 1
		}
	}
	cores, list := blobs(core, 1, w, h)
	labels := make([]int32, len(mask))
	var queue []int32
	for i, l := range cores {
		if l > 0 && float64(list[l-1].area) >= minCore {
			labels[i] = l
			queue = append(queue, int32(i))
		}
	}
	grow(mask, labels, queue, w, h)
	for i := 1; i < len(labels); i++ {
		// A one-pixel cut where two parts meet.
		l := labels[i]
		if l > 0 && i >= w && (labels[i-1] > 0 && labels[i-1] != l || labels[i-w] > 0 && labels[i-w] != l) {
			labels[i] = 0
		}
	}
	on := core
	for i, l := range labels {
		on[i] = 0
		if l > 0 {
			on[i] = 1
		}
	}
	return blobs(on, 1, w, h)
}

// grow spreads labels evenly through the mask, nearest label first.
func grow(mask []uint8, labels []int32, queue []int32, w, h int) {
	for at := 0; at < len(queue); at++ {
		i := int(queue[at])
		x := i % w
		for _, j := range [4]int{i - 1, i + 1, i - w, i + w} {
			if j < 0 || j >= len(mask) || (j == i-1 && x == 0) || (j == i+1 && x == w-1) {
				continue
			}
			if mask[j] == 1 && labels[j] == 0 {
				labels[j] = labels[i]
				queue = append(queue, int32(j))
			}
		}
	}
}
