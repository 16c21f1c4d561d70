package desk

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

// stageKeys open the rungs' panels, with Control.
var stageKeys = [session.Stages]fyne.KeyName{fyne.Key1, fyne.Key2, fyne.Key3, fyne.Key4, fyne.Key5, fyne.Key6}

// bindKeys makes keys work wherever the keyboard is, except while typing.
func (d *desk) bindKeys() {
	c := d.win.Canvas()
	c.SetOnTypedKey(func(ev *fyne.KeyEvent) {
		if d.asking() {
			d.leaveQuestion(ev.Name)
			return
		}
		if d.besideThePicture() && (ev.Name == fyne.KeyEscape || ev.Name == fyne.KeyF6) {
			d.focusEditor()
			return
		}
		d.key(ev.Name, modifiers())
	})
	c.SetOnTypedRune(func(r rune) {
		if !d.asking() {
			d.letter(r)
		}
	})
	for _, s := range d.shortcuts() {
		c.AddShortcut(s, func(s fyne.Shortcut) {
			if !d.asking() {
				d.shortcut(s)
			}
		})
	}
}

// besideThePicture reports whether the keyboard is with a thing in the ladder or
// the panel, which has handed a key on.
func (d *desk) besideThePicture() bool {
	f := d.win.Canvas().Focused()
	return f != nil && f != fyne.Focusable(d.editor)
}

// keepKeyboard brings the keyboard back to the picture when what had it has left
// the window or is hidden: keys would go nowhere.
func (d *desk) keepKeyboard() {
	f, ok := d.win.Canvas().Focused().(fyne.CanvasObject)
	if line, typed := f.(*field); typed && !line.editing {
		return // it is on its way to something else
	}
	if ok && !d.asking() && !shownIn(d.win.Content(), f) {
		d.focusEditor()
	}
}

// shownIn reports whether a thing is seen in another.
func shownIn(in, o fyne.CanvasObject) bool {
	if in == nil || !in.Visible() {
		return false
	}
	if in == o {
		return true
	}
	switch x := in.(type) {
	case *fyne.Container:
		return slices.ContainsFunc(x.Objects, func(y fyne.CanvasObject) bool { return shownIn(y, o) })
	case *container.Scroll:
		return shownIn(x.Content, o)
	}
	return false
}

// asking reports whether a question, a menu or the sheet of keys lies over the
// window: keys then mean nothing to what is behind it.
func (d *desk) asking() bool { return d.win.Canvas().Overlays().Top() != nil }

// leaveQuestion puts away what lies over the window by Esc, where nothing in it
// has the keyboard.
func (d *desk) leaveQuestion(k fyne.KeyName) {
	if v, ok := d.win.Canvas().Overlays().Top().(*pageView); ok {
		v.key(k)
		return
	}
	if top, ok := d.win.Canvas().Overlays().Top().(interface{ Hide() }); ok && k == fyne.KeyEscape {
		top.Hide()
		d.focusEditor()
	}
}

func (d *desk) shortcuts() []fyne.Shortcut {
	ctrl := fyne.KeyModifierShortcutDefault
	out := []fyne.Shortcut{
		&fyne.ShortcutUndo{}, &fyne.ShortcutRedo{},
		&desktop.CustomShortcut{KeyName: fyne.KeyZ, Modifier: ctrl | fyne.KeyModifierShift},
		&desktop.CustomShortcut{KeyName: fyne.KeyO, Modifier: ctrl},
		&desktop.CustomShortcut{KeyName: fyne.KeyO, Modifier: ctrl | fyne.KeyModifierShift},
		&desktop.CustomShortcut{KeyName: fyne.KeySpace, Modifier: ctrl},
		&fyne.ShortcutSelectAll{}, &fyne.ShortcutPaste{},
		&desktop.CustomShortcut{KeyName: fyne.KeyS, Modifier: ctrl},
		&desktop.CustomShortcut{KeyName: fyne.KeyS, Modifier: ctrl | fyne.KeyModifierShift},
		&desktop.CustomShortcut{KeyName: fyne.KeyP, Modifier: ctrl},
	}
	for _, k := range stageKeys {
		out = append(out, &desktop.CustomShortcut{KeyName: k, Modifier: ctrl})
	}
	return out
}

// shortcut does undo, redo, open and save.
func (d *desk) shortcut(s fyne.Shortcut) {
	switch x := s.(type) {
	case *fyne.ShortcutUndo:
		d.doUndo()
	case *fyne.ShortcutRedo:
		d.doRedo()
	case *fyne.ShortcutPaste:
		d.paste()
	case *fyne.ShortcutSelectAll:
		d.s.SelectAll()
		d.changed()
	case *desktop.CustomShortcut:
		switch x.KeyName {
		case fyne.KeyZ:
			d.doRedo()
		case fyne.KeySpace:
			d.keep()
		case fyne.KeyO:
			if x.Modifier&fyne.KeyModifierShift != 0 {
				d.chooseFurther()
				return
			}
			d.chooseFile()
		case fyne.KeyS, fyne.KeyP:
			if x.KeyName == fyne.KeyS && x.Modifier&fyne.KeyModifierShift != 0 {
				d.chooseProject()
				return
			}
			d.chooseExport()
		default:
			if i := slices.Index(stageKeys[:], x.KeyName); i >= 0 {
				d.goTo(session.Stage(i))
			}
		}
	}
}

// letter does the action of a typed character; false when it has none.
func (d *desk) letter(r rune) bool {
	do, ok := d.toolLetters()[r]
	if !ok && r >= 'A' && r <= 'Z' {
		do, ok = d.toolLetters()[r-'A'+'a']
	}
	if ok {
		do()
		return true
	}
	do, ok = d.letters()[r]
	if r >= 'A' && r <= 'Z' && !ok {
		do, ok = d.letters()[r-'A'+'a']
	}
	if ok {
		do()
	}
	return ok
}

func (d *desk) letters() map[rune]func() {
	m := map[rune]func(){
		'o': d.chooseFile, 'p': d.squareUpAgain, 'c': d.toggleCorners, 't': d.trace,
		's': func() { d.setKind(pattern.Straight) },
		'b': func() { d.setKind(pattern.Bevel) },
		'u': func() { d.setKind(pattern.Undercut) },
		',': func() { d.stepPiece(-1) }, '.': func() { d.stepPiece(1) },
		'n': d.nameIt, 'e': d.chooseExport, 'v': d.toggleView, ';': d.toggleSheets, '\'': d.toggleUnits, 'm': d.toggleTape,
		'g': func() { d.showLines(!d.editor.showLines) },
		'r': func() { d.showNeedles(!d.editor.needles) }, 'x': d.exaggerateMore,
		'a': func() { d.showShade(!d.editor.shade) },
		'd': d.toggleSheet, 'k': d.checkLength, 'j': d.togglePairing,
		'q': d.toggleReshape, '/': d.toggleSplit, '\\': d.toggleLine, 'y': d.unite, 'z': d.toggleParts, '[': d.mirrorCopy, ']': d.completeHalf,
		'<': func() { d.smoother(-1) }, '>': func() { d.smoother(1) },
		'h': d.toggleSiding, 'i': d.divide, 'w': d.joinNext,
		'f': d.editor.fitAndShow, '0': d.editor.fitAndShow,
		'+': func() { d.editor.zoomMiddle(1.25) }, '=': func() { d.editor.zoomMiddle(1.25) },
		'-': func() { d.editor.zoomMiddle(0.8) }, 'l': d.toggleAppearance, '?': d.showHelp,
	}
	for i, deg := range presetsDeg {
		m['1'+rune(i)] = func() { d.setAngle(deg) }
	}
	return m
}

// key does the action of a key; false when it has none.
func (d *desk) key(k fyne.KeyName, m fyne.KeyModifier) bool {
	switch k {
	case fyne.KeyEscape:
		d.escape()
	case fyne.KeyReturn, fyne.KeyEnter:
		d.enter()
	case fyne.KeyDelete, fyne.KeyBackspace:
		d.deleteThing()
	case fyne.KeySpace:
		d.space()
	case fyne.KeyPageUp:
		d.stepPhoto(-1)
	case fyne.KeyPageDown:
		d.stepPhoto(1)
	case fyne.KeyInsert:
		d.toggleAdding()
	case desktop.KeyMenu, fyne.KeyF10:
		d.menuByKey()
	case fyne.KeyTab:
		by := 1
		if m&fyne.KeyModifierShift != 0 {
			by = -1
		}
		d.step(by)
	case fyne.KeyF1:
		d.showHelp()
	case fyne.KeyF6:
		d.focusPanel()
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyLeft, fyne.KeyRight:
		d.arrow(k, m)
	default:
		return false
	}
	return true
}

// arrow nudges the marker last touched by a pixel of the photograph, or with
// Shift by a tenth of one; without a marker it moves the view, with Shift ten
// times as far.
func (d *desk) arrow(k fyne.KeyName, m fyne.KeyModifier) {
	step := map[fyne.KeyName][2]float64{
		fyne.KeyUp: {0, -1}, fyne.KeyDown: {0, 1}, fyne.KeyLeft: {-1, 0}, fyne.KeyRight: {1, 0},
	}[k]
	if d.nudgeSheets(step, m) || d.nudgeNodes(step, m) || d.moveCross(step, m) {
		return
	}
	fine, far := 1.0, 1.0
	if m&fyne.KeyModifierShift != 0 {
		fine, far = 0.1, 10
	}
	if !d.editor.nudge(step[0]*fine, step[1]*fine) {
		pan := 24 * far * d.editor.px
		d.editor.setView(d.editor.view().Panned(-step[0]*pan, -step[1]*pan))
	}
}

// escape leaves what is innermost: help, work, tool, sentence, selection.
func (d *desk) escape() {
	switch {
	case d.help != nil && d.help.Visible():
		d.hideHelp()
	case d.runner.busy():
		d.stopWork()
	case d.editor.tool != toolSelect:
		d.escapeTool()
	case d.pairing != "":
		d.stopPairing()
	case d.siding != "":
		d.stopSiding()
	case d.strip.shown():
		d.strip.hide()
	default:
		d.s.SelectEdge("")
	}
	d.changed()
}

func (d *desk) enter() {
	switch d.editor.tool {
	case toolCorners:
		d.squareUpByHand()
	case toolSheet:
		d.squareUpFromSheet()
	case toolParts:
		d.joinParts()
	case toolSelect:
		if e, ok := d.s.SelectedEdge(); ok {
			d.mate(e.ID)
			d.changed()
		}
	}
}

// deleteThing takes away the marker last touched, the selected nodes, or the
// selected pieces.
func (d *desk) deleteThing() {
	switch d.editor.tool {
	case toolCorners:
		d.s.RemoveCorner(d.editor.corner)
	case toolSheet:
		d.s.RemoveSheetCorner(d.editor.corner)
	case toolTape:
		d.editor.tape = nil
	case toolReshape:
		d.removeNodes()
		return
	case toolSelect:
		d.deletePressed()
		return
	default:
		return
	}
	d.editor.corner = -1
	d.changed()
}

func (d *desk) stepEdge(by int) {
	d.s.StepEdge(by)
	d.markUp()
}

func (d *desk) stepPiece(by int) {
	d.s.StepPiece(by)
	d.markUp()
}

// markUp shows the panel of the selection.
func (d *desk) markUp() {
	if len(d.s.Document().Pattern.Pieces) > 0 && d.stage != session.StageMarkUp {
		d.goTo(session.StageMarkUp)
		return
	}
	d.changed()
}

func (d *desk) nameIt() {
	if _, ok := d.s.SelectedPiece(); ok {
		d.markUp()
		if p, ok := d.panels[session.StageMarkUp].(*markPanel); ok {
			d.win.Canvas().Focus(p.name)
		}
	}
}

// focusPanel gives the keyboard to the first thing in the panel.
func (d *desk) focusPanel() {
	if f := firstFocusable(d.panels[d.stage].object()); f != nil {
		d.win.Canvas().Focus(f)
	}
}

func firstFocusable(o fyne.CanvasObject) fyne.Focusable {
	if !o.Visible() {
		return nil
	}
	if f, ok := o.(fyne.Focusable); ok {
		if x, ok := o.(fyne.Disableable); !ok || !x.Disabled() {
			return f
		}
	}
	if c, ok := o.(*fyne.Container); ok {
		for _, x := range c.Objects {
			if f := firstFocusable(x); f != nil {
				return f
			}
		}
	}
	return nil
}
