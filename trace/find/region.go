package find

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// region is a connected thing on the mat with its borders on the sheet.
type region struct {
	blob
	*patch
	outline  loop
	openings []loop
	// seen is the sheet's mask of all that is not bare mat.
	seen []uint8
	// areaMM2 and the box are of the filled outline, mm.
	areaMM2 float64
	centre  mat.Point
	// cut is set when it runs off the picture or off the mat.
	cut bool
	// deep is its greatest depth from the border, mm.
	deep float64
}

// Sizes below which a thing is a loose bit, and openings are pen strokes or
// wrinkles.
const (
	minPieceMM2   = 150.0
	minDepthMM    = 3.0
	minOpeningMM2 = 12.0
	minOpeningMM  = 1.3
)

// Half of how wide a slit in the border may be that is closed, and one that is
// clearly darker than the ground.
const slitMM, inkySlitMM = 0.95, 1.45

// regions finds everything lying on the mat.
func (s *sheet) regions(mask []uint8) []region {
	const thinMM = 0.95
	radius := math.Max(1.3, s.px(thinMM))
	thick := openThin(mask, s.w, s.h, radius)
	s.dropRims(thick)
	s.closeSeams(thick)
	labels, list := splitBlobs(thick, s.w, s.h, math.Max(2, s.px(2)), 0.25*minPieceMM2/s.res/s.res)
	rim := s.slitRim()
	var out []region
	for _, b := range list {
		if float64(b.area)*s.res*s.res < 0.5*minPieceMM2 {
			continue
		}
		r := region{blob: b, patch: cutOut(labels, s.w, b, rim), seen: mask}
		if r.cut = b.edge || s.touchesUnseen(labels, b); r.cut {
			out = append(out, r)
			continue
		}
		out = append(out, s.partTouching(&r)...)
	}
	return out
}

// slitRim is how much ground round a region keeps the closing of slits from
// finding the patch's own border across from a side, sheet pixels.
func (s *sheet) slitRim() int { return 3 + int(2*max(1.3, s.px(inkySlitMM))) }

// touchesUnseen reports whether the blob contains ground that the
// photograph does not show.
func (s *sheet) touchesUnseen(labels []int32, b blob) bool {
	for y := b.minY; y <= b.maxY; y++ {
		for x := b.minX; x <= b.maxX; x++ {
			if i := y*s.w + x; labels[i] == b.label && s.seen[i] == 0 {
				return true
			}
		}
	}
	return false
}

// outlineOf fills pen strokes and wrinkles, keeps true openings, and follows
// the borders.
func (r *region) outlineOf(s *sheet) bool {
	r.fillSlits(s, slitMM, false)
	r.fillSlits(s, inkySlitMM, true)
	r.fillSmallHoles(s)
	for _, l := range r.loops() {
		if a := l.area(); a > 0 {
			if r.outline == nil || a > r.outline.area() {
				r.outline = l
			}
		} else if -a*s.res*s.res >= minOpeningMM2 {
			r.openings = append(r.openings, l)
		}
	}
	if r.outline == nil {
		return false
	}
	r.areaMM2 = r.outline.area() * s.res * s.res
	d := chamfer(r.in, 1, r.w, r.h)
	var deep uint16
	for _, v := range d {
		deep = max(deep, v)
	}
	r.deep = float64(deep) / 3 * s.res
	r.centre = s.centroid(r.outline)
	return true
}

// fillSmallHoles closes every hole that is too small or too thin to be an
// opening, or holds much of the piece's own tape: a letter in dark ink.
func (r *region) fillSmallHoles(s *sheet) {
	labels, holes := blobs(r.in, 0, r.w, r.h)
	if len(holes) < 2 {
		return
	}
	d := chamfer(r.in, 0, r.w, r.h)
	deep, covered := make([]uint16, len(holes)+1), make([]int, len(holes)+1)
	for i, l := range labels {
		if l > 0 {
			deep[l] = max(deep[l], d[i])
			if !holes[l-1].edge && r.seen[s.index(r.x0+i%r.w, r.y0+i/r.w)] == 1 {
				covered[l]++
			}
		}
	}
	const mostCovered = 0.25
	for i, l := range labels {
		if l == 0 || holes[l-1].edge {
			continue
		}
		area := float64(holes[l-1].area) * s.res * s.res
		if area < minOpeningMM2 || float64(deep[l])/3*s.res < minOpeningMM || float64(covered[l]) > mostCovered*float64(holes[l-1].area) {
			r.in[i] = 1
		}
	}
}

func (s *sheet) centroid(l loop) mat.Point {
	var x, y float64
	for _, p := range l {
		x, y = x+p.X, y+p.Y
	}
	n := float64(len(l))
	return s.toMM(x/n, y/n)
}

// fillSlits closes slits no wider than twice a radius that open straight on
// the border: on a dark mat a registration mark in dark ink looks like bare
// mat. The tip of a dart is as thin but opens into the dart, so that little
// ground lies round its mouth. With inky set only slits clearly darker than
// that ground are closed.
func (r *region) fillSlits(s *sheet, radiusMM float64, inky bool) {
	slit := r.narrows(math.Max(1.3, s.px(radiusMM)))
	labels, list := blobs(slit, 1, r.w, r.h)
	for _, b := range list {
		long, mouth := float64(max(b.maxX-b.minX, b.maxY-b.minY)), r.mouthGround(slit, labels, b, s.px(3.5))
		if long < s.px(0.6) || long < s.px(1.2) && mouth < straightMouth {
			continue
		}
		if mouth > 0.33 && (!inky || r.isInk(s, labels, b)) {
			r.fill(labels, b)
		}
	}
}

// straightMouth is the ground round the mouth of a slit in a straight border.
const straightMouth = 0.45

// isInk reports whether a slit is darker than the bare ground round it by
// more than the shade that a piece's edge throws.
func (r *region) isInk(s *sheet, labels []int32, b blob) bool {
	const inkyLog, round = 0.2, 8
	var inside, beside []float32
	for y := max(0, b.minY-round); y <= min(r.h-1, b.maxY+round); y++ {
		for x := max(0, b.minX-round); x <= min(r.w-1, b.maxX+round); x++ {
			i := y*r.w + x
			sx, sy := r.x0+x, r.y0+y
			if sx < 0 || sy < 0 || sx >= s.w || sy >= s.h {
				continue
			}
			switch k := s.index(sx, sy); {
			case labels[i] == b.label:
				inside = append(inside, s.ch[0][k])
			case r.in[i] == 0 && r.seen[k] == 0:
				beside = append(beside, s.ch[0][k])
			}
		}
	}
	if len(inside) == 0 || len(beside) == 0 {
		return false
	}
	slices.Sort(inside)
	slices.Sort(beside)
	return beside[len(beside)/2]-inside[len(inside)/4] > inkyLog
}

// mouthGround returns which part of the surroundings of a slit's mouth is
// ground: about a half on a straight border.
func (r *region) mouthGround(slit []uint8, labels []int32, b blob, radius float64) float64 {
	var mx, my, n float64
	for y := b.minY; y <= b.maxY; y++ {
		for x := b.minX; x <= b.maxX; x++ {
			i := y*r.w + x
			if labels[i] != b.label {
				continue
			}
			for _, j := range [4]int{i - 1, i + 1, i - r.w, i + r.w} {
				if r.in[j] == 0 && labels[j] == 0 {
					mx, my, n = mx+float64(x), my+float64(y), n+1
				}
			}
		}
	}
	if n == 0 {
		return 1 // no mouth: a hole inside
	}
	return r.groundRound(slit, photo.Point{X: mx / n, Y: my / n}, radius)
}

// groundRound is which part of a disc of the patch is ground and in no slit.
func (r *region) groundRound(slit []uint8, at photo.Point, radius float64) float64 {
	ground, all := 0.0, 0.0
	k := int(radius)
	for y := int(at.Y) - k; y <= int(at.Y)+k; y++ {
		for x := int(at.X) - k; x <= int(at.X)+k; x++ {
			if math.Hypot(float64(x)-at.X, float64(y)-at.Y) > radius {
				continue
			}
			all++
			if x < 0 || y < 0 || x >= r.w || y >= r.h || r.in[y*r.w+x] == 0 && slit[y*r.w+x] == 0 {
				ground++
			}
		}
	}
	return ground / math.Max(all, 1)
}

// narrows is what closing the region with a disc of a radius, px, fills.
func (r *region) narrows(radius float64) []uint8 {
	limit := uint16(3*radius + 0.5)
	grown := make([]uint8, len(r.in))
	for i, v := range chamfer(r.in, 0, r.w, r.h) {
		if v <= limit {
			grown[i] = 1
		}
	}
	slit := make([]uint8, len(r.in))
	for i, v := range chamfer(grown, 1, r.w, r.h) {
		if v > limit && r.in[i] == 0 {
			slit[i] = 1
		}
	}
	return slit
}

// partsOf are the things that a part of the region's patch holds, each large
// enough for a piece, as regions of their own.
func (s *sheet) partsOf(r *region, in []uint8) (out []region) {
	labels, list := blobs(in, 1, r.w, r.h)
	for _, b := range list {
		if float64(b.area)*s.res*s.res < minPieceMM2 {
			continue
		}
		q := region{blob: b, patch: cutOut(labels, r.w, b, s.slitRim()), seen: r.seen, cut: r.cut}
		q.x0, q.y0 = q.x0+r.x0, q.y0+r.y0
		out = append(out, q)
	}
	return out
}

func (r *region) fill(labels []int32, b blob) {
	for y := b.minY; y <= b.maxY; y++ {
		for x := b.minX; x <= b.maxX; x++ {
			if i := y*r.w + x; labels[i] == b.label {
				r.in[i] = 1
			}
		}
	}
}
