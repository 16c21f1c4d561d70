package desk

import (
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/photo"
)

// gesture is what a held button is doing.
type gesture struct {
	kind   gestureKind
	button desktop.MouseButton
	moved  bool
	from   view.Point
	free   bool // Alt was held: no snapping
	more   bool // Shift was held: further ones are selected
}

type gestureKind uint8

const (
	noGesture gestureKind = iota
	// gesturePress becomes a click when it ends where it began, else it moves
	// the view.
	gesturePress
	gesturePan
	gestureCorner
	// gestureGrip drags nodes or a handle, gestureBox a selecting rectangle,
	// gestureLine a tool's line.
	gestureGrip
	gestureBox
	gestureLine
	// gestureSheets moves the sheets of paper.
	gestureSheets
)

// doubleWithin is the longest time between the presses of a double press.
const doubleWithin = 350 * time.Millisecond

// device turns a position in the toolkit's units into device pixels.
func (e *editor) device(p fyne.Position) view.Point {
	return view.Point{X: float64(p.X) * e.px, Y: float64(p.Y) * e.px}
}

// MouseDown begins a gesture and takes the keyboard.
func (e *editor) MouseDown(ev *desktop.MouseEvent) {
	e.takeFocus()
	at := e.device(ev.Position)
	e.pointer = at
	e.gesture = gesture{kind: gesturePress, button: ev.Button, from: at, free: ev.Modifier&fyne.KeyModifierAlt != 0, more: ev.Modifier&fyne.KeyModifierShift != 0}
	switch {
	case ev.Button == desktop.MouseButtonTertiary || e.spaceHeld:
		e.gesture.kind = gesturePan
	case e.placing() && ev.Button == desktop.MouseButtonPrimary:
		world := photo.Point(e.view().ToWorld(at))
		if i := e.markerAt(world, e.reach()*1.4); i >= 0 {
			e.corner = i
			e.gesture.kind = gestureCorner
			e.host.changed()
		}
	case ev.Button == desktop.MouseButtonPrimary && e.tool == toolSheets && e.space == session.OnMat:
		e.gesture.kind = gestureSheets
		e.s.EndGesture()
	case ev.Button == desktop.MouseButtonPrimary && e.tool == toolReshape && e.grasp(at):
	case ev.Button == desktop.MouseButtonPrimary && e.gesture.more && (e.tool == toolSelect || e.tool == toolReshape):
		e.gesture.kind = gestureBox
	}
	e.noteDouble(at)
}

// noteDouble fits the view at the second press on an empty place. Clicks are
// timed here because the toolkit would hold every click back for 300 ms.
func (e *editor) noteDouble(at view.Point) {
	now := time.Now()
	quick := now.Sub(e.lastDown) < doubleWithin && math.Hypot(at.X-e.lastPlace.X, at.Y-e.lastPlace.Y) < 6*e.px
	e.lastDown, e.lastPlace = now, at
	if quick && e.tool == toolSelect && e.hover == "" && e.gesture.kind == gesturePress {
		e.gesture.kind, e.lastDown = noGesture, time.Time{}
		e.fitAndShow()
	}
	if quick && e.tool == toolReshape && e.gesture.kind == gesturePress {
		e.gesture.kind, e.lastDown = noGesture, time.Time{}
		e.host.letter('i')
	}
}

func (e *editor) takeFocus() {
	if c := fyne.CurrentApp().Driver().CanvasForObject(e); c != nil {
		c.Focus(e)
	}
}

// MouseUp ends the gesture. Released outside the window only DragEnd comes,
// so that both end it.
func (e *editor) MouseUp(*desktop.MouseEvent) { e.endGesture() }

// DragEnd ends the gesture.
func (e *editor) DragEnd() { e.endGesture() }

func (e *editor) endGesture() {
	g := e.gesture
	e.gesture = gesture{}
	switch {
	case g.kind == gestureCorner && g.moved:
		e.dropCorner(g.free)
	case g.kind == gestureSheets:
		e.s.EndGesture()
		e.host.changed()
	case g.kind == gestureGrip:
		e.release(g)
	case g.kind == gestureBox && g.moved:
		e.selectBox(g)
	case (g.kind == gesturePress || g.kind == gestureBox) && !g.moved && g.button == desktop.MouseButtonPrimary:
		e.click(g)
	case g.kind == gesturePress && !g.moved && g.button == desktop.MouseButtonSecondary:
		e.openMenu(g.from)
	}
}

// Dragged moves the view, or the corner that is held.
func (e *editor) Dragged(ev *fyne.DragEvent) {
	at := e.device(ev.Position)
	e.pointer = at
	switch e.gesture.kind {
	case gestureCorner:
		e.gesture.moved = true
		e.moveMarker(e.corner, photo.Point(e.view().ToWorld(at)))
		e.host.changed()
	case gestureGrip:
		e.gesture.moved = true
		e.dragGrip(at, e.gesture.free)
	case gestureSheets:
		dx, dy := float64(ev.Dragged.DX)*e.px, float64(ev.Dragged.DY)*e.px
		if !e.gesture.moved {
			dx, dy = at.X-e.gesture.from.X, at.Y-e.gesture.from.Y
		}
		e.gesture.moved = true
		e.host.moveSheets(dx/e.view().Scale, dy/e.view().Scale)
	case gestureBox:
		e.gesture.moved = true
		e.redraw()
	case gesturePress, gesturePan:
		dx, dy := float64(ev.Dragged.DX)*e.px, float64(ev.Dragged.DY)*e.px
		if !e.gesture.moved {
			dx, dy = at.X-e.gesture.from.X, at.Y-e.gesture.from.Y
		}
		e.gesture.moved = true
		e.setView(e.view().Panned(dx, dy))
	}
}

// click does what the tool does at a place.
func (e *editor) click(g gesture) {
	world := e.view().ToWorld(g.from)
	switch e.tool {
	case toolCorners, toolSheet:
		e.place(photo.Point(world), g.free)
		return
	case toolTape:
		e.layTape(g.from)
	case toolAdd:
		if m, ok := e.matAt(g.from); ok {
			e.host.addAt(toMat(m))
		}
		return
	case toolSplit, toolAxis, toolMeet, toolParts, toolLine:
		e.layLine(g.from, g.free)
		return
	case toolReshape:
		e.takeUp(world)
	default:
		if g.more {
			e.toggle(world)
			break
		}
		if i := e.findingAt(g.from); i >= 0 {
			e.host.goSign(e.findings[i])
			return
		}
		if id := e.shapes().EdgeAt(e.space, world, e.reach()); id != "" {
			if !e.host.mate(id) {
				e.s.SelectEdge(id)
			}
		} else if piece, line, ok := e.shapes().LineAt(e.space, world, e.reach()); ok {
			e.s.SelectLine(piece, line)
		} else {
			e.s.SelectPiece(e.shapes().PieceAt(e.space, world))
		}
	}
	e.host.changed()
}

// MouseIn starts following the pointer.
func (e *editor) MouseIn(ev *desktop.MouseEvent) { e.MouseMoved(ev) }

// MouseMoved follows the pointer.
func (e *editor) MouseMoved(ev *desktop.MouseEvent) {
	e.pointer, e.pointerIn, e.nudged, e.cross = e.device(ev.Position), true, false, false
	hover := ""
	if e.tool == toolSelect || e.tool == toolReshape {
		hover = e.shapes().EdgeAt(e.space, e.view().ToWorld(e.pointer), e.reach())
	}
	if e.tool == toolReshape {
		e.gripHover = e.gripAt(e.pointer)
	}
	sign := e.signAt(e.pointer)
	if hover != e.hover || sign != e.sign || e.tool != toolSelect {
		e.hover, e.sign = hover, sign
		e.redraw()
	}
	e.host.pointed()
}

// MouseOut stops following the pointer.
func (e *editor) MouseOut() {
	e.pointerIn, e.hover = false, ""
	e.redraw()
	e.host.pointed()
}

// Scrolled zooms about the pointer; with Shift it moves the view sideways,
// with Control up and down.
func (e *editor) Scrolled(ev *fyne.ScrollEvent) {
	dx, dy := float64(ev.Scrolled.DX), float64(ev.Scrolled.DY)
	switch m := modifiers(); {
	case m&fyne.KeyModifierShift != 0:
		e.setView(e.view().Panned((dx+dy)*e.px, 0))
	case m&fyne.KeyModifierControl != 0:
		e.setView(e.view().Panned(dx*e.px, dy*e.px))
	default:
		e.zoom(math.Exp(dy*0.008), e.device(ev.Position))
	}
}

// modifiers returns the modifier keys held now.
func modifiers() fyne.KeyModifier {
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok {
		return d.CurrentKeyModifiers()
	}
	return 0
}

// Cursor shows what a press would do.
func (e *editor) Cursor() desktop.Cursor {
	switch {
	case e.tool == toolReshape && e.gripAt(e.pointer) >= 0:
		return desktop.PointerCursor
	case e.tool != toolSelect && e.tool != toolReshape:
		return desktop.CrosshairCursor
	case e.hover != "" || e.findingAt(e.pointer) >= 0:
		return desktop.PointerCursor
	}
	return desktop.DefaultCursor
}

// FocusGained and FocusLost draw and remove the focus frame.
func (e *editor) FocusGained() { e.focused = true; e.redraw() }

// FocusLost forgets held keys.
func (e *editor) FocusLost() { e.focused, e.spaceHeld = false, false; e.redraw() }

// KeyDown remembers a held space bar, which makes every drag move the view.
func (e *editor) KeyDown(ev *fyne.KeyEvent) { e.spaceHeld = e.spaceHeld || ev.Name == fyne.KeySpace }

// KeyUp forgets it.
func (e *editor) KeyUp(ev *fyne.KeyEvent) { e.spaceHeld = e.spaceHeld && ev.Name != fyne.KeySpace }

// TypedKey does the action of a key.
func (e *editor) TypedKey(ev *fyne.KeyEvent) { e.host.key(ev.Name, modifiers()) }

// TypedRune does the action of a character.
func (e *editor) TypedRune(r rune) { e.host.letter(r) }

// TypedShortcut does undo, redo and the like.
func (e *editor) TypedShortcut(s fyne.Shortcut) { e.host.shortcut(s) }

// AcceptsTab keeps Tab for going from edge to edge while there are edges.
func (e *editor) AcceptsTab() bool {
	return (e.tool == toolSelect || e.tool == toolReshape) && len(e.s.Document().Pattern.Pieces) > 0
}
