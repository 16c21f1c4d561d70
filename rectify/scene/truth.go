package scene

import (
	"encoding/json"
	"fmt"
	"io"

	"flatwright/rectify/mat"
)

// Truth is what a photograph of the scene ought to be read as. All points are
// mm on the mat, the origin at the grid's top-left crossing, x right, y down.
type Truth struct {
	Photo   string  `json:"photo"`
	Width   int     `json:"width_px"`
	Height  int     `json:"height_px"`
	PitchMM float64 `json:"pitch_mm"`
	Columns int     `json:"columns"`
	Rows    int     `json:"rows"`
	// StretchX and StretchY are the true pitch of columns and rows by PitchMM;
	// 0 means 1.
	StretchX float64 `json:"stretch_x,omitempty"`
	StretchY float64 `json:"stretch_y,omitempty"`
	// Bump is where the mat does not lie flat, nil where it does. The camera
	// then maps the plane, not the mat's surface.
	Bump *Bump `json:"bump,omitempty"`
	// Sheet is the sheet of known size in a scene without a mat.
	Sheet  *TruthSheet `json:"sheet,omitempty"`
	Camera Camera      `json:"camera"`
	// FootMM is the point of the mat straight below the camera, HeightMM the
	// camera's height above the mat.
	FootMM   mat.Point    `json:"camera_foot_mm"`
	HeightMM float64      `json:"camera_height_mm"`
	Pieces   []TruthPiece `json:"pieces"`
}

// TruthPiece is one piece. Outline runs clockwise to the eye, openings the
// other way, both within 0.01 mm of the curve meant (and exactly as drawn).
type TruthPiece struct {
	ID string `json:"id"`
	// ThicknessMM is 0 for tape; the outline is the same at foot and top.
	ThicknessMM float64       `json:"thickness_mm,omitempty"`
	Outline     []mat.Point   `json:"outline_mm"`
	Corners     []mat.Point   `json:"corners_mm"`
	Openings    [][]mat.Point `json:"openings_mm,omitempty"`
	Marks       []Mark        `json:"marks_mm,omitempty"`
	Lines       []TruthLine   `json:"lines_mm,omitempty"`
	Tapes       []TruthTape   `json:"edge_tapes,omitempty"`
	AreaMM2     float64       `json:"area_mm2"`
}

// TruthLine is a pen line inside a piece.
type TruthLine struct {
	Points []mat.Point `json:"points"`
	Dashed bool        `json:"dashed"`
}

// TruthTape is a run of coloured tape: arc lengths from the outline's first
// point, clockwise.
type TruthTape struct {
	Name   string      `json:"name"`
	Colour string      `json:"colour_srgb"`
	FromMM float64     `json:"from_mm"`
	ToMM   float64     `json:"to_mm"`
	Edge   []mat.Point `json:"edge_mm"`
}

// Truth returns what the scene ought to be read as.
func (s Spec) Truth() Truth {
	t := Truth{
		Photo: s.Name, Width: s.Width, Height: s.Height, PitchMM: s.Mat.PitchMM,
		Columns: s.Mat.Columns, Rows: s.Mat.Rows, Camera: s.Camera,
		FootMM: s.Camera.FootMM(), HeightMM: s.Camera.HeightMM(),
	}
	t.StretchX, t.StretchY, t.Sheet = s.Mat.StretchX, s.Mat.StretchY, s.truthSheet()
	if s.Mat.Bump.AmplitudeMM != 0 {
		b := s.Mat.Bump
		t.Bump = &b
	}
	for i := range s.Pieces {
		t.Pieces = append(t.Pieces, s.Pieces[i].truth())
	}
	return t
}

func (p *Piece) truth() TruthPiece {
	t := TruthPiece{
		ID: p.ID, ThicknessMM: p.ThicknessMM, Outline: turned(p.Outline, 1), Corners: p.Corners, Marks: p.Marks,
		AreaMM2: signedArea(turned(p.Outline, 1)),
	}
	for _, o := range p.Openings {
		t.Openings = append(t.Openings, turned(o, -1))
		t.AreaMM2 += signedArea(turned(o, -1))
	}
	for _, l := range p.Lines {
		t.Lines = append(t.Lines, TruthLine(l))
	}
	for _, e := range p.Edges {
		c := e.Colour
		t.Tapes = append(t.Tapes, TruthTape{
			Name: e.Name, Colour: fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B),
			FromMM: e.FromMM, ToMM: e.ToMM, Edge: run(p.Outline, e.FromMM, e.ToMM),
		})
	}
	return t
}

// turned is a ring that runs clockwise (sign 1) or the other way (sign -1).
func turned(ring []mat.Point, sign float64) []mat.Point {
	out := append([]mat.Point(nil), ring...)
	if signedArea(out)*sign < 0 {
		reverse(out)
	}
	return out
}

// run is a stretch of an outline, a point a millimetre.
func run(ring []mat.Point, fromMM, toMM float64) []mat.Point {
	n := max(1, int(toMM-fromMM))
	var out []mat.Point
	for i := 0; i <= n; i++ {
		at, _ := along(ring, fromMM+(toMM-fromMM)*float64(i)/float64(n))
		out = append(out, at)
	}
	return out
}

// WriteJSON writes the truth, coordinates to 0.0001 mm.
func (t Truth) WriteJSON(w io.Writer) error {
	pieces := make([]TruthPiece, len(t.Pieces))
	for i, p := range t.Pieces {
		pieces[i] = p.roundedOff()
	}
	t.Pieces = pieces
	if err := json.NewEncoder(w).Encode(t); err != nil {
		return fmt.Errorf("scene: writing the truth: %w", err)
	}
	return nil
}

// ReadTruth reads what WriteJSON wrote.
func ReadTruth(r io.Reader) (Truth, error) {
	var t Truth
	if err := json.NewDecoder(r).Decode(&t); err != nil {
		return Truth{}, fmt.Errorf("scene: reading the truth: %w", err)
	}
	return t, nil
}
