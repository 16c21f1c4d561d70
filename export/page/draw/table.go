package draw

import (
	"math"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
)

// column is a column of a table.
type column struct {
	head string
	a    align
	// flexible columns are cut short when the table is too wide.
	flexible bool
}

// table is put row by row, several tables beside each other where they fit.
type table struct {
	columns []column
	rows    [][]string
	capMM   float64
}

const (
	columnGap = 4.0
	tableGap  = 10.0
	leastName = 18.0
)

// widths returns the columns' widths, flexible ones cut so that the table is
// no wider than room.
func (t *table) widths(room float64) []float64 {
	w := make([]float64, len(t.columns))
	total := columnGap * float64(len(w)-1)
	flexible := -1
	for i, col := range t.columns {
		w[i] = lettering.Bold.WidthMM(col.head, t.capMM)
		for _, row := range t.rows {
			w[i] = math.Max(w[i], lettering.Regular.WidthMM(lettering.Regular.Clean(row[i]), t.capMM))
		}
		total += w[i]
		if col.flexible {
			flexible = i
		}
	}
	if flexible >= 0 && total > room {
		w[flexible] = math.Max(leastName, w[flexible]-(total-room))
	}
	return w
}

// put puts the table, its head again at the top of every page.
func (t *table) put(f *flow) {
	w := t.widths(f.room())
	wide := columnGap * float64(len(w)-1)
	for _, v := range w {
		wide += v
	}
	beside := max(1, int((f.room()+tableGap)/(wide+tableGap)))
	pitch := t.capMM * leading
	for from := 0; from < len(t.rows); {
		f.need(3 * pitch)
		fit := max(1, int((f.bottom()-f.y-pitch*1.3)/pitch))
		lines := min(fit, (len(t.rows)-from+beside-1)/beside)
		y := f.y
		for k := 0; k < beside && from < len(t.rows); k++ {
			rows := t.rows[from:min(from+lines, len(t.rows))]
			x := f.left() + float64(k)*(wide+tableGap)
			f.blocks = append(f.blocks, func(c Canvas) { t.draw(c, x, y, w, rows) })
			from += len(rows)
		}
		f.y += pitch * (float64(lines) + 1.3)
	}
	f.gap(3)
}

func (t *table) draw(c Canvas, x, y float64, w []float64, rows [][]string) {
	pitch := t.capMM * leading
	wide := columnGap * float64(len(w)-1)
	for _, v := range w {
		wide += v
	}
	heads := make([]string, len(t.columns))
	for i, col := range t.columns {
		heads[i] = col.head
	}
	t.drawRow(c, x, y+t.capMM*1.35, w, heads, lettering.Bold)
	y += pitch * 1.2
	c.Stroke(segmentPath(x, y, x+wide, y), thin(page.Ink))
	for i, row := range rows {
		t.drawRow(c, x, y+t.capMM*1.4, w, row, lettering.Regular)
		y += pitch
		if i%5 == 4 && i+1 < len(rows) {
			c.Stroke(segmentPath(x, y+0.1, x+wide, y+0.1), Pen{WidthMM: 0.13, Colour: page.PaleGrey})
		}
	}
}

func (t *table) drawRow(c Canvas, x, baseline float64, w []float64, cells []string, face *lettering.Face) {
	for i, s := range cells {
		s = face.Fit(s, t.capMM, w[i]+0.01)
		at := x
		if t.columns[i].a == right {
			at = x + w[i]
		}
		write(c, at, baseline, t.columns[i].a, s, face, t.capMM, page.Ink)
		x += w[i] + columnGap
	}
}
