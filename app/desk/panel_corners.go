package desk

import (
	"fmt"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
)

// cornerPanel lists the crossings placed by hand.
type cornerPanel struct {
	d          *desk
	list       *fyne.Container
	rows       []*cornerRow
	solve, all *button
	box        *fyne.Container
}

func newCornerPanel(d *desk) *cornerPanel {
	p := &cornerPanel{d: d, list: container.NewVBox()}
	p.solve = primary(tr.solve, d.squareUpByHand)
	p.all = newButton(tr.clearAll, func() { d.s.ClearCorners(); d.changed() })
	back := newButton(tr.byHandDone, d.toggleCorners)
	p.box = container.NewVBox(back, gap(), head(tr.corners), prose(tr.cornersHint), p.list, p.solve, p.all)
	return p
}

// cornerRow is one corner in the list.
type cornerRow struct {
	d           *desk
	i           int
	number      *widget.Label
	column, row *field
	box         *fyne.Container
}

func newCornerRow(d *desk, i int) *cornerRow {
	r := &cornerRow{d: d, i: i, number: label(strconv.Itoa(i + 1))}
	r.column = newField(tr.column, 74, func(string) { r.commit() })
	r.row = newField(tr.row, 74, func(string) { r.commit() })
	r.column.OnSubmitted = func(string) { r.column.done(); d.win.Canvas().Focus(r.row) }
	r.row.OnSubmitted = func(string) { r.row.done(); d.focusEditor() }
	gone := newIconButton("", theme.DeleteIcon(), func() { d.s.RemoveCorner(r.i); d.changed() })
	gone.Importance = widget.LowImportance
	r.box = container.NewHBox(r.number, r.column, r.row, layout.NewSpacer(), gone)
	return r
}

// commit takes the count once both halves are typed.
func (r *cornerRow) commit() {
	if strings.TrimSpace(r.column.Text) == "" || strings.TrimSpace(r.row.Text) == "" {
		return
	}
	c, okC := r.count(r.column.Text)
	w, okW := r.count(r.row.Text)
	if okC && okW {
		r.d.s.SetCornerCount(r.i, c, w)
		r.d.changed()
	}
}

func (r *cornerRow) count(text string) (int, bool) {
	n, err := strconv.Atoi(strings.TrimSpace(strings.ReplaceAll(text, "−", "-")))
	if err != nil || n < -9999 || n > 9999 {
		r.d.strip.say(fmt.Sprintf(tr.badCount, text))
		return 0, false
	}
	return n, true
}

// update brings the list in line with the corners placed.
func (p *cornerPanel) update(doc session.Document) {
	for len(p.rows) < len(doc.Corners) {
		r := newCornerRow(p.d, len(p.rows))
		p.rows = append(p.rows, r)
		p.list.Add(r.box)
	}
	for len(p.rows) > len(doc.Corners) {
		last := p.rows[len(p.rows)-1]
		p.list.Remove(last.box)
		p.rows = p.rows[:len(p.rows)-1]
	}
	for i, c := range doc.Corners {
		if c.Known {
			p.rows[i].column.show(strconv.Itoa(c.Column))
			p.rows[i].row.show(strconv.Itoa(c.Row))
		} else if !p.rows[i].column.editing && !p.rows[i].row.editing {
			p.rows[i].column.show("")
			p.rows[i].row.show("")
		}
	}
	enable(p.solve, len(p.d.s.UsableCorners()) >= session.LeastCorners && doc.PitchMM > 0)
	enable(p.all, len(doc.Corners) > 0)
}
