package desk

import (
	"fmt"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// tapesBox lists the colours of tape that run along edges and what each of
// them means. A colour is told by its word as well as by its swatch.
type tapesBox struct {
	d       *desk
	fold    *fold
	list    *fyne.Container
	rows    []*tapeRow
	version int
	pal     palette
	// shown is the tape whose edges are pointed out, empty for none.
	shown string
}

// tapeRow is one colour.
type tapeRow struct {
	name   *field
	show   *button
	means  *choiceList
	angle  *field
	same   *choiceList
	noTape *button
}

func newTapesBox(d *desk) *tapesBox {
	p := &tapesBox{d: d, list: container.NewVBox()}
	p.fold = newFold(tr.tape.head, prose(tr.tape.what), p.list)
	return p
}

// tapeCuts are the cuts a colour can be given, in the order of the choice:
// straight, and each preset of bevel and undercut. Other angles are typed.
func tapeCuts() []pattern.Cut {
	cuts := []pattern.Cut{{Kind: pattern.Straight}}
	for _, k := range []pattern.CutKind{pattern.Bevel, pattern.Undercut} {
		for _, deg := range presetsDeg {
			cuts = append(cuts, pattern.Cut{Kind: k, AngleDeg: deg})
		}
	}
	return cuts
}

// cutWords is a cut in words: "Bevel 45°".
func cutWords(c pattern.Cut) string {
	switch c.Kind {
	case pattern.Bevel:
		return tr.bevel + " " + units.FormatDeg(c.AngleDeg)
	case pattern.Undercut:
		return tr.undercut + " " + units.FormatDeg(c.AngleDeg)
	}
	return tr.straight
}

// update lists the tapes; false when there are none.
func (p *tapesBox) update() bool {
	doc := p.d.s.Document()
	tapes := doc.Pattern.Tapes
	visible(p.fold.box, len(tapes) > 0)
	if len(tapes) == 0 {
		p.shown = ""
		return false
	}
	p.fold.say(tapesText(tapes))
	if p.version != p.d.s.Version() || p.pal != p.d.pal {
		p.version, p.pal = p.d.s.Version(), p.d.pal
		p.list.RemoveAll()
		p.rows = nil
		for i := range tapes {
			p.add(tapes, i, doc.Pattern.TapedEdges(tapes[i].ID))
		}
	}
	for i, t := range tapes {
		p.rows[i].show.SetText(tr.tape.show)
		if t.ID == p.shown {
			p.rows[i].show.SetText(tr.tape.hide)
			p.d.editor.offered = map[string]bool{}
			for _, id := range doc.Pattern.TapedEdges(t.ID) {
				p.d.editor.offered[id] = true
			}
		}
	}
	return true
}

// tapesText is what the closed group says.
func tapesText(tapes []pattern.Tape) string {
	unsaid := 0
	for _, t := range tapes {
		if !t.Meant {
			unsaid++
		}
	}
	if unsaid > 0 {
		return fmt.Sprintf(tr.tape.unsaidCount, unsaid, len(tapes))
	}
	return counted(len(tapes), tr.tape.oneColour, tr.tape.colours)
}

// add lists one tape.
func (p *tapesBox) add(tapes []pattern.Tape, i int, edges []string) {
	t := tapes[i]
	r := &tapeRow{}
	r.name = newField("", 96, func(text string) { p.d.report(p.d.s.RenameTape(t.ID, text)) })
	r.name.show(t.Name)
	r.show = newButton(tr.tape.show, func() { p.point(t.ID) })
	enable(r.show, len(edges) > 0)
	top := container.NewBorder(nil, nil,
		container.NewHBox(tapeSample(t.SRGB, p.d.pal), r.name, label(counted(len(edges), tr.tape.oneEdge, tr.tape.edges))), r.show)
	r.means = p.meaning(t)
	r.angle = newField("22.5", 70, func(text string) { p.angleTyped(t, text) })
	if leans(t.Cut) && t.Meant {
		r.angle.show(units.FormatDeg(t.Cut.AngleDeg))
	}
	visible(r.angle, leans(t.Cut) && t.Meant)
	p.list.Add(top)
	p.list.Add(container.NewBorder(nil, nil, label(tr.tape.means), r.angle, r.means))
	r.noTape = newButton(tr.tape.noTape, func() { p.d.report(p.d.s.RemoveTape(t.ID)) })
	foot := container.NewBorder(nil, nil, nil, r.noTape)
	if len(tapes) > 1 {
		r.same = p.merging(tapes, i)
		foot = container.NewBorder(nil, nil, label(tr.tape.sameAs), r.noTape, r.same)
	}
	p.list.Add(foot)
	p.list.Add(gap())
	p.rows = append(p.rows, r)
}

// meaning is the choice of a tape's cut.
func (p *tapesBox) meaning(t pattern.Tape) *choiceList {
	cuts := tapeCuts()
	options := []string{tr.tape.unsaid}
	at := 0
	for i, c := range cuts {
		options = append(options, cutWords(c))
		if t.Meant && c == t.Cut {
			at = i + 1
		}
	}
	if t.Meant && at == 0 {
		options = append(options, cutWords(t.Cut))
		cuts = append(cuts, t.Cut)
		at = len(options) - 1
	}
	s := newChoiceList(options, nil)
	s.SetSelectedIndex(at)
	s.OnChanged = func(string) {
		if i := s.SelectedIndex(); i > 0 {
			p.d.report(p.d.s.SetTapeMeaning(t.ID, cuts[i-1]))
			return
		}
		p.d.report(p.d.s.ForgetTapeMeaning(t.ID))
	}
	return s
}

// merging is the choice of the other colour that a tape is the same as: the
// chosen one stays.
func (p *tapesBox) merging(tapes []pattern.Tape, i int) *choiceList {
	var names, ids []string
	for k, t := range tapes {
		if k != i {
			names, ids = append(names, t.Name), append(ids, t.ID)
		}
	}
	s := newChoiceList(names, nil)
	s.PlaceHolder = tr.tape.pick
	s.OnChanged = func(string) { p.d.report(p.d.s.MergeTapes(ids[s.SelectedIndex()], tapes[i].ID)) }
	return s
}

func (p *tapesBox) angleTyped(t pattern.Tape, text string) {
	deg, err := units.ParseAngleDeg(text)
	if err != nil {
		p.d.strip.say(fmt.Sprintf(tr.badAngle, text))
		return
	}
	p.d.report(p.d.s.SetTapeMeaning(t.ID, pattern.Cut{Kind: t.Cut.Kind, AngleDeg: deg}))
}

// point points a tape's edges out in the picture, or no longer.
func (p *tapesBox) point(id string) {
	if p.shown == id {
		id = ""
	}
	p.shown = id
	p.d.changed()
}

func leans(c pattern.Cut) bool { return c.Kind == pattern.Bevel || c.Kind == pattern.Undercut }

// tapeSample shows a colour, with a frame that shows on any ground.
func tapeSample(srgb [3]uint8, pal palette) fyne.CanvasObject {
	r := canvas.NewRectangle(color.NRGBA{R: srgb[0], G: srgb[1], B: srgb[2], A: 255})
	r.StrokeColor, r.StrokeWidth = pal.ink, 1
	return container.NewCenter(container.NewGridWrap(fyne.NewSize(20, 20), r))
}
