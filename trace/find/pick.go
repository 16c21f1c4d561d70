package find

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/curve"
)

// pickPieces keeps what is large enough and lies whole on the mat.
func (f *finder) pickPieces() {
	for i := range f.regions {
		r := &f.regions[i]
		if r.cut {
			f.reportCut(r)
			continue
		}
		if !r.outlineOf(f.sheet) || r.areaMM2 < minPieceMM2 || r.deep < minDepthMM {
			continue
		}
		f.found = append(f.found, &traced{region: r})
	}
}

// reportCut says that something runs off the mat or the picture. The table
// round the mat does so too and is not worth a word: only what reaches well
// into the printed grid is.
func (f *finder) reportCut(r *region) {
	s := f.sheet
	var x, y, n float64
	for j := 0; j < r.h; j++ {
		for i := 0; i < r.w; i++ {
			if r.in[j*r.w+i] == 1 && s.onGrid(float64(r.x0+i), float64(r.y0+j)) && s.seen[s.index(r.x0+i, r.y0+j)] == 1 {
				x, y, n = x+float64(r.x0+i), y+float64(r.y0+j), n+1
			}
		}
	}
	const worthMM2 = 400
	if n*s.res*s.res < worthMM2 {
		return
	}
	f.problem(s.toMM(x/n, y/n), "Something here runs off the mat or off the picture, so it was left out. If it is a piece, photograph it lying whole on the mat.")
}

func (f *finder) problem(at mat.Point, text string) {
	f.problems = append(f.problems, Problem{At: at, Text: text})
}

// dropOthers takes out what lies on the mat but is no piece, and says so.
func (f *finder) dropOthers() {
	f.found = slices.DeleteFunc(f.found, func(t *traced) bool {
		b := boxAround(t.piece.Outline)
		switch {
		case len(t.piece.Outline) < 12:
			return true
		case f.isRule(t, b):
			f.problem(b.middle, fmt.Sprintf("Left out: looks like a rule, %.0f x %.0f mm.", b.long, b.wide))
			return true
		case f.isPen(b):
			f.problem(b.middle, fmt.Sprintf("Left out: looks like a pen, %.0f x %.0f mm.", b.long, b.wide))
			return true
		case unmeasuredPart(t.piece.Outline) > 0.6:
			f.problem(b.middle, "Something lies here whose edge could not be seen well enough to measure, so it was left out. If it is a piece, photograph it again in more even light.")
			return true
		}
		return false
	})
}

// unmeasuredPart is the part of an outline that was bridged.
func unmeasuredPart(s []curve.Sample) float64 {
	n := 0
	for _, q := range s {
		if q.SigmaMM >= bridgedSigmaMM {
			n++
		}
	}
	return float64(n) / float64(max(len(s), 1))
}

// slimBox is the narrowest rectangle round an outline, mm.
type slimBox struct {
	middle     mat.Point
	ux, uy     float64 // along its long side
	long, wide float64
	// fill is the outline's area as a part of the rectangle's.
	fill float64
}

// boxAround tries every half degree; the sides are then within 0.5 % of the
// narrowest rectangle's.
func boxAround(s []curve.Sample) slimBox {
	best := slimBox{wide: math.Inf(1)}
	for k := 0; k < 360; k++ {
		sin, cos := math.Sincos(float64(k) * math.Pi / 360)
		a0, a1, b0, b1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for i := 0; i < len(s); i += 5 {
			a, b := s[i].At.X*cos+s[i].At.Y*sin, s[i].At.Y*cos-s[i].At.X*sin
			a0, a1, b0, b1 = math.Min(a0, a), math.Max(a1, a), math.Min(b0, b), math.Max(b1, b)
		}
		if w := b1 - b0; w < best.wide {
			am, bm := (a0+a1)/2, (b0+b1)/2
			best = slimBox{
				middle: mat.Point{X: am*cos - bm*sin, Y: am*sin + bm*cos},
				ux:     cos, uy: sin, long: a1 - a0, wide: w,
			}
		}
	}
	var area float64
	for i := range s {
		p, q := s[i].At, s[(i+1)%len(s)].At
		area += p.X*q.Y - q.X*p.Y
	}
	best.fill = math.Abs(area) / 2 / math.Max(best.long*best.wide, 1e-9)
	return best
}

// at returns the point a mm along and b mm across from the middle.
func (b slimBox) at(along, across float64) mat.Point {
	return mat.Point{
		X: b.middle.X + along*b.ux - across*b.uy,
		Y: b.middle.Y + along*b.uy + across*b.ux,
	}
}

// isRule tells a rule by what makes it one: a long true rectangle with ticks
// along a side. Its colour or length alone would take a maker's strap away.
func (f *finder) isRule(t *traced, b slimBox) bool {
	if b.long < 4*b.wide || b.long < 90 || b.fill < 0.9 {
		return false
	}
	ticks := 0.0
	for _, inset := range []float64{1.2, 2} {
		for _, side := range []float64{-1, 1} {
			ticks = math.Max(ticks, f.tickStrength(b, side*(b.wide/2-inset)))
		}
	}
	println("TICKS", int(b.long), int(b.wide), int(100*b.fill), int(100*ticks))
	return ticks > 0.35
}

// tickStrength returns the greatest autocorrelation, at lags of 0.8 to
// 3.4 mm, of the brightness along a line parallel to the box's long side; 0
// when it hardly varies. Ticks stand every millimetre or eighth to thirty-
// second of an inch; nothing on a taped piece does so in such contrast.
func (f *finder) tickStrength(b slimBox, across float64) float64 {
	const stepMM = 0.1
	n := int((b.long - 16) / stepMM)
	v := make([]float64, n)
	mean := 0.0
	for i := range v {
		p := f.in.View.ToPhoto(b.at(float64(i)*stepMM-float64(n)*stepMM/2, across))
		v[i] = f.in.Photo.LumaAt(p)
		mean += v[i] / float64(n)
	}
	flat := detrend(v, int(2.5/stepMM))
	power := 0.0
	for _, x := range flat {
		power += x * x / float64(n)
	}
	if math.Sqrt(power) < 0.035*mean {
		println("POWER", int(1000*math.Sqrt(power)/mean))
		return 0
	}
	best := 0.0
	for lag := int(0.8 / stepMM); lag <= int(3.4/stepMM); lag++ {
		sum := 0.0
		for i := 0; i+lag < n; i++ {
			sum += flat[i] * flat[i+lag]
		}
		best = math.Max(best, sum/float64(n-lag)/power)
	}
	return best
}

// detrend subtracts the running mean over half points either way.
func detrend(v []float64, half int) []float64 {
	sum := make([]float64, len(v)+1)
	for i, x := range v {
		sum[i+1] = sum[i] + x
	}
	out := make([]float64, len(v))
	for i := range v {
		a, b := max(0, i-half), min(len(v), i+half+1)
		out[i] = v[i] - (sum[b]-sum[a])/float64(b-a)
	}
	return out
}

// isPen tells a pen: slim, long, and shaded across like a round barrel,
// where tape is even.
func (f *finder) isPen(b slimBox) bool {
	if b.wide > 17 || b.long < 6*b.wide || b.long > 220 {
		return false
	}
	const stations, places = 15, 9
	var shade [places]float64
	total := 0.0
	for i := 0; i < stations; i++ {
		along := (float64(i)/(stations-1) - 0.5) * 0.75 * b.long
		for j := range shade {
			across := (float64(j)/(places-1) - 0.5) * 0.75 * b.wide
			v := f.in.Photo.LumaAt(f.in.View.ToPhoto(b.at(along, across)))
			shade[j] += v
			total += v
		}
	}
	lo, hi := slices.Min(shade[:]), slices.Max(shade[:])
	return (hi-lo)*places/math.Max(total, 1) > 0.3
}

var _ = photo.Point{}
