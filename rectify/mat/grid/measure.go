package grid

import (
	"math"
	"slices"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// gauge measures lines in the photograph itself, at full resolution.
type gauge struct {
	photo *photo.Photo
	pol   float64
	// widthPx is the lines' typical width, and reachPx how far off its
	// prediction a line may run.
	widthPx, reachPx float64
	// samples is how many profiles are taken along a span.
	samples int
}

// pointsPerSpan is how many line points a well-seen span gives: its profiles
// are combined by thirds, so that bows within a span are not lost and no
// single profile carries weight.
const pointsPerSpan = 3

// profileHit is a line's centre in one profile, its height over the ground,
// and by how much the ground to the right is nearer to the line's own
// luminance than that to the left, in parts of the height.
type profileHit struct{ along, off, height, lean float64 }

// mostLean is the lean of a span's ground from which its line is not used: a
// ruler's ticks stand on one side of it, or a shadow ends there, and pull its
// centre by up to a pixel. Noise leans either way, and its median by little.
const mostLean = 0.15

// measure locates the line of a span, and returns its points; none where it
// is covered, broken or doubtful. Lines are located by the centroid of
// profiles across them, never at the crossings, which pieces, diagonals and
// numbers spoil most (measured: 0.02 px against 0.05 to 0.16 px and worse).
func (u *gauge) measure(m lens.Mapping, s span) []mat.LinePoint {
	c, ok := courseOf(m, s, 0, func(p photo.Point) (float64, float64) { return p.X, p.Y })
	if !ok {
		return nil
	}
	hits := u.profilesOf(c)
	if len(hits)*3 < u.samples {
		return nil
	}
	hits, sigma := agreeing(hits)
	if len(hits)*3 < u.samples || len(hits) < 4 || math.Abs(leanOf(hits)) > mostLean {
		return nil
	}
	return u.points(s, c, hits, sigma)
}

// leanOf is the median lean of a span's ground.
func leanOf(hits []profileHit) float64 {
	leans := make([]float64, len(hits))
	for i, h := range hits {
		leans[i] = h.lean
	}
	return median(leans)
}

// profilesOf takes the profiles of a span, leaving out its crossings.
func (u *gauge) profilesOf(c bowed) []profileHit {
	half := math.Ceil(u.reachPx + 1.5*u.widthPx + 3.5)
	skip := math.Min(math.Max((u.widthPx+2.5)/c.length(), 0.07), 0.25)
	buf := make([]float64, 2*int(half/profileStepPx)+1)
	var hits []profileHit
	for k := range u.samples {
		a := skip + (1-2*skip)*float64(k)/float64(u.samples-1)
		x, y, nx, ny := c.at(a)
		if x < half+2 || y < half+2 ||
			x > float64(u.photo.Width)-half-3 || y > float64(u.photo.Height)-half-3 {
			continue
		}
		u.sample(buf, x, y, nx, ny)
		if h, ok := u.centre(buf); ok {
			h.along = a
			hits = append(hits, h)
		}
	}
	return hits
}

// sample fills buf with the luminance across the line, each value the mean of
// three taps along it.
func (u *gauge) sample(buf []float64, x, y, nx, ny float64) {
	n := len(buf) / 2
	for i := range buf {
		o := float64(i-n) * profileStepPx
		px, py := x+o*nx, y+o*ny
		buf[i] = u.pol * (u.photo.LumaAt(photo.Point{X: px, Y: py})*0.5 +
			u.photo.LumaAt(photo.Point{X: px - ny, Y: py + nx})*0.25 +
			u.photo.LumaAt(photo.Point{X: px + ny, Y: py - nx})*0.25)
	}
}

// centre locates the line in a profile: the highest second difference within
// reach, then the centroid over a window as wide as line and blur, re-centred
// until it stands still. A profile whose two sides differ by more than half
// the line's height lies at a piece's edge and is refused.
func (u *gauge) centre(buf []float64) (hit profileHit, ok bool) {
	n := len(buf) / 2
	arm := int(math.Round((0.5*u.widthPx + 2) / profileStepPx))
	lim := int(u.reachPx / profileStepPx)
	best, top := 0, math.Inf(-1)
	for d := -lim; d <= lim; d++ {
		i := n + d
		if v := buf[i] - 0.5*(buf[i-arm]+buf[i+arm]); v > top {
			top, best = v, i
		}
	}
	if top < 2 {
		return hit, false
	}
	at := float64(best)
	half := (0.5*u.widthPx + 2) / profileStepPx
	for range 3 {
		got, h, lean, fine := centroid(buf, at, half)
		if !fine || math.Abs(got-float64(n)) > float64(lim)+1 {
			return hit, false
		}
		moved := math.Abs(got - at)
		at, hit.height, hit.lean = got, h, lean
		if moved < 0.01 {
			break
		}
	}
	hit.off = (at - float64(n)) * profileStepPx
	return hit, true
}

// centroid returns the centre of mass of buf above the straight line through
// the ground at both sides, within half samples of at, the height there, and
// the ground's lean.
// The window's ends are weighted by the part of the sample they cover, so
// that the result moves smoothly with at.
func centroid(buf []float64, at, half float64) (centre, height, lean float64, ok bool) {
	lo, hi := at-half, at+half
	if lo < 2 || hi > float64(len(buf)-3) {
		return 0, 0, 0, false
	}
	gl := 0.5 * (sampleAt(buf, lo) + sampleAt(buf, lo-1.5))
	gr := 0.5 * (sampleAt(buf, hi) + sampleAt(buf, hi+1.5))
	slope := (gr - gl) / (hi - lo + 1.5)
	height = sampleAt(buf, at) - 0.5*(gl+gr)
	if height <= 0 || math.Abs(gr-gl) > 0.5*height {
		return 0, 0, 0, false
	}
	sum, moment := 0.0, 0.0
	for i := int(math.Ceil(lo - 0.5)); i <= int(math.Floor(hi+0.5)); i++ {
		cover := math.Min(float64(i)+0.5, hi) - math.Max(float64(i)-0.5, lo)
		if cover <= 0 {
			continue
		}
		v := buf[i] - (0.5*(gl+gr) + slope*(float64(i)-at))
		sum += cover * v
		moment += cover * v * (float64(i) - at)
	}
	if sum <= 0.3*height {
		return 0, 0, 0, false
	}
	return at + moment/sum, height, (gr - gl) / height, true
}

// sampleAt interpolates buf linearly.
func sampleAt(buf []float64, x float64) float64 {
	x = min(max(x, 0), float64(len(buf)-1))
	i := min(int(x), len(buf)-2)
	return buf[i] + (x-float64(i))*(buf[i+1]-buf[i])
}

// agreeing keeps the hits that lie on one straight line off the prediction
// with one height, and returns their scatter in px. The line starts from
// medians and is refitted twice to those within three sigma.
func agreeing(hits []profileHit) ([]profileHit, float64) {
	offs, hs := make([]float64, len(hits)), make([]float64, len(hits))
	for i, h := range hits {
		offs[i], hs[i] = h.off, h.height
	}
	base, slope := median(offs), 0.0
	typical := median(hs)
	keep := hits
	sigma := 0.0
	for range 3 {
		res := make([]float64, len(keep))
		for i, h := range keep {
			res[i] = math.Abs(h.off - base - slope*(h.along-0.5))
		}
		sigma = math.Max(1.4826*median(res), 0.03)
		var next []profileHit
		for _, h := range hits {
			d := math.Abs(h.off - base - slope*(h.along-0.5))
			if d <= 3*sigma && h.height > 0.5*typical && h.height < 1.8*typical {
				next = append(next, h)
			}
		}
		if len(next) < 4 {
			return nil, sigma
		}
		keep = next
		base, slope = fitLine(keep)
	}
	return keep, sigma
}

// fitLine is the least-squares line of off over along-0.5.
func fitLine(hits []profileHit) (base, slope float64) {
	var n, sx, sy, sxx, sxy float64
	for _, h := range hits {
		x := h.along - 0.5
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+h.off, sxx+x*x, sxy+x*h.off
	}
	det := n*sxx - sx*sx
	if det < 1e-9 {
		return sy / n, 0
	}
	slope = (n*sxy - sx*sy) / det
	return (sy - slope*sx) / n, slope
}

// median returns the middle value of v, which it leaves in place.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return 0.5 * (s[len(s)/2] + s[(len(s)-1)/2])
}

// spread returns the middle value of v and the median distance from it.
func spread(v []float64) (mid, off float64) {
	mid = median(v)
	offs := make([]float64, len(v))
	for k, x := range v {
		offs[k] = math.Abs(x - mid)
	}
	return mid, median(offs)
}

// points combines a span's hits into a few line points.
func (u *gauge) points(s span, c bowed, hits []profileHit, sigma float64) []mat.LinePoint {
	groups := min(pointsPerSpan, len(hits)/4)
	groups = max(groups, 1)
	out := make([]mat.LinePoint, 0, groups)
	for k := range groups {
		part := hits[len(hits)*k/groups : len(hits)*(k+1)/groups]
		along, off := 0.0, 0.0
		for _, h := range part {
			along += h.along
			off += h.off
		}
		n := float64(len(part))
		along, off = along/n, off/n
		x, y, nx, ny := c.at(along)
		out = append(out, mat.LinePoint{
			Family: s.family, Index: s.index, Along: float64(s.at) + along,
			At:      photo.Point{X: x + off*nx, Y: y + off*ny},
			SigmaPx: math.Max(sigma/math.Sqrt(n), 0.04),
		})
	}
	return out
}

// measureAll measures spans on all processors, in order.
func (u *gauge) measureAll(m lens.Mapping, spans []span) []mat.LinePoint {
	got := make([][]mat.LinePoint, len(spans))
	eachRowBand(len(spans), func(k0, k1 int) {
		for k := k0; k < k1; k++ {
			got[k] = u.measure(m, spans[k])
		}
	})
	return slices.Concat(got...)
}
