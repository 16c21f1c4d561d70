package desk

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"path/filepath"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
)

// PageShower is a Job that can show a page as it will be printed, counted from
// 0; widthPx is how wide the picture will be shown. It returns what the page is
// called, and how many there are.
type PageShower interface {
	ShowPage(ctx context.Context, x session.Printout, page, widthPx int) (image.Image, string, int, error)
}

// printPanel says how the pattern is printed, shows the pages, and saves them.
type printPanel struct {
	d                  *desk
	papers, laid, lies *choiceList
	own                *field
	ownRow             *fyne.Container
	ownWord            *widget.Label
	// asked is the paper that was in force when one of the maker's own was asked
	// for.
	asked               string
	margin, overlap     *field
	short, long         *field
	svg, dxf, bundle    *tickBox
	sheets, printer, by *fold
	pages, name         *widget.Label
	faults              *widget.Label
	faulty              *fyne.Container
	look                *button
	shown               *canvas.Image
	table               *canvas.Rectangle
	picture             *presser
	larger, find        *button
	// large shows a page as large as the window is, nil for none.
	large        *pageView
	back, forth  *button
	preview      *fyne.Container
	save, folder *button
	move, usual  *button
	moved        *widget.Label
	box          fyne.CanvasObject
	// foot stays in sight below what the window has no room for.
	foot *fyne.Container

	// page is the page shown, of so many; shownFor the state it was drawn for.
	page, of int
	title    string
	shownFor string
	drawing  bool
}

func newPrintPanel(d *desk) *printPanel {
	p := &printPanel{d: d, pages: value(), name: prose(""), faults: prose("")}
	p.look = newButton("", func() { d.goTo(session.StageCheck) })
	p.faulty = container.NewVBox(p.faults, p.look)
	var names []string
	for _, n := range d.o.papers() {
		names = append(names, paperTitle(n))
	}
	p.papers = newChoiceList(append(names, tr.print.roll, tr.print.customPaper), p.paperChosen)
	p.own = d.paperField(tr.print.ownHint, 130, p.ownTyped)
	p.ownWord = label("")
	p.ownRow = container.NewBorder(nil, nil, p.ownWord, p.own)
	p.ownRow.Hide()
	p.laid = newChoiceList([]string{tr.print.asLaid, tr.print.packed}, func(string) {
		p.change(func(x *session.Print) { x.Packed = p.laid.SelectedIndex() == 1 })
	})
	p.lies = newChoiceList([]string{tr.print.auto, tr.print.portrait, tr.print.landscape}, func(string) {
		p.change(func(x *session.Print) { x.Orientation = orientations[max(0, p.lies.SelectedIndex())] })
	})
	p.margin = d.lengthField(tr.print.stripHint, 90, p.typedWithin(5, 60, tr.print.badMargin, func(x *session.Print) *float64 { return &x.MarginMM }))
	p.overlap = d.lengthField(tr.print.stripHint, 90, p.typedWithin(0, 40, tr.print.badOverlap, func(x *session.Print) *float64 { return &x.OverlapMM }))
	p.move, p.usual, p.moved = newButton(tr.print.move, d.toggleSheets), newButton(tr.print.backToUsual, d.sheetsBack), prose("")
	p.sheets = newFold(tr.print.sheets, p.move, p.moved, p.usual, row(tr.print.lies, p.lies), row(tr.print.margin, p.margin), row(tr.print.overlap, p.overlap))
	p.short = d.lengthField(tr.print.measuredHint, 90, p.typedWithin(97, 103, tr.print.badSquare, func(x *session.Print) *float64 { return &x.ShortMM }))
	p.long = d.lengthField(tr.print.measuredHint, 90, p.typedWithin(97, 103, tr.print.badSquare, func(x *session.Print) *float64 { return &x.LongMM }))
	p.printer = newFold(tr.print.printer, d.spoken(tr.print.printerWhat), row(tr.print.short, p.short), row(tr.print.long, p.long))
	p.svg = p.also(tr.print.svg, func(x *session.Print) *bool { return &x.SVG })
	p.dxf = p.also(tr.print.dxf, func(x *session.Print) *bool { return &x.DXF })
	p.bundle = p.also(tr.print.bundle, func(x *session.Print) *bool { return &x.Bundle })
	p.by = newFold(tr.print.also, p.svg, p.dxf, p.bundle, prose(tr.print.alsoWhat))
	p.makePreview()
	p.save = primary(tr.export, d.chooseExport)
	p.folder = newButton(tr.print.openFolder, p.openFolder)
	p.folder.Hide()
	p.box = column(heading(tr.stages[5]), row(tr.paper, p.papers), p.ownRow, row(tr.print.layout, p.laid), p.pages, p.faulty,
		p.sheets.box, p.printer.box, p.by.box, p.preview, prose(tr.exportWhat))
	p.foot = container.NewVBox(d.rule(), column(p.save, p.folder))
	return p
}

// orientations are the words of session.Print in the order they are offered.
var orientations = [...]string{"auto", "portrait", "landscape"}

// previewPx is how high a page is shown.
const previewPx = 190

func (p *printPanel) makePreview() {
	p.table = canvas.NewRectangle(p.d.pal.table) // without it white paper has no edge
	p.shown = canvas.NewImageFromImage(nil)
	p.shown.FillMode = canvas.ImageFillContain
	p.shown.SetMinSize(fyne.NewSize(panelWidth-40, previewPx))
	p.back = newIconButton("", theme.NavigateBackIcon(), func() { p.turn(-1) })
	p.forth = newIconButton("", theme.NavigateNextIcon(), func() { p.turn(1) })
	p.picture = newPresser(p.showLarge, func() color.Color { return p.d.pal.accent })
	p.larger = newButton(tr.print.larger, p.showLarge)
	p.find = newButton(tr.print.find, func() { p.d.showSheet(p.title) })
	p.preview = container.NewVBox(container.NewStack(p.table, p.shown, p.picture), container.NewBorder(nil, nil, p.back, p.forth, p.name),
		container.NewGridWithColumns(2, p.larger, p.find))
	p.name.Alignment = fyne.TextAlignCenter
	p.preview.Hide()
}

func (p *printPanel) object() fyne.CanvasObject { return p.box }

func (p *printPanel) stays() fyne.CanvasObject { return p.foot }

// change takes a choice that the maker made.
func (p *printPanel) change(do func(x *session.Print)) {
	x := p.d.print()
	if do(&x); x != p.d.print() {
		p.d.s.SetPrint(x)
		p.d.changed()
	}
}

// paperChosen takes a paper of the list, or asks for what a roll or a size of
// one's own needs.
func (p *printPanel) paperChosen(choice string) {
	inForce := p.d.print().Paper
	p.asked = ""
	k := p.papers.SelectedIndex()
	switch {
	case choice == p.d.paperChoice(inForce):
		p.followPaper(inForce)
	case k < len(p.d.o.papers()):
		p.change(func(x *session.Print) { x.Paper = p.d.o.papers()[k] })
	default:
		p.asked = inForce
		p.own.show("")
		p.askOwn(choice)
		p.d.win.Canvas().Focus(p.own)
	}
}

// askOwn shows the line for a roll's width or a size of one's own.
func (p *printPanel) askOwn(choice string) {
	p.own.hints, p.ownWord.Text = tr.print.ownHint, tr.print.ownSides
	if choice == tr.print.roll {
		p.own.hints, p.ownWord.Text = tr.print.rollHint, tr.print.rollWidth
	}
	p.ownWord.Refresh()
	p.own.SetPlaceHolder(p.own.hints.in(p.d.system()))
	p.ownRow.Show()
}

// followPaper shows the paper in force: the line for one of one's own stays while
// none has been typed yet.
func (p *printPanel) followPaper(paper string) {
	if paper == p.asked {
		return
	}
	p.asked = ""
	want := p.d.paperChoice(paper)
	if slices.Contains(p.d.o.papers(), paper) {
		p.ownRow.Hide()
	} else {
		p.askOwn(want)
		p.own.show(p.d.paperText(paper))
	}
	if p.papers.Selected != want {
		p.papers.SetSelected(want)
	}
}

func (p *printPanel) ownTyped(text string) {
	x, rolled := p.d.print(), p.papers.Selected == tr.print.roll
	var err error
	if x.Paper, err = p.d.ownPaper(text, rolled); err == nil {
		_, err = p.d.tryPaper(x)
	} else {
		x.Paper = strings.TrimSpace(text) // a name that is not on the list
		if known, no := p.d.tryPaper(x); known && no == nil {
			err = nil
		}
	}
	if err != nil {
		p.d.refuse(text, err, p.d.noPaper(text, err, rolled))
		return
	}
	p.change(func(y *session.Print) { *y = x })
}

// typedWithin takes a length between two bounds; nothing typed is 0, or the
// usual where 0 is none.
func (p *printPanel) typedWithin(least, most float64, bad string, of func(x *session.Print) *float64) func(string) {
	return func(text string) {
		usual := session.UsualPrint("")
		mm := *of(&usual)
		if text != "" {
			v, err := p.d.readWithin(text, least, most)
			if err != nil {
				p.d.refuse(text, err, fmt.Sprintf(bad, text, p.d.bound(least), p.d.bound(most)))
				return
			}
			mm = v
		}
		p.change(func(x *session.Print) { *of(x) = mm })
	}
}

func (p *printPanel) also(word string, of func(x *session.Print) *bool) *tickBox {
	return newTickBox(word, func(on bool) {
		p.change(func(x *session.Print) { *of(x) = on })
	})
}

func (p *printPanel) update() {
	x := p.d.print()
	p.followPaper(x.Paper)
	n := p.d.faults()
	visible(p.faulty, n > 0)
	p.faults.SetText(counted(n, tr.print.oneFault, tr.print.faults))
	p.look.SetText(p.d.toFaults(n))
	choose(p.laid, map[bool]int{true: 1}[x.Packed])
	choose(p.lies, max(0, slices.Index(orientations[:], x.Orientation)))
	p.d.showLength(p.margin, x.MarginMM)
	p.d.showFromZero(p.overlap, x.OverlapMM)
	p.sheets.say(fmt.Sprintf(tr.print.sheetsNote, p.d.typedLength(x.MarginMM), p.d.typedLength(x.OverlapMM)))
	p.showMoved(x)
	p.d.showLength(p.short, x.ShortMM)
	p.d.showLength(p.long, x.LongMM)
	p.printer.say(printerNote(x))
	p.by.say(p.showFiles(x))
	enable(p.save, len(p.d.s.Document().Pattern.Pieces) > 0)
	visible(p.folder, p.d.saved != "")
	visible(p.pages, p.d.pages > 0)
	p.pages.SetText(counted(p.d.pages, tr.onePage, tr.pages))
	if p.table.FillColor != color.Color(p.d.pal.table) {
		p.table.FillColor = p.d.pal.table
		p.table.Refresh()
	}
	p.drawPage()
	_, known := p.d.sheetOf(p.title)
	enable(p.find, known)
	for _, w := range []fyne.Disableable{p.picture, p.larger} {
		enable(w, p.of > 0)
	}
	if p.large != nil {
		p.large.update()
	}
}

// showFiles ticks the files that are wanted beside the PDF, and names them.
func (p *printPanel) showFiles(x session.Print) string {
	var names []string
	for i, f := range []struct {
		check *tickBox
		on    bool
	}{{p.svg, x.SVG}, {p.dxf, x.DXF}, {p.bundle, x.Bundle}} {
		if f.on {
			names = append(names, tr.print.alsoNames[i])
		}
		if f.check.Checked != f.on {
			f.check.SetChecked(f.on)
		}
	}
	if len(names) == 0 {
		return tr.print.onlyPDF
	}
	return strings.Join(names, ", ")
}

// showMoved says how far the sheets were moved, and offers the way back.
func (p *printPanel) showMoved(x session.Print) {
	away := x.ShiftXMM != 0 || x.ShiftYMM != 0
	enable(p.move, !x.Packed && len(p.d.s.Document().Pattern.Pieces) > 0)
	visible(p.moved, away && !x.Packed)
	visible(p.usual, away && !x.Packed)
	if text := shiftText(x, p.d.system()); away && p.moved.Text != text {
		p.moved.SetText(text)
	}
}

func choose(s *choiceList, k int) {
	if s.SelectedIndex() != k {
		s.SetSelectedIndex(k)
	}
}

// printerNote says what a measured printer is corrected by.
func printerNote(x session.Print) string {
	if x.ShortMM == 0 && x.LongMM == 0 {
		return tr.print.true100
	}
	part := func(mm float64) float64 {
		if mm == 0 {
			return 0
		}
		return 100 * (100/mm - 1)
	}
	return fmt.Sprintf(tr.print.corrected, part(x.ShortMM), part(x.LongMM))
}

// turn shows another page.
func (p *printPanel) turn(by int) {
	p.page = max(0, min(p.page+by, p.of-1))
	p.drawPage()
}

// drawPage asks for the page that is shown, without holding the window up,
// while the panel is looked at.
func (p *printPanel) drawPage() {
	s, ok := p.d.o.Job.(PageShower)
	if !ok || p.drawing || p.d.stage != session.StagePrint {
		return
	}
	if len(p.d.s.Document().Pattern.Pieces) == 0 {
		p.preview.Hide()
		p.shownFor = ""
		return
	}
	key := fmt.Sprint(p.d.s.Version(), p.d.print(), p.page)
	if key == p.shownFor {
		return
	}
	p.shownFor, p.drawing = key, true
	x, page, ctx := p.d.s.Printout(), p.page, p.d.layoutContext()
	go func() {
		const sharp = 2 // screen pixels a unit, at most
		im, title, n, err := s.ShowPage(ctx, x, page, sharp*panelWidth)
		p.d.runner.post(func() {
			if p.drawing = false; ctx.Err() != nil {
				p.shownFor = ""
			} else {
				p.showPage(im, title, n, err)
			}
			p.d.changed()
		})
	}()
}

func (p *printPanel) showPage(im image.Image, title string, n int, err error) {
	p.preview.Show()
	p.title = title
	if err != nil {
		p.of = 0
		p.shown.Hide()
		p.name.SetText(fmt.Sprintf(tr.print.noPages, p.d.inSentence(err)))
		return
	}
	p.shown.Image = im
	p.shown.Show()
	p.shown.Refresh()
	if p.of = n; p.page >= n {
		p.page = n - 1 // the next look draws it
	}
	p.name.SetText(fmt.Sprintf(tr.print.page, p.page+1, n, title))
	enable(p.back, p.page > 0)
	enable(p.forth, p.page+1 < n)
}

// openFolder shows where the PDF lies, in the system's own way.
func (p *printPanel) openFolder() {
	p.d.openOutside(filepath.Dir(p.d.saved))
}
