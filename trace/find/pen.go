package find

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// What a registration mark looks like, mm. Makers draw them 4 to 10 mm long
// with a fine felt pen (common practice, no source); the bounds leave room.
const (
	markMinMM, markMaxMM = 2.5, 15.0
	bandStepMM           = 0.25
	bandFromMM           = 0.5
	bandToMM             = 17.0
	// Ridge sides: the bare tape is read this far left and right of a stroke.
	besideNearMM, besideFarMM = 1.0, 2.0
)

// band is the strip just inside an outline laid straight: column i is the
// border point i, row k the depth bandFromMM + k·bandStepMM. Its values say
// how much darker than both sides a place is, as a part of their level.
type band struct {
	n, rows int
	dark    []float32
	inward  loop // unit, px frame
	pxPerMM float64
}

func newBand(in *Input, at loop) *band {
	n := len(at)
	if n == 0 {
		return nil
	}
	mid, ok := in.View.ToMat(at[0])
	if !ok {
		return nil
	}
	d := &band{n: n, rows: int((bandToMM-bandFromMM)/bandStepMM) + 1, pxPerMM: 1 / photoPixelMM(in, mid.X, mid.Y)}
	if n < int(20*d.pxPerMM) {
		return nil
	}
	d.inward = make(loop, n)
	reach := max(3, int(3*d.pxPerMM))
	for i := range d.inward {
		o := at.outward(i, reach)
		d.inward[i] = photo.Point{X: -o.X, Y: -o.Y}
	}
	d.dark = make([]float32, n*d.rows)
	inParallel(d.rows, func(lo, hi int) {
		v := make([]float32, n)
		for k := lo; k < hi; k++ {
			d.fillRow(in.Photo, at, k, v)
		}
	})
	return d
}

func (d *band) depthPx(k float64) float64 { return (bandFromMM + k*bandStepMM) * d.pxPerMM }

func (d *band) place(at loop, i int, k float64) photo.Point {
	z := d.depthPx(k)
	q := at[wrap(i, d.n)]
	n := d.inward[wrap(i, d.n)]
	return photo.Point{X: q.X + z*n.X, Y: q.Y + z*n.Y}
}

// fillRow computes the darkness along one depth.
func (d *band) fillRow(p *photo.Photo, at loop, k int, v []float32) {
	for i := range v {
		q := d.place(at, i, float64(k))
		v[i] = float32(p.LumaAt(q))
	}
	sum := make([]float32, d.n+1)
	for i, x := range v {
		sum[i+1] = sum[i] + x
	}
	total := sum[d.n]
	upTo := func(i int) float32 {
		w := wrap(i, d.n)
		return sum[w] + total*float32((i-w)/d.n)
	}
	near, far := int(math.Round(besideNearMM*d.pxPerMM)), int(math.Round(besideFarMM*d.pxPerMM))
	f := 1 / float32(far-near+1)
	out := d.dark[k*d.n : (k+1)*d.n]
	for i := range out {
		left := (upTo(i-near+1) - upTo(i-far)) * f
		right := (upTo(i+far+1) - upTo(i+near)) * f
		side := min(left, right)
		out[i] = (side - (v[wrap(i-1, d.n)]+2*v[i]+v[wrap(i+1, d.n)])/4) / (side + logFloor)
	}
}

// stroke is a candidate mark: points of its axis in the photograph, from the
// outline inwards.
type stroke struct {
	column int
	axis   loop
	// line is its straight axis, starting just inside the outline; the ink
	// ends end px along it.
	line  lineFit
	end   float64
	dark  float32
	lenMM float64
	// open is set when it runs on past the band.
	open bool
}

// strokes finds dark ridges that start at the border and run inwards.
func (d *band) strokes(pic *photo.Photo, at loop) []stroke {
	type peak struct {
		column int
		slope  float64
		score  float32
	}
	slopes := []float64{0, -0.15, 0.15, -0.3, 0.3, -0.45, 0.45, -0.6, 0.6}
	scores := make([]float32, d.n)
	chosen := make([]float64, d.n)
	for i := range scores {
		for _, m := range slopes {
			if v := d.startScore(i, m); v > scores[i] {
				scores[i], chosen[i] = v, m
			}
		}
	}
	var peaks []peak
	apart := int(1.2 * d.pxPerMM)
	for i, v := range scores {
		if v > 0.1 && d.isPeak(scores, i, apart) {
			peaks = append(peaks, peak{i, chosen[i], v})
		}
	}
	var out []stroke
	for _, p := range peaks {
		if s, ok := d.followIn(pic, at, p.column, p.slope); ok {
			out = append(out, s)
		}
	}
	return out
}

func (d *band) isPeak(v []float32, i, apart int) bool {
	for j := -apart; j <= apart; j++ {
		w := v[wrap(i+j, d.n)]
		if w > v[i] || (w == v[i] && j < 0) {
			return false
		}
	}
	return true
}

// startScore is the lower quartile of darkness over the first 2.5 mm of a
// slanted path: a stroke is dark all the way, not on average.
func (d *band) startScore(i int, slope float64) float32 {
	const rows = 10
	var v [rows]float32
	for k := range v {
		c := i + int(math.Round(slope*d.depthPx(float64(k))))
		v[k] = d.dark[k*d.n+wrap(c, d.n)]
	}
	slices.Sort(v[:])
	return v[rows/4]
}

// followIn traces a stroke in the photograph from its start inwards, letting
// it bend a little, until it has faded to half its darkness for 0.75 mm.
func (d *band) followIn(p *photo.Photo, at loop, column int, slope float64) (stroke, bool) {
	s := stroke{column: column}
	path := func(k int) photo.Point {
		return d.place(at, column+int(math.Round(slope*d.depthPx(float64(k)))), float64(k))
	}
	a, b := path(0), path(9)
	axis := lineFit{x: a.X, y: a.Y, tx: b.X - a.X, ty: b.Y - a.Y}
	long := math.Hypot(axis.tx, axis.ty)
	axis.tx, axis.ty = axis.tx/long, axis.ty/long
	step := bandStepMM * d.pxPerMM
	var level float32
	faded, last, lastAt := 0, float32(0), 0.0
	for k := 0; k < d.rows; k++ {
		t := float64(k) * step
		x, y := axis.x+t*axis.tx, axis.y+t*axis.ty
		o, v := d.across(p, x, y, axis)
		if k < 8 {
			level = (level*float32(k) + v) / float32(k+1)
		}
		if k >= 4 && v < 0.5*level {
			if faded == 0 {
				f := float64((last - 0.5*level) / max(last-v, 1e-6))
				s.end = lastAt + min(max(f, 0), 1)*step
			}
			if faded++; faded >= 3 {
				break
			}
			continue
		}
		faded, last, lastAt = 0, v, t
		s.axis = append(s.axis, photo.Point{X: x - o*axis.ty, Y: y + o*axis.tx})
		s.dark += v
		if n := len(s.axis); n >= 6 {
			f := fitLine(s.axis, 0, n-1)
			if f.tx*axis.tx+f.ty*axis.ty > 0.9 {
				back := (f.x-axis.x)*axis.tx + (f.y-axis.y)*axis.ty
				axis = lineFit{x: f.x - back*f.tx, y: f.y - back*f.ty, tx: f.tx, ty: f.ty}
			}
		}
	}
	if len(s.axis) < 6 {
		return s, false
	}
	s.dark /= float32(len(s.axis))
	s.open = faded < 3
	if s.open {
		s.end = lastAt
	}
	s.line = axis
	s.lenMM = bandFromMM + s.end/d.pxPerMM
	return s, true
}

// across looks for the darkest place across an axis within 0.4 mm and
// returns its offset in px and how much darker it is than both sides, as a
// part of their level.
func (d *band) across(p *photo.Photo, x, y float64, axis lineFit) (float64, float32) {
	const half = 16
	var v [2*half + 1]float32
	reach := besideFarMM * d.pxPerMM
	step := reach / half
	for i := range v {
		o := float64(i-half) * step
		v[i] = float32(p.LumaAt(photo.Point{X: x - o*axis.ty, Y: y + o*axis.tx}))
	}
	const near = 8 // besideNearMM
	var left, right float32
	for i := 0; i <= half-near; i++ {
		left += v[i]
		right += v[2*half-i]
	}
	side := min(left, right) / float32(half-near+1)
	const search = 3 // 0.4 mm
	best, at := float32(math.Inf(1)), half
	for i := half - search; i <= half+search; i++ {
		if w := (v[i-1] + 2*v[i] + v[i+1]) / 4; w < best {
			best, at = w, i
		}
	}
	// The centre of the darkness about the minimum, below half depth.
	var sum, n float64
	for i := at - 5; i <= at+5; i++ {
		if w := float64((side+best)/2 - v[i]); w > 0 {
			sum += w * float64(i-half)
			n += w
		}
	}
	o := float64(at - half)
	if n > 0 {
		o = sum / n
	}
	return o * step, (side - best) / (side + logFloor)
}

// readPen reads the registration marks of every piece.
func (f *finder) readPen() {
	all := make([][]stroke, len(f.found))
	var darks []float32
	for i, t := range f.found {
		at := t.outline(f.in)
		d := newBand(f.in, at)
		if d == nil {
			continue
		}
		all[i] = d.strokes(f.in.Photo, at)
		for _, s := range all[i] {
			if !s.open && s.lenMM >= markMinMM {
				darks = append(darks, s.dark)
			}
		}
	}
	inParallel(len(f.found), func(lo, hi int) {
		for _, t := range f.found[lo:hi] {
			t.piece.Lines = f.readLines(t)
		}
	})
	if len(darks) == 0 {
		return
	}
	slices.Sort(darks)
	usual := darks[len(darks)*2/3]
	for i, t := range f.found {
		for _, s := range all[i] {
			if s.open || s.lenMM < markMinMM || s.lenMM > markMaxMM || s.dark < 0.45*usual {
				continue
			}
			if m, ok := f.markOf(t.outline(f.in), s); ok && !f.alongGrid(m, s.dark < 0.75*usual) {
				t.piece.Marks = append(t.piece.Marks, m)
			}
		}
	}
}

// markOf carries a stroke to the mat: a straight line through its axis, from
// where it meets the outline to its end.
func (f *finder) markOf(at loop, s stroke) (Stroke, bool) {
	l := s.line
	where, ok := l.crosses(at, s.column)
	if !ok {
		return Stroke{}, false
	}
	end := photo.Point{X: l.x + s.end*l.tx, Y: l.y + s.end*l.ty}
	a, ok1 := f.in.upper().ToMat(where)
	b, ok2 := f.in.upper().ToMat(end)
	low, ok3 := f.in.View.ToMat(photo.Point{X: (where.X + end.X) / 2, Y: (where.Y + end.Y) / 2})
	if !ok1 || !ok2 || !ok3 {
		return Stroke{}, false
	}
	return Stroke{At: a, In: b}, f.insideAny(low)
}

// insideAny reports whether a point lies on one of the pieces found.
func (f *finder) insideAny(p mat.Point) bool {
	x, y := int(math.Round((p.X-f.sheet.x0)/f.sheet.res)), int(math.Round((p.Y-f.sheet.y0)/f.sheet.res))
	for _, t := range f.found {
		if t.region.has(x, y) {
			return true
		}
	}
	return false
}

func (p *patch) has(x, y int) bool {
	x, y = x-p.x0, y-p.y0
	return x >= 0 && y >= 0 && x < p.w && y < p.h && p.in[y*p.w+x] == 1
}

// alongGrid tells a printed line of the mat that shows through the tape from
// a mark: it lies on a line of the grid over its whole length. A stroke as
// dark as the others is believed even there, unless it lies dead on.
func (f *finder) alongGrid(m Stroke, faint bool) bool {
	tol := 0.25
	if faint {
		tol = 0.6
	}
	if f.in.Raised != nil {
		return false // no line shows through foam
	}
	step := f.in.minorStep()
	near := func(a, b, step float64) bool {
		i, j := math.Round(a/step), math.Round(b/step)
		return i == j && math.Abs(a-i*step) < tol && math.Abs(b-j*step) < tol
	}
	return faint && (near(m.At.X, m.In.X, step.XMM) || near(m.At.Y, m.In.Y, step.YMM))
}

// crosses returns where a line crosses a loop, nearest along it to a point.
func (f lineFit) crosses(l loop, near int) (photo.Point, bool) {
	side := func(i int) float64 {
		p := l[wrap(i, len(l))]
		return (p.X-f.x)*f.ty - (p.Y-f.y)*f.tx
	}
	for d := 0; d < 30; d++ {
		for _, i := range [2]int{near + d, near - d - 1} {
			a, b := side(i), side(i+1)
			if (a > 0) == (b > 0) {
				continue
			}
			p, q := l[wrap(i, len(l))], l[wrap(i+1, len(l))]
			t := a / (a - b)
			return photo.Point{X: p.X + (q.X-p.X)*t, Y: p.Y + (q.Y-p.Y)*t}, true
		}
	}
	return photo.Point{}, false
}

// outline returns the border of the piece's upper face in the photograph, a
// point a px.
func (t *traced) outline(in *Input) loop {
	if in.Raised != nil {
		l := make(loop, len(t.piece.Outline))
		for i, s := range t.piece.Outline {
			l[i] = in.Raised.View.ToPhoto(s.At)
		}
		return l.resample(1)
	}
	l := make(loop, len(t.mended[0]))
	for i, s := range t.mended[0] {
		l[i] = s.Point
	}
	return l.resample(1)
}
