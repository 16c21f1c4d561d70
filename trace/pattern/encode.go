package pattern

import (
	"encoding/json"
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// formatVersion counts changes of the encoding that older readers cannot
// read. Version 1 knew no seams and no work along lines.
const formatVersion = 2

// farthestMM bounds coordinates: a hundred metres.
const farthestMM = 1e5

// onMat tells whether a coordinate in mm can be one of a pattern.
func onMat(v float64) bool { return math.Abs(v) <= farthestMM }

// Encode returns the pattern as JSON. Numbers are written with as many
// digits as it takes to read the same number back (at most 17). Lines are
// written by their ends alone. It fails when a coordinate is no number or
// beyond 100 m, and when a path has gaps.
func Encode(p Pattern) ([]byte, error) {
	w := wirePattern{Version: formatVersion, Name: p.Name, Pieces: []wirePiece{}, Seams: encodeSeams(p.Seams), Tapes: encodeTapes(p.Tapes)}
	if p.Limits != (Limits{}) {
		l := wireLimits(p.Limits)
		w.Limits = &l
	}
	for _, q := range p.Pieces {
		x, err := encodePiece(q)
		if err != nil {
			return nil, fmt.Errorf("write pattern %q, piece %s: %w", p.Name, q.ID, err)
		}
		w.Pieces = append(w.Pieces, x)
	}
	b, err := json.Marshal(w)
	if err != nil {
		return nil, fmt.Errorf("write pattern %q: %w", p.Name, err)
	}
	return b, nil
}

// Decode reads what Encode wrote. It fails, saying where, on anything that is
// not such a pattern: the result's edges lie on its outline and its cuts are
// of a known kind. Whether the pattern makes sense is Validate's business.
func Decode(b []byte) (Pattern, error) {
	var w wirePattern
	if err := json.Unmarshal(b, &w); err != nil {
		return Pattern{}, fmt.Errorf("read a pattern: %w", err)
	}
	if w.Version < 1 || w.Version > formatVersion {
		return Pattern{}, fmt.Errorf("read a pattern: it is of version %d, this program reads versions 1 to %d", w.Version, formatVersion)
	}
	p := Pattern{Name: w.Name}
	for i, x := range w.Pieces {
		q, err := decodePiece(x)
		if err != nil {
			return Pattern{}, fmt.Errorf("read a pattern, piece %d (%q): %w", i+1, x.ID, err)
		}
		p.Pieces = append(p.Pieces, q)
	}
	if w.Limits != nil {
		p.Limits = Limits(*w.Limits)
	}
	var err error
	if p.Tapes, err = decodeTapes(w.Tapes); err != nil {
		return p, fmt.Errorf("read a pattern, %w", err)
	}
	return p, p.decodeSeams(w.Seams)
}

type wirePattern struct {
	Version int         `json:"pattern_version"`
	Name    string      `json:"name"`
	Pieces  []wirePiece `json:"pieces"`
	Seams   []wireSeam  `json:"seams,omitempty"`
	Tapes   []wireTape  `json:"tapes,omitempty"`
	Limits  *wireLimits `json:"limits,omitempty"`
}

type wirePiece struct {
	ID        string     `json:"id"`
	Name      string     `json:"name,omitempty"`
	Outline   wirePath   `json:"outline_mm"`
	Openings  []wirePath `json:"openings_mm,omitempty"`
	Edges     []wireEdge `json:"edges"`
	Marks     []wireMark `json:"marks_mm,omitempty"`
	Lines     []wireLine `json:"lines_mm,omitempty"`
	Quantity  int        `json:"quantity"`
	Mirrored  bool       `json:"mirrored,omitempty"`
	Thickness float64    `json:"thickness_mm"`
	Face      Face       `json:"face"`
	Material  string     `json:"material,omitempty"`
	Note      string     `json:"note,omitempty"`
}

// wireLine is a path with what is done along it.
type wireLine struct {
	wirePath
	Work    LineWorkKind `json:"work,omitempty"`
	DepthMM float64      `json:"depth_mm,omitempty"`
	BendDeg float64      `json:"bend_deg,omitempty"`
	GapMM   float64      `json:"gap_mm,omitempty"`
	Run     string       `json:"run,omitempty"`
}

// wirePath is a start and segments of 2 numbers (a line's end) or 6 (a
// cubic's two control points and end).
type wirePath struct {
	Closed   bool        `json:"closed"`
	Start    []float64   `json:"start"`
	Segments [][]float64 `json:"segments"`
}

type wireEdge struct {
	ID       string  `json:"id"`
	First    int     `json:"first"`
	Count    int     `json:"count"`
	Cut      CutKind `json:"cut"`
	AngleDeg float64 `json:"angle_deg,omitempty"`
	// ToDeg is the signed angle at the edge's end where the cut varies.
	ToDeg *float64 `json:"to_deg,omitempty"`

	AllowanceMM     float64         `json:"allowance_mm,omitempty"`
	AllowanceCorner AllowanceCorner `json:"allowance_corner,omitempty"`
	Tape            string          `json:"tape,omitempty"`
	Rim             bool            `json:"rim,omitempty"`
}

// wireMark is at x, at y, in x, in y, and the number of ticks where it is more
// than one.
type wireMark []float64

func encodePiece(p Piece) (wirePiece, error) {
	w := wirePiece{
		ID: p.ID, Name: p.Name, Quantity: p.Quantity, Mirrored: p.Mirrored,
		Thickness: p.ThicknessMM, Face: p.Face, Material: p.Material, Note: p.Note, Edges: []wireEdge{},
	}
	var err error
	if w.Outline, err = encodePath(p.Outline); err != nil {
		return w, fmt.Errorf("outline: %w", err)
	}
	for i, o := range p.Openings {
		x, err := encodePath(o)
		if err != nil {
			return w, fmt.Errorf("opening %d: %w", i+1, err)
		}
		w.Openings = append(w.Openings, x)
	}
	for i, l := range p.Lines {
		x, err := encodePath(l.Path)
		if err != nil {
			return w, fmt.Errorf("line %d: %w", i+1, err)
		}
		w.Lines = append(w.Lines, wireLine{x, l.Work.Kind, l.Work.DepthMM, l.Work.BendDeg, l.Work.GapMM, l.Run})
	}
	for _, e := range p.Edges {
		w.Edges = append(w.Edges, encodeEdge(e))
	}
	for i, m := range p.Marks {
		for _, v := range [4]float64{m.At.X, m.At.Y, m.In.X, m.In.Y} {
			if !onMat(v) {
				return w, fmt.Errorf("mark %d has a coordinate of %g mm; at most 100 m are allowed", i+1, v)
			}
		}
		x := wireMark{m.At.X, m.At.Y, m.In.X, m.In.Y}
		if m.Ticks > 0 {
			x = append(x, float64(m.Ticks))
		}
		w.Marks = append(w.Marks, x)
	}
	return w, nil
}

func encodePath(p curve.Path) (wirePath, error) {
	w := wirePath{Closed: p.Closed, Segments: [][]float64{}}
	for i, s := range p.Segments {
		if i == 0 {
			w.Start = []float64{s.P0.X, s.P0.Y}
		} else if before := p.Segments[i-1].P3; gap(before, s.P0) > joinToleranceMM {
			return w, fmt.Errorf("segment %d begins %.3f mm from the one before", i, gap(before, s.P0))
		}
		n := []float64{s.P3.X, s.P3.Y}
		if !s.Line {
			n = append([]float64{s.P1.X, s.P1.Y, s.P2.X, s.P2.Y}, n...)
		}
		for _, v := range append(n, w.Start...) {
			if !onMat(v) {
				return w, fmt.Errorf("segment %d has a coordinate of %g mm; at most 100 m are allowed", i, v)
			}
		}
		w.Segments = append(w.Segments, n)
	}
	return w, nil
}

func gap(a, b mat.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

func decodePiece(w wirePiece) (Piece, error) {
	p := Piece{
		ID: w.ID, Name: w.Name, Quantity: w.Quantity, Mirrored: w.Mirrored,
		ThicknessMM: w.Thickness, Face: w.Face, Material: w.Material, Note: w.Note,
	}
	var err error
	if p.Outline, err = decodePath(w.Outline); err != nil {
		return p, fmt.Errorf("outline: %w", err)
	}
	for i, x := range w.Openings {
		o, err := decodePath(x)
		if err != nil {
			return p, fmt.Errorf("opening %d: %w", i+1, err)
		}
		p.Openings = append(p.Openings, o)
	}
	for i, x := range w.Lines {
		l, err := decodeLine(x)
		if err != nil {
			return p, fmt.Errorf("line %d: %w", i+1, err)
		}
		p.Lines = append(p.Lines, l)
	}
	for i, m := range w.Marks {
		x, err := decodeMark(m)
		if err != nil {
			return p, fmt.Errorf("mark %d %w", i+1, err)
		}
		p.Marks = append(p.Marks, x)
	}
	p.Edges, err = decodeEdges(w.Edges, len(p.Outline.Segments))
	return p, err
}

func decodeEdges(list []wireEdge, n int) ([]Edge, error) {
	var out []Edge
	for _, e := range list {
		if e.First < 0 || e.First >= n || e.Count < 1 || e.Count > n {
			return nil, fmt.Errorf("edge %q: segments %d and %d on lie outside an outline of %d", e.ID, e.First, e.Count, n)
		}
		x, err := decodeEdge(e)
		if err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

func decodePath(w wirePath) (curve.Path, error) {
	p := curve.Path{Closed: w.Closed}
	if len(w.Segments) == 0 {
		return p, nil
	}
	if len(w.Start) != 2 {
		return p, fmt.Errorf("the start has %d numbers, not 2", len(w.Start))
	}
	at := mat.Point{X: w.Start[0], Y: w.Start[1]}
	for i, n := range w.Segments {
		for _, v := range append(n[:len(n):len(n)], w.Start...) {
			if !onMat(v) {
				return p, fmt.Errorf("segment %d has a coordinate of %g mm; at most 100 m are allowed", i, v)
			}
		}
		var s curve.Segment
		switch len(n) {
		case 2:
			s = curve.Line(at, mat.Point{X: n[0], Y: n[1]})
		case 6:
			s = curve.Cubic(at, mat.Point{X: n[0], Y: n[1]}, mat.Point{X: n[2], Y: n[3]}, mat.Point{X: n[4], Y: n[5]})
		default:
			return p, fmt.Errorf("segment %d has %d numbers, not 2 or 6", i, len(n))
		}
		p.Segments = append(p.Segments, s)
		at = s.P3
	}
	return p, nil
}
