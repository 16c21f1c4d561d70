package edge

import (
	"math"
	"slices"
)

// stepFit is a blurred step fitted to a profile: a level and a slope on either
// side, and the place between them.
type stepFit struct {
	part, across float64
	off          float64 // of the step from the profile's middle, px
	height       float64 // inside less outside, in units of light
	rms          float64 // of what is left over
	sigma        float64 // standard error of off, px
}

const (
	// mostOffPx is how far from the curve a step is looked for.
	mostOffPx = 4.5
	// leastHeight of a step, in units of light, and by how many times it must
	// stand out from what is left over.
	leastHeight, leastContrast = 0.01, 4
	// least and most blur believed of a lens, px.
	leastBlurPx, mostBlurPx = 0.4, 4.0
)

// fitStep finds the step nearest to the profile's middle, by Gauss and Newton
// on its place with the levels solved for linearly at every turn.
func fitStep(v *[2*halfPx + 1]float64, blur float64) (stepFit, bool) {
	off := steepest(v)
	var s stepFit
	for range 12 {
		x, rest, info, ok := stepRound(v, off, blur)
		if !ok {
			return s, false
		}
		s = stepFit{off: off, height: x[1], rms: rest, sigma: rest / math.Sqrt(max(info, 1e-12))}
		d := min(max(x[4], -1), 1)
		off += d
		if math.Abs(off) > mostOffPx {
			return s, false
		}
		if math.Abs(d) < 1e-4 {
			break
		}
	}
	s.off = off
	// A profile of few px flatters its own scatter at times.
	s.sigma = max(s.sigma, 0.02)
	return s, math.Abs(s.height) > max(leastHeight, leastContrast*s.rms)
}

// steepest is where the profile changes most, smoothed over three px, less
// the farther from the middle.
func steepest(v *[2*halfPx + 1]float64) float64 {
	best, most := 0, 0.0
	for o := -4; o <= 4; o++ {
		i := halfPx + o
		g := math.Abs(v[i+1]+v[i+2]-v[i-1]-v[i-2]) / (1 + 0.02*float64(o*o))
		if g > most {
			best, most = o, g
		}
	}
	return float64(best)
}

// stepRound solves for the outer level, the height, the two slopes and the
// shift of a step near off; info is what the profile says of the shift, for a
// scatter of 1.
func stepRound(v *[2*halfPx + 1]float64, off, blur float64) (x [5]float64, rms, info float64, ok bool) {
	var a [5][6]float64
	var rows [2*halfPx + 1][5]float64
	height := heightAt(v, off, blur)
	for i := range v {
		t := float64(i-halfPx) - off
		// A pixel wide, the step is blurred by its own width as well.
		rise := 0.5 * (1 + math.Erf(t/(blur*math.Sqrt2)))
		density := math.Exp(-t*t/(2*blur*blur)) / (blur * math.Sqrt(2*math.Pi))
		rows[i] = [5]float64{1, rise, t * (1 - rise), t * rise, -height * density}
		for r := range 5 {
			for c := range 5 {
				a[r][c] += rows[i][r] * rows[i][c]
			}
			a[r][5] += rows[i][r] * v[i]
		}
	}
	// Slopes are weakly held to none, or a wide blur would pass for them.
	a[2][2] += 0.5
	a[3][3] += 0.5
	normal := a
	x, ok = solve(&a, 5)
	if !ok {
		return x, 0, 0, false
	}
	for i := range v {
		left := v[i]
		for c := range 5 {
			left -= rows[i][c] * x[c]
		}
		rms += left * left
	}
	rms = math.Sqrt(rms / float64(len(v)-5))
	return x, rms, shiftInformation(normal), true
}

// shiftInformation is the inverse of the shift's variance with all else free:
// the last pivot of the elimination.
func shiftInformation(a [5][6]float64) float64 {
	for c := range 4 {
		if !(a[c][c] > 1e-12) {
			return 0
		}
		for r := c + 1; r < 5; r++ {
			k := a[r][c] / a[c][c]
			for j := c; j < 5; j++ {
				a[r][j] -= k * a[c][j]
			}
		}
	}
	return a[4][4]
}

// heightAt is the rough height of the step: the difference of the means beyond
// the blur.
func heightAt(v *[2*halfPx + 1]float64, off, blur float64) float64 {
	var in, out, nIn, nOut float64
	for i := range v {
		switch t := float64(i-halfPx) - off; {
		case t > 2*blur:
			in, nIn = in+v[i], nIn+1
		case t < -2*blur:
			out, nOut = out+v[i], nOut+1
		}
	}
	return in/max(nIn, 1) - out/max(nOut, 1)
}

// commonBlur is the width of the step that suits most profiles best.
func commonBlur(ps []profile) float64 {
	step := max(len(ps)/40, 1)
	var best []float64
	for i := 0; i < len(ps); i += step {
		if b, ok := blurOf(&ps[i].v); ok {
			best = append(best, b)
		}
	}
	if len(best) == 0 {
		return 1
	}
	slices.Sort(best)
	return best[len(best)/2]
}

func blurOf(v *[2*halfPx + 1]float64) (float64, bool) {
	best, least := 0.0, math.Inf(1)
	for b := leastBlurPx; b <= mostBlurPx; b *= 1.15 {
		if s, ok := fitStep(v, b); ok && s.rms < least {
			best, least = b, s.rms
		}
	}
	return best, best > 0
}
