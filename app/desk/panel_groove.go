package desk

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// groovesBox bends a piece by a run of grooves, on the selected edge or beside
// the selected line. What is typed is worked out at once; the pattern changes
// only at the button.
type groovesBox struct {
	d                              *desk
	fold                           *fold
	radius, bend, over, web, stray *field
	gives                          *widget.Label
	set, drop                      *button
	// place is the piece and place that the fields were filled in for.
	place string
}

// usualStrayMM is how far the facets between grooves may stray from the arc
// when nothing else is typed: hardly to be felt under paint (common practice,
// no source).
const usualStrayMM = 0.5

// usualWeb is the part of the sheet left uncut under grooves.
const usualWeb = 0.1

func newGroovesBox(d *desk) *groovesBox {
	w := &tr.groove
	p := &groovesBox{d: d, gives: prose("")}
	live := func(f *field, twin func()) *field {
		f.OnChanged = func(string) {
			if f.editing {
				twin()
			}
			p.show()
		}
		return f
	}
	show := func(string) { p.show() }
	length := func(hint bySystem) *field { return d.lengthField(hint, 90, show) }
	p.radius = live(length(w.radiusHint), func() { p.bend.SetText("") })
	p.bend = live(newField(w.bendHint, 90, show), func() { p.radius.SetText("") })
	p.over = live(length(w.overHint), func() {})
	p.web = live(length(bySystem{}), func() {})
	p.stray = live(length(bySystem{units.Millimetres.Typed(usualStrayMM), units.Inches.Typed(usualStrayMM)}), func() {})
	p.set = newButton(w.set, p.apply)
	p.drop = newButton(w.drop, func() { d.report(d.s.DropGrooves()) })
	p.fold = newFold(w.head, prose(w.what), row(w.radius, p.radius), row(w.bend, p.bend), row(w.over, p.over),
		row(w.web, p.web), row(w.stray, p.stray), p.gives, container.NewVBox(p.set, p.drop))
	return p
}

// update follows the selection.
func (p *groovesBox) update() {
	q, at, ok := p.d.s.GroovePlace()
	visible(p.fold.box, ok)
	if !ok {
		p.place = ""
		return
	}
	if place := fmt.Sprint(q.ID, at); place != p.place {
		p.place = place
		p.clear(q, at)
	}
	n := q.GroovesAt(at)
	note := ""
	p.set.SetText(tr.groove.set)
	if n > 0 {
		note = fmt.Sprintf(tr.groove.count, n)
		p.set.SetText(tr.groove.change)
	}
	visible(p.drop, n > 0)
	p.fold.say(note)
	p.web.SetPlaceHolder(p.d.typedLength(usualWeb * q.ThicknessMM))
	p.show()
}

// clear empties the fields for another place; over is the whole edge.
func (p *groovesBox) clear(q pattern.Piece, at pattern.GroovePlace) {
	for _, f := range []*field{p.radius, p.bend, p.over, p.web, p.stray} {
		f.show("")
		f.SetText("")
	}
	if d, ok := p.d.s.Shapes().Edge(at.Edge); ok {
		p.d.showLength(p.over, math.Round(10*d.LengthMM)/10)
	}
}

// show says what the fields give, or why they give nothing.
func (p *groovesBox) show() {
	want, err := p.want()
	ok := err == nil
	text := ""
	if ok {
		var g pattern.Grooving
		if g, err = p.d.s.PlanGrooves(want); err == nil {
			text = groovesText(g, p.d.system())
		}
	}
	if err != nil {
		text = p.d.inWords(err) + "."
	}
	p.gives.SetText(text)
	enable(p.set, err == nil)
	p.d.relayPanel()
}

func groovesText(g pattern.Grooving, s units.System) string {
	deg := func(v float64) string { return units.FormatDeg(math.Round(10*v) / 10) }
	return fmt.Sprintf(tr.groove.gives, g.Count, s.Length(g.SpacingMM, 1), s.Length(g.DepthMM, 1), s.Length(g.WidthMM, 1),
		deg(g.BendDeg), deg(g.HalfDeg), deg(g.BendDeg*float64(g.Count)))
}

// want reads the fields.
func (p *groovesBox) want() (pattern.GrooveRun, error) {
	q, _, _ := p.d.s.GroovePlace()
	want := pattern.GrooveRun{WebMM: usualWeb * q.ThicknessMM, SagittaMM: usualStrayMM}
	for _, x := range []struct {
		f  *field
		to *float64
	}{{p.over, &want.ArcMM}, {p.web, &want.WebMM}, {p.stray, &want.SagittaMM}, {p.radius, &want.RadiusMM}} {
		text := strings.TrimSpace(x.f.Text)
		if text == "" {
			continue
		}
		mm, err := p.d.readField(x.f)
		if err != nil {
			return want, errors.New(strings.TrimSuffix(refusal(text, err, fmt.Sprintf(tr.groove.bad, text)), "."))
		}
		*x.to = mm
	}
	if text := strings.TrimSpace(p.bend.Text); text != "" {
		deg, err := units.ParseSignedDeg(text)
		if err != nil || !(deg > 0) {
			return want, fmt.Errorf(tr.groove.bad, text)
		}
		want.RadiusMM = want.ArcMM / (deg * math.Pi / 180)
	}
	if want.RadiusMM == 0 {
		return want, fmt.Errorf("%s", tr.groove.notYet)
	}
	return want, nil
}

func (p *groovesBox) apply() {
	want, err := p.want()
	if err == nil {
		_, err = p.d.s.SetGrooves(want)
	}
	p.d.report(err)
}
