package page

import (
	"math"

	"flatwright/rectify/mat"
)

// score ranks grids: sheets first, then the length of a roll that they take,
// then how many times a piece shows on a sheet (a piece split in two counts
// twice), then how far off centre.
type score struct {
	sheets    int
	rollMM    float64
	shows     int
	offCentre float64
}

func (a score) less(b score) bool {
	if a.sheets != b.sheets {
		return a.sheets < b.sheets
	}
	if a.rollMM != b.rollMM {
		return a.rollMM < b.rollMM
	}
	if a.shows != b.shows {
		return a.shows < b.shows
	}
	return a.offCentre < b.offCentre-1e-9
}

// rollMM is the length of the roll that the grid's sheets take; 0 for paper in
// sheets.
func (g *grid) rollMM() float64 {
	if !g.setup.Paper.Roll {
		return 0
	}
	if g.landscape {
		return float64(g.score.sheets) * g.pageW
	}
	return float64(g.score.sheets) * g.pageH
}

// tries is how many places of the grid are tried along each axis.
const tries = 12

// bestGrid moves the grid over the slack it has and keeps the best place.
// Which tiles are blank is judged on a coarse map here, exactly afterwards.
func bestGrid(ink *ink, s Setup, landscape bool) (*grid, error) {
	g, err := newGrid(ink.bounds, s, landscape)
	if err != nil {
		return nil, err
	}
	m := newCoverage(ink)
	w, h := g.covered()
	slackX, slackY := math.Max(0, w-ink.bounds.Width()), math.Max(0, h-ink.bounds.Height())
	best := *g
	best.score = score{sheets: math.MaxInt}
	for iy := range tries + 1 {
		for ix := range tries + 1 {
			fx, fy := float64(ix)/tries, float64(iy)/tries
			g.origin = mat.Point{X: ink.bounds.MinX - fx*slackX, Y: ink.bounds.MinY - fy*slackY}
			g.score = m.score(g)
			g.score.rollMM = g.rollMM()
			g.score.offCentre = math.Hypot(fx-0.5, fy-0.5)
			if g.score.less(best.score) {
				best = *g
			}
		}
	}
	return &best, nil
}

// coverage counts covered cells of a coarse map over the pattern, as sums
// from the top-left corner, so that any rectangle is answered in four reads
// (summed-area table, Crow 1984, from memory).
type coverage struct {
	minX, minY, sizeMM float64
	w, h               int
	sums               []int32
	pieces             []Rect
}

// coverageCells bounds the map's larger side.
const coverageCells = 400

func newCoverage(ink *ink) *coverage {
	b := ink.bounds
	size := math.Max(2, math.Max(b.Width(), b.Height())/coverageCells)
	m := &coverage{minX: b.MinX, minY: b.MinY, sizeMM: size}
	m.w, m.h = int(b.Width()/size)+1, int(b.Height()/size)+1
	full := make([]bool, m.w*m.h)
	for i := range ink.pieces {
		m.pieces = append(m.pieces, ink.pieces[i].bounds)
		m.fill(full, &ink.pieces[i])
	}
	m.sum(full)
	return m
}

// fill marks the cells that a piece touches or covers.
func (m *coverage) fill(full []bool, ip *inkPiece) {
	for a, b := range ip.chords() {
		m.trace(full, a, b)
	}
	for row := range m.h {
		m.fillRow(full, row, ip.loop)
	}
}

// trace marks the cells from a to b, in steps of half a cell.
func (m *coverage) trace(full []bool, a, b mat.Point) {
	n := int(math.Hypot(b.X-a.X, b.Y-a.Y)/(m.sizeMM/2)) + 1
	for k := range n + 1 {
		t := float64(k) / float64(n)
		full[m.cell(a.X+t*(b.X-a.X), a.Y+t*(b.Y-a.Y))] = true
	}
}

func (m *coverage) cell(x, y float64) int {
	cx := min(max(int((x-m.minX)/m.sizeMM), 0), m.w-1)
	cy := min(max(int((y-m.minY)/m.sizeMM), 0), m.h-1)
	return cy*m.w + cx
}

// fillRow marks the cells of a row whose centres lie inside the loop.
func (m *coverage) fillRow(full []bool, row int, loop []mat.Point) {
	y := m.minY + (float64(row)+0.5)*m.sizeMM
	flips := make([]bool, m.w+1)
	for i, j := 0, len(loop)-1; i < len(loop); j, i = i, i+1 {
		a, b := loop[i], loop[j]
		if (a.Y > y) == (b.Y > y) {
			continue
		}
		x := (b.X-a.X)*(y-a.Y)/(b.Y-a.Y) + a.X
		c := min(max(int(math.Ceil((x-m.minX)/m.sizeMM-0.5)), 0), m.w)
		flips[c] = !flips[c]
	}
	in := false
	for c := range m.w {
		in = in != flips[c]
		if in {
			full[row*m.w+c] = true
		}
	}
}

func (m *coverage) sum(full []bool) {
	m.sums = make([]int32, (m.w+1)*(m.h+1))
	for y := range m.h {
		var run int32
		for x := range m.w {
			if full[y*m.w+x] {
				run++
			}
			m.sums[(y+1)*(m.w+1)+x+1] = m.sums[y*(m.w+1)+x+1] + run
		}
	}
}

// meets reports whether the rectangle touches a covered cell.
func (m *coverage) meets(r Rect) bool {
	x0, x1 := m.span(r.MinX-m.minX, r.MaxX-m.minX, m.w)
	y0, y1 := m.span(r.MinY-m.minY, r.MaxY-m.minY, m.h)
	if x0 >= x1 || y0 >= y1 {
		return false
	}
	w := m.w + 1
	return m.sums[y1*w+x1]-m.sums[y0*w+x1]-m.sums[y1*w+x0]+m.sums[y0*w+x0] > 0
}

// span returns the cells from lo to hi, rounded outwards.
func (m *coverage) span(lo, hi float64, n int) (from, to int) {
	from = int(math.Floor(lo / m.sizeMM))
	to = int(math.Ceil(hi / m.sizeMM))
	return min(max(from, 0), n), min(max(to, 0), n)
}

func (m *coverage) score(g *grid) score {
	var s score
	for row := range g.rows {
		for col := range g.cols {
			cell := g.cell(row, col)
			if !m.meets(cell) {
				continue
			}
			s.sheets++
			for _, b := range m.pieces {
				if cell.Meets(b) {
					s.shows++
				}
			}
		}
	}
	return s
}
