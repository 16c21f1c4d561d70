package pdf

import (
	"strconv"

	"github.com/jung-kurt/gofpdf"

	"flatwright/export/page"
	"flatwright/export/page/draw"
)

// layers are the file's optional content groups (ISO 32000-1:2008, 8.11), one
// for each kind of line that is drawn at all.
type layers struct {
	// ids are the library's numbers.
	ids map[draw.Layer]int
	// now is the layer that is wanted; open, that something was drawn in it.
	now    draw.Layer
	inside bool
	open   bool
}

// addLayers lists the layers that a set of pages uses, in their own order.
func addLayers(f *gofpdf.Fpdf, set *draw.Set) *layers {
	used := &usedLayers{}
	for i := range set.Pages {
		set.Pages[i].Draw(used)
	}
	l := &layers{ids: map[draw.Layer]int{}}
	for _, kind := range draw.Layers() {
		if used.has(kind) {
			l.ids[kind] = f.AddLayer(kind.Name(), true)
		}
	}
	return l
}

// BeginLayer opens a layer when something is drawn in it.
func (k *canvas) BeginLayer(l draw.Layer) {
	k.layers.now, k.layers.inside, k.layers.open = l, true, false
}

// EndLayer ends the layer.
func (k *canvas) EndLayer() {
	if k.layers.open {
		k.out = append(k.out, "EMC\n"...)
	}
	k.layers.inside, k.layers.open = false, false
}

// openLayer begins the marked content of the layer that is wanted.
func (k *canvas) openLayer() {
	if !k.layers.inside || k.layers.open {
		return
	}
	k.out = append(k.out, "/OC /OC"...)
	k.out = strconv.AppendInt(k.out, int64(k.layers.ids[k.layers.now]), 10)
	k.out = append(k.out, " BDC\n"...)
	k.layers.open = true
}

// usedLayers is a canvas that only sees on which layers something is drawn.
type usedLayers struct {
	now    draw.Layer
	inside bool
	seen   []draw.Layer
}

func (u *usedLayers) has(l draw.Layer) bool {
	for _, s := range u.seen {
		if s == l {
			return true
		}
	}
	return false
}

func (u *usedLayers) note() {
	if u.inside && !u.has(u.now) {
		u.seen = append(u.seen, u.now)
	}
}

func (u *usedLayers) BeginLayer(l draw.Layer)     { u.now, u.inside = l, true }
func (u *usedLayers) EndLayer()                   { u.inside = false }
func (u *usedLayers) Stroke(draw.Path, draw.Pen)  { u.note() }
func (u *usedLayers) Fill(draw.Path, page.Colour) { u.note() }
func (u *usedLayers) Text(draw.Words)             { u.note() }
func (u *usedLayers) Clip(page.Rect)              { u.note() }
func (u *usedLayers) Unclip()                     {}
