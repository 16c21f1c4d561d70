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
	reach := max(3, int(1.2*d.pxPerMM))
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
	dark   float32
	lenMM  float64
	// open is set when it runs on past the band.
	open bool
}

// strokes finds dark ridges that start at the border and run inwards.
func (d *band) strokes(at loop) []stroke {
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
		if s, ok := d.followIn(at, p.column, p.slope); ok {
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

// followIn traces a stroke inwards from its start, letting it bend a little,
// until it fades to less than 45 % of its own darkness for 0.75 mm.
func (d *band) followIn(at loop, column int, slope float64) (stroke, bool) {
	s := stroke{column: column}
	reach := max(1, int(0.35*d.pxPerMM))
	pos := func(k int) float64 { return float64(column) + slope*d.depthPx(float64(k)) }
	var level float32
	shift, faded := 0.0, 0
	end := -1.0
	for k := 0; k < d.rows; k++ {
		j, v := d.darkest(k, pos(k)+shift, reach)
		if k < 10 {
			level = (level*float32(k) + v) / float32(k+1)
		}
		if k >= 4 && v < 0.45*level {
			if faded == 0 {
				end = float64(k) - 0.5
			}
			if faded++; faded >= 4 {
				break
			}
			continue
		}
		faded, end = 0, -1
		shift += 0.25 * (j - pos(k) - shift)
		i := int(math.Floor(j))
		p, q := d.place(at, i, float64(k)), d.place(at, i+1, float64(k))
		t := j - float64(i)
		s.axis = append(s.axis, photo.Point{X: p.X + (q.X-p.X)*t, Y: p.Y + (q.Y-p.Y)*t})
		s.dark += v
	}
	if len(s.axis) < 6 {
		return s, false
	}
	s.dark /= float32(len(s.axis))
	s.open = end < 0
	s.lenMM = bandToMM
	if !s.open {
		s.lenMM = bandFromMM + end*bandStepMM
	}
	return s, true
}

// darkest returns the sub-pixel column of greatest darkness near a place in
// a row, and that darkness.
func (d *band) darkest(k int, near float64, reach int) (float64, float32) {
	row := d.dark[k*d.n : (k+1)*d.n]
	c := int(math.Round(near))
	best := c
	for j := c - reach; j <= c+reach; j++ {
		if row[wrap(j, d.n)] > row[wrap(best, d.n)] {
			best = j
		}
	}
	a, b, e := row[wrap(best-1, d.n)], row[wrap(best, d.n)], row[wrap(best+1, d.n)]
	off := 0.0
	if den := a - 2*b + e; den < 0 {
		off = math.Min(0.5, math.Max(-0.5, float64((a-e)/(2*den))))
	}
	return float64(best) + off, b
}

// readPen reads the registration marks of every piece.
func (f *finder) readPen() {
	all := make([][]stroke, len(f.found))
	var darks []float32
	for i, t := range f.found {
		at := t.outline()
		d := newBand(f.in, at)
		if d == nil {
			continue
		}
		all[i] = d.strokes(at)
		for _, s := range all[i] {
			if !s.open && s.lenMM >= markMinMM {
				darks = append(darks, s.dark)
			}
		}
	}
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
			if m, ok := f.markOf(t.outline(), s); ok && !f.alongGrid(m, s.dark < 0.75*usual) {
				t.piece.Marks = append(t.piece.Marks, m)
			}
		}
	}
}

// markOf carries a stroke to the mat: a straight line through its axis, from
// where it meets the outline to its end.
func (f *finder) markOf(at loop, s stroke) (Stroke, bool) {
	l := fitLine(s.axis, 0, len(s.axis)-1)
	where, ok := l.crosses(at, s.column)
	if !ok {
		return Stroke{}, false
	}
	end := s.axis[len(s.axis)-1]
	t := (end.X-l.x)*l.tx + (end.Y-l.y)*l.ty
	end = photo.Point{X: l.x + t*l.tx, Y: l.y + t*l.ty}
	a, ok1 := f.in.View.ToMat(where)
	b, ok2 := f.in.View.ToMat(end)
	if !ok1 || !ok2 {
		return Stroke{}, false
	}
	return Stroke{At: a, In: b}, f.insideAny(mat.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2})
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
	step := f.in.PitchMM / float64(max(1, f.in.Grid.MinorPerPitch))
	near := func(a, b float64) bool {
		i, j := math.Round(a/step), math.Round(b/step)
		return i == j && math.Abs(a-i*step) < tol && math.Abs(b-j*step) < tol
	}
	return faint && (near(m.At.X, m.In.X) || near(m.At.Y, m.In.Y))
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

// outline returns the piece's outline in the photograph, a point a px.
func (t *traced) outline() loop {
	l := make(loop, len(t.mended[0]))
	for i, s := range t.mended[0] {
		l[i] = s.Point
	}
	return l.resample(1)
}
