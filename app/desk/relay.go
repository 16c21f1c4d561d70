package desk

import (
	"hash/fnv"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/session"
)

// placed reports whether what lies on the mat has its place in the picture shown:
// not on a photograph that is yet to be squared up, again or at all.
func (d *desk) placed(doc session.Document) bool {
	return doc.Squared != nil || d.editor.space == session.OnMat
}

// leaveEmptyMat goes back to the photograph when undo has left nothing to be seen
// flat, and no way out of it.
func (d *desk) leaveEmptyMat() {
	doc := d.s.Document()
	if d.editor.space == session.OnMat && doc.Squared == nil && len(doc.Pattern.Pieces) == 0 && d.s.Photo() != nil {
		d.editor.setSpace(session.InPhoto)
	}
}

// relayPanel lays the panel out anew when what it shows takes more or less
// room: a container does not by itself while its own size stays.
func (d *desk) relayPanel() {
	o := d.panels[d.stage].object()
	m, shown := o.MinSize().Add(d.foot.MinSize()), visibleIn(o)
	if m != d.panelSize || shown != d.panelShown {
		d.panelSize, d.panelShown = m, shown
		d.foot.Refresh()
		d.right.Refresh()
		o.Refresh()
		if f, typing := d.win.Canvas().Focused().(*field); typing {
			reveal(f) // what has appeared may have pushed it out of view
		}
	}
}

// visibleIn tells apart which things of a panel are shown: one may take the
// room of another that has been hidden.
func visibleIn(o fyne.CanvasObject) uint64 {
	h := fnv.New64a()
	var walk func(o fyne.CanvasObject)
	walk = func(o fyne.CanvasObject) {
		if !o.Visible() {
			_, _ = h.Write([]byte{0})
			return
		}
		_, _ = h.Write([]byte{1})
		if c, ok := o.(*fyne.Container); ok {
			for _, x := range c.Objects {
				walk(x)
			}
		}
	}
	walk(o)
	return h.Sum64()
}
