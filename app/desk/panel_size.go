package desk

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/rectify"
)

// sizeGroup says how large the mat's squares truly are: as printed, measured
// with a steel rule, or known from a mat measured before.
type sizeGroup struct {
	d        *desk
	fold     *fold
	choice   *choiceList
	rule     *fyne.Container
	spans    [2]spanRow
	factor   *widget.Label
	refused  *widget.Label
	profile  *fyne.Container
	turned   *tickBox
	unknown  *widget.Label
	keepBox  *fyne.Container
	keepName *widget.Entry
	keep     *button
}

// spanRow is "[20] squares across [508.4 mm]".
type spanRow struct {
	squares, length *field
	box             *fyne.Container
}

func newSizeGroup(d *desk) *sizeGroup {
	g := &sizeGroup{d: d, factor: head(""), refused: prose(""), unknown: prose(tr.square.matTurnUnknown)}
	g.refused.Importance = widget.WarningImportance
	g.choice = newChoiceList(nil, func(string) { g.chosen(g.choice.SelectedIndex()) })
	for i, word := range [2]string{tr.square.across, tr.square.down} {
		s := spanRow{squares: newField("20", 46, func(string) { g.typed() }), length: d.lengthField(tr.square.ruleHint, 96, func(string) { g.typed() })}
		s.squares.OnSubmitted = func(string) { s.squares.done(); d.win.Canvas().Focus(s.length) }
		s.box = container.NewBorder(nil, nil, s.squares, s.length, label(word))
		g.spans[i] = s
	}
	g.rule = container.NewVBox(prose(tr.square.sizeHint), g.spans[0].box, g.spans[1].box, g.refused)
	g.turned = newTickBox(tr.square.matTurned, func(on bool) { d.settingChanged(d.s.SetTurned(on)) })
	g.profile = container.NewVBox(g.turned, g.unknown)
	g.keepName = widget.NewEntry()
	g.keepName.PlaceHolder = tr.square.keepHint
	g.keepName.OnSubmitted = func(string) { d.keepMat(g.keepName.Text) }
	g.keep = newButton(tr.square.keep, func() { d.keepMat(g.keepName.Text) })
	g.keepBox = container.NewVBox(gap(), g.keepName, g.keep)
	g.fold = newFold(tr.square.sizeHead, g.choice, g.rule, g.profile, g.factor, g.keepBox)
	return g
}

// chosen takes the choice of a source: printed, rule, or a known mat.
func (g *sizeGroup) chosen(i int) {
	switch {
	case i == 0:
		g.d.settingChanged(g.d.s.SetScaleFrom(session.AsPrinted))
	case i == 1:
		g.d.settingChanged(g.d.s.SetScaleFrom(session.ByRule))
	case i-2 >= 0 && i-2 < len(g.d.mats):
		g.d.useMat(g.d.mats[i-2])
	}
}

// typed takes what was measured with a rule.
func (g *sizeGroup) typed() {
	var spans [2]rectify.Span
	for i, s := range g.spans {
		var ok bool
		if spans[i], ok = s.read(g.d); !ok {
			return
		}
	}
	g.d.settingChanged(g.d.s.SetSpans(spans[0], spans[1]))
}

// read returns the span typed; an empty half is 0.
func (s *spanRow) read(d *desk) (out rectify.Span, ok bool) {
	if t := strings.TrimSpace(s.squares.Text); t != "" {
		n, err := d.reading().Number(t)
		if err != nil || n >= 1e4 {
			d.refuse(t, err, fmt.Sprintf(tr.square.badSquares, t))
			return out, false
		}
		out.Squares = n
	}
	if t := strings.TrimSpace(s.length.Text); t != "" {
		mm, err := d.readField(s.length)
		if err != nil {
			d.refuse(t, err, fmt.Sprintf(tr.square.badLength, t))
			return out, false
		}
		out.LengthMM = mm
	}
	return out, true
}

func (s *spanRow) show(d *desk, x rectify.Span) {
	squares := ""
	if x.Squares > 0 {
		squares = strconv.FormatFloat(x.Squares, 'f', -1, 64)
	}
	s.squares.show(squares)
	d.showLength(s.length, x.LengthMM)
}

func (g *sizeGroup) update(doc session.Document) {
	g.updateChoice(doc)
	visible(g.rule, doc.ScaleFrom == session.ByRule)
	visible(g.profile, doc.ScaleFrom == session.ByProfile)
	g.spans[0].show(g.d, doc.Across)
	g.spans[1].show(g.d, doc.Down)
	tick(g.turned, doc.Turned)
	visible(g.unknown, g.d.liesOf(doc.Mat.Name) == MatLiesUnknown)
	s, err := doc.Scale()
	var span *rectify.SpanError
	visible(g.refused, errors.As(err, &span))
	visible(g.factor, err == nil && doc.ScaleFrom != session.AsPrinted)
	text := ""
	if err != nil {
		g.refused.SetText(g.d.inWords(err) + ".")
	} else {
		text = factorText(s)
	}
	g.factor.SetText(text)
	g.fold.say(g.note(doc, s))
	measured := err == nil && doc.ScaleFrom == session.ByRule && s.Source == rectify.FromRule
	visible(g.keepBox, measured && g.d.o.Mats != nil && doc.Squared != nil && !g.d.s.Stale())
}

// note is what the closed group says.
func (g *sizeGroup) note(doc session.Document, s rectify.Scale) string {
	switch {
	case doc.Squared != nil && doc.SolvedBy == session.BySheet:
		return tr.square.bySheet
	case doc.ScaleFrom == session.ByProfile:
		return fmt.Sprintf(tr.square.scaleSource, tr.square.sources[string(rectify.FromProfile)], doc.Mat.Name)
	case doc.ScaleFrom == session.ByRule && s.X > 0:
		return factorText(s)
	}
	return tr.square.asPrinted
}

// factorText says how far the mat is from its nominal size.
func factorText(s rectify.Scale) string {
	if s.X == 0 || s.X == 1 && s.Y == 1 {
		return tr.square.factorNone
	}
	return fmt.Sprintf(tr.square.factorBoth, 100*(s.X-1), 100*(s.Y-1))
}

func (g *sizeGroup) updateChoice(doc session.Document) {
	words := []string{tr.square.asPrinted, tr.square.withRule}
	at := int(doc.ScaleFrom)
	for i, m := range g.d.mats {
		words = append(words, matWord(m))
		if doc.ScaleFrom == session.ByProfile && m.Name == doc.Mat.Name {
			at = i + 2
		}
	}
	if at == int(session.ByProfile) && (len(g.d.mats) == 0 || g.d.mats[0].Name != doc.Mat.Name) {
		// A mat that is no longer on the list.
		words = append(words, doc.Mat.Name)
		at = len(words) - 1
	}
	if slices.Equal(words, g.choice.Options) && g.choice.Selected == words[at] {
		return
	}
	g.choice.Options, g.choice.Selected = words, words[at]
	g.choice.Refresh()
}

func matWord(m KnownMat) string {
	switch {
	case m.Likely:
		return fmt.Sprintf(tr.square.matLikely, m.Name)
	case m.Lies == MatIsAnother:
		return fmt.Sprintf(tr.square.matOther, m.Name)
	}
	return m.Name
}
