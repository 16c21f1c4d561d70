package scene

import (
	"fmt"

	"flatwright/rectify/mat"
)

// Colour is an sRGB colour as seen in even white light.
type Colour struct{ R, G, B uint8 }

// Spec is a whole scene: what lies on the table, how it is lit, and the
// camera that sees it. Coordinates are mm on the mat, the origin at the
// grid's top-left crossing.
type Spec struct {
	// Seed drives every texture and the noise.
	Seed uint64
	// Width and Height are the upright photograph's, in px.
	Width, Height int
	// Name is the photograph's file name, for messages.
	Name string
	// Kind says whether the mat or the sheet is drawn. Without a mat, Mat.Table
	// still is what all lies on, and coordinates have any origin.
	Kind    Kind
	Mat     Mat
	Sheet   Sheet
	Camera  Camera
	Pieces  []Piece
	Objects []Object
	Light   Light
	Sensor  Sensor
}

// Mat is a cutting mat: Columns by Rows squares of PitchMM and a border.
type Mat struct {
	PitchMM       float64
	Columns, Rows int
	BorderMM      float64
	Colour, Line  Colour
	// MajorMM and MinorMM are line widths; there are MinorPerPitch divisions
	// a pitch, 1 for none.
	MajorMM, MinorMM float64
	MinorPerPitch    int
	// HeavyEvery makes each n-th line HeavyMM wide; 0 for none.
	HeavyEvery int
	HeavyMM    float64
	// TicksPerPitch short ticks stand along the border.
	TicksPerPitch int
	Numbers       bool
	Diagonals     []Diagonal
	// Scars is the number of old knife cuts, Wear 0..1 how far the print has
	// rubbed off.
	Scars int
	Wear  float64
	// Table is what the mat lies on.
	Table Table
	// StretchX and StretchY are by how much the print is larger than it claims:
	// lines stand PitchMM times these apart; 0 means 1.
	StretchX, StretchY float64
	// Bump is a place where the mat does not lie flat; the table under it
	// follows. Thick pieces cannot lie on a bent mat.
	Bump Bump
}

// Table is the surface round the mat. Grain 0 is a plain top, 1 strong wood.
// TileMM above 0 makes it tiles of that pitch, turned by TileDeg, with joints
// of Grout, GroutMM wide.
type Table struct {
	Colour          Colour
	Grain           float64
	TileMM, GroutMM float64
	TileDeg         float64
	Grout           Colour
}

// Diagonal is a printed guide line.
type Diagonal struct {
	From, To mat.Point
	WidthMM  float64
}

// Tape is what a piece is made of.
type Tape struct {
	Colour Colour
	// StripMM is the width of a strip of tape, AngleDeg the way most lie.
	StripMM, AngleDeg float64
	// Opacity of one layer, 0..1: mat lines show faintly through the rest.
	Opacity float64
	// Crepe 0..1 is the ripple of paper tape, Weave 0..1 the cloth of duct
	// tape, Wrinkles 0..1 the amount of creases.
	Crepe, Weave, Wrinkles float64
	// Rim 0..1 is how dark the cut edge is.
	Rim float64
}

// Piece is one taped piece lying on the mat. Outline runs clockwise to the
// eye; openings lie inside it.
type Piece struct {
	ID string
	// ThicknessMM 0 is tape, flat on the mat. Above 0 the piece is a slab of
	// foam of Tape.Colour with upright walls: the outline and the openings are
	// the same at its foot as at its top, and all that is drawn on it is drawn
	// on the top face.
	ThicknessMM float64
	Outline     []mat.Point
	Corners     []mat.Point
	Openings    [][]mat.Point
	Tape        Tape
	Edges       []EdgeTape
	Marks       []Mark
	Lines       []PenLine
	Texts       []Text
	Ink         Colour
	InkMM       float64
}

// EdgeTape is coloured tape along a run of the outline, from FromMM to ToMM
// of arc length after the outline's first point.
type EdgeTape struct {
	Name         string
	Colour       Colour
	FromMM, ToMM float64
	WidthMM      float64
}

// Mark is a registration mark: a pen stroke from the outline at At to In.
type Mark struct {
	At mat.Point `json:"at"`
	In mat.Point `json:"in"`
}

// PenLine is a line drawn inside a piece.
type PenLine struct {
	Points []mat.Point
	Dashed bool
}

// Text is handwriting: its first letter's top left at At.
type Text struct {
	Text     string
	At       mat.Point
	HeightMM float64
	AngleDeg float64
}

// ObjectKind is a thing left on the mat.
type ObjectKind string

// The kinds of object.
const (
	Rule ObjectKind = "rule"
	Pen  ObjectKind = "pen"
)

// Object is a thing that is not a piece, lying along AngleDeg from At.
type Object struct {
	Kind              ObjectKind
	At                mat.Point
	AngleDeg          float64
	LengthMM, WidthMM float64
	Colour            Colour
}

// Light is how the scene is lit.
type Light struct {
	// Level is the exposure, about 1.
	Level float64
	// Gradient is the fall of light across Span mm of the mat, 0..1, towards
	// GradientDeg.
	Gradient, GradientDeg, SpanMM float64
	// Vignette is the loss at the picture's corners, 0..1.
	Vignette float64
	// Glare adds a broad sheen of this strength about GlareAt.
	Glare         float64
	GlareAt       mat.Point
	GlareRadiusMM float64
	Shadows       []CastShadow
	// ContactMM and Contact are reach and strength of the shadow that pieces
	// throw, towards ContactDeg.
	ContactMM, Contact, ContactDeg float64
	// ElevationDeg is how high above the mat the lamp stands that makes thick
	// pieces throw a shadow towards ContactDeg; 0 means 50.
	ElevationDeg float64
	// Red and Blue are the white balance's gains against green.
	Red, Blue float64
}

// CastShadow is the shadow of something out of the picture.
type CastShadow struct {
	Outline []mat.Point
	// SoftMM is the width of its soft edge, Strength 0..1 the light it takes.
	SoftMM, Strength float64
}

// Sensor is what the camera does to the light.
type Sensor struct {
	// BlurPx is the standard deviation of the lens blur.
	BlurPx float64
	// Noise is the standard deviation at mid grey, in 8-bit steps.
	Noise float64
	// Sharpen is the strength of the unsharp mask and SharpenPx its radius.
	Sharpen, SharpenPx float64
	// Contrast 0..1 is the strength of the tone curve.
	Contrast float64
	// EncodedLight mixes light at edges in sRGB values instead of linearly.
	// No camera does; it serves to measure how much a finder depends on it.
	EncodedLight bool
	// Quality is the JPEG's.
	Quality int
	// Orientation is the tag 1..8 the file carries; 0 for none. The truth is
	// always in the upright frame.
	Orientation int
	// Focal35MM is the FocalLengthIn35mmFilm the tag claims; 0 for none.
	Focal35MM int
}

// SizeMM returns the true size of the mat's grid.
func (m Mat) SizeMM() (w, h float64) {
	x, y := m.PitchXY()
	return x * float64(m.Columns), y * float64(m.Rows)
}

// PitchXY returns the true distances in mm of the columns and of the rows.
func (m Mat) PitchXY() (x, y float64) {
	x, y = m.PitchMM, m.PitchMM
	if m.StretchX > 0 {
		x *= m.StretchX
	}
	if m.StretchY > 0 {
		y *= m.StretchY
	}
	return x, y
}

// elevation is the lamp's height above the mat in degrees.
func (l *Light) elevation() float64 {
	if l.ElevationDeg > 0 {
		return l.ElevationDeg
	}
	return 50
}

func (s *Spec) check() error {
	if s.Width < 16 || s.Height < 16 {
		return fmt.Errorf("scene: a picture of %d x %d px is too small", s.Width, s.Height)
	}
	if err := s.checkGround(); err != nil {
		return err
	}
	for i := range s.Pieces {
		if len(s.Pieces[i].Outline) < 3 {
			return fmt.Errorf("scene: piece %d (%s) has no outline", i, s.Pieces[i].ID)
		}
	}
	if err := s.Camera.check(); err != nil {
		return err
	}
	return s.checkHeights()
}

// checkGround refuses mats and sheets that cannot be drawn.
func (s *Spec) checkGround() error {
	m := &s.Mat
	switch {
	case s.Kind == PlainSheet:
		return s.Sheet.check()
	case s.Kind != GriddedMat:
		return fmt.Errorf("scene: there is no kind of scene %q", s.Kind)
	case !(m.PitchMM > 0) || m.Columns < 1 || m.Rows < 1:
		return fmt.Errorf("scene: a mat of %d x %d squares of %g mm cannot be drawn", m.Columns, m.Rows, m.PitchMM)
	case m.StretchX < 0 || m.StretchY < 0:
		return fmt.Errorf("scene: a print stretched %g by %g times cannot be drawn", m.StretchX, m.StretchY)
	}
	return m.Bump.check()
}

// checkHeights refuses pieces that would come too near the camera.
func (s *Spec) checkHeights() error {
	high := s.Camera.HeightMM()
	for i := range s.Pieces {
		if t := s.Pieces[i].ThicknessMM; !(t >= 0 && t < high/2) {
			return fmt.Errorf("scene: piece %d (%s) is %g mm thick under a camera %.0f mm above the mat",
				i, s.Pieces[i].ID, t, high)
		} else if t > 0 && s.Mat.Bump.AmplitudeMM != 0 {
			return fmt.Errorf("scene: piece %d (%s) is thick and cannot lie on a bent mat", i, s.Pieces[i].ID)
		}
	}
	return nil
}
