package grid

import (
	"cmp"
	"math"
	"slices"
)

// comb is a run of nearly parallel, nearly evenly spaced lines in a window:
// line k lies at offset[k] across angle, its direction fanning by fan.
type comb struct {
	angle float64 // direction of the normal at the window's centre, rad
	fan   float64 // rad of turn per px of offset
	teeth []tooth
}

// tooth is one line of a comb.
type tooth struct {
	index  int
	offset float64 // px from the window's centre along the normal
	height float64
}

// window is a square part of the level.
type window struct {
	pol          polarity
	cx, cy, half float64
	ridges       []ridge // positions relative to the centre
	merit        float64
}

// seed is a local lattice: two combs crossing in a window.
type seed struct {
	win  window
	a, b comb
}

// directionBins counts ridge pixels by the direction of their normal, 1° each.
type directionBins [180]int32

// windows cuts the level into half-overlapping squares and says how much of
// the ridge length of each runs in two crossing directions. The ridges
// themselves are only gathered for windows that are looked at.
func windows(l *level, pol polarity, ridges []ridge, sidePx int) []window {
	step := float64(sidePx) / 2
	nx, ny := max(2, int(math.Ceil(float64(l.w)/step))), max(2, int(math.Ceil(float64(l.h)/step)))
	cells := make([]directionBins, nx*ny)
	for i := range ridges {
		r := &ridges[i]
		cell := min(int(float64(r.y)/step), ny-1)*nx + min(int(float64(r.x)/step), nx-1)
		cells[cell][min(int(float64(r.normal)*180/math.Pi), 179)]++
	}
	ws := make([]window, 0, (nx-1)*(ny-1))
	for j := range ny - 1 {
		for i := range nx - 1 {
			w := window{pol: pol, cx: float64(i+1) * step, cy: float64(j+1) * step, half: step}
			var sum directionBins
			for _, c := range []int{j*nx + i, j*nx + i + 1, (j+1)*nx + i, (j+1)*nx + i + 1} {
				for k := range sum {
					sum[k] += cells[c][k]
				}
			}
			_, _, w.merit = sum.crossing()
			ws = append(ws, w)
		}
	}
	return ws
}

// gather collects the ridges of a window, relative to its centre.
func (w *window) gather(ridges []ridge) {
	cx, cy, half := float32(w.cx), float32(w.cy), float32(w.half)
	for _, r := range ridges {
		r.x, r.y = r.x-cx, r.y-cy
		if r.x >= -half && r.x <= half && r.y >= -half && r.y <= half {
			w.ridges = append(w.ridges, r)
		}
	}
}

// crossingDirections returns the two best-filled directions of normals that
// stand 55° to 125° apart, in radians, and how well they are filled.
func crossingDirections(rs []ridge) (a, b, merit float64) {
	var bins directionBins
	for i := range rs {
		bins[min(int(float64(rs[i].normal)*180/math.Pi), 179)]++
	}
	return bins.crossing()
}

// crossing is crossingDirections of counted directions.
func (raw *directionBins) crossing() (a, b, merit float64) {
	var h [180]float64
	mean := 0.0
	for k := range h {
		mean += float64(raw[k]) / 180
		for d := -3; d <= 3; d++ {
			h[k] += float64(raw[(k+d+180)%180])
		}
	}
	for i := range 180 {
		if h[i] < 2*7*mean/1.5 && h[i] < 30 {
			continue
		}
		for d := 55; d <= 125; d++ {
			j := (i + d) % 180
			if m := math.Min(h[i], h[j]) + 0.25*math.Max(h[i], h[j]); m > merit {
				merit, a, b = m, float64(i)+0.5, float64(j)+0.5
			}
		}
	}
	return a * math.Pi / 180, b * math.Pi / 180, merit
}

// newSeed reads a window's two combs; false when it holds no lattice.
func newSeed(w window) (seed, bool) {
	a, b, _ := crossingDirections(w.ridges)
	s := seed{win: w}
	var ok bool
	if s.a, ok = findComb(w, a); !ok {
		return s, false
	}
	if s.b, ok = findComb(w, b); !ok {
		return s, false
	}
	return s, true
}

// projection is a histogram of ridge offsets across a direction, 1 px bins.
type projection struct {
	bins []float64
	zero int
}

// offsetsAlong collects the window's ridges whose normals lie near angle, as
// coordinates across (u) and along (v) the lines.
func offsetsAlong(w window, angle float64) (u, v, weight []float64) {
	const slack = 10 * math.Pi / 180
	c, s := math.Cos(angle), math.Sin(angle)
	var hs []float64
	for _, r := range w.ridges {
		if d := angleBetween(float64(r.normal), angle); math.Abs(d) > slack {
			continue
		}
		x, y := float64(r.x), float64(r.y)
		u, v = append(u, x*c+y*s), append(v, -x*s+y*c)
		hs = append(hs, float64(r.height))
	}
	if len(hs) == 0 {
		return nil, nil, nil
	}
	sorted := slices.Clone(hs)
	slices.Sort(sorted)
	top := sorted[len(sorted)*3/4]
	weight = hs
	for i := range weight {
		weight[i] = math.Min(weight[i]/top, 1)
	}
	return u, v, weight
}

// angleBetween returns a-b as a direction difference in (-π/2, π/2].
func angleBetween(a, b float64) float64 {
	d := math.Mod(a-b, math.Pi)
	if d > math.Pi/2 {
		d -= math.Pi
	} else if d <= -math.Pi/2 {
		d += math.Pi
	}
	return d
}

// project fills pr with the offsets t = u'/(1 - fan v'), (u', v') being (u, v)
// turned by turn: lines of a fan meet where their offset says.
func (pr *projection) project(u, v, weight []float64, turn, fan float64) float64 {
	clear(pr.bins)
	n := float64(len(pr.bins) - 2)
	for i := range u {
		uu, vv := u[i]+turn*v[i], v[i]-turn*u[i]
		t := uu/(1-fan*vv) + float64(pr.zero)
		if t < 1 || t >= n {
			continue
		}
		k := int(t)
		f := t - float64(k)
		pr.bins[k] += weight[i] * (1 - f)
		pr.bins[k+1] += weight[i] * f
	}
	sum := 0.0
	for _, b := range pr.bins {
		sum += b * b
	}
	return sum
}

// findComb looks for evenly spaced lines near a direction.
func findComb(w window, angle float64) (comb, bool) {
	u, v, weight := offsetsAlong(w, angle)
	if len(u) < 40 {
		return comb{}, false
	}
	zero := int(w.half*1.5) + 2
	pr := &projection{bins: make([]float64, 2*zero+1), zero: zero}
	turn, fan := sharpest(pr, u, v, weight)
	pr.project(u, v, weight, turn, fan)
	teeth := evenTeeth(pr.peaks())
	if len(teeth) < 3 {
		return comb{}, false
	}
	return comb{angle: angle + turn, fan: fan, teeth: teeth}, true
}

// sharpest returns the turn and fan that concentrate the projection most:
// first a coarse sweep, then two finer ones about the best.
func sharpest(pr *projection, u, v, weight []float64) (turn, fan float64) {
	const degree = math.Pi / 180
	stepTurn, stepFan := 1*degree, 1.2e-4
	nTurn, nFan := 5, 3
	best := -1.0
	for range 3 {
		t0, f0 := turn, fan
		for i := -nTurn; i <= nTurn; i++ {
			for j := -nFan; j <= nFan; j++ {
				t, f := t0+float64(i)*stepTurn, f0+float64(j)*stepFan
				if s := pr.project(u, v, weight, t, f); s > best {
					best, turn, fan = s, t, f
				}
			}
		}
		stepTurn, stepFan = stepTurn/3, stepFan/3
		nTurn, nFan = 2, 2
	}
	return turn, fan
}

// peaks returns the local maxima of the lightly smoothed projection, as teeth
// without indices, in order of offset.
func (pr *projection) peaks() []tooth {
	b := pr.bins
	sm := make([]float64, len(b))
	top := 0.0
	for i := 1; i < len(b)-1; i++ {
		sm[i] = 0.25*b[i-1] + 0.5*b[i] + 0.25*b[i+1]
		top = math.Max(top, sm[i])
	}
	var out []tooth
	for i := 2; i < len(b)-2; i++ {
		if sm[i] < 0.15*top || sm[i] < sm[i-1] || sm[i] <= sm[i+1] {
			continue
		}
		m, mt := 0.0, 0.0
		for d := -2; d <= 2; d++ {
			m += b[i+d]
			mt += b[i+d] * float64(i+d)
		}
		out = append(out, tooth{offset: mt/m - float64(pr.zero), height: m})
	}
	return out
}

// evenTeeth picks from peaks the run that is spaced most evenly and gathers
// most height: every pair of peaks is tried as neighbours, and the run walked
// out from it both ways. A weaker line now and then may be missing. Of rival
// runs the one of strong lines wins over one that threads weak ones too.
func evenTeeth(peaks []tooth) []tooth {
	var best []tooth
	bestScore := 0.0
	top := 0.0
	for _, p := range peaks {
		top = math.Max(top, p.height)
	}
	for i := range peaks {
		for j := i + 1; j < len(peaks) && j <= i+12; j++ {
			if peaks[j].offset-peaks[i].offset < 5 {
				continue
			}
			run, misses := walkTeeth(peaks, i, j)
			if len(run) < 3 || misses > len(run)/2+1 {
				continue
			}
			sum := 0.0
			for _, t := range run {
				sum += t.height / top
			}
			mean := sum / float64(len(run)+misses)
			if score := sum * mean * mean; score > bestScore {
				best, bestScore = run, score
			}
		}
	}
	return best
}

// walkTeeth follows the run that begins with neighbours i and j in both
// directions, adapting the spacing as perspective narrows it.
func walkTeeth(peaks []tooth, i, j int) (run []tooth, misses int) {
	p := peaks[j].offset - peaks[i].offset
	a, b := peaks[i], peaks[j]
	a.index, b.index = 0, 1
	run = append(run, a, b)
	lo, hi := peaks[0].offset, peaks[len(peaks)-1].offset
	for _, dir := range []float64{1, -1} {
		at, idx, space, gap := b.offset, 1, p, 0
		if dir < 0 {
			at, idx = a.offset, 0
		}
		for gap < 3 {
			want := at + dir*space*float64(gap+1)
			if want > hi+0.2*space || want < lo-0.2*space {
				break
			}
			tol := (0.1 + 0.04*float64(gap)) * space
			k := nearestTooth(peaks, want, tol+0.5)
			idx += int(dir)
			if k < 0 {
				gap++
				misses++
				continue
			}
			t := peaks[k]
			t.index = idx
			run = append(run, t)
			got := math.Abs(t.offset-at) / float64(gap+1)
			space = 0.5*space + 0.5*got
			at, gap = t.offset, 0
		}
		misses -= min(gap, 3)
		idx -= int(dir) * gap
	}
	slices.SortFunc(run, func(a, b tooth) int { return cmp.Compare(a.offset, b.offset) })
	return run, misses
}

// nearestTooth returns the index of the tallest peak within tol of want, -1
// when there is none.
func nearestTooth(peaks []tooth, want, tol float64) int {
	best := -1
	for k, p := range peaks {
		if math.Abs(p.offset-want) <= tol && (best < 0 || p.height > peaks[best].height) {
			best = k
		}
	}
	return best
}
