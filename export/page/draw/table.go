package draw

import (
	"strings"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
)

// column is a column of a table. A head may have two lines.
type column struct {
	head string
	a    align
	// flexible columns run over several lines when the table is too wide.
	flexible bool
	// optional columns are left out when that is not enough.
	optional bool
}

// table is put row by row, several tables beside each other where they fit.
type table struct {
	columns []column
	rows    [][]string
	capMM   float64
	// alone keeps the table from being broken into stretches side by side, for
	// rows that are read in their order.
	alone bool
}

const (
	columnGap = 4.0
	narrowGap = 2.5
	tableGap  = 10.0
	leastName = 18.0
)

// fitted is a table's measures for a room.
type fitted struct {
	columns []int // indices of those that are shown
	widths  []float64
	gap     float64
	wide    float64
}

// fit measures the table. When it is wider than the room, the gaps shrink,
// then the flexible column, then optional columns go.
func (t *table) fit(room float64) fitted {
	f := fitted{gap: columnGap}
	for i := range t.columns {
		if t.bare(i) {
			continue
		}
		f.columns = append(f.columns, i)
		f.widths = append(f.widths, t.natural(i))
	}
	if f.measure(); f.wide > room {
		f.gap = narrowGap
	}
	for f.measure(); f.wide > room; f.measure() {
		if !t.shrink(&f, f.wide-room) && !t.drop(&f) {
			break
		}
	}
	return f
}

func (f *fitted) measure() {
	f.wide = f.gap * float64(len(f.widths)-1)
	for _, w := range f.widths {
		f.wide += w
	}
}

// bare reports whether a column says nothing.
func (t *table) bare(i int) bool {
	for _, row := range t.rows {
		if row[i] != "" {
			return false
		}
	}
	return true
}

// natural returns the width that a column's texts need.
func (t *table) natural(i int) float64 {
	w := 0.0
	for _, line := range strings.Split(t.columns[i].head, "\n") {
		w = max(w, lettering.Bold.WidthMM(line, t.capMM))
	}
	for _, row := range t.rows {
		w = max(w, lettering.Regular.WidthMM(lettering.Regular.Clean(row[i]), t.capMM))
	}
	return w
}

// shrink narrows a flexible column by as much as it can of what is wanted.
func (t *table) shrink(f *fitted, by float64) bool {
	for k, i := range f.columns {
		if t.columns[i].flexible && f.widths[k] > leastName {
			f.widths[k] = max(leastName, f.widths[k]-by)
			return true
		}
	}
	return false
}

// drop leaves the last optional column out.
func (t *table) drop(f *fitted) bool {
	for k := len(f.columns) - 1; k >= 0; k-- {
		if t.columns[f.columns[k]].optional {
			f.columns = append(f.columns[:k], f.columns[k+1:]...)
			f.widths = append(f.widths[:k], f.widths[k+1:]...)
			return true
		}
	}
	return false
}

// headLines is the number of lines of the table's head.
func (t *table) headLines() int {
	n := 1
	for _, c := range t.columns {
		n = max(n, 1+strings.Count(c.head, "\n"))
	}
	return n
}

// tableLine is a line of a table: a row, or one of several that it runs over.
type tableLine struct {
	cells []string
	row   int
	last  bool
}

// lines returns the table's lines, the flexible cells wrapped.
func (t *table) lines(m fitted) []tableLine {
	var all []tableLine
	for r, cells := range t.rows {
		wrapped := map[int][]string{}
		high := 1
		for k, i := range m.columns {
			if t.columns[i].flexible {
				wrapped[i] = lettering.Regular.Wrap(cells[i], t.capMM, m.widths[k]+0.01)
				high = max(high, len(wrapped[i]))
			}
		}
		for n := range high {
			all = append(all, tableLine{t.lineCells(cells, wrapped, n), r, n == high-1})
		}
	}
	return all
}

// lineCells are the cells of line n of a row.
func (t *table) lineCells(cells []string, wrapped map[int][]string, n int) []string {
	out := make([]string, len(cells))
	for i := range cells {
		switch {
		case t.columns[i].flexible && n < len(wrapped[i]):
			out[i] = wrapped[i][n]
		case n == 0 && !t.columns[i].flexible:
			out[i] = cells[i]
		}
	}
	return out
}

// put puts the table, its head again at the top of every page, several
// stretches beside each other where the page is wide enough.
func (t *table) put(f *flow) {
	m := t.fit(f.room())
	all := t.lines(m)
	beside := max(1, int((f.room()+tableGap)/(m.wide+tableGap)))
	if t.alone {
		beside = 1
	}
	pitch := t.capMM * leading
	head := pitch * (float64(t.headLines()) + 0.3)
	for from := 0; from < len(all); {
		f.need(head + 2*pitch)
		fit := max(1, int((f.bottom()-f.y-head)/pitch))
		high := min(fit, (len(all)-from+beside-1)/beside)
		y, most := f.y, 0
		for k := 0; k < beside && from < len(all); k++ {
			n := wholeRows(all[from:], high, fit)
			lines := all[from : from+n]
			x := f.left() + float64(k)*(m.wide+tableGap)
			f.blocks = append(f.blocks, func(c Canvas) { t.draw(c, x, y, m, lines) })
			from, most = from+n, max(most, n)
		}
		f.y += head + pitch*float64(most)
	}
	f.gap(3)
}

// wholeRows returns how many lines to take so that no row is broken: about
// high, no more than fit; a row longer than that is broken after all.
func wholeRows(lines []tableLine, high, fit int) int {
	for n := high; n <= min(fit, len(lines)); n++ {
		if lines[n-1].last {
			return n
		}
	}
	for n := min(high, len(lines)); n > 0; n-- {
		if lines[n-1].last {
			return n
		}
	}
	return min(fit, len(lines))
}

func (t *table) draw(c Canvas, x, y float64, m fitted, lines []tableLine) {
	pitch := t.capMM * leading
	for line := range t.headLines() {
		t.drawRow(c, x, y+t.capMM*1.35, m, t.headLine(line), lettering.Bold)
		y += pitch
	}
	y += pitch * 0.2
	c.Stroke(segmentPath(x, y, x+m.wide, y), thin(page.Ink))
	for i, line := range lines {
		t.drawRow(c, x, y+t.capMM*1.4, m, line.cells, lettering.Regular)
		y += pitch
		if line.last && (line.row-lines[0].row)%5 == 4 && i+1 < len(lines) {
			c.Stroke(segmentPath(x, y+0.1, x+m.wide, y+0.1), Pen{WidthMM: 0.13, Colour: page.PaleGrey})
		}
	}
}

// headLine returns a line of the head; short heads stand on the last one.
func (t *table) headLine(line int) []string {
	cells := make([]string, len(t.columns))
	for i, col := range t.columns {
		parts := strings.Split(col.head, "\n")
		if k := line - (t.headLines() - len(parts)); k >= 0 {
			cells[i] = parts[k]
		}
	}
	return cells
}

func (t *table) drawRow(c Canvas, x, baseline float64, m fitted, cells []string, face *lettering.Face) {
	for k, i := range m.columns {
		s := face.Fit(cells[i], t.capMM, m.widths[k]+0.01)
		at := x
		if t.columns[i].a == right {
			at = x + m.widths[k]
		}
		write(c, at, baseline, t.columns[i].a, s, face, t.capMM, page.Ink)
		x += m.widths[k] + m.gap
	}
}
