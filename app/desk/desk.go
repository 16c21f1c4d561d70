package desk

import (
	"errors"
	"fmt"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/photo"
)

// appID names the program to the desktop.
const appID = "flatwright.bench"

// desk is the window: the session, the work that runs, and what is shown.
type desk struct {
	app    fyne.App
	win    fyne.Window
	o      Options
	s      *session.Session
	look   *appearance
	pal    palette
	runner *runner
	stage  session.Stage
	pages  int
	// pagesFor is the version and print that pages was counted for.
	pagesFor string
	counting bool
	laying   laying
	told     int
	saved    string

	editor *editor
	rungs  [session.Stages]*rung
	panels [session.Stages]panel
	holder *container.Scroll
	// foot is what stays below the panel, right both.
	foot, right *fyne.Container
	status      *statusLine
	bottom      *fyne.Container
	strip       *strip
	empty       fyne.CanvasObject
	middle      *fyne.Container
	flat        *button
	undo        *button
	redo        *button
	grounds     []*canvas.Rectangle
	lines       []*canvas.Rectangle
	help        *widget.PopUp
	// panelSize is the least size of the panel as it was laid out.
	panelSize fyne.Size
	// panelShown tells what was visible in it.
	panelShown uint64
	// pairing is the edge whose mate is being looked for, empty for none.
	pairing string
	// siding is the seam whose sides are being given more edges, empty for none.
	siding string
	// sideTold is the edge under the pointer that the strip speaks of.
	sideTold string
	// looker looks at the photograph again for repairs.
	looker looker
	popped *widget.PopUpMenu
	// pyramids are the pictures of the pattern's photographs.
	pyramids map[*photo.Photo]*raster.Pyramid
	// pasting is where pasted pictures come from.
	pasting pasting
	// waiting are photographs to be added once the work on one has ended.
	waiting []string
	// mats are the known mats, the likeliest in the photograph first.
	mats   []KnownMat
	kept   kept
	recent *fyne.Container
	inches *button
	hints  *hints
	// lengths are the fields that take lengths.
	lengths []*field
	// sayings are the texts in panels that follow the system.
	sayings []saying
	// adviceOf is the solution that adviceKept speaks of.
	adviceOf   *rectify.Squared
	adviceKept []rectify.Advice
}

// ErrNoJob tells that Options name no Job.
var ErrNoJob = errors.New("the window was given no job to do")

// Run opens the window and returns when it is closed. It must be called from
// the main goroutine. The error tells that the options are wrong or that the
// screenshot asked for could not be taken.
func Run(o Options) error {
	if o.Job == nil {
		return ErrNoJob
	}
	a := app.NewWithID(appID)
	d := newDesk(a, o, fyne.Do)
	var failed error
	if o.Screenshot.Path != "" {
		d.takeScreenshot(func(err error) {
			failed = err
			a.Quit()
		})
	}
	d.win.Show()
	d.tellPlaces()
	if o.StartFile != "" {
		d.open(o.StartFile)
	}
	d.firstRun()
	a.Run()
	d.runner.stop()
	d.pasting.clean()
	d.letGo()
	d.writePreferences()
	return failed
}

// newDesk assembles the window; post runs a function on its goroutine.
func newDesk(a fyne.App, o Options, post func(func())) *desk {
	d := &desk{app: a, o: o, s: session.New()}
	d.s.StartWithPrint(session.UsualPrint(o.papers()[0]))
	d.look = &appearance{Theme: theme.DefaultTheme(), forced: o.Appearance}
	a.Settings().SetTheme(d.look)
	d.pal = d.look.palette(a.Settings().ThemeVariant())
	d.runner = &runner{post: post, changed: d.workChanged, journal: journal{words: d.failureWords}}
	if o.PitchMM > 0 {
		d.s.StartWithPitch(o.PitchMM)
	}
	d.win = a.NewWindow(tr.title)
	d.assemble()
	d.readPreferences()
	d.offerRecent()
	d.bindKeys()
	d.win.SetOnDropped(d.dropped)
	d.win.SetCloseIntercept(d.closing)
	a.Settings().AddListener(func(fyne.Settings) { d.recolour() })
	d.resize()
	d.listMats()
	d.goTo(session.StagePhotograph)
	return d
}

func (d *desk) resize() {
	w, h := d.o.Screenshot.WidthPx, d.o.Screenshot.HeightPx
	if w == 0 || h == 0 {
		w, h = 1280, 800
	}
	d.win.Resize(fyne.NewSize(float32(w), float32(h)))
}

// assemble builds what stands in the window.
func (d *desk) assemble() {
	d.editor = newEditor(d.s, d, theme.DefaultTextFont().Content(), d.pal)
	d.editor.painted = d.o.Painted
	d.strip = newStrip(d)
	d.status = newStatusLine(d)
	d.panels = [session.Stages]panel{
		newPhotoPanel(d), newSquarePanel(d), newTracePanel(d), newMarkPanel(d), newCheckPanel(d), newPrintPanel(d),
	}
	d.holder = container.NewVScroll(d.panels[0].object())
	d.empty = d.emptyBench()
	d.hints = newHints(d)
	d.middle = container.NewStack(d.editor, d.empty, d.hints.box, d.strip.over)
	d.foot = container.NewVBox()
	d.right = container.NewBorder(nil, d.foot, nil, nil, d.holder)
	right := container.NewBorder(nil, nil, d.rule(), nil, container.NewStack(d.ground(), fixed(panelWidth, d.right)))
	left := container.NewBorder(nil, nil, nil, d.rule(), container.NewStack(d.ground(), d.ladder()))
	d.bottom = container.NewBorder(d.rule(), nil, nil, nil, d.status.box)
	d.grounds = append(d.grounds, d.status.ground, d.strip.ground)
	least := canvas.NewRectangle(withAlpha(d.pal.panel, 0))
	least.SetMinSize(fyne.NewSize(1024, 700))
	d.win.SetPadded(false)
	d.win.SetContent(container.NewStack(least, container.NewBorder(nil, d.bottom, left, right, d.middle)))
}

// ground is a panel's background, rule a hairline; both follow the palette.
func (d *desk) ground() *canvas.Rectangle {
	r := canvas.NewRectangle(d.pal.panel)
	d.grounds = append(d.grounds, r)
	return r
}

func (d *desk) rule() *canvas.Rectangle {
	r := hairline(d.pal)
	d.lines = append(d.lines, r)
	return r
}

// ladder is the left side: six rungs, and below them the view and undo.
func (d *desk) ladder() fyne.CanvasObject {
	box := container.NewVBox()
	for i := range session.Stages {
		d.rungs[i] = newRung(tr.stages[i], func() { d.goTo(i) })
		d.rungs[i].pal = d.pal
		box.Add(d.rungs[i])
	}
	d.flat = newButton(tr.viewFlat, d.toggleView)
	d.undo = newButton(tr.undoShort, d.doUndo)
	d.redo = newButton(tr.redoShort, d.doRedo)
	help := newButton(tr.help, d.showHelp)
	shade := newButton(tr.appearance, d.toggleAppearance)
	d.inches = newButton(tr.inInches, d.toggleUnits)
	foot := container.NewVBox(container.NewGridWithColumns(2, d.undo, d.redo), d.flat, d.inches, shade, help)
	return container.New(layout.NewCustomPaddedLayout(6, 8, 4, 4),
		container.NewBorder(box, container.New(layout.NewCustomPaddedLayout(0, 0, 4, 4), foot), nil, nil))
}

// emptyBench says what to bring and offers the demo.
func (d *desk) emptyBench() fyne.CanvasObject {
	what := widget.NewLabelWithStyle(tr.emptyHead, fyne.TextAlignCenter, fyne.TextStyle{Bold: true})
	what.SizeName = theme.SizeNameHeadingText
	body := widget.NewLabelWithStyle(tr.emptyBody, fyne.TextAlignCenter, fyne.TextStyle{})
	drop := widget.NewLabelWithStyle(tr.dropHere, fyne.TextAlignCenter, fyne.TextStyle{})
	drop.Importance = widget.LowImportance
	buttons := container.NewHBox(primary(tr.open, d.chooseFile))
	if d.o.DemoPath != "" {
		buttons.Add(newButton(tr.demo, d.openDemo))
	}
	d.recent = container.NewVBox()
	return container.NewCenter(container.NewVBox(what, body, gap(), container.NewCenter(buttons), drop, container.NewCenter(d.recent)))
}

// offerRecent puts the recent projects on the empty bench.
func (d *desk) offerRecent() {
	if o := d.recentOnBench(); o != nil {
		d.recent.Add(o)
	}
}

// goTo shows the panel of a rung.
func (d *desk) goTo(st session.Stage) {
	d.stage = st
	if st != session.StageSquareUp && d.editor.placing() {
		d.editor.setTool(toolSelect)
	}
	if st != session.StageMarkUp && d.pairing != "" {
		d.pairing = ""
		d.strip.hide()
	}
	if st != session.StagePrint && d.editor.tool == toolSheets {
		d.editor.setTool(toolSelect)
	}
	d.holder.Content = d.panels[st].object()
	d.foot.RemoveAll()
	if f, ok := d.panels[st].(footed); ok {
		d.foot.Add(f.stays())
	}
	d.holder.ScrollToTop()
	d.holder.Refresh()
	d.changed()
}

// changed brings everything shown in line with the session.
func (d *desk) changed() {
	d.strip.goOn()
	d.layoutContext() // what is being laid out of another pattern ends
	d.leaveEmptyMat()
	d.showPhoto()
	d.countPages()
	d.placeSheets()
	d.placePaper()
	d.tellChanged()
	for i, r := range d.rungs {
		st := session.Stage(i)
		r.state, r.number, r.chosen, r.pal = d.s.State(st), d.rungLine(st), st == d.stage, d.pal
		r.Refresh()
	}
	d.editor.offered = nil
	d.panels[d.stage].update()
	d.relayPanel()
	d.keepKeyboard()
	d.editor.showChecks = d.editor.tool == toolTape || d.stage == session.StageSquareUp && d.squarePanel().check.fold.isOpen()
	visible(d.empty, d.s.Photo() == nil && !d.runner.busy())
	d.flat.SetText(tr.viewFlat)
	if d.editor.space == session.OnMat {
		d.flat.SetText(tr.viewPhoto)
	}
	enable(d.flat, d.s.Document().Squared != nil)
	enable(d.undo, d.s.NextUndo().Action != session.NoAction)
	enable(d.redo, d.s.NextRedo().Action != session.NoAction)
	d.editor.showMisses = d.stage == session.StageSquareUp
	d.editor.findings = nil
	if d.stage == session.StageCheck && d.placed(d.s.Document()) {
		d.editor.findings = d.s.Findings()
	}
	d.status.update()
	d.editor.redraw()
	d.keepUp()
}

// tellChanged passes a new state of the pattern on.
func (d *desk) tellChanged() {
	if d.o.Changed != nil && d.told != d.s.Version() {
		d.told = d.s.Version()
		d.o.Changed(d.s.Document().Pattern)
	}
}

// print is how the pattern is printed.
func (d *desk) print() session.Print { return d.s.Document().Print }

// showWorkAfter is how long work runs before it is shown over the picture.
const showWorkAfter = 300 * time.Millisecond

// workChanged shows how far the running work is.
func (d *desk) workChanged() {
	running := ""
	if d.runner.busy() && time.Since(d.runner.since) > showWorkAfter {
		running = d.runner.name
	}
	if running != d.editor.running || d.runner.part != d.editor.runningPart {
		d.editor.running, d.editor.runningPart = running, d.runner.part
		d.editor.redraw()
	}
	visible(d.empty, d.s.Photo() == nil && !d.runner.busy())
	d.status.update()
	d.addWaiting()
}

// pointed follows the pointer.
func (d *desk) pointed() {
	d.status.pointed()
	d.tellSide(d.editor.hover)
}

func (d *desk) focusEditor() { d.win.Canvas().Focus(d.editor) }

// countPages asks for the number of pages, when the job can tell, without
// holding the window up. While one count runs the next waits for its end.
func (d *desk) countPages() {
	c, ok := d.o.Job.(PageCounter)
	key := fmt.Sprint(d.s.Version(), d.print())
	if !ok || key == d.pagesFor || d.counting {
		return
	}
	x := d.s.Printout()
	d.pagesFor = key
	if len(x.Pattern.Pieces) == 0 {
		d.pages = 0
		return
	}
	d.counting = true
	ctx := d.layoutContext()
	go func() {
		n, err := c.Pages(ctx, x)
		d.runner.post(func() {
			d.counting = false
			switch {
			case ctx.Err() != nil:
				d.pagesFor = ""
			case err != nil:
				d.pages = 0
			default:
				d.pages = n
			}
			d.changed()
		})
	}()
}
