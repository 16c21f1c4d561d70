package desk

import (
	"image"
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// tool is what a press on the work does.
type tool uint8

const (
	toolSelect tool = iota
	toolCorners
	// toolSheet places the corners of a sheet of known size.
	toolSheet
	toolTape
	// toolAdd adds missed pieces by clicks.
	toolAdd
	// toolReshape drags the nodes and handles of the selected piece.
	toolReshape
	// toolSplit draws a line across a piece, along which it is cut in two.
	toolSplit
	// toolAxis draws the line about which a piece is mirrored.
	toolAxis
	// toolMeet chooses two points on each of two pieces that are joined.
	toolMeet
	// toolParts chooses points that two parts of one piece share, in turn on
	// each.
	toolParts
	// toolLine draws lines inside a piece.
	toolLine
	// toolSheets moves the sheets of paper over the pattern.
	toolSheets
)

// editor is the one widget on which the work lies. It paints photograph and
// overlay into one picture of the size it is shown at. All its positions are
// device pixels unless named otherwise.
type editor struct {
	widget.BaseWidget
	s *session.Session
	// host is told what the maker did.
	host editorHost
	pal  palette
	// font is the toolkit's own, at two sizes that follow the display's scale.
	ttf       []byte
	text      *raster.Type
	small     *raster.Type
	textScale float64

	picture *canvas.Raster
	front   raster.Canvas
	back    raster.Canvas
	backKey backKey
	loupe   raster.Canvas
	pyramid *raster.Pyramid

	space  session.Space
	views  [planes]view.View
	fitted [planes]bool
	// whole tells that a view shows the whole work and is to go on doing so
	// when the widget's size changes.
	whole     [planes]bool
	w, h      int
	px        float64
	tool      tool
	showLines bool
	// showMisses draws where the lines miss.
	showMisses bool
	// system is how lengths are shown on the work.
	system units.System
	// sheets are drawn over the pattern while showSheets is set.
	sheets     sheets
	showSheets bool
	// paper takes the place of the pattern as it lies when it is packed;
	// wasOnPaper is whether it did when last looked at.
	paper      paper
	wasOnPaper bool
	// needles shows misses exaggerated so many times; shade shows "±".
	needles     bool
	exaggerated float64
	shade       bool
	// showChecks draws the lengths that are being checked.
	showChecks bool
	focused    bool
	spaceHeld  bool

	pointer   view.Point
	pointerIn bool
	// cross tells that the keyboard moved the pointer's place last.
	cross bool
	hover string
	// sign tells signs under the pointer apart, 0 is none.
	sign int
	// mates are the edges that the selected one is glued to.
	mates map[string]bool
	// offered are the edges that are proposed as mates and looked at.
	offered map[string]bool
	corner  int // last touched, -1 for none
	// nudged tells that the keyboard moved it last: the magnifier stays with it.
	nudged    bool
	tape      []view.Point
	gesture   gesture
	lastDown  time.Time
	lastPlace view.Point
	// held is what a drag of a node or handle began with.
	held held
	// handle is which handle of the last selected node the arrows move, GripNode
	// for the nodes themselves.
	handle session.GripKind
	// gripHover is the grip under the pointer, -1 for none.
	gripHover int
	// snapped is where the last drag was drawn to.
	snapped session.Snapped
	points  []view.Point // scratch
	// contourLines belong to the field contoursOf.
	contoursOf   *session.Field
	contourLines []session.Contour
	// running is what is being done to the work, and how far it is.
	// findings are marked on the work while they are being looked at.
	findings    []session.Finding
	running     string
	runningPart float64
	// painted, when set, is called after each picture.
	painted func()
}

// editorHost is what the editor needs of the window.
type editorHost interface {
	// changed is called when the document or the selection changed.
	changed()
	// findingText is a finding as a sentence, goSign is called when its sign was
	// pressed.
	findingText(f session.Finding) string
	goSign(f session.Finding)
	// pointed is called when the pointer or the view moved.
	pointed()
	// snap returns the crossing within reach px of a click.
	snap(at photo.Point, reachPx float64) (photo.Point, bool)
	// cornerPlaced is called after a corner has been placed.
	cornerPlaced(i int)
	// measured is called when the tape has two ends.
	measured()
	// addAt adds the piece at a point of the mat.
	addAt(at mat.Point)
	// lined is called when a tool has all its points, in mm of the mat.
	lined(t tool, at []mat.Point)
	// shared is called when two parts have been given a point.
	shared()
	// moveSheets moves the sheets of paper by mm, shifted is how far they are.
	moveSheets(dx, dy float64)
	shifted() view.Point
	// reshaping is called when another piece is taken up for reshaping.
	reshaping()
	// menu opens the actions for what is selected at a place of the editor.
	menu(at fyne.Position)
	// mate takes a clicked edge as the mate that is being looked for; false when
	// none is.
	mate(edgeID string) bool
	// key does the action bound to a key; false when there is none.
	key(fyne.KeyName, fyne.KeyModifier) bool
	// letter does the action bound to a typed character.
	letter(rune) bool
	// shortcut does the action of a shortcut.
	shortcut(fyne.Shortcut)
}

// backKey tells when the kept background is still right.
type backKey struct {
	space   session.Space
	view    view.View
	w, h    int
	version int
	pyramid *raster.Pyramid
	pal     palette
	piece   string
	sure    *session.Field
	paper   *session.Shapes
}

var (
	_ desktop.Mouseable  = (*editor)(nil)
	_ desktop.Hoverable  = (*editor)(nil)
	_ desktop.Cursorable = (*editor)(nil)
	_ desktop.Keyable    = (*editor)(nil)
	_ fyne.Draggable     = (*editor)(nil)
	_ fyne.Scrollable    = (*editor)(nil)
	_ fyne.Shortcutable  = (*editor)(nil)
	_ fyne.Tabbable      = (*editor)(nil)
)

func newEditor(s *session.Session, host editorHost, ttf []byte, pal palette) *editor {
	e := &editor{s: s, host: host, ttf: ttf, pal: pal, showLines: true, exaggerated: exaggerations[1], corner: -1, gripHover: -1, px: 1}
	e.picture = canvas.NewRaster(e.paint)
	e.ExtendBaseWidget(e)
	return e
}

// CreateRenderer shows the one picture.
func (e *editor) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(e.picture) }

// MinSize leaves room for the panels in the smallest window.
func (e *editor) MinSize() fyne.Size { return fyne.NewSize(320, 240) }

// redraw paints anew.
func (e *editor) redraw() { canvas.Refresh(e.picture) }

// setPhoto shows another photograph, fitted.
func (e *editor) setPhoto(p *raster.Pyramid) {
	e.pyramid, e.fitted = p, [planes]bool{}
	e.space, e.hover, e.corner, e.nudged, e.tape = session.InPhoto, "", -1, false, nil
}

// paint is the picture's generator; w and h are device pixels.
func (e *editor) paint(w, h int) image.Image {
	if w < 1 || h < 1 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	resized := e.w != w || e.h != h
	e.w, e.h = w, h
	if k := e.plane(); resized && e.whole[k] {
		e.fitted[k] = false
	}
	if width := e.Size().Width; width > 0 {
		e.px = float64(w) / float64(width)
	}
	e.prepare()
	e.paintBack()
	e.front = raster.Resized(e.front, w, h)
	e.front.CopyFrom(e.back)
	e.paintOverlay()
	if e.painted != nil {
		e.painted()
	}
	return e.front.RGBA
}

// prepare fits a view that has not been fitted and sets the type to the
// display's scale.
func (e *editor) prepare() {
	if !e.fitted[e.plane()] {
		e.fit()
	}
	if e.text == nil || e.textScale != e.px {
		text, err := raster.NewType(e.ttf, 13*e.px)
		small, errSmall := raster.NewType(e.ttf, 11*e.px)
		if err == nil && errSmall == nil {
			e.text, e.small, e.textScale = text, small, e.px
		}
	}
}

// world returns the rectangle that fitting shows: the photograph, the pieces on
// the mat, or the sheets they are packed on.
func (e *editor) world() view.Rect {
	if e.onPaper() {
		return e.paper.bounds
	}
	if e.space == session.OnMat {
		b := e.s.Shapes().Bounds(session.OnMat)
		if b.Empty() {
			b = e.s.GridBounds()
		}
		return b
	}
	if p := e.s.Photo(); p != nil {
		return view.Rect{Min: view.Point{X: -0.5, Y: -0.5}, Max: view.Point{X: float64(p.Width) - 0.5, Y: float64(p.Height) - 0.5}}
	}
	return view.Rect{}
}

// The breadths of the rulers along the top and the left of the flat view, in
// px of the toolkit.
const (
	rulerPx     = 24
	leftRulerPx = 34
)

func (e *editor) fit() {
	margin, k := 8*e.px, e.plane()
	if e.space == session.OnMat {
		margin = e.flatMargin()
	}
	e.views[k] = view.Fitted(e.fitting(), float64(e.w), float64(e.h), margin)
	e.fitted[k] = !e.world().Empty() && e.w > 1
	e.whole[k] = e.fitted[k]
}

// fitAndShow is fit for a key.
func (e *editor) fitAndShow() {
	e.fit()
	e.redraw()
	e.host.pointed()
}

func (e *editor) view() view.View { return e.views[e.plane()] }

// setView moves the view, but never so far that the work is lost.
func (e *editor) setView(v view.View) {
	k := e.plane()
	e.views[k] = v.Kept(e.world(), float64(e.w), float64(e.h), 60*e.px)
	e.fitted[k], e.whole[k] = true, false
	e.redraw()
	e.host.pointed()
}

// limits bound the scale: from a quarter of the fitted size to 40 device px
// for a photograph's pixel, or 100 for a millimetre.
func (e *editor) limits() view.Limits {
	fit := view.Fitted(e.world(), float64(e.w), float64(e.h), 0).Scale
	most := 40.0
	if e.space == session.OnMat {
		most = 100
	}
	return view.Limits{Min: math.Min(fit/4, 1), Max: math.Max(most, fit) * math.Max(e.px, 1)}
}

func (e *editor) zoom(factor float64, about view.Point) {
	e.setView(e.view().Zoomed(factor, about, e.limits()))
}

// zoomMiddle is zoom for a key.
func (e *editor) zoomMiddle(factor float64) {
	e.zoom(factor, view.Point{X: float64(e.w) / 2, Y: float64(e.h) / 2})
}

// show brings a point of the mat to the middle, close enough to see it.
func (e *editor) show(onMat view.Point, inPhoto view.Point) {
	at := onMat
	if e.space == session.InPhoto {
		at = inPhoto
	}
	e.centre(at)
}

// showAll brings a rectangle of the space looked at into view when it is not
// there already.
func (e *editor) showAll(r view.Rect) {
	seen := e.view().Visible(float64(e.w), float64(e.h))
	if r.Min.X >= seen.Min.X && r.Min.Y >= seen.Min.Y && r.Max.X <= seen.Max.X && r.Max.Y <= seen.Max.Y {
		return
	}
	e.setView(view.Fitted(r, float64(e.w), float64(e.h), 60*e.px))
}

// showPhoto is show for a place of the photograph, which is being looked at.
func (e *editor) showPhoto(at photo.Point) { e.centre(view.Point(at)) }

// centre brings a place of the space looked at to the middle, close enough to
// see it.
func (e *editor) centre(at view.Point) {
	v := view.Fitted(e.world(), float64(e.w), float64(e.h), 0)
	v.Scale *= 4
	v.Offset = view.Point{X: float64(e.w)/2 - at.X*v.Scale, Y: float64(e.h)/2 - at.Y*v.Scale}
	e.setView(v)
}

// setSpace changes between photograph and flat.
func (e *editor) setSpace(s session.Space) {
	if _, squared := e.s.View(); s == session.OnMat && !squared {
		return
	}
	e.space, e.hover = s, ""
	if s == session.OnMat && e.placing() {
		e.tool = toolSelect
	}
	e.settlePlane()
	if !e.fitted[e.plane()] {
		e.fit()
	}
	e.redraw()
}

// setTool changes what a press does.
func (e *editor) setTool(t tool) {
	e.tool, e.tape, e.corner, e.nudged = t, nil, -1, false
	e.handle, e.cross, e.gripHover = session.GripNode, false, -1
	if e.placing() {
		e.space = session.InPhoto
	}
	e.settlePlane()
	e.redraw()
}

// reach is how near a press must be, in world units.
func (e *editor) reach() float64 { return 9 * e.px / math.Max(e.view().Scale, 1e-9) }
