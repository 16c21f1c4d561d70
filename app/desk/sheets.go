package desk

import (
	"fmt"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// SheetPlacer is a Job that can tell where the sheets lie over the pattern.
type SheetPlacer interface {
	// Sheets returns them for a layout as laid; none for another.
	Sheets(p pattern.Pattern, print session.Print) ([]SheetPlace, error)
}

// SheetPlace is a sheet over the pattern, mm in the pattern's frame.
type SheetPlace struct {
	Label string
	// Min and Max are the corners of what it shows; OwnMax takes the place of Max
	// without the strips under its neighbours.
	Min, Max, OwnMax mat.Point
	// Page is the name of the page that it is printed on, as ShowPage returns it.
	Page string
}

// sheets are those shown over the pattern, and what they were worked out for.
type sheets struct {
	all     []SheetPlace
	version int
	print   session.Print
	asking  bool
}

// placeSheets works the sheets out anew when they are looked at and something
// has changed, without holding the window up.
func (d *desk) placeSheets() {
	p, ok := d.o.Job.(SheetPlacer)
	s := &d.editor.sheets
	d.editor.showSheets = ok && d.stage == session.StagePrint && !d.print().Packed
	version, print, doc := d.s.Version(), d.print(), d.s.Document().Pattern
	if !d.editor.showSheets || s.asking || s.version == version && s.print == print {
		return
	}
	if len(doc.Pieces) == 0 {
		s.all, s.version, s.print = nil, version, print
		return
	}
	s.asking = true
	go func() {
		all, err := p.Sheets(doc, print)
		d.runner.post(func() {
			s.asking, s.version, s.print = false, version, print
			if s.all = all; err != nil {
				s.all = nil // the number of pages says why
			}
			d.changed()
		})
	}()
}

// toggleSheets begins to move the sheets over the pattern, or stops.
func (d *desk) toggleSheets() {
	w := &tr.print
	if d.editor.tool == toolSheets {
		d.putDown()
		return
	}
	if len(d.s.Document().Pattern.Pieces) == 0 {
		d.strip.say(tr.needPieces)
		return
	}
	if _, ok := d.o.Job.(SheetPlacer); !ok || d.print().Packed {
		d.strip.say(w.packedStay)
		return
	}
	d.pairing, d.siding = "", ""
	d.editor.setTool(toolSheets)
	d.editor.setSpace(session.OnMat)
	d.goTo(session.StagePrint)
	d.strip.tell(w.moveHow.in(d.system()))
	d.focusEditor()
}

// moveSheets moves the sheets over the pattern by mm.
func (d *desk) moveSheets(dx, dy float64) {
	d.s.MoveSheets(dx, dy, mostShiftMM)
	d.editor.redraw()
}

// mostShiftMM bounds how far sheets are dragged away: further there is nothing.
const mostShiftMM = 5000

// sheetsBack lays the sheets where they lie best by themselves.
func (d *desk) sheetsBack() {
	d.s.SetPrint(d.print().ForAnother())
	d.changed()
}

// nudgeSheets moves the sheets by a key; false when they are not being moved.
func (d *desk) nudgeSheets(step [2]float64, m fyne.KeyModifier) bool {
	if d.editor.tool != toolSheets {
		return false
	}
	mm := 1.0
	if m&fyne.KeyModifierShift != 0 {
		mm = 10
	}
	d.moveSheets(mm*step[0], mm*step[1])
	d.changed()
	return true
}

// paintSheets draws the sheets over the pattern: solid what stays in sight of
// each, dashed the strip under its neighbours, and its name.
func (e *editor) paintSheets(p painter) {
	if !e.showSheets || e.space != session.OnMat {
		return
	}
	by := e.sheetsMoved()
	for _, x := range e.sheets.all {
		p.frame(moved(x.Min, by), moved(x.Max, by), []float64{4, 4}, 1)
	}
	for _, x := range e.sheets.all {
		p.frame(moved(x.Min, by), moved(x.OwnMax, by), nil, 1.5)
		at := p.view.ToDevice(moved(x.Min, by))
		at.X, at.Y = at.X+16*p.px, at.Y+12*p.px
		p.Tag(p.text, at, x.Label, p.pal.panel, p.pal.accent)
	}
}

// sheetsMoved is how far the sheets were moved since they were worked out, mm.
func (e *editor) sheetsMoved() view.Point {
	by := e.host.shifted()
	return view.Point{X: by.X - e.sheets.print.ShiftXMM, Y: by.Y - e.sheets.print.ShiftYMM}
}

func moved(p mat.Point, by view.Point) view.Point { return view.Point{X: p.X + by.X, Y: p.Y + by.Y} }

// frame draws a rectangle of the world.
func (p painter) frame(min, max view.Point, dash []float64, width float64) {
	pts := p.mapped([]view.Point{min, {X: max.X, Y: min.Y}, max, {X: min.X, Y: max.Y}, min})
	if dash == nil {
		p.Polyline(pts, (width+1.5)*p.px, p.pal.halo)
		p.Polyline(pts, width*p.px, p.pal.accent)
		return
	}
	p.Dashed(pts, []float64{dash[0] * p.px, dash[1] * p.px}, width*p.px, p.pal.accent)
}

// shifted is how far the sheets are moved now, mm.
func (d *desk) shifted() view.Point { return view.Point{X: d.print().ShiftXMM, Y: d.print().ShiftYMM} }

// shiftText says how far the sheets lie from their usual place.
func shiftText(p session.Print, s units.System) string {
	return fmt.Sprintf(tr.print.moved.in(s), p.ShiftXMM/s.UnitMM(), p.ShiftYMM/s.UnitMM())
}
