// Package report says what was measured and made, for programs (JSON) and
// for people (a few lines of text).
//
// Keys are stable and carry their units: _mm, _mm2, _px, _ms, _deg.
package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"path/filepath"

	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// Report is everything that one run tells.
type Report struct {
	// Title is the project's name.
	Title       string      `json:"title"`
	Photo       Photo       `json:"photo"`
	Calibration Calibration `json:"calibration"`
	// FurtherPhotos are the second photograph and on, when several make one
	// pattern.
	FurtherPhotos []FurtherPhoto `json:"further_photos,omitempty"`
	Pieces        []Piece        `json:"pieces"`
	Seams         []Seam         `json:"seams"`
	// Findings are the checks' results; Problems are what went wrong or is
	// doubtful in finding and tracing.
	Findings []Finding `json:"findings"`
	Problems []Finding `json:"problems"`
	Sheets   Sheets    `json:"sheets"`
	Files    []string  `json:"files"`
	Timings  []Timing  `json:"timings"`
}

// Photo is the photograph that was read.
type Photo struct {
	Name     string `json:"name"`
	WidthPx  int    `json:"width_px"`
	HeightPx int    `json:"height_px"`
}

// FurtherPhoto is one more photograph of the same pattern.
type FurtherPhoto struct {
	Photo       Photo       `json:"photo"`
	Calibration Calibration `json:"calibration"`
}

// Point is a place on the mat, in mm.
type Point struct {
	X float64 `json:"x_mm"`
	Y float64 `json:"y_mm"`
}

// At returns a point of the mat.
func At(p mat.Point) Point { return Point{X: p.X, Y: p.Y} }

func (p Point) rounded() Point { return Point{round(p.X), round(p.Y)} }

// Piece is one piece. The area leaves out openings; the perimeter is the
// outline's alone.
type Piece struct {
	ID          string  `json:"id"`
	Name        string  `json:"name"`
	AreaMM2     float64 `json:"area_mm2"`
	PerimeterMM float64 `json:"perimeter_mm"`
	// Nodes counts the ends of segments, of outline and openings.
	Nodes    int    `json:"nodes"`
	Openings int    `json:"openings"`
	Marks    int    `json:"marks"`
	Lines    int    `json:"inside_lines"`
	Bounds   Bounds `json:"bounds_mm"`
	Edges    []Edge `json:"edges"`
}

// Bounds is the box of an outline, in mm on the mat.
type Bounds struct {
	MinX float64 `json:"min_x"`
	MinY float64 `json:"min_y"`
	MaxX float64 `json:"max_x"`
	MaxY float64 `json:"max_y"`
}

// Edge is one edge of a piece and how it is cut.
type Edge struct {
	ID       string  `json:"id"`
	LengthMM float64 `json:"length_mm"`
	Cut      string  `json:"cut"`
	AngleDeg float64 `json:"angle_deg"`
}

// SideEdge is one edge of a side of a seam; Reversed tells that the seam is
// closed against the direction of the outline there.
type SideEdge struct {
	Edge     string `json:"edge"`
	Reversed bool   `json:"reversed"`
}

// Seam is a pair of sides that will be glued together: EdgeA and EdgeB name
// them for people, EdgesA and EdgesB list them in the order of closing.
type Seam struct {
	Tag          string     `json:"tag"`
	EdgeA        string     `json:"edge_a"`
	EdgeB        string     `json:"edge_b"`
	EdgesA       []SideEdge `json:"edges_a"`
	EdgesB       []SideEdge `json:"edges_b"`
	LengthAMM    float64    `json:"length_a_mm"`
	LengthBMM    float64    `json:"length_b_mm"`
	DifferenceMM float64    `json:"difference_mm"`
	FoldAngleDeg float64    `json:"fold_angle_deg"`
	MarksPaired  bool       `json:"marks_paired"`
}

// Finding is something the maker should hear about; At is nil when it has no
// place.
type Finding struct {
	Text string `json:"text"`
	At   *Point `json:"at_mm"`
}

// Sheets says what was printed on.
type Sheets struct {
	Paper  string `json:"paper"`
	Tiles  int    `json:"tiles"`
	Pages  int    `json:"pages"`
	Blank  int    `json:"blank_left_out"`
	Layout string `json:"layout"`
}

// Timing is how long a stage took.
type Timing struct {
	Stage string  `json:"stage"`
	MS    float64 `json:"ms"`
}

// PiecesOf measures the pieces of a pattern.
func PiecesOf(p pattern.Pattern) []Piece {
	pieces := make([]Piece, 0, len(p.Pieces))
	for i := range p.Pieces {
		pieces = append(pieces, pieceOf(&p.Pieces[i]))
	}
	return pieces
}

func pieceOf(p *pattern.Piece) Piece {
	box := p.Outline.Bounds()
	r := Piece{
		ID: p.ID, Name: p.Name, AreaMM2: p.AreaMM2(), PerimeterMM: p.PerimeterMM(),
		Nodes: len(p.Outline.Segments), Openings: len(p.Openings), Marks: len(p.Marks), Lines: len(p.Lines),
		Bounds: Bounds{box.Min.X, box.Min.Y, box.Max.X, box.Max.Y},
		Edges:  make([]Edge, 0, len(p.Edges)),
	}
	for _, o := range p.Openings {
		r.Nodes += len(o.Segments)
	}
	for i, e := range p.Edges {
		r.Edges = append(r.Edges, edgeOf(e, p.EdgePath(i).Length()))
	}
	return r
}

func edgeOf(e pattern.Edge, lengthMM float64) Edge {
	r := Edge{ID: e.ID, Cut: string(e.Cut.Kind), LengthMM: lengthMM}
	if e.Cut.Kind != pattern.Straight {
		r.AngleDeg = e.Cut.AngleDeg
	}
	return r
}

// Write writes the report as JSON. Lengths are rounded to 0.0001. It fails,
// before writing, when a number is not finite.
func Write(w io.Writer, r Report) error {
	data, err := json.MarshalIndent(rounded(r), "", "  ")
	if err != nil {
		return fmt.Errorf("the report could not be made: %w", err)
	}
	if _, err := w.Write(append(data, '\n')); err != nil {
		return fmt.Errorf("the report could not be written: %w", err)
	}
	return nil
}

// rounded returns a copy with readable numbers and empty lists instead of
// null.
func rounded(r Report) Report {
	r.Calibration = r.Calibration.rounded()
	pieces := make([]Piece, len(r.Pieces))
	for i, p := range r.Pieces {
		p.AreaMM2, p.PerimeterMM = round(p.AreaMM2), round(p.PerimeterMM)
		p.Bounds = Bounds{round(p.Bounds.MinX), round(p.Bounds.MinY), round(p.Bounds.MaxX), round(p.Bounds.MaxY)}
		p.Edges = append([]Edge{}, p.Edges...)
		for k := range p.Edges {
			p.Edges[k].LengthMM = round(p.Edges[k].LengthMM)
		}
		pieces[i] = p
	}
	r.Pieces = pieces
	further := append([]FurtherPhoto(nil), r.FurtherPhotos...)
	for i := range further {
		further[i].Calibration = further[i].Calibration.rounded()
	}
	r.FurtherPhotos = further
	r.Seams = append([]Seam{}, r.Seams...)
	r.Findings = roundedPlaces(r.Findings)
	r.Problems = roundedPlaces(r.Problems)
	r.Files = append([]string{}, r.Files...)
	r.Timings = append([]Timing{}, r.Timings...)
	for i := range r.Timings {
		r.Timings[i].MS = math.Round(r.Timings[i].MS*10) / 10
	}
	return r
}

func roundedPlaces(in []Finding) []Finding {
	out := append([]Finding{}, in...)
	for i := range out {
		if out[i].At != nil {
			at := out[i].At.rounded()
			out[i].At = &at
		}
	}
	return out
}

func round(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// baseName returns a file's name without its folders, for people.
func baseName(file string) string { return filepath.Base(file) }
