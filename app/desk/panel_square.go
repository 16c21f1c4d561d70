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
	"flatwright/app/desk/units"
)

// squarePanel squares the photograph up, tells how good it is, and places
// corners by hand.
type squarePanel struct {
	d          *desk
	pitch      *pitchPicker
	run, hand  *widget.Button
	result     *fyne.Container
	numbers    [7]*widget.Label
	lines      *widget.Check
	cornerBox  *fyne.Container
	cornerList *fyne.Container
	rows       []*cornerRow
	solve, all *widget.Button
	box        fyne.CanvasObject
}

func newSquarePanel(d *desk) *squarePanel {
	p := &squarePanel{d: d, pitch: newPitchPicker(d)}
	p.run = primary(tr.squareUp, d.squareUp)
	p.hand = widget.NewButton(tr.byHand, d.toggleCorners)
	words := [...]string{tr.accuracy, tr.rms, tr.worst, tr.leftOut, tr.lines, tr.samples, tr.terms}
	p.result = container.NewVBox()
	for i, w := range words {
		p.numbers[i] = value()
		p.result.Add(row(w, p.numbers[i]))
	}
	p.numbers[0].TextStyle.Bold = true
	p.lines = widget.NewCheck(tr.showLines, func(on bool) { d.showLines(on) })
	p.cornerList = container.NewVBox()
	p.solve = primary(tr.solve, d.squareUpByHand)
	p.all = widget.NewButton(tr.clearAll, func() { d.s.ClearCorners(); d.changed() })
	p.cornerBox = container.NewVBox(head(tr.corners), prose(tr.cornersHint), p.cornerList, p.solve, p.all)
	p.box = column(heading(tr.stages[1]), p.pitch.box, gap(), p.run, p.hand, gap(), p.result, p.lines, p.cornerBox)
	return p
}

func (p *squarePanel) object() fyne.CanvasObject { return p.box }

func (p *squarePanel) update() {
	d := p.d
	doc := d.s.Document()
	corners := d.editor.tool == toolCorners
	p.pitch.update()
	enable(p.run, d.s.Photo() != nil && doc.PitchMM > 0)
	enable(p.hand, d.s.Photo() != nil)
	visible(p.run, !corners)
	p.hand.SetText(tr.byHand)
	if corners {
		p.hand.SetText(tr.byHandDone)
	}
	p.run.SetText(tr.squareUp)
	setImportance(p.run, widget.HighImportance)
	if doc.Squared != nil {
		p.run.SetText(tr.squareAgain)
		setImportance(p.run, widget.MediumImportance)
	}
	visible(p.result, doc.Squared != nil && !corners)
	visible(p.lines, doc.Squared != nil && !corners)
	if p.lines.Checked != d.editor.showLines {
		p.lines.Checked = d.editor.showLines
		p.lines.Refresh()
	}
	if doc.Squared != nil {
		p.showResult()
	}
	visible(p.cornerBox, corners)
	p.updateCorners(doc)
}

// showResult writes the numbers of a solved photograph.
func (p *squarePanel) showResult() {
	q := p.d.s.Document().Squared
	mm, _ := p.d.s.PlusMinusMM()
	terms := strings.Join(q.Fit.Terms, " ")
	if terms == "" {
		terms = tr.noTerms
	}
	leftOut := "–"
	if q.Fit.LeftOutRMSMM > 0 {
		leftOut = units.FormatMM(q.Fit.LeftOutRMSMM, 2)
	}
	g := q.Grid
	for i, text := range []string{
		plusMinus(mm),
		fmt.Sprintf(tr.average, q.Fit.RMSPx), fmt.Sprintf(tr.average, q.Fit.MaxPx), leftOut,
		fmt.Sprintf("%d + %d", g.MaxColumn-g.MinColumn+1, g.MaxRow-g.MinRow+1),
		strconv.Itoa(len(q.Fit.Points)), terms,
	} {
		p.numbers[i].SetText(text)
	}
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
	gone := widget.NewButtonWithIcon("", theme.DeleteIcon(), func() { d.s.RemoveCorner(r.i); d.changed() })
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

func (p *squarePanel) updateCorners(doc session.Document) {
	for len(p.rows) < len(doc.Corners) {
		r := newCornerRow(p.d, len(p.rows))
		p.rows = append(p.rows, r)
		p.cornerList.Add(r.box)
	}
	for len(p.rows) > len(doc.Corners) {
		last := p.rows[len(p.rows)-1]
		p.cornerList.Remove(last.box)
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
