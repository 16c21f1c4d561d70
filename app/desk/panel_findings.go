package desk

import (
	"fmt"
	"image/color"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// checkPanel lists the findings: how bad by word and shape, where, and the
// mend that is offered.
type checkPanel struct {
	d       *desk
	none    *widget.Label
	list    *fyne.Container
	limits  *limitsBox
	seen    *widget.Label
	again   *button
	version int
	system  units.System
	pal     palette
	box     fyne.CanvasObject
	// found are the findings listed, heads the first line of each.
	found []session.Finding
	heads []*widget.Label
}

func newCheckPanel(d *desk) *checkPanel {
	p := &checkPanel{d: d, none: prose(""), list: container.NewVBox(), limits: newLimitsBox(d)}
	p.seen, p.again = prose(""), newButton(tr.seen.again, func() { d.s.ShowSeen(); d.changed() })
	p.box = column(heading(tr.findings), p.none, p.list, p.seen, p.again, gap(), p.limits.fold.box)
	return p
}

func (p *checkPanel) object() fyne.CanvasObject { return p.box }

func (p *checkPanel) update() {
	found := p.d.s.Findings()
	doc := p.d.s.Document()
	visible(p.none, len(found) == 0)
	p.none.SetText(tr.noFindings)
	if len(doc.Pattern.Pieces) == 0 {
		p.none.SetText(tr.noPieces)
	}
	p.limits.update(doc.Pattern.Limits)
	n := p.d.s.SeenFindings()
	visible(p.seen, n > 0)
	visible(p.again, n > 0)
	p.seen.SetText(counted(n, tr.seen.one, tr.seen.many))
	if p.version == p.d.s.Version() && p.pal == p.d.pal && p.system == p.d.system() {
		return
	}
	p.version, p.pal, p.system = p.d.s.Version(), p.d.pal, p.d.system()
	p.found, p.heads = found, nil
	p.fill()
}

// fill lists the findings anew. They are laid out once, at the end: row by row that
// takes the square of their number.
func (p *checkPanel) fill() {
	rows := p.list.Layout
	p.list.Layout = nil
	p.list.RemoveAll()
	for i, f := range p.found {
		p.add(i, f)
	}
	p.list.Layout = rows
	p.list.Refresh()
}

// point brings the row of a finding into view and sets it off from the others.
func (p *checkPanel) point(f session.Finding) {
	for i, l := range p.heads {
		l.Importance = widget.MediumImportance
		if p.found[i] == f {
			l.Importance = widget.HighImportance
			reveal(l)
		}
		l.Refresh()
	}
}

// add lists one finding.
func (p *checkPanel) add(i int, f session.Finding) {
	show := newButton(tr.goThere, func() { p.d.goFinding(f) })
	word := head(fmt.Sprintf("%d  %s", i+1, tr.seam.severities[min(int(f.Severity), 2)]))
	sign := container.NewCenter(container.NewGridWrap(fyne.NewSize(14, 14), severitySign(f.Severity, p.d.pal)))
	p.heads = append(p.heads, word)
	right := container.NewHBox(show)
	if f.Severity < pattern.Fault {
		right = container.NewHBox(newButton(tr.seen.take, func() { p.d.s.TakeAsSeen(f); p.d.changed() }), show)
	}
	p.list.Add(container.NewBorder(nil, nil, container.NewHBox(sign, word), right))
	p.list.Add(prose(p.d.findingText(f) + p.d.foundIn(f)))
	if id := p.d.lacksThickness(f); id != "" {
		p.list.Add(newButton(tr.thicknessGive, func() { p.d.giveThickness(id) }))
	}
	for _, m := range []pattern.Mend{f.Mend, f.Other} {
		if text := m.Label(); text != "" {
			one := f
			one.Mend = m
			p.list.Add(newButton(trimmed(p.d.system().Sentence(text), buttonWords, asItIs), func() { p.d.mend(one) }))
		}
	}
	p.offerAll(f)
	p.list.Add(gap())
}

// manyOfAKind is from how many findings of a group on it is worth a button to deal
// with all of them.
const manyOfAKind = 3

// offerAll offers, below the first finding of a group, what can be done for all of
// it.
func (p *checkPanel) offerAll(f session.Finding) {
	g, n, first := f.Group(), 0, -1
	for i, x := range p.found {
		if x.Group() == g {
			if n++; first < 0 {
				first = i
			}
		}
	}
	if n < manyOfAKind || p.found[first] != f {
		return
	}
	for _, m := range []pattern.Mend{f.Mend, f.Other} {
		word, ok := tr.seen.mendAll[m.Kind]
		if count := p.d.s.CountMends(g, m.Kind); ok && count >= manyOfAKind {
			text := fmt.Sprintf(word, count)
			p.list.Add(newButton(trimmed(text, buttonWords, asItIs), func() { p.d.mendAll(g, m.Kind, text, count) }))
		}
	}
	if f.Severity < pattern.Fault {
		p.list.Add(newButton(fmt.Sprintf(tr.seen.takeAll, n), func() { p.d.s.TakeAllAsSeen(g); p.d.changed() }))
	}
}

// mendAll makes all mends of a kind in a group as one step, and says when some
// could not be made.
func (d *desk) mendAll(g session.Group, kind pattern.MendKind, text string, count int) {
	made, err := d.s.MendAll(g, kind, text)
	switch {
	case made == 0 && err != nil:
		d.strip.say(d.inWords(err) + ".")
	case err != nil:
		d.strip.say(fmt.Sprintf(tr.seen.someLeft, made, count, d.inSentence(err)))
	case kind == pattern.TurnPiece:
		d.strip.tell(fmt.Sprintf(tr.seen.turnedAll, made))
	}
	d.changed()
}

// lacksThickness returns the piece whose thickness has to be given before a cut of
// it can be made; empty when a finding is about something else.
func (d *desk) lacksThickness(f session.Finding) string {
	if f.Severity != pattern.Fault || f.EdgeID == "" {
		return ""
	}
	for _, p := range d.s.Document().Pattern.Pieces {
		if slices.ContainsFunc(p.Edges, func(e pattern.Edge) bool { return e.ID == f.EdgeID }) && p.ThicknessMM <= 0 {
			return p.ID
		}
	}
	return ""
}

// giveThickness leads to where a piece's thickness is typed.
func (d *desk) giveThickness(pieceID string) {
	d.s.SelectPiece(pieceID)
	d.goTo(session.StageMarkUp)
	if p, ok := d.panels[session.StageMarkUp].(*markPanel); ok {
		d.win.Canvas().Focus(p.thickness)
	}
}

// severityInk is the colour of a severity.
func severityInk(s pattern.Severity, pal palette) color.NRGBA {
	switch s {
	case pattern.Fault:
		return pal.wrong
	case pattern.Warning:
		return pal.needs
	}
	return pal.accent
}

// severitySign is a triangle for a fault, a square for a warning, a circle for
// a note.
func severitySign(s pattern.Severity, pal palette) fyne.CanvasObject {
	ink := severityInk(s, pal)
	switch s {
	case pattern.Fault:
		return canvas.NewPolygon(3, ink)
	case pattern.Warning:
		return canvas.NewRectangle(ink)
	}
	return canvas.NewCircle(ink)
}

// limit is one number that the findings hold the pattern to.
type limit struct {
	of    func(*pattern.Limits) *float64
	unit  limitUnit
	input *field
}

// limitUnit is what a limit counts.
type limitUnit uint8

const (
	inMM limitUnit = iota
	inDeg
	// inTimes counts thicknesses, inPercent parts of a hundred.
	inTimes
	inPercent
)

// limitsBox edits what the findings hold the pattern to.
type limitsBox struct {
	d      *desk
	fold   *fold
	limits []*limit
}

func newLimitsBox(d *desk) *limitsBox {
	p := &limitsBox{d: d}
	rows := []fyne.CanvasObject{prose(tr.seam.limitsHint)}
	for i, l := range []*limit{
		{of: func(x *pattern.Limits) *float64 { return &x.SeamMM }},
		{of: func(x *pattern.Limits) *float64 { return &x.SeamPart }, unit: inPercent},
		{of: func(x *pattern.Limits) *float64 { return &x.MarkMM }},
		{of: func(x *pattern.Limits) *float64 { return &x.BareSeamMM }},
		{of: func(x *pattern.Limits) *float64 { return &x.LeastDeg }, unit: inDeg},
		{of: func(x *pattern.Limits) *float64 { return &x.MostDeg }, unit: inDeg},
		{of: func(x *pattern.Limits) *float64 { return &x.AngleDeg }, unit: inDeg},
		{of: func(x *pattern.Limits) *float64 { return &x.RadiusThicknesses }, unit: inTimes},
		{of: func(x *pattern.Limits) *float64 { return &x.DartMM }},
		{of: func(x *pattern.Limits) *float64 { return &x.SpikeMM }},
		{of: func(x *pattern.Limits) *float64 { return &x.SliverMM }},
		{of: func(x *pattern.Limits) *float64 { return &x.SheetWidthMM }},
		{of: func(x *pattern.Limits) *float64 { return &x.SheetHeightMM }},
	} {
		usual := pattern.DefaultLimits()
		var hint bySystem
		for s := range hint {
			if hint[s] = l.text(*l.of(&usual), units.System(s)); hint[s] == "" {
				hint[s] = tr.seam.noneHint
			}
		}
		typed := func(text string) { p.typed(l, text) }
		if l.unit == inMM {
			l.input = d.lengthField(hint, 100, typed)
		} else {
			l.input = newField(hint[0], 100, typed)
		}
		p.limits = append(p.limits, l)
		rows = append(rows, row(tr.seam.limits[i], l.input))
	}
	p.fold = newFold(tr.seam.limitsHead, rows...)
	return p
}

// text is a limit as it is typed; empty for the usual one.
func (l *limit) text(v float64, s units.System) string {
	switch {
	case v < 0:
		return tr.seam.off
	case v == 0:
		return ""
	case l.unit == inDeg:
		return units.FormatDeg(v)
	case l.unit == inTimes:
		return strconv.FormatFloat(v, 'g', 4, 64) + " ×"
	case l.unit == inPercent:
		return strconv.FormatFloat(100*v, 'g', 4, 64) + " %"
	}
	return s.Typed(v)
}

// read returns a typed limit: nothing is the usual one, "off" none.
func (l *limit) read(d *desk, text string) (float64, error) {
	text = strings.TrimSpace(text)
	switch {
	case text == "":
		return 0, nil
	case strings.EqualFold(text, tr.seam.off):
		return -1, nil
	case l.unit == inDeg:
		return units.ParseSignedDeg(text)
	case l.unit == inTimes:
		return d.readNumber(text, "×", 100)
	case l.unit == inPercent:
		v, err := d.readNumber(text, "%", 50)
		return v / 100, err
	}
	return d.readLength(text)
}

// readNumber reads a number above zero, with its sign behind it or without.
func (d *desk) readNumber(text, sign string, most float64) (float64, error) {
	v, err := d.reading().Number(strings.TrimSuffix(text, sign))
	if err == nil && v > most {
		err = fmt.Errorf("%g is more than %g", v, most)
	}
	return v, err
}

func (p *limitsBox) typed(l *limit, text string) {
	v, err := l.read(p.d, text)
	if err != nil {
		p.d.refuse(text, err, fmt.Sprintf(tr.seam.badLimit, text))
		return
	}
	have := p.d.s.Document().Pattern.Limits
	*l.of(&have) = v
	p.d.s.SetLimits(have)
	p.d.changed()
}

func (p *limitsBox) show(l *limit, v float64) {
	if l.unit == inMM && v > 0 {
		p.d.showLength(l.input, v)
		return
	}
	l.input.show(p.d.reading().Clear(l.text(v, p.d.system())))
}

func (p *limitsBox) update(have pattern.Limits) {
	changed := 0
	for _, l := range p.limits {
		v := *l.of(&have)
		p.show(l, v)
		if v != 0 {
			changed++
		}
	}
	note := tr.seam.usual
	if changed > 0 {
		note = fmt.Sprintf(tr.seam.changedLimits, changed)
	}
	p.fold.say(note)
}
