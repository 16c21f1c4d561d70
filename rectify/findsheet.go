package rectify

import (
	"cmp"
	"context"
	"math"
	"slices"

	"flatwright/rectify/edge"
	"flatwright/rectify/photo"
)

const (
	// thumbSidePx is about the longer side of the reduced picture in which a
	// sheet is looked for.
	thumbSidePx = 480
	// thumbLevels are the brightnesses tried as the least of a sheet.
	thumbLevels = 24
	// leastSheetPart of the picture is the smallest sheet worth proposing.
	leastSheetPart = 0.03
	// leastFull is the part of its four-sided outline that a sheet covers, dents
	// by what lies across its sides taken for paper; leastPaper the part that is
	// really bright, things lying on it left out.
	leastFull, leastPaper = 0.93, 0.4
)

// FindRectangle proposes the corners of the largest bright sheet in the
// photograph, going round clockwise to the eye from the one nearest the top
// left; false when there is none with all four corners in view. The corners
// are where its edges meet, good to a fraction of a px when the edges are
// clear; they are there to be looked at before they are used.
func FindRectangle(ctx context.Context, p *photo.Photo) ([4]photo.Point, bool) {
	t := newThumb(p)
	var found []quad
	for _, level := range t.levels() {
		if ctx.Err() != nil {
			return [4]photo.Point{}, false
		}
		for _, blob := range t.blobs(level) {
			if q, ok := t.quadOf(blob); ok {
				found = append(found, q)
			}
		}
	}
	slices.SortStableFunc(found, func(a, b quad) int { return cmp.Compare(b.merit, a.merit) })
	// Neighbouring levels find the same sheet; a few are enough.
	var best [4]photo.Point
	most := 2
	for _, q := range found[:min(len(found), mostTries)] {
		c, seen := refined(ctx, p, q.full(t.factor), float64(t.factor))
		if seen > most {
			best, most = c, seen
		}
		if seen == 4 {
			break
		}
	}
	return best, most > 2
}

const (
	// mostTries of outlines are looked at in the photograph itself.
	mostTries = 8
	// outlineOffPart is how far an outline may lie from the sheet's edge, in
	// parts of the photograph's longer side: by the lens's bend, and by a bright
	// piece that lies across the edge.
	outlineOffPart = 0.025
	// rimPart of the photograph's longer side is the strip along its border in
	// which no corner is believed: a sheet that runs out of view ends there.
	rimPart = 0.004
)

// refined moves the corners of a proposal to where its edges meet and counts
// the edges seen; 0 when the corners are not a sheet's, or not in view.
func refined(ctx context.Context, p *photo.Photo, corners [4]photo.Point, factor float64) (at [4]photo.Point, seen int) {
	reach := max(3*factor, outlineOffPart*float64(max(p.Width, p.Height)))
	for _, o := range [2]edge.Options{
		{ReachPx: reach, CornerPx: reach / 3},
		{ReachPx: edgeReachPart * float64(max(p.Width, p.Height)), CornerPx: 2 * factor},
	} {
		s := locateSides(ctx, p, corners, o)
		corners, seen = s.meet(reach), s.countSeen()
		for _, c := range corners {
			if !p.Inside(c, rimPart*float64(max(p.Width, p.Height))) {
				return corners, 0
			}
		}
	}
	if shapeTrouble(corners) != "" {
		return corners, 0
	}
	return corners, seen
}

// thumb is the photograph reduced, as the least of the three channels: paper
// is bright in all of them, wood and tape are not.
type thumb struct {
	factor, w, h int
	v            []uint8
}

func newThumb(p *photo.Photo) *thumb {
	f := max((max(p.Width, p.Height)+thumbSidePx-1)/thumbSidePx, 1)
	t := &thumb{factor: f, w: p.Width / f, h: p.Height / f}
	t.v = make([]uint8, t.w*t.h)
	for y := range t.h {
		for x := range t.w {
			t.v[y*t.w+x] = leastMean(p, x*f, y*f, f)
		}
	}
	return t
}

// leastMean is the least mean of a channel over a square.
func leastMean(p *photo.Photo, x0, y0, side int) uint8 {
	var sum [3]int
	for y := y0; y < y0+side; y++ {
		row := p.RGB[3*(y*p.Width+x0) : 3*(y*p.Width+x0+side)]
		for i := 0; i+2 < len(row); i += 3 {
			sum[0] += int(row[i])
			sum[1] += int(row[i+1])
			sum[2] += int(row[i+2])
		}
	}
	return uint8(min(sum[0], sum[1], sum[2]) / (side * side))
}

// levels spreads the thresholds evenly between the dark and the bright of the
// picture.
func (t *thumb) levels() []uint8 {
	if len(t.v) == 0 {
		return nil
	}
	v := slices.Clone(t.v)
	slices.Sort(v)
	lo, hi := float64(v[len(v)/50]), float64(v[len(v)-1-len(v)/50])
	var out []uint8
	for i := 1; i < thumbLevels; i++ {
		l := uint8(lo + (hi-lo)*float64(i)/thumbLevels)
		if len(out) == 0 || out[len(out)-1] != l {
			out = append(out, l)
		}
	}
	return out
}

// blobs returns the connected regions brighter than a level that are large
// enough, as lists of places.
func (t *thumb) blobs(level uint8) [][]int {
	seen := make([]bool, len(t.v))
	var out [][]int
	for i, v := range t.v {
		if seen[i] || v <= level {
			continue
		}
		blob := t.flood(i, level, seen)
		if float64(len(blob)) > leastSheetPart*leastPaper*float64(len(t.v)) {
			out = append(out, blob)
		}
	}
	return out
}

func (t *thumb) flood(from int, level uint8, seen []bool) []int {
	blob := []int{from}
	seen[from] = true
	for k := 0; k < len(blob); k++ {
		i := blob[k]
		x, y := i%t.w, i/t.w
		visit := func(j int, inside bool) {
			if inside && !seen[j] && t.v[j] > level {
				seen[j] = true
				blob = append(blob, j)
			}
		}
		visit(i-1, x > 0)
		visit(i+1, x < t.w-1)
		visit(i-t.w, y > 0)
		visit(i+t.w, y < t.h-1)
	}
	return blob
}

// quad is a four-sided outline in the reduced picture.
type quad struct {
	at    [4]photo.Point
	merit float64
}

// full returns the corners in the photograph, from the one nearest the top
// left.
func (q quad) full(factor int) (c [4]photo.Point) {
	first := 0
	for k, a := range q.at {
		if b := q.at[first]; a.X+a.Y < b.X+b.Y {
			first = k
		}
	}
	f := float64(factor)
	for k := range c {
		a := q.at[(first+k)%4]
		c[k] = photo.Point{X: a.X*f + (f-1)/2, Y: a.Y*f + (f-1)/2}
	}
	return c
}

// quadOf lays the four-sided outline round a region; false when it is none.
func (t *thumb) quadOf(blob []int) (quad, bool) {
	hull := t.hull(blob)
	hullArea := area(hull)
	at, ok := fourSided(hull)
	if !ok {
		return quad{}, false
	}
	q := quad{at: at}
	whole := area(at[:])
	full, paper := hullArea/whole, float64(len(blob))/whole
	if full < leastFull || paper < leastPaper || whole < leastSheetPart*float64(len(t.v)) {
		return q, false
	}
	for _, c := range at {
		if c.X < 0 || c.Y < 0 || c.X > float64(t.w-1) || c.Y > float64(t.h-1) {
			return q, false
		}
	}
	q.merit = math.Pow(full, 12) * math.Sqrt(paper) * math.Sqrt(whole)
	return q, true
}

// hull is the convex hull of a region (Andrew 1979), clockwise to the eye.
func (t *thumb) hull(blob []int) []photo.Point {
	lo, hi := make([]int, t.h), make([]int, t.h)
	for y := range lo {
		lo[y], hi[y] = t.w, -1
	}
	for _, i := range blob {
		x, y := i%t.w, i/t.w
		lo[y], hi[y] = min(lo[y], x), max(hi[y], x)
	}
	var right, left []photo.Point
	push := func(chain []photo.Point, at photo.Point, turn float64) []photo.Point {
		for len(chain) >= 2 && turn*cross(chain[len(chain)-2], chain[len(chain)-1], at) <= 0 {
			chain = chain[:len(chain)-1]
		}
		return append(chain, at)
	}
	for y := range lo {
		if hi[y] < 0 {
			continue
		}
		right = push(right, photo.Point{X: float64(hi[y]), Y: float64(y)}, 1)
		left = push(left, photo.Point{X: float64(lo[y]), Y: float64(y)}, -1)
	}
	slices.Reverse(left)
	return append(right, left...)
}

func cross(a, b, c photo.Point) float64 {
	return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
}

// area is positive for a ring that goes round clockwise to the eye.
func area(ring []photo.Point) (a float64) {
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		a += p.X*q.Y - q.X*p.Y
	}
	return a / 2
}

// fourSided takes sides from a convex ring, the one first whose neighbours
// meet beyond it with the least area added, until four are left.
func fourSided(ring []photo.Point) (out [4]photo.Point, ok bool) {
	ring = slices.CompactFunc(slices.Clone(ring), func(a, b photo.Point) bool { return a == b })
	for len(ring) > 4 {
		best, least := -1, math.Inf(1)
		var tip photo.Point
		n := len(ring)
		for k := range ring {
			a, b, c, d := ring[(k+n-1)%n], ring[k], ring[(k+1)%n], ring[(k+2)%n]
			if at, added, ok := beyond(a, b, c, d); ok && added < least {
				best, least, tip = k, added, at
			}
		}
		if best < 0 {
			return out, false
		}
		ring[best] = tip
		ring = slices.Delete(ring, (best+1)%n, (best+1)%n+1)
	}
	if len(ring) < 4 {
		return out, false
	}
	copy(out[:], ring)
	return out, true
}

// beyond returns where the sides a-b and d-c meet beyond the side b-c, and the
// area of the triangle that adds.
func beyond(a, b, c, d photo.Point) (at photo.Point, added float64, ok bool) {
	ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, c.X-d.X, c.Y-d.Y
	det := ux*vy - uy*vx
	if math.Abs(det) < 1e-9 {
		return at, 0, false
	}
	s := ((c.X-b.X)*vy - (c.Y-b.Y)*vx) / det
	w := ((c.X-b.X)*uy - (c.Y-b.Y)*ux) / det
	if s < 0 || w < 0 {
		return at, 0, false
	}
	at = photo.Point{X: b.X + s*ux, Y: b.Y + s*uy}
	return at, math.Abs(cross(b, at, c)) / 2, true
}
