package draw

// Layer is a kind of what is drawn on the sheets, which a reader may hide: a
// maker who works from the back face hides the front's notes, say. What proves
// the scale is on no layer.
type Layer uint8

// The layers, in the order in which they are listed.
const (
	CutLines Layer = iota
	OtherFaceLines
	RegistrationMarks
	InsideLines
	AllowanceLines
	Notes
	PaperJoins
	layers
)

// Layers returns all layers in their order.
func Layers() []Layer {
	var all []Layer
	for l := range layers {
		all = append(all, l)
	}
	return all
}

// Name returns the layer's name for lists.
func (l Layer) Name() string {
	return [layers]string{
		"Cut lines", "Other face", "Registration marks", "Inside lines", "Allowances",
		"Names and notes", "Joins of the paper",
	}[l]
}

// Layered is a canvas that keeps layers apart. Layers do not nest, and a clip
// ends in the layer that it began in.
type Layered interface {
	BeginLayer(Layer)
	EndLayer()
}

// on draws on a layer where the canvas has layers.
func on(c Canvas, l Layer, draw func()) {
	k, layered := c.(Layered)
	if layered {
		k.BeginLayer(l)
		defer k.EndLayer()
	}
	draw()
}
