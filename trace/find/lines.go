package find

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// ruling is the printed lines of one direction on the sheet.
type ruling struct {
	// rows is true for lines that run along x.
	rows bool
	// at are the positions across, in sheet pixels.
	at []float64
	// half is half the width of a major line, in sheet pixels.
	half float64
	// side is how far from the centre the bare ground beside it is sampled.
	side float64
}

// lineSample is one place on a printed line: the colours beside it and
// whether the line shows there.
type lineSample struct {
	// left and right are indices of the sheet pixels beside the line.
	left, right int32
	// c is the line's colour over the mean of both sides, log RGB.
	c [3]float32
	// part is its contrast as a part of the usual one.
	part float32
	// shows is set when the line is seen in (nearly) full contrast.
	shows bool
}

// rulings returns the major lines of both directions, then the minor ones
// when they are far enough apart to be told from texture.
func (s *sheet) rulings(in *Input) (major, minor []ruling) {
	widthMM := in.lineWidthMM()
	widthMM = math.Min(math.Max(widthMM, 0.2), 2)
	half := s.px(widthMM / 2)
	side := half + s.px(0.5) + 1
	add := func(rows bool, lo, hi int, skip int, step mat.Pitch) ruling {
		r := ruling{rows: rows, half: half, side: side}
		for i := lo; i <= hi; i++ {
			if skip > 1 && i%skip == 0 {
				continue
			}
			at := (float64(i)*step.XMM - s.x0) / s.res
			if rows {
				at = (float64(i)*step.YMM - s.y0) / s.res
			}
			r.at = append(r.at, at)
		}
		return r
	}
	g, p := in.Grid, in.Pitch
	major = []ruling{add(false, g.MinColumn, g.MaxColumn, 0, p), add(true, g.MinRow, g.MaxRow, 0, p)}
	n := g.MinorPerPitch
	if n < 2 || s.px(min(p.XMM, p.YMM)/float64(n)) < 2*side+2 {
		return major, nil
	}
	step := in.minorStep()
	minor = []ruling{add(false, g.MinColumn*n, g.MaxColumn*n, n, step), add(true, g.MinRow*n, g.MaxRow*n, n, step)}
	return major, minor
}

// strides returns the index steps along and across the lines, and the
// stretch along in which the grid is printed.
func (r *ruling) strides(s *sheet) (along, across, lo, hi, limit int) {
	if r.rows {
		return 1, s.w, max(0, int(s.minX)), min(s.w-1, int(s.maxX)), s.h
	}
	return s.w, 1, max(0, int(s.minY)), min(s.h-1, int(s.maxY)), s.w
}

// samples measures every line of the ruling step by step, each smoothed over
// 2 mm along the line.
func (r *ruling) samples(s *sheet) []lineSample {
	along, across, lo, hi, limit := r.strides(s)
	reach := int(math.Max(1, s.px(1)))
	var out []lineSample
	raw := make([][3]float32, hi-lo+1)
	for _, at := range r.at {
		if at-r.side < 1 || at+r.side > float64(limit-3) {
			continue
		}
		c := int(at)
		f := float32(at - float64(c))
		left := int(math.Round(at-r.side)) * across
		right := int(math.Round(at+r.side)) * across
		for t := lo; t <= hi; t++ {
			i := t*along + c*across
			for k := range s.ch {
				v := s.ch[k]
				mid := v[i]*(1-f) + v[i+across]*f
				raw[t-lo][k] = mid - (v[t*along+left]+v[t*along+right])/2
			}
		}
		out = appendSmoothed(out, raw, reach, func(t int) (int32, int32) {
			return int32((t+lo)*along + left), int32((t+lo)*along + right)
		}, s.seen)
	}
	return out
}

// appendSmoothed box-filters the contrasts and keeps every second one.
func appendSmoothed(out []lineSample, raw [][3]float32, reach int, at func(int) (int32, int32), seen []uint8) []lineSample {
	var sum [3]float32
	n := 2*reach + 1
	for t := range raw {
		for k := range sum {
			sum[k] += raw[t][k]
			if t >= n {
				sum[k] -= raw[t-n][k]
			}
		}
		if t < n-1 || t%2 == 1 {
			continue
		}
		l, r := at(t - reach)
		if seen[l] == 0 || seen[r] == 0 {
			continue
		}
		f := 1 / float32(n)
		out = append(out, lineSample{left: l, right: r, c: [3]float32{sum[0] * f, sum[1] * f, sum[2] * f}})
	}
	return out
}

// markShowing finds the lines' usual contrast and sets shows where a sample
// has it. It returns the contrast in log RGB, and false when the lines cannot
// be told from nothing. The usual contrast is the 80th percentile of
// the stronger polarity, along the axis on which it stands out best: even
// when three quarters of the grid are covered it still belongs to bare mat.
func markShowing(samples []lineSample) (delta [3]float32, ok bool) {
	if len(samples) < 50 {
		return delta, false
	}
	axes := [][3]float32{{1. / 3, 1. / 3, 1. / 3}, {0.5, -0.5, 0}, {0, -0.5, 0.5}, {0.5, 0, -0.5}}
	// A few thousand samples tell a percentile to half a per cent.
	const plenty = 8000
	step := 1 + len(samples)/plenty
	v := make([]float32, (len(samples)+step-1)/step)
	best, bestAt := axes[0], float32(0)
	for _, a := range axes {
		for i := range v {
			v[i] = dot(a, samples[i*step].c)
		}
		slices.Sort(v)
		up, down := v[len(v)*8/10], v[len(v)*2/10]
		if at := max(up, -down); at > bestAt {
			bestAt, best = at, a
			if -down > up {
				best = [3]float32{-a[0], -a[1], -a[2]}
			}
		}
	}
	if bestAt < 0.03 {
		return delta, false
	}
	delta = usualContrast(samples, best, bestAt)
	d2 := dot(delta, delta)
	for i := range samples {
		f := dot(delta, samples[i].c) / d2
		samples[i].part, samples[i].shows = f, f > 0.6 && f < 1.8
	}
	return delta, true
}

// usualContrast is the median, channel by channel, of the samples that reach
// 0.7 of a value along an axis.
func usualContrast(samples []lineSample, axis [3]float32, at float32) [3]float32 {
	var ch [3][]float32
	const plenty = 8000
	for i := 0; i < len(samples); i += 1 + len(samples)/plenty {
		if dot(axis, samples[i].c) < 0.7*at {
			continue
		}
		for k := range ch {
			ch[k] = append(ch[k], samples[i].c[k])
		}
	}
	var delta [3]float32
	for k := range ch {
		slices.Sort(ch[k])
		delta[k] = ch[k][len(ch[k])/2]
	}
	return delta
}

func dot(a, b [3]float32) float32 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// wipe replaces the printed lines by what lies on both sides of them. Of each
// side the place most like the bare ground is taken: in a gap between two
// pieces that a line fills, what is left of the ground shows it open.
func (r *ruling) wipe(s *sheet, ground *field) {
	along, across, lo, hi, limit := r.strides(s)
	lo, hi = max(0, lo-3), min(hi+3, limitAlong(r, s)-1)
	usual, wide := r.half+s.px(0.25)+0.7, heaviest*r.half+s.px(0.25)+1
	for _, at := range r.at {
		reach := usual
		if r.isHeavy(s, at, usual, wide) {
			reach = wide
		}
		a, b := int(math.Floor(at-reach)), int(math.Ceil(at+reach))
		if a < 0 || b >= limit {
			continue
		}
		near := min(max(int(math.Round(r.half+0.7)), 1), int(reach))
		left, right := int(math.Floor(at))-near, int(math.Ceil(at))+near
		for t := lo; t <= hi; t++ {
			i, j := t*along+a*across, t*along+b*across
			g := s.groundBeside(ground, t, a, r.rows)
			i = s.barest(g, i, max(left-a, 0), across)
			j = s.barest(g, j, max(b-right, 0), -across)
			s.ramp(i, j, across)
		}
	}
}

// isHeavy reports whether a line still shows at the usual reach across, px,
// against what lies a wide reach across: every fifth or tenth line may be
// printed heavier.
func (r *ruling) isHeavy(s *sheet, at, usual, wide float64) bool {
	along, across, lo, hi, limit := r.strides(s)
	if at-wide < 0 || at+wide+1 > float64(limit-1) {
		return false
	}
	const every, shows = 3, 0.06 // log units
	place := func(o float64) int { return int(math.Round(at+o)) * across }
	i, j, k, l := place(-usual), place(usual), place(-wide), place(wide)
	var v []float64
	for t := lo; t <= hi; t += every {
		c := s.ch[1][t*along:]
		v = append(v, float64(c[i]+c[j]-c[k]-c[l])/2)
	}
	return math.Abs(median(v)) > shows
}

// groundBeside is the ground at a place t along and c across the lines.
func (s *sheet) groundBeside(ground *field, t, c int, rows bool) (g [3]float32) {
	if rows {
		ground.at(t, c, &g)
	} else {
		ground.at(c, t, &g)
	}
	return g
}

// barest returns which of the pixels from i on, steps apart, is most like the
// ground g.
func (s *sheet) barest(g [3]float32, i, n, step int) int {
	best, least := i, float32(math.Inf(1))
	for k := range n + 1 {
		j := i + k*step
		d := absf(s.ch[0][j]-g[0]) + absf(s.ch[1][j]-g[1]) + absf(s.ch[2][j]-g[2])
		if d < least {
			best, least = j, d
		}
	}
	return best
}

// ramp fills the pixels between two of one line across evenly.
func (s *sheet) ramp(i, j, across int) {
	n := (j - i) / across
	for _, v := range s.ch {
		from, step := v[i], (v[j]-v[i])/float32(max(n, 1))
		for c := 1; c < n; c++ {
			v[i+c*across] = from + step*float32(c)
		}
	}
}

func limitAlong(r *ruling, s *sheet) int {
	if r.rows {
		return s.w
	}
	return s.h
}
