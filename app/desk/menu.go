package desk

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/trace/pattern"
)

// entry is an action of the context menu and the key that does it too.
type entry struct {
	word, key string
	do        func()
}

// menu opens the actions for what is selected, at a place of the editor.
func (d *desk) menu(at fyne.Position) {
	all := d.entries()
	items := make([]*fyne.MenuItem, 0, len(all))
	for _, x := range all {
		if x.do == nil {
			items = append(items, fyne.NewMenuItemSeparator())
			continue
		}
		word := x.word
		if x.key != "" {
			word += "   " + x.key
		}
		items = append(items, fyne.NewMenuItem(word, x.do))
	}
	c := d.win.Canvas()
	o := d.app.Driver().AbsolutePositionForObject(d.editor)
	d.popped = widget.NewPopUpMenu(fyne.NewMenu("", items...), c)
	d.popped.ShowAtPosition(o.Add(at))
	c.Focus(d.popped)
}

// menuByKey opens the menu beside what is selected.
func (d *desk) menuByKey() {
	size := d.editor.Size()
	at := fyne.NewPos(size.Width/2, size.Height/3)
	if p, ok := d.s.SelectedPiece(); ok {
		for _, x := range d.editor.shapes().Pieces {
			in := x.Label.In(d.editor.space)
			if x.ID == p.ID && len(in) > 0 {
				q := d.editor.view().ToDevice(in[0])
				at = clamped(q, d.editor.px, size)
			}
		}
	}
	d.menu(at)
}

func clamped(q view.Point, px float64, size fyne.Size) fyne.Position {
	return fyne.NewPos(
		max(0, min(float32(q.X/px), size.Width-40)),
		max(0, min(float32(q.Y/px), size.Height-40)))
}

// entries are the actions that apply to what is selected.
func (d *desk) entries() []entry {
	w := &tr.repair
	_, onEdge := d.s.SelectedEdge()
	_, onPiece := d.s.SelectedPiece()
	pieces := d.s.SelectedPieces()
	var out []entry
	put := func(on bool, word, key string, do func()) {
		if on {
			out = append(out, entry{word, key, do})
		}
	}
	line := func() {
		if n := len(out); n > 0 && out[n-1].do != nil {
			out = append(out, entry{})
		}
	}
	if d.editor.tool == toolReshape {
		out = d.nodeEntries()
		line()
	}
	put(onEdge && len(pieces) == 1, tr.straight, "S", func() { d.setKind(pattern.Straight) })
	put(onEdge && len(pieces) == 1, tr.bevel, "B", func() { d.setKind(pattern.Bevel) })
	put(onEdge && len(pieces) == 1, tr.undercut, "U", func() { d.setKind(pattern.Undercut) })
	put(onEdge && len(pieces) == 1, tr.seam.pair, "J", d.togglePairing)
	line()
	_, _, errTwo := d.s.TwoEdges()
	put(errTwo == nil, w.uniteEdges, "Y", d.unite)
	put(errTwo != nil && len(pieces) == 2, w.byPoints, "Y", d.unite)
	put(onPiece && d.editor.tool != toolReshape, w.reshape, "Q", d.toggleReshape)
	_, _, onLine := d.s.SelectedLine()
	put(onLine, w.removeLine, "Del", d.removeLine)
	put(onPiece, w.addLine, "\\", d.toggleLine)
	put(onEdge, w.straighten, "", d.straighten)
	put(onEdge, w.retrace, "", d.retrace)
	put(onPiece, w.closer, "<", func() { d.smoother(-1) })
	put(onPiece, w.smoother, ">", func() { d.smoother(1) })
	put(onPiece, w.split, "/", d.toggleSplit)
	put(onEdge, w.completeEdge, "]", d.completeHalf)
	put(onPiece, w.completeLine, "", d.toggleAxis)
	put(onPiece, w.mirrorCopy, "[", d.mirrorCopy)
	put(len(d.s.Document().Pattern.Pieces) > 1, tr.shots.parts, "Z", d.toggleParts)
	line()
	put(onPiece, w.name, "N", d.nameIt)
	put(onPiece && !onLine, w.leaveOut, "Del", d.leaveOut)
	put(onPiece && onLine, w.leaveOut, "", d.leaveOut)
	put(d.s.Document().Squared != nil, w.add, "Ins", d.toggleAdding)
	put(len(d.s.Document().Pattern.Pieces) > 0, w.selectAll, "Ctrl+A", func() { d.s.SelectAll(); d.changed() })
	line()
	put(d.s.NextUndo().Action != session.NoAction, tr.undoShort, "Ctrl+Z", d.doUndo)
	put(d.s.NextRedo().Action != session.NoAction, tr.redoShort, "Ctrl+Y", d.doRedo)
	put(d.s.Photo() == nil, tr.open, "O", d.chooseFile)
	return out
}

// nodeEntries are the actions of reshaping.
func (d *desk) nodeEntries() []entry {
	w := &tr.repair
	_, nodes := d.s.SelectedNodes()
	out := []entry{{w.addNode, "I", d.addNode}, {w.addMark, "K", d.addMark}}
	if _, ok := d.s.SelectedMark(); ok {
		out = append(out, entry{w.removeMark, "Del", d.removeNodes})
	}
	if len(nodes) > 0 {
		out = append(out, entry{w.removeNode, "Del", d.removeNodes}, entry{w.toggleNode, "C", d.toggleNodes})
	}
	if _, err := d.s.SelectedStretch(); err == nil {
		out = append(out, entry{w.straighten, "L", d.straighten}, entry{w.retrace, "T", d.retrace})
	}
	if len(nodes) == 2 {
		out = append(out, entry{w.splitNodes, "/", d.splitAtNodes})
	}
	return append(out, entry{w.endReshape, "Esc", d.putDown})
}
