package desk

import (
	"fmt"
	"image/color"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/keep"
)

// shownRecent is how many projects are offered to go on with.
const shownRecent = 5

// projectBox tells where the work is kept and offers other projects.
type projectBox struct {
	d      *desk
	where  *widget.Label
	saveAs *button
	recent *fyne.Container
	shown  string
	box    *fyne.Container
}

func newProjectBox(d *desk) *projectBox {
	w := &tr.keep
	p := &projectBox{d: d, where: prose(w.what), recent: container.NewVBox()}
	p.saveAs = newButton(w.saveAs, d.chooseProject)
	p.box = container.NewVBox(head(w.head), p.where, p.saveAs, p.recent)
	visible(p.box, d.keeps())
	return p
}

func (p *projectBox) update() {
	if !p.d.keeps() {
		return
	}
	text, open := tr.keep.what, ""
	if k := p.d.kept.k; k != nil {
		open = k.Project().Path()
		if err := k.Project().Stored(); err != nil {
			text = tr.keep.keptNowhere
		} else {
			text = fmt.Sprintf(tr.keep.keptIn, filepath.Base(open))
		}
	}
	if p.where.Text != text {
		p.where.SetText(text)
	}
	enable(p.saveAs, p.d.kept.k != nil)
	p.list(open)
}

// list offers the recent projects but the open one.
func (p *projectBox) list(open string) {
	var there []keep.Recent
	key := open
	for _, r := range p.d.kept.prefs.There() {
		if r.Path != open && len(there) < shownRecent {
			there = append(there, r)
			key += "\n" + r.Path + r.At.String()
		}
	}
	if key == p.shown {
		return
	}
	p.shown = key
	p.recent.RemoveAll()
	if len(there) > 0 {
		p.recent.Add(label(tr.keep.recent))
	}
	for _, r := range there {
		p.recent.Add(p.d.recentButton(r))
	}
}

// recentButton goes on with a project.
func (d *desk) recentButton(r keep.Recent) *button {
	title := trimmed(recentName(r), buttonWords, func(name string) string { return recentTitle(r, name) })
	b := newButton(title, func() { d.openProject(r.Path) })
	b.Alignment = widget.ButtonAlignLeading
	return b
}

// recentName is a project's name.
func recentName(r keep.Recent) string {
	return strings.TrimSuffix(filepath.Base(r.Path), filepath.Ext(r.Path))
}

// recentTitle is a project's name as it is shown, and when it was changed last.
func recentTitle(r keep.Recent, name string) string {
	return fmt.Sprintf("%s, %s", name, r.At.Local().Format("2 Jan 15:04"))
}

// recentOnBench offers recent projects on the empty bench; nil for none.
func (d *desk) recentOnBench() fyne.CanvasObject {
	there := d.kept.prefs.There()
	if len(there) == 0 {
		return nil
	}
	box := container.NewVBox(gap(), widget.NewLabelWithStyle(tr.keep.recent, fyne.TextAlignCenter, fyne.TextStyle{Bold: true}))
	for _, r := range there[:min(len(there), shownRecent)] {
		box.Add(d.recentButton(r))
	}
	return box
}

// hints are the three sentences of the first run.
type hints struct {
	d      *desk
	at     int
	text   *widget.Label
	count  *widget.Label
	next   *button
	ground *canvas.Rectangle
	frame  *canvas.Rectangle
	box    *fyne.Container
}

func newHints(d *desk) *hints {
	w := &tr.keep
	h := &hints{d: d, text: prose(""), count: label("")}
	h.next = primary(w.hintNext, h.step)
	enough := newButton(w.hintEnough, h.end)
	h.ground = d.ground()
	h.frame = canvas.NewRectangle(color.Transparent)
	h.frame.StrokeColor, h.frame.StrokeWidth = d.pal.accent, 1.5
	row := container.NewHBox(h.count, h.next, enough)
	card := container.NewStack(newBlanket(), h.ground, container.NewPadded(container.NewVBox(fixed(520, h.text), row)))
	framed := container.NewStack(card, h.frame)
	h.box = container.New(layout.NewCustomPaddedLayout(0, 14, 0, 0), container.NewBorder(nil, container.NewCenter(framed), nil, nil))
	h.box.Hide()
	return h
}

// begin shows the first hint.
func (h *hints) begin() {
	h.at = 0
	h.show()
}

func (h *hints) show() {
	h.text.SetText(tr.keep.hints[h.at])
	h.count.SetText(fmt.Sprintf(tr.keep.hintCount, h.at+1, len(tr.keep.hints)))
	visible(h.next, h.at+1 < len(tr.keep.hints))
	h.box.Show()
}

func (h *hints) step() {
	h.at++
	h.show()
	h.d.focusEditor()
}

// end puts the hints away for good.
func (h *hints) end() {
	h.box.Hide()
	h.d.kept.prefs.HintsSeen = true
	h.d.writePreferences()
	h.d.focusEditor()
}

// firstRun opens the demo with its hints when the window opens for the first
// time and nothing else is to be opened.
func (d *desk) firstRun() {
	if !d.keeps() || d.kept.prefs.HintsSeen || len(d.kept.prefs.Recent) > 0 || d.o.DemoPath == "" || d.o.StartFile != "" {
		return
	}
	d.hints.begin()
	d.openDemo()
}
