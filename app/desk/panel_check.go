package desk

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/rectify"
)

// checkGroup holds lengths that the maker knows against what the squared-up
// photograph says of them.
type checkGroup struct {
	d       *desk
	fold    *fold
	lay     *button
	known   *field
	knowRow *fyne.Container
	list    *fyne.Container
	version int
	system  units.System
}

func newCheckGroup(d *desk) *checkGroup {
	g := &checkGroup{d: d, list: container.NewVBox()}
	g.lay = newButton(tr.square.lay, d.toggleTape)
	g.known = d.lengthField(tr.square.knownHint, 130, g.typed)
	g.knowRow = row(tr.square.known, g.known)
	g.fold = newFold(tr.square.checkHead, prose(tr.square.checkHint), g.lay, g.knowRow, g.list)
	return g
}

// typed keeps the tape's length as a check.
func (g *checkGroup) typed(text string) {
	mm, err := g.d.readLength(text)
	c, ok := g.d.editor.tapeCheck()
	switch {
	case text == "" || !ok:
		return
	case err != nil:
		g.d.refuse(text, err, fmt.Sprintf(tr.square.badLength, text))
		return
	}
	c.KnownMM = mm
	g.d.s.AddCheck(c)
	g.known.show("")
	g.known.SetText("")
	g.d.strip.hide()
	g.d.changed()
}

func (g *checkGroup) update(doc session.Document) {
	_, ok := g.d.s.View()
	enable(g.lay, ok)
	_, two := g.d.editor.tapeCheck()
	visible(g.knowRow, two)
	note := ""
	if n := len(doc.Checks); n > 0 {
		note = counted(n, tr.square.oneCheck, tr.square.checkCount)
	}
	g.fold.say(note)
	if g.version == g.d.s.Version() && g.system == g.d.system() {
		return
	}
	g.version, g.system = g.d.s.Version(), g.d.system()
	g.list.RemoveAll()
	for i, c := range doc.Checks {
		gone := newIconButton("", theme.DeleteIcon(), func() { g.d.s.RemoveCheck(i); g.d.changed() })
		gone.Importance = widget.LowImportance
		g.list.Add(container.NewBorder(nil, nil, nil, container.NewVBox(gone), prose(g.d.checkText(i, c))))
	}
}

// checkText says what became of one check.
func (d *desk) checkText(i int, c session.LengthCheck) string {
	m, err := d.s.Measured(c)
	if err != nil {
		return fmt.Sprintf("%d.  %s", i+1, opening(err))
	}
	diff := m.DifferenceMM()
	return fmt.Sprintf(tr.square.checkRow, i+1, d.typedLength(c.KnownMM), d.system().Length(m.MeasuredMM, 2)) + "\n" +
		fmt.Sprintf(tr.square.checkDifference, d.system().Signed(diff, 2), 100*diff/c.KnownMM, d.plusMinus(m.PlusMinusMM)) + ": " + d.agreement(m)
}

// agreement says whether a length lies within its ±.
func (d *desk) agreement(m rectify.DistanceCheck) string {
	if m.Agrees() {
		return tr.square.checkAgrees
	}
	return fmt.Sprintf(tr.square.checkBeyond, d.residual(m.BeyondMM(), 2))
}
