package desk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/rectify"
)

// squarePanel squares the photograph up and tells how good it is. What most
// makers need stands on top, the rest in groups below, in the order in which a
// maker decides; while markers are being placed nothing else is shown.
type squarePanel struct {
	d        *desk
	pitch    *pitchPicker
	kinds    *kindPicker
	run      *button
	stale    *widget.Label
	result   *fyne.Container
	accuracy *widget.Label
	advice   *adviceList
	usual    *fyne.Container
	corners  *cornerPanel
	sheet    *sheetPanel
	hand     *fold
	lines    *button
	size     *sizeGroup
	raised   *raisedGroup
	show     *showGroup
	check    *checkGroup
	figures  *figureGroup
	box      fyne.CanvasObject
}

func newSquarePanel(d *desk) *squarePanel {
	p := &squarePanel{d: d, pitch: newPitchPicker(d), kinds: newKindPicker(d), stale: prose(tr.square.stale), accuracy: value()}
	p.run = primary(tr.squareUp, d.squareUpAgain)
	p.stale.Importance = widget.WarningImportance
	p.accuracy.TextStyle.Bold = true
	p.result = container.NewVBox(row(tr.accuracy, p.accuracy))
	p.advice = newAdviceList(d)
	p.lines = newButton(tr.square.findLines, d.squareUp)
	p.hand = newFold(tr.square.noLinesHead, prose(tr.square.noLinesText),
		newButton(tr.byHand, d.toggleCorners), newButton(tr.square.useSheet, d.toggleSheet), p.lines)
	p.size, p.raised, p.show = newSizeGroup(d), newRaisedGroup(d), newShowGroup(d)
	p.check, p.figures = newCheckGroup(d), newFigureGroup(d)
	p.corners, p.sheet = newCornerPanel(d), newSheetPanel(d)
	groups := container.NewVBox()
	for _, f := range p.folds() {
		f.opened = d.changed
		groups.Add(f.box)
	}
	p.usual = container.NewVBox(p.pitch.box, p.kinds.box, gap(), p.run, p.stale, p.result, p.advice.box, gap(), groups)
	p.box = column(heading(tr.stages[1]), p.usual, p.corners.box, p.sheet.box)
	return p
}

// folds are the groups in their order.
func (p *squarePanel) folds() []*fold {
	return []*fold{p.hand, p.size.fold, p.raised.fold, p.show.fold, p.check.fold, p.figures.fold}
}

func (p *squarePanel) object() fyne.CanvasObject { return p.box }

func (p *squarePanel) update() {
	doc := p.d.s.Document()
	tool := p.d.editor.tool
	visible(p.usual, !p.d.editor.placing())
	visible(p.corners.box, tool == toolCorners)
	visible(p.sheet.box, tool == toolSheet)
	switch tool {
	case toolCorners:
		p.corners.update(doc)
		return
	case toolSheet:
		p.sheet.update(doc)
		return
	}
	p.updateRun(doc)
	p.pitch.update()
	p.kinds.update(doc)
	visible(p.result, doc.Squared != nil)
	if doc.Squared != nil {
		mm, _ := p.d.s.PlusMinusMM()
		p.accuracy.SetText(p.d.plusMinus(mm))
	}
	p.advice.update(doc.Squared)
	p.size.update(doc)
	p.raised.update(doc)
	p.show.update()
	p.check.update(doc)
	p.figures.update(doc.Squared)
}

// updateRun makes squaring up the first thing to do while it is to be done.
func (p *squarePanel) updateRun(doc session.Document) {
	word, importance := tr.squareUp, widget.HighImportance
	if doc.Squared != nil {
		word = tr.squareAgain
		if !p.d.s.Stale() {
			importance = widget.MediumImportance
		}
	}
	p.run.SetText(word)
	setImportance(p.run, importance)
	enable(p.run, p.d.s.Photo() != nil && (doc.PitchMM > 0 || doc.Squared != nil && doc.SolvedBy == session.BySheet))
	visible(p.stale, p.d.s.Stale())
	visible(p.lines, doc.Squared != nil && doc.SolvedBy != session.ByLines && doc.PitchMM > 0)
	p.hand.say(meansWord(doc))
}

// meansWord says how a photograph was squared up when it was not by its lines.
func meansWord(doc session.Document) string {
	switch {
	case doc.Squared == nil:
		return ""
	case doc.SolvedBy == session.ByCrossings:
		return tr.square.byCrossings
	case doc.SolvedBy == session.BySheet:
		return tr.square.bySheet
	}
	return ""
}

// adviceList tells in plain words what costs accuracy, and shows where: the
// most serious in full, the rest folded.
type adviceList struct {
	d     *desk
	shown []rectify.Advice
	likes string
	in    units.System
	first *fyne.Container
	rest  *fold
	box   *fyne.Container
}

func newAdviceList(d *desk) *adviceList {
	a := &adviceList{d: d, first: container.NewVBox(), rest: newFold("")}
	a.rest.opened = d.changed
	a.box = container.NewVBox(a.first, a.rest.box)
	return a
}

func (a *adviceList) update(q *rectify.Squared) {
	var now []rectify.Advice
	if q != nil {
		now = a.d.advice(q)
	}
	m, likely := a.d.likelyMat()
	likes := ""
	if likely {
		likes = m.Name
	}
	visible(a.rest.box, len(now) > 1)
	if slices.Equal(now, a.shown) && likes == a.likes && a.in == a.d.system() {
		return
	}
	a.shown, a.likes, a.in = now, likes, a.d.system()
	a.first.RemoveAll()
	a.rest.body.RemoveAll()
	if likely {
		a.first.Add(remark(fmt.Sprintf(tr.square.looksLike, m.Name), tr.square.useIt, func() { a.d.useMat(m) }))
	}
	for i, x := range now {
		to := a.first
		if i > 0 {
			to = a.rest.body
		}
		to.Add(remark(a.d.system().Sentence(x.Text), tr.square.show, func() { a.d.goPlace(x.At) }))
	}
	a.rest.head.SetText(counted(len(now)-1, tr.square.oneMore, tr.square.moreAdvice))
}

// remark is a sentence in small type with a button beside it.
func remark(text, word string, do func()) fyne.CanvasObject {
	l := prose(text)
	l.SizeName = theme.SizeNameCaptionText
	b := newButton(word, do)
	return container.NewBorder(nil, nil, nil, container.NewVBox(b), l)
}

// figureGroup holds the numbers behind the accuracy.
type figureGroup struct {
	d       *desk
	fold    *fold
	none    *widget.Label
	table   *fyne.Container
	numbers [7]*widget.Label
}

func newFigureGroup(d *desk) *figureGroup {
	g := &figureGroup{d: d, none: prose(tr.square.notYet), table: container.NewVBox()}
	for i, w := range [...]string{tr.rms, tr.worst, tr.leftOut, tr.lines, tr.samples, tr.terms, tr.square.scaleRow} {
		g.numbers[i] = value()
		g.table.Add(row(w, g.numbers[i]))
	}
	g.fold = newFold(tr.square.figuresHead, g.none, g.table)
	return g
}

func (g *figureGroup) update(q *rectify.Squared) {
	visible(g.none, q == nil)
	visible(g.table, q != nil)
	if q == nil || q.Fit == nil {
		g.fold.say("")
		return
	}
	rms := fmt.Sprintf(tr.average, q.Fit.RMSPx)
	g.fold.say(fmt.Sprintf(tr.square.figuresNote, rms))
	terms := strings.Join(q.Fit.Terms, " ")
	if terms == "" {
		terms = tr.noTerms
	}
	leftOut := "–"
	if q.Fit.LeftOutRMSMM > 0 {
		leftOut = g.d.residual(q.Fit.LeftOutRMSMM, 2)
	}
	m := q.Grid
	for i, text := range []string{
		rms, fmt.Sprintf(tr.average, q.Fit.MaxPx), leftOut,
		fmt.Sprintf("%d + %d", m.MaxColumn-m.MinColumn+1, m.MaxRow-m.MinRow+1),
		strconv.Itoa(len(q.Fit.Points)), terms, sourceText(q.Scale),
	} {
		g.numbers[i].SetText(text)
	}
}

// sourceText says where the scale came from.
func sourceText(s rectify.Scale) string {
	word := tr.square.sources[string(s.Source)]
	if word == "" {
		word = tr.square.sources[string(rectify.FromPitch)]
	}
	if s.Name != "" {
		return fmt.Sprintf(tr.square.scaleSource, word, s.Name)
	}
	return word
}

// showGroup shows and hides what tells of errors.
type showGroup struct {
	d                     *desk
	fold                  *fold
	lines, needles, shade *tickBox
	times                 [len(exaggerations)]*button
	timesRow              *fyne.Container
}

func newShowGroup(d *desk) *showGroup {
	g := &showGroup{d: d}
	g.lines = newTickBox(tr.showLines, func(on bool) { d.showLines(on) })
	g.needles = newTickBox(tr.square.needles, d.showNeedles)
	g.shade = newTickBox(tr.square.shade, d.showShade)
	g.timesRow = container.NewGridWithColumns(len(exaggerations))
	for i, x := range exaggerations {
		g.times[i] = newButton(fmt.Sprintf(tr.square.longer, x), func() { d.exaggerate(x) })
		g.timesRow.Add(g.times[i])
	}
	g.fold = newFold(tr.square.showHead, g.lines, g.needles, g.timesRow, g.shade)
	return g
}

func (g *showGroup) update() {
	e := g.d.editor
	for c, on := range map[*tickBox]bool{g.lines: e.showLines, g.needles: e.needles, g.shade: e.shade} {
		tick(c, on)
	}
	visible(g.timesRow, e.needles)
	for i, x := range exaggerations {
		importance := widget.MediumImportance
		if x == e.exaggerated {
			importance = widget.HighImportance
		}
		setImportance(g.times[i], importance)
	}
}

// tick sets a check box without telling anyone.
func tick(c *tickBox, on bool) {
	if c.Checked != on {
		c.Checked = on
		c.Refresh()
	}
}

// kindPicker says which printed lines are a pitch apart, where several could
// be.
type kindPicker struct {
	d       *desk
	label   *widget.Label
	choice  *choiceList
	shown   []string
	choices []int
	box     *fyne.Container
}

func newKindPicker(d *desk) *kindPicker {
	k := &kindPicker{d: d, label: label("")}
	k.choice = newChoiceList(nil, func(string) {
		if i := k.choice.SelectedIndex(); i >= 0 && i < len(k.choices) {
			d.settingChanged(d.s.SetKind(k.choices[i]))
		}
	})
	k.box = container.NewVBox(k.label, k.choice)
	return k
}

func (k *kindPicker) update(doc session.Document) {
	kinds := k.kinds(doc)
	visible(k.box, len(kinds) > 1 || doc.Kind > 0)
	k.label.SetText(fmt.Sprintf(tr.square.kindHead, k.d.typedLength(doc.PitchMM)))
	words, choices := []string{tr.square.kindAuto}, []int{0}
	for i := range max(len(kinds), doc.Kind) {
		text := kindWord(i + 1)
		if i < len(kinds) {
			text = fmt.Sprintf(tr.square.kindSquares, text, kinds[i].Across, kinds[i].Down)
		}
		words, choices = append(words, text), append(choices, i+1)
	}
	at := min(doc.Kind, len(words)-1)
	if slices.Equal(words, k.shown) && k.choice.SelectedIndex() == at {
		return
	}
	k.shown, k.choices = words, choices
	k.choice.Options = words
	k.choice.Selected = words[at]
	k.choice.Refresh()
}

// kinds are the spacings that the mat was seen to be printed with.
func (k *kindPicker) kinds(doc session.Document) []LineKind {
	r, ok := k.d.o.Job.(KindReader)
	if !ok || doc.Squared == nil || doc.SolvedBy != session.ByLines {
		return nil
	}
	return r.Kinds(doc.Squared)
}

func kindWord(n int) string {
	switch n {
	case 1:
		return tr.square.kindWide
	case 2:
		return tr.square.kindNext
	}
	return fmt.Sprintf(tr.square.kindNth, n)
}
