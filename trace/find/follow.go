package find

import (
	"container/heap"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// Follow returns the way from one point to another that keeps to the clearest
// edges of the photograph, printed lines left out of account, in mm of the
// pieces' face, about two points a millimetre. It is good to about a
// millimetre: Measure measures it. The way is the cheapest path over the
// pixels of the flattened picture, each the cheaper the steeper the colour
// changes there (Mortensen and Barrett, Intelligent scissors for image
// composition, 1995; from memory). Errors: ErrOffMat, ErrSamePlace.
func (l *Looker) Follow(from, to mat.Point) ([]mat.Point, error) {
	ax, ay, okA := l.onSheet(from)
	bx, by, okB := l.onSheet(to)
	if !okA || !okB {
		return nil, ErrOffMat
	}
	if math.Hypot(bx-ax, by-ay) < 3 {
		return nil, ErrSamePlace
	}
	w := newWays(l.f.sheet, ax, ay, bx, by)
	cells := w.cheapest()
	out := []mat.Point{from}
	every := max(1, int(l.f.sheet.px(0.5)))
	smooth := w.smoothed(cells, 2)
	for i := every; i < len(smooth)-every/2; i += every {
		p, ok := l.offSheet(smooth[i][0], smooth[i][1])
		if !ok {
			return nil, ErrOffMat
		}
		out = append(out, p)
	}
	return append(out, to), nil
}

// ways is the part of the sheet in which a way is looked for.
type ways struct {
	x0, y0, w, h int
	// slope is how steeply the colour changes, as a part of what is steep here.
	slope    []float32
	from, to int
}

func newWays(s *sheet, ax, ay, bx, by float64) *ways {
	const roundMM = 12
	round := math.Max(s.px(roundMM), 0.5*math.Hypot(bx-ax, by-ay))
	lo := func(a, b float64, most int) int { return max(1, min(int(math.Min(a, b)-round), most-2)) }
	hi := func(a, b float64, most int) int { return max(1, min(int(math.Max(a, b)+round), most-2)) }
	g := &ways{x0: lo(ax, bx, s.w), y0: lo(ay, by, s.h)}
	g.w, g.h = hi(ax, bx, s.w)-g.x0+1, hi(ay, by, s.h)-g.y0+1
	g.slope = make([]float32, g.w*g.h)
	for y := range g.h {
		for x := range g.w {
			g.slope[y*g.w+x] = s.slopeAt(g.x0+x, g.y0+y)
		}
	}
	g.normalise()
	at := func(x, y float64) int {
		i, j := int(x+0.5)-g.x0, int(y+0.5)-g.y0
		return max(0, min(j, g.h-1))*g.w + max(0, min(i, g.w-1))
	}
	g.from, g.to = at(ax, ay), at(bx, by)
	return g
}

// slopeAt is the change of colour across two pixels, natural logarithm of
// light, over all channels.
func (s *sheet) slopeAt(x, y int) float32 {
	i, sum := s.index(x, y), float32(0)
	for _, v := range s.ch {
		dx, dy := v[i+1]-v[i-1], v[i+s.w]-v[i-s.w]
		sum += dx*dx + dy*dy
	}
	return float32(math.Sqrt(float64(sum)))
}

// normalise scales the slopes by that which only one pixel in twenty exceeds.
func (g *ways) normalise() {
	sorted := slices.Clone(g.slope)
	slices.Sort(sorted)
	steep := max(sorted[len(sorted)*95/100], 0.02)
	for i := range g.slope {
		g.slope[i] = min(g.slope[i]/steep, 1)
	}
}

// front is the cells that the search has reached, cheapest first.
type front []reached

type reached struct {
	cost float32
	cell int
}

func (f front) Len() int           { return len(f) }
func (f front) Less(i, j int) bool { return f[i].cost < f[j].cost }
func (f front) Swap(i, j int)      { f[i], f[j] = f[j], f[i] }

// Push and Pop are for container/heap.
func (f *front) Push(v any) {
	if r, ok := v.(reached); ok {
		*f = append(*f, r)
	}
}

// Pop takes the last cell off.
func (f *front) Pop() any {
	n := len(*f) - 1
	last := (*f)[n]
	*f = (*f)[:n]
	return last
}

// cheapest is the cells of the cheapest way, ends included (Dijkstra 1959).
func (g *ways) cheapest() []int {
	const flat = 0.04 // what a step costs along the steepest edge
	cost, before := make([]float32, len(g.slope)), make([]int32, len(g.slope))
	for i := range cost {
		cost[i] = float32(math.Inf(1))
	}
	cost[g.from], before[g.from] = 0, -1
	f := front{{0, g.from}}
	for f.Len() > 0 {
		r, ok := heap.Pop(&f).(reached)
		if !ok || r.cell == g.to {
			break
		}
		if r.cost > cost[r.cell] {
			continue
		}
		x, y := r.cell%g.w, r.cell/g.w
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				u, v := x+dx, y+dy
				if dx == 0 && dy == 0 || u < 0 || v < 0 || u >= g.w || v >= g.h {
					continue
				}
				j := v*g.w + u
				step := float32(math.Hypot(float64(dx), float64(dy)))
				rough := 1 - g.slope[j]
				c := r.cost + step*(flat+rough*rough)
				if c < cost[j] {
					cost[j], before[j] = c, int32(r.cell)
					heap.Push(&f, reached{c, j})
				}
			}
		}
	}
	var out []int
	for i := int32(g.to); i >= 0; i = before[i] {
		out = append(out, int(i))
		if int(i) == g.from {
			break
		}
	}
	slices.Reverse(out)
	return out
}

// smoothed is the way in pixels of the sheet, each cell averaged with half
// cells before and behind.
func (g *ways) smoothed(cells []int, half int) [][2]float64 {
	out := make([][2]float64, len(cells))
	for i := range cells {
		h := min(half, i, len(cells)-1-i)
		for k := i - h; k <= i+h; k++ {
			out[i][0] += float64(g.x0+cells[k]%g.w) / float64(2*h+1)
			out[i][1] += float64(g.y0+cells[k]/g.w) / float64(2*h+1)
		}
	}
	return out
}
