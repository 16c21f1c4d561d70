package grid

import (
	"math"
	"slices"
)

// polarity tells bright lines on a darker mat from dark lines on a brighter
// one.
type polarity int32

const (
	bright polarity = 1
	dark   polarity = -1
)

// ridge is a pixel of the level that lies on the crest of a thin line.
type ridge struct {
	x, y float32
	// normal is the direction across the line, 0 <= normal < π.
	normal float32
	// height is the second difference across the line, in grey levels.
	height float32
}

// armPx is the half distance, in level pixels, of the second differences: it
// fits lines one to three level pixels wide.
const armPx = 2

// findRidges returns the crest pixels of thin lines of both polarities. The
// response of a pixel to four directions gives the line's orientation by the
// second harmonic; crests are the maxima across it. Only pixels well above
// the noise are kept; floorGrey is the least height worth a look, in grey
// levels.
func findRidges(l *level) (brights, darks []ridge, floorGrey float64) {
	resp := newResponse(l)
	floor := resp.noiseFloor()
	type pair struct{ b, d []ridge }
	bands := make([]pair, 64)
	eachRowBand(len(bands), func(k0, k1 int) {
		for k := k0; k < k1; k++ {
			y0 := max(l.h*k/len(bands), armPx+1)
			y1 := min(l.h*(k+1)/len(bands), l.h-armPx-1)
			for y := y0; y < y1; y++ {
				bands[k].b, bands[k].d = resp.crests(bands[k].b, bands[k].d, y, l.crestTimes()*floor/noiseTimes)
			}
		}
	})
	for _, b := range bands {
		brights = append(brights, b.b...)
		darks = append(darks, b.d...)
	}
	return brights, darks, heightOf(floor)
}

// heightOf turns a response into the least height, in grey levels over the
// ground, that is looked at as a line. A span is judged by the median of
// several profiles, which lowers the noise.
func heightOf(response int32) float64 { return 0.7 * float64(response) / 32 }

// response holds the second differences of a level along x, y and the two
// diagonals, in sixteenths of a grey level, lightly smoothed.
type response struct {
	w, h  int
	smo   []int32
	least int32
}

func newResponse(l *level) *response {
	r := &response{w: l.w, h: l.h, smo: make([]int32, len(l.pix)), least: max(l.least, leastResponse)}
	eachRowBand(l.h, func(y0, y1 int) {
		for y := max(y0, 1); y < min(y1, l.h-1); y++ {
			a, b, c := l.pix[(y-1)*l.w:], l.pix[y*l.w:], l.pix[(y+1)*l.w:]
			out := r.smo[y*l.w:]
			for x := 1; x < l.w-1; x++ {
				out[x] = (a[x-1] + a[x+1] + c[x-1] + c[x+1] +
					2*(a[x]+b[x-1]+b[x+1]+c[x]) + 4*b[x]) / 16
			}
		}
	})
	return r
}

// diagonalArmPx is the diagonal arm: 1.41 px a step, so 1 step would be too
// short and 2 a little long; the weights below allow for it.
const diagonalArmPx = 2

// directions returns the second differences across 0°, 45°, 90° and 135°.
func (r *response) directions(i int) (d0, d45, d90, d135 int32) {
	c := 2 * r.smo[i]
	d0 = c - r.smo[i-armPx] - r.smo[i+armPx]
	d90 = c - r.smo[i-armPx*r.w] - r.smo[i+armPx*r.w]
	k := diagonalArmPx * (r.w + 1)
	d45 = c - r.smo[i-k] - r.smo[i+k]
	k = diagonalArmPx * (r.w - 1)
	d135 = c - r.smo[i-k] - r.smo[i+k]
	return d0, d45, d90, d135
}

// noiseFloor returns the response that noise and texture alone seldom reach:
// a multiple of the median magnitude over a sparse sample.
func (r *response) noiseFloor() int32 {
	var s []int32
	step := max(1, r.w*r.h/20000)
	for i := (armPx + 1) * r.w; i < (r.h-armPx-1)*r.w; i += step {
		x := i % r.w
		if x <= armPx || x >= r.w-armPx-1 {
			continue
		}
		d0, _, d90, _ := r.directions(i)
		s = append(s, max(d0, -d0), max(d90, -d90))
	}
	if len(s) == 0 {
		return math.MaxInt32
	}
	slices.Sort(s)
	return max(noiseTimes*s[len(s)/2], r.least)
}

const (
	// noiseTimes the median magnitude is 2 sigma of a Gaussian: below it
	// nothing is looked at.
	noiseTimes = 3
	// leastResponse is a third of a grey level: flat synthetic pictures work
	// too.
	leastResponse = 5
	// clearTimes is the same for the crests that seeds are made from, which
	// need only be the clearer stretches of the lines; faintTimes where there
	// are none.
	clearTimes = 5
	faintTimes = 3
)

func (l *level) crestTimes() int32 {
	if l.faint {
		return faintTimes
	}
	return clearTimes
}

// crests appends the crest pixels of one row, of either polarity.
func (r *response) crests(brights, darks []ridge, y int, floor int32) (b, d []ridge) {
	for x := armPx + 1; x < r.w-armPx-1; x++ {
		i := y*r.w + x
		d0, d45, d90, d135 := r.directions(i)
		if max(d0, d45, d90, d135) >= floor {
			brights = r.crest(brights, x, y, 1, d0, d45, d90, d135)
		}
		if min(d0, d45, d90, d135) <= -floor {
			darks = r.crest(darks, x, y, -1, -d0, -d45, -d90, -d135)
		}
	}
	return brights, darks
}

// crest appends a pixel if it tops its neighbours across the line.
func (r *response) crest(out []ridge, x, y int, sign, d0, d45, d90, d135 int32) []ridge {
	i := y*r.w + x
	if !r.isCrest(i, sign, d0, d45, d90, d135) {
		return out
	}
	// A line across direction θ answers as a + b cos 2(θ-φ).
	normal := 0.5 * math.Atan2(float64(d45-d135), float64(d0-d90))
	if normal < 0 {
		normal += math.Pi
	}
	dx, dy := r.subPixel(i, normal, sign)
	return append(out, ridge{
		x: float32(float64(x) + dx), y: float32(float64(y) + dy),
		normal: float32(normal), height: float32(max(d0, d45, d90, d135)) / 32,
	})
}

// isCrest reports whether pixel i tops its neighbours across the line.
func (r *response) isCrest(i int, sign, d0, d45, d90, d135 int32) bool {
	step := 1
	switch max(d0, d45, d90, d135) {
	case d0:
		step = 1
	case d90:
		step = r.w
	case d45:
		step = r.w + 1
	default:
		step = r.w - 1
	}
	v := sign * r.smo[i]
	return v >= sign*r.smo[i-step] && v > sign*r.smo[i+step]
}

// subPixel returns the offset of the crest from the pixel's centre, by a
// parabola across the line along the nearer axis.
func (r *response) subPixel(i int, normal float64, sign int32) (dx, dy float64) {
	c, s := math.Cos(normal), math.Sin(normal)
	step := 1
	along := c
	if math.Abs(s) > math.Abs(c) {
		step, along = r.w, s
	}
	a, b, d := float64(sign*r.smo[i-step]), float64(sign*r.smo[i]), float64(sign*r.smo[i+step])
	curve := a - 2*b + d
	if curve >= 0 {
		return 0, 0
	}
	t := 0.5 * (a - d) / curve
	t = min(max(t, -0.7), 0.7)
	// t is measured along an axis; its part across the line is t*along.
	return t * along * c, t * along * s
}
