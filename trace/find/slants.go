package find

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// Many mats are printed with slanting guide lines, at 30, 45 and 60 degrees or
// at others. They are no part of the grid that was solved; they are found as
// what is left of the lines' colour on bare ground.

// slant is a straight printed line nx·x + ny·y = rho, mm, from lo to hi along
// (-ny, nx).
type slant struct{ nx, ny, rho, half, lo, hi float64 }

// at is the place t mm along the line and o mm beside it.
func (s *slant) at(t, o float64) mat.Point {
	r := s.rho + o
	return mat.Point{X: s.nx*r - s.ny*t, Y: s.ny*r + s.nx*t}
}

// part is how much of a place the line covers, blurred by sigma mm.
func (s *slant) part(at mat.Point, sigmaMM float64) float64 {
	d := math.Abs(s.nx*at.X + s.ny*at.Y - s.rho)
	if d > s.half+3.5*sigmaMM {
		return 0
	}
	if t := s.nx*at.Y - s.ny*at.X; t < s.lo || t > s.hi {
		return 0
	}
	return normalPart((s.half-d)/sigmaMM) - normalPart((-s.half-d)/sigmaMM)
}

// inkMap is where the sheet shows the lines' colour on ground that nothing
// lies on.
type inkMap struct {
	s *sheet
	// free is set where nothing lies, ink where the lines' colour shows.
	free, ink []bool
	at        []mat.Point // of the places with ink, mm
}

// newInkMap reads the sheet, which holds deviations from the ground by now.
func (f *finder) newInkMap() *inkMap {
	s := f.sheet
	m := &inkMap{s: s, free: make([]bool, len(s.seen)), ink: make([]bool, len(s.seen))}
	taken := f.taken()
	// The blurred borders of pieces and their shadows are no print.
	clear := uint16(3 * max(3, s.px(0.8)))
	far := chamfer(taken, 0, s.w, s.h)
	for y := max(1, int(s.minY)); y < min(s.h-1, int(s.maxY)); y++ {
		for x := max(1, int(s.minX)); x < min(s.w-1, int(s.maxX)); x++ {
			i := s.index(x, y)
			m.free[i] = s.seen[i] == 1 && far[i] > clear
		}
	}
	inkOf, noise := f.inkScale()
	const most = 1.6
	least := max(0.12, 3*noise)
	columns, rows := f.besideLines()
	for i, free := range m.free {
		if !free {
			continue
		}
		if x, y := i%s.w, i/s.w; columns[x] || rows[y] {
			m.free[i] = false
		} else if v := inkOf(i); v > least && v < most {
			m.ink[i] = true
			m.at = append(m.at, s.toMM(float64(x), float64(y)))
		}
	}
	return m
}

// besideLines tells the columns and rows of the sheet that lie on or close
// beside a printed line: lines that were wiped leave traces.
func (f *finder) besideLines() (columns, rows []bool) {
	const nearMM, traces = 0.5, 0.02
	s, p := f.sheet, f.print
	columns, rows = make([]bool, s.w), make([]bool, s.h)
	for x := range columns {
		columns[x] = linePart(p.x, p.firstX, s.x0+s.res*float64(x), p.step.XMM, nearMM) > traces
	}
	for y := range rows {
		rows[y] = linePart(p.y, p.firstY, s.y0+s.res*float64(y), p.step.YMM, nearMM) > traces
	}
	return columns, rows
}

// inkWay is how the lines' colour departs from the ground's, as the sheet holds
// departures.
func (f *finder) inkWay() [3]float32 {
	var gain [3]float32
	for k, g := range f.lineGain {
		gain[k] = float32(math.Log(float64(max(g, 1e-3))))
	}
	l, c1, c2 := deviation(gain[0], gain[1], gain[2])
	return [3]float32{l, c1, c2}
}

// inkScale returns how far the sheet's colour at a pixel has gone from the
// ground's to the lines', and the noise of that.
func (f *finder) inkScale() (ink func(i int) float32, noise float32) {
	e := f.inkWay()
	d2 := max(dot(e, e), 1e-6)
	ch := f.sheet.ch
	d := f.spread
	noise = sqrtf((e[0]*d.l)*(e[0]*d.l)+(e[1]*d.c1)*(e[1]*d.c1)+(e[2]*d.c2)*(e[2]*d.c2)) / d2
	return func(i int) float32 { return (e[0]*ch[0][i] + e[1]*ch[1][i] + e[2]*ch[2][i]) / d2 }, noise
}

// Bounds of the search for slanting lines.
const (
	slantLeastMM = 40 // of a line must be bare
	slantBinMM   = 1
	slantMost    = 24
)

// slants finds the slanting lines: those along which most ink lies (Hough 1962;
// Duda and Hart 1972, from memory), refined by least squares and proven along
// their length against what lies beside them.
func (f *finder) slants() (out []slant) {
	m := f.newInkMap()
	if len(m.at) == 0 {
		return nil
	}
	var best []slant
	room := math.Hypot(float64(m.s.w), float64(m.s.h)) * m.s.res
	mid := m.s.toMM(float64(m.s.w)/2, float64(m.s.h)/2)
	least := int32(slantLeastMM / m.s.res / 2)
	hist := make([]int32, int(room/slantBinMM)+3)
	for deg := 4; deg <= 176; deg++ {
		if deg > 86 && deg < 94 {
			continue // the grid's own
		}
		ny, nx := math.Sincos(float64(deg) * math.Pi / 180)
		clear(hist)
		first := nx*mid.X + ny*mid.Y - room/2
		for _, p := range m.at {
			hist[int((nx*p.X+ny*p.Y-first)/slantBinMM)]++
		}
		for k := 1; k+1 < len(hist); k++ {
			if hist[k] >= least && hist[k] >= hist[k-1] && hist[k] > hist[k+1] {
				best = append(best, slant{nx: nx, ny: ny, rho: first + (float64(k)+0.5)*slantBinMM, half: float64(hist[k])})
			}
		}
	}
	slices.SortFunc(best, func(a, b slant) int { return int(b.half - a.half) })
	for _, c := range best[:min(len(best), 4*slantMost)] {
		if known(out, c) {
			continue
		}
		if l, ok := f.proven(m, c); ok && !known(out, l) {
			if out = append(out, l); len(out) == slantMost {
				break
			}
		}
	}
	return out
}

// known reports whether a line is one of a list's.
func known(list []slant, l slant) bool {
	for _, o := range list {
		const alike, nearMM = 0.998, 4 // 4 degrees
		along := math.Abs(o.nx*l.nx + o.ny*l.ny)
		if along > alike && crossesNear(o, l, nearMM) {
			return true
		}
	}
	return false
}

// crossesNear reports whether the middle of line l, or of o where l has no ends
// yet, lies near the other line.
func crossesNear(o, l slant, nearMM float64) bool {
	if l.lo == l.hi {
		o, l = l, o
	}
	t := (l.lo + l.hi) / 2
	p := l.at(t, 0)
	return math.Abs(o.nx*p.X+o.ny*p.Y-o.rho) < nearMM
}

// proven fits a line to the ink about it and measures it; it is none where
// too little of it is inked or as much beside it.
func (f *finder) proven(m *inkMap, l slant) (slant, bool) {
	l = m.turned(l)
	for _, reach := range [4]float64{0.8, 0.6, 0.5, 0.5} {
		var ok bool
		if l, ok = m.fit(l, reach); !ok {
			return l, false
		}
	}
	on, free := m.along(l, 0)
	const part, beside = 0.55, 0.3
	if float64(free)*m.s.res < slantLeastMM || float64(on) < part*float64(free) {
		return l, false
	}
	// Where the sheet is coarse the line is blurred farther.
	besideMM := math.Max(1.6, 1+2.5*m.s.res)
	for _, o := range [2]float64{-besideMM, besideMM} {
		if on, free := m.along(l, o); float64(on) > beside*float64(free) {
			return l, false
		}
	}
	var places []linePlace
	for range 3 {
		var along []float64
		if along, places = f.placesAlong(m, l); len(places) < leastPlaces {
			return l, false
		}
		l = l.through(along, places)
	}
	l.half = lineOf(places).half / f.print.gain
	const thinnestMM = 0.1 // scars of the knife are thinner
	return l, 2*l.half > thinnestMM
}

// placesAlong measures a line in the photograph wherever it lies bare; it
// returns how far along it these places lie, too, mm.
func (f *finder) placesAlong(m *inkMap, l slant) (along []float64, places []linePlace) {
	const everyMM = 2
	reachMM := math.Max(1.2, 4*m.s.res)
	for t := l.lo; t < l.hi; t += everyMM {
		at, across := l.at(t, 0), mat.Point{X: l.nx, Y: l.ny}
		if !m.bareAcross(at, across, reachMM) {
			continue
		}
		if q, ok := f.lineAt(at, across, reachMM); ok {
			along, places = append(along, t), append(places, q)
		}
	}
	return along, places
}

// through is the line through the middles measured along it: the median of the
// slopes between any two, and the median of what is left (Theil 1950; Sen 1968,
// from memory), so that other ink met on the way does not turn it.
func (l slant) through(along []float64, places []linePlace) slant {
	const apartMM = 20
	var slopes, left []float64
	for i := range along {
		for k := range i {
			if d := along[i] - along[k]; d > apartMM {
				slopes = append(slopes, (places[i].shift-places[k].shift)/d)
			}
		}
	}
	b := 0.0
	if len(slopes) > 0 {
		b = median(slopes)
	}
	for i, t := range along {
		left = append(left, places[i].shift-b*t)
	}
	// Through the line's own foot, t = 0, and on to its two ends.
	a := median(left)
	long := math.Hypot(1, b)
	out := slant{nx: (l.nx + b*l.ny) / long, ny: (l.ny - b*l.nx) / long, half: l.half}
	p, q := l.at(l.lo, a+b*l.lo), l.at(l.hi, a+b*l.hi)
	out.rho = out.nx*p.X + out.ny*p.Y
	out.lo, out.hi = out.nx*p.Y-out.ny*p.X, out.nx*q.Y-out.ny*q.X
	return out
}

// turned is the line near a coarse one about which most ink lies.
func (m *inkMap) turned(l slant) slant {
	const reach, turn, shift, near = 5.0, 0.01, 0.8, 0.4 // mm, rad
	var close []mat.Point
	var sx, sy float64
	for _, p := range m.at {
		if math.Abs(l.nx*p.X+l.ny*p.Y-l.rho) < reach {
			close = append(close, p)
			sx, sy = sx+p.X, sy+p.Y
		}
	}
	n := max(float64(len(close)), 1)
	mid := mat.Point{X: sx / n, Y: sy / n}
	base, best, most := math.Atan2(l.ny, l.nx), l, 0
	const bins = 5
	for a := -turn; a <= turn; a += turn / 10 {
		ny, nx := math.Sincos(base + a)
		first := nx*mid.X + ny*mid.Y + (l.rho - l.nx*mid.X - l.ny*mid.Y) - shift
		var hist [bins + 2]int
		for _, p := range close {
			if k := int((nx*p.X+ny*p.Y-first)/near + 1); k >= 0 && k < len(hist) {
				hist[k]++
			}
		}
		for k, c := range hist {
			if c > most {
				most, best = c, slant{nx: nx, ny: ny, rho: first + (float64(k)-0.5)*near}
			}
		}
	}
	return best
}

// bareAcross reports whether a place on a line is free and has no other ink
// within reach mm across.
func (m *inkMap) bareAcross(at, across mat.Point, reach float64) bool {
	s := m.s
	for _, o := range [5]float64{-1, -0.7, 0, 0.7, 1} {
		x, y := int((at.X+o*reach*across.X-s.x0)/s.res), int((at.Y+o*reach*across.Y-s.y0)/s.res)
		if x < 0 || y < 0 || x >= s.w || y >= s.h {
			return false
		}
		if i := s.index(x, y); !m.free[i] || o != 0 && m.ink[i] {
			return false
		}
	}
	return true
}

// fit is the line of least squares through the ink within reach mm, from its
// first to its last place but for strays.
func (m *inkMap) fit(l slant, reach float64) (slant, bool) {
	var n, sx, sy, sxx, sxy, syy float64
	var along []float64
	for _, p := range m.at {
		if math.Abs(l.nx*p.X+l.ny*p.Y-l.rho) > reach {
			continue
		}
		x, y := p.X-l.nx*l.rho, p.Y-l.ny*l.rho
		n, sx, sy = n+1, sx+x, sy+y
		sxx, sxy, syy = sxx+x*x, sxy+x*y, syy+y*y
		along = append(along, l.nx*p.Y-l.ny*p.X)
	}
	if n < 20 {
		return l, false
	}
	mx, my := sx/n, sy/n
	a := 0.5 * math.Atan2(2*(sxy/n-mx*my), sxx/n-mx*mx-syy/n+my*my)
	ny, nx := math.Cos(a), -math.Sin(a)
	if nx*l.nx+ny*l.ny < 0 {
		nx, ny = -nx, -ny
	}
	rho := nx*(mx+l.nx*l.rho) + ny*(my+l.ny*l.rho)
	slices.Sort(along)
	stray := len(along) / 50
	return slant{nx: nx, ny: ny, rho: rho, lo: along[stray], hi: along[len(along)-1-stray]}, true
}

// along counts the free places along a line, o mm beside it, and those of them
// with ink.
func (m *inkMap) along(l slant, o float64) (on, free int) {
	s := m.s
	for t := l.lo; t < l.hi; t += s.res {
		r := l.rho + o
		x, y := int((l.nx*r-l.ny*t-s.x0)/s.res), int((l.ny*r+l.nx*t-s.y0)/s.res)
		if x < 1 || y < 1 || x >= s.w-1 || y >= s.h-1 {
			continue
		}
		i := s.index(x, y)
		if !m.free[i] {
			continue
		}
		free++
		if m.ink[i] || m.ink[i-1] || m.ink[i+1] || m.ink[i-s.w] || m.ink[i+s.w] {
			on++
		}
	}
	return on, free
}
