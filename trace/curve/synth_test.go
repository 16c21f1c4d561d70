package curve

import (
	"math"
	"math/rand"

	"flatwright/rectify/mat"
)

// The synthetic outlines of these tests are made as a camera makes them: the
// true region's mask is blurred with a Gaussian and its half-level contour
// sampled, so that corners come out rounded the way optics round them.

const rasterMM = 0.1

// blurredContour returns the half-level contour of the region inside p after
// a Gaussian blur of blurMM.
func blurredContour(p Path, blurMM float64) []mat.Point {
	b := p.Bounds()
	o := mat.Point{X: b.Min.X - 3, Y: b.Min.Y - 3}
	w, h := int((b.Max.X-b.Min.X+6)/rasterMM)+1, int((b.Max.Y-b.Min.Y+6)/rasterMM)+1
	mask := coverage(p.Flatten(0.001), o, w, h)
	if blurMM > 0 {
		mask = gaussian(mask, w, h, blurMM/rasterMM)
	}
	c := contour(mask, w, h)
	for i := range c {
		c[i] = mat.Point{X: o.X + (c[i].X+0.5)*rasterMM, Y: o.Y + (c[i].Y+0.5)*rasterMM}
	}
	return c
}

// coverage fills pixels with the part of them inside the polygon: eight
// scan lines a row, exact along x.
func coverage(q []mat.Point, o mat.Point, w, h int) []float64 {
	const sub = 8
	out := make([]float64, w*h)
	cross := make([][]float64, h*sub)
	for i, a := range q {
		b := q[(i+1)%len(q)]
		ya, yb := (a.Y-o.Y)/rasterMM*sub, (b.Y-o.Y)/rasterMM*sub
		xa, xb := (a.X-o.X)/rasterMM, (b.X-o.X)/rasterMM
		if ya > yb {
			ya, yb, xa, xb = yb, ya, xb, xa
		}
		for r := int(math.Ceil(ya - 0.5)); float64(r)+0.5 < yb; r++ {
			y := float64(r) + 0.5
			cross[r] = append(cross[r], xa+(xb-xa)*(y-ya)/(yb-ya))
		}
	}
	for r, xs := range cross {
		median(xs) // sorts
		row := out[r/sub*w : (r/sub+1)*w]
		for i := 0; i+1 < len(xs); i += 2 {
			for x := int(xs[i]); float64(x) < xs[i+1]; x++ {
				row[x] += (math.Min(xs[i+1], float64(x+1)) - math.Max(xs[i], float64(x))) / sub
			}
		}
	}
	return out
}

func gaussian(in []float64, w, h int, sigma float64) []float64 {
	n := int(5*sigma) + 1
	k := make([]float64, n+1)
	sum := 0.0
	for i := range k {
		k[i] = math.Exp(-float64(i*i) / (2 * sigma * sigma))
		sum += k[i]
		if i > 0 {
			sum += k[i]
		}
	}
	mid, out := make([]float64, w*h), make([]float64, w*h)
	for y := range h {
		for x := n; x < w-n; x++ {
			v := k[0] * in[y*w+x]
			for i := 1; i <= n; i++ {
				v += k[i] * (in[y*w+x-i] + in[y*w+x+i])
			}
			mid[y*w+x] = v / sum
		}
	}
	for y := n; y < h-n; y++ {
		for i := 0; i <= n; i++ {
			a, b, f := mid[(y-i)*w:(y-i+1)*w], mid[(y+i)*w:(y+i+1)*w], k[i]/sum
			if i == 0 {
				f /= 2
			}
			for x := range a {
				out[y*w+x] += f * (a[x] + b[x])
			}
		}
	}
	return out
}

// contour follows the longest half-level line through the cells of a raster.
func contour(v []float64, w, h int) []mat.Point {
	type edge struct {
		x, y int
		down bool
	}
	next := map[edge]edge{}
	at := map[edge]mat.Point{}
	level := 0.5
	for y := range h - 1 {
		for x := range w - 1 {
			a, b, c, d := v[y*w+x], v[y*w+x+1], v[(y+1)*w+x+1], v[(y+1)*w+x]
			ia, ib, ic, id := a > level, b > level, c > level, d > level
			if ia == ib && ib == ic && ic == id {
				continue
			}
			// Edges of the cell clockwise from the top, with the crossing's
			// place and whether the inside begins there going clockwise.
			es := [4]edge{{x, y, false}, {x + 1, y, true}, {x, y + 1, false}, {x, y, true}}
			ps := [4]mat.Point{
				{X: float64(x) + (level-a)/(b-a), Y: float64(y)},
				{X: float64(x + 1), Y: float64(y) + (level-b)/(c-b)},
				{X: float64(x) + (level-d)/(c-d), Y: float64(y + 1)},
				{X: float64(x), Y: float64(y) + (level-a)/(d-a)},
			}
			in := [5]bool{ia, ib, ic, id, ia}
			for i := range 4 {
				if in[i] || !in[i+1] {
					continue
				}
				// Inside begins at edge i; it ends at the next edge on.
				for j := 1; j < 4; j++ {
					m := (i + j) % 4
					if in[m] && !in[m+1] {
						// Region on the right when going from end to begin.
						next[es[m]] = es[i]
						at[es[m]], at[es[i]] = ps[m], ps[i]
						break
					}
				}
			}
		}
	}
	var best []mat.Point
	seen := map[edge]bool{}
	for y := range h {
		for x := range w {
			for _, down := range []bool{false, true} {
				e := edge{x, y, down}
				if _, ok := next[e]; !ok || seen[e] {
					continue
				}
				var loop []mat.Point
				for !seen[e] {
					seen[e] = true
					loop = append(loop, at[e])
					n, ok := next[e]
					if !ok {
						break
					}
					e = n
				}
				if len(loop) > len(best) {
					best = loop
				}
			}
		}
	}
	if Polygon(best...).Area() < 0 {
		for i, j := 0, len(best)-1; i < j; i, j = i+1, j-1 {
			best[i], best[j] = best[j], best[i]
		}
	}
	return best
}

// resample returns points a fixed distance apart along a closed polygon.
func resample(q []mat.Point, stepMM float64) []mat.Point {
	total := 0.0
	for i := range q {
		total += dist(q[i], q[(i+1)%len(q)])
	}
	n := int(total / stepMM)
	step := total / float64(n)
	var out []mat.Point
	want, sum := 0.0, 0.0
	for i := range q {
		a, b := q[i], q[(i+1)%len(q)]
		d := dist(a, b)
		for want <= sum+d && len(out) < n {
			out = append(out, lerp(a, b, (want-sum)/d))
			want += step
		}
		sum += d
	}
	return out
}

type noise struct {
	sigmaMM  float64
	outliers int
	bridges  int
}

// spoil adds noise correlated over three samples, outliers and bridges.
func spoil(q []mat.Point, n noise, r *rand.Rand) []Sample {
	m := len(q)
	white := make([]mat.Point, m)
	for i := range white {
		white[i] = mat.Point{X: r.NormFloat64(), Y: r.NormFloat64()}
	}
	out := make([]Sample, m)
	k := n.sigmaMM / math.Sqrt(3)
	for i := range out {
		e := add(add(white[i], white[(i+1)%m]), white[(i+2)%m])
		out[i] = Sample{At: along(q[i], e, k), SigmaMM: n.sigmaMM}
	}
	for range n.outliers {
		i := r.Intn(m)
		side := leftOf(unit(sub(q[(i+2)%m], q[(i+m-2)%m])))
		high := 0.2 + 0.3*r.Float64()
		if r.Intn(2) == 0 {
			high = -high
		}
		for j := range 1 + r.Intn(4) {
			p := &out[(i+j)%m]
			p.At = along(p.At, side, high)
		}
	}
	for range n.bridges {
		i, long := r.Intn(m), 6+r.Intn(6)
		a, b := out[i].At, out[(i+long)%m].At
		for j := 1; j < long; j++ {
			out[(i+j)%m] = Sample{At: lerp(a, b, float64(j)/float64(long)), SigmaMM: 1.5}
		}
	}
	return out
}

func pt(x, y float64) mat.Point { return mat.Point{X: x, Y: y} }

// arc returns cubics along a circle, 15° each: good to 1e-7 of the radius.
func arc(c mat.Point, r, fromDeg, toDeg float64) []Segment {
	return ellipseArc(c, r, r, fromDeg, toDeg)
}

func ellipseArc(c mat.Point, rx, ry, fromDeg, toDeg float64) []Segment {
	n := int(math.Ceil(math.Abs(toDeg-fromDeg) / 15))
	step := (toDeg - fromDeg) / float64(n) * math.Pi / 180
	arm := 4.0 / 3 * math.Tan(step/4)
	var out []Segment
	for i := range n {
		a := fromDeg*math.Pi/180 + float64(i)*step
		sa, ca := math.Sincos(a)
		sb, cb := math.Sincos(a + step)
		p0, p3 := pt(c.X+rx*ca, c.Y+ry*sa), pt(c.X+rx*cb, c.Y+ry*sb)
		out = append(out, Cubic(p0, along(p0, pt(-rx*sa, ry*ca), arm), along(p3, pt(-rx*sb, ry*cb), -arm), p3))
	}
	return out
}

// closeUp joins runs of segments with lines into a closed path.
func closeUp(runs ...[]Segment) Path {
	p := Path{Closed: true}
	link := func(q mat.Point) {
		if n := len(p.Segments); n > 0 && dist(p.Segments[n-1].P3, q) > 1e-9 {
			p.Segments = append(p.Segments, Line(p.Segments[n-1].P3, q))
		}
	}
	for _, run := range runs {
		link(run[0].P0)
		p.Segments = append(p.Segments, run...)
	}
	link(p.Segments[0].P0)
	return p
}

type score struct {
	rms, worst float64
	at         mat.Point
}

// compare measures the distance between two closed paths both ways.
func compare(a, b Path) score {
	var s score
	sum, n := 0.0, 0
	for _, way := range [2][2]Path{{a, b}, {b, a}} {
		from := densePoints(way[0], 0.1)
		to := newPolyIndex(way[1].Flatten(0.001), way[1].Closed)
		for _, p := range from {
			d := to.distance(p)
			sum, n = sum+d*d, n+1
			if d > s.worst {
				s.worst, s.at = d, p
			}
		}
	}
	s.rms = math.Sqrt(sum / float64(n))
	return s
}
