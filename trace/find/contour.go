package find

import (
	"math"

	"flatwright/rectify/photo"
)

// patch is one region's mask cut out of the sheet with a rim of background:
// pixel (x, y) is sheet pixel (x0 + x, y0 + y).
type patch struct {
	x0, y0, w, h int
	in           []uint8
}

// cutOut copies a blob with a rim of so many pixels, at least one, round it.
func cutOut(labels []int32, w int, b blob, rim int) *patch {
	p := &patch{x0: b.minX - rim, y0: b.minY - rim, w: b.maxX - b.minX + 1 + 2*rim, h: b.maxY - b.minY + 1 + 2*rim}
	p.in = make([]uint8, p.w*p.h)
	for y := b.minY; y <= b.maxY; y++ {
		for x := b.minX; x <= b.maxX; x++ {
			if labels[y*w+x] == b.label {
				p.in[(y-p.y0)*p.w+x-p.x0] = 1
			}
		}
	}
	return p
}

// loop is a closed chain of points on the sheet, in sheet pixels, the
// region on its right hand: outlines clockwise to the eye, openings the
// other way round.
type loop []photo.Point

// area is the shoelace area: positive for outlines, negative for openings.
func (l loop) area() float64 {
	var a float64
	for i, p := range l {
		q := l[(i+1)%len(l)]
		a += p.X*q.Y - q.X*p.Y
	}
	return a / 2
}

// loops follows every border of the patch along the cracks between pixels,
// one point at the middle of each crack.
func (p *patch) loops() []loop {
	visited := make([]bool, p.w*p.h) // by the pixel below a rightward crack
	var out []loop
	for y := 1; y < p.h-1; y++ {
		for x := 1; x < p.w-1; x++ {
			i := y*p.w + x
			if p.in[i] == 1 && p.in[i-p.w] == 0 && !visited[i] {
				out = append(out, p.follow(x, y, visited))
			}
		}
	}
	return out
}

// follow walks from the crack above pixel (x, y), rightwards. At a vertex
// where two region pixels touch by a corner only it keeps them apart.
func (p *patch) follow(x, y int, visited []bool) loop {
	dirs := [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}
	// The pixel on the right hand of a crack leaving vertex (vx, vy) (the
	// top-left corner of pixel (vx, vy)) in direction d, and on the left.
	right := [4][2]int{{0, 0}, {-1, 0}, {-1, -1}, {0, -1}}
	left := [4][2]int{{0, -1}, {0, 0}, {-1, 0}, {-1, -1}}
	vx, vy, d := x, y, 0
	inside := func(o [2]int) bool { return p.in[(vy+o[1])*p.w+vx+o[0]] == 1 }
	var l loop
	for {
		if d == 0 {
			i := vy*p.w + vx
			if visited[i] {
				return l
			}
			visited[i] = true
		}
		l = append(l, photo.Point{
			X: float64(p.x0+vx) + 0.5*float64(dirs[d][0]) - 0.5,
			Y: float64(p.y0+vy) + 0.5*float64(dirs[d][1]) - 0.5,
		})
		vx, vy = vx+dirs[d][0], vy+dirs[d][1]
		switch {
		case !inside(right[d]):
			d = (d + 1) % 4
		case inside(left[d]):
			d = (d + 3) % 4
		}
	}
}

// smooth is the loop under a Gaussian of the given standard deviation in
// points.
func (l loop) smooth(sigma float64) loop {
	r := int(math.Ceil(3 * sigma))
	if n := len(l); r > n/2 {
		r = n / 2
	}
	k := make([]float64, r+1)
	sum := 0.0
	for i := range k {
		k[i] = math.Exp(-float64(i*i) / (2 * sigma * sigma))
		sum += k[i]
		if i > 0 {
			sum += k[i]
		}
	}
	out := make(loop, len(l))
	for i := range l {
		var x, y float64
		for j := -r; j <= r; j++ {
			q := l[wrap(i+j, len(l))]
			x, y = x+q.X*k[abs(j)], y+q.Y*k[abs(j)]
		}
		out[i] = photo.Point{X: x / sum, Y: y / sum}
	}
	return out
}

// resample returns points one step apart along the closed loop.
func (l loop) resample(step float64) loop {
	total := 0.0
	for i, p := range l {
		q := l[(i+1)%len(l)]
		total += math.Hypot(q.X-p.X, q.Y-p.Y)
	}
	n := int(total / step)
	if n < 8 {
		return nil
	}
	step = total / float64(n)
	out := make(loop, 0, n)
	next, run := 0.0, 0.0
	for i, p := range l {
		q := l[(i+1)%len(l)]
		d := math.Hypot(q.X-p.X, q.Y-p.Y)
		for len(out) < n && next < run+d {
			t := (next - run) / d
			out = append(out, photo.Point{X: p.X + (q.X-p.X)*t, Y: p.Y + (q.Y-p.Y)*t})
			next += step
		}
		run += d
	}
	return out
}

// outward returns the unit normal at point i that leaves the region, from
// the chord over reach points either way.
func (l loop) outward(i, reach int) photo.Point {
	a, b := l[wrap(i-reach, len(l))], l[wrap(i+reach, len(l))]
	x, y := b.X-a.X, b.Y-a.Y
	d := math.Hypot(x, y)
	if d == 0 {
		return photo.Point{X: 1}
	}
	return photo.Point{X: y / d, Y: -x / d}
}

func wrap(i, n int) int {
	i %= n
	if i < 0 {
		i += n
	}
	return i
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}
