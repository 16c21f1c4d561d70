package pattern

import (
	"fmt"

	"flatwright/rectify/mat"
)

// wireSeam lists the edges of both sides.
type wireSeam struct {
	ID      string    `json:"id"`
	A       []wireRef `json:"a"`
	B       []wireRef `json:"b"`
	WantDeg float64   `json:"want_deg,omitempty"`
}

type wireRef struct {
	Edge     string `json:"edge"`
	Reversed bool   `json:"reversed,omitempty"`
}

type wireLimits struct {
	SeamMM            float64 `json:"seam_mm,omitempty"`
	SeamPart          float64 `json:"seam_part,omitempty"`
	MarkMM            float64 `json:"mark_mm,omitempty"`
	BareSeamMM        float64 `json:"bare_seam_mm,omitempty"`
	LeastDeg          float64 `json:"least_deg,omitempty"`
	MostDeg           float64 `json:"most_deg,omitempty"`
	AngleDeg          float64 `json:"angle_deg,omitempty"`
	RadiusThicknesses float64 `json:"radius_thicknesses,omitempty"`
	DartMM            float64 `json:"dart_mm,omitempty"`
	SheetWidthMM      float64 `json:"sheet_width_mm,omitempty"`
	SheetHeightMM     float64 `json:"sheet_height_mm,omitempty"`
	SpikeMM           float64 `json:"spike_mm,omitempty"`
	SliverMM          float64 `json:"sliver_mm,omitempty"`
}

func encodeSeams(list []Seam) []wireSeam {
	var out []wireSeam
	for _, s := range list {
		out = append(out, wireSeam{ID: s.ID, A: encodeRun(s.A), B: encodeRun(s.B), WantDeg: s.WantDeg})
	}
	return out
}

func encodeRun(r Run) []wireRef {
	out := make([]wireRef, len(r))
	for i, e := range r {
		out[i] = wireRef(e)
	}
	return out
}

// decodeSeams reads the seams and makes sure that their edges are there, each
// in one place only.
func (p *Pattern) decodeSeams(list []wireSeam) error {
	seen := map[string]bool{}
	ids := map[string]bool{}
	for i, w := range list {
		if w.ID == "" || ids[w.ID] {
			return fmt.Errorf("read a pattern, seam %d: its name %q is empty or used twice", i+1, w.ID)
		}
		ids[w.ID] = true
		s := Seam{ID: w.ID, WantDeg: w.WantDeg}
		var err error
		if s.A, err = p.decodeRun(w.A, seen); err == nil {
			s.B, err = p.decodeRun(w.B, seen)
		}
		if err != nil {
			return fmt.Errorf("read a pattern, seam %s: %w", w.ID, err)
		}
		p.Seams = append(p.Seams, s)
	}
	return nil
}

func (p *Pattern) decodeRun(list []wireRef, seen map[string]bool) (Run, error) {
	if len(list) == 0 {
		return nil, fmt.Errorf("one side has no edges")
	}
	var r Run
	for _, w := range list {
		e := EdgeRef(w)
		if _, _, err := p.FindEdge(e.Edge); err != nil {
			return nil, err
		}
		if seen[e.Edge] {
			return nil, fmt.Errorf("edge %s is joined twice", e.Edge)
		}
		seen[e.Edge] = true
		r = append(r, e)
	}
	return r, nil
}

func encodeEdge(e Edge) wireEdge {
	w := wireEdge{
		ID: e.ID, First: e.First, Count: e.Count, Cut: e.Cut.Kind, AngleDeg: e.Cut.AngleDeg,
		AllowanceMM: e.Allowance.WidthMM, AllowanceCorner: e.Allowance.Corner, Tape: e.Tape, Rim: e.Rim,
	}
	if e.Cut.Varies {
		to := e.Cut.ToDeg
		w.ToDeg = &to
	}
	return w
}

func decodeEdge(w wireEdge) (Edge, error) {
	e := Edge{
		ID: w.ID, First: w.First, Count: w.Count,
		Cut:       Cut{Kind: w.Cut, AngleDeg: w.AngleDeg},
		Allowance: Allowance{WidthMM: w.AllowanceMM, Corner: w.AllowanceCorner},
		Tape:      w.Tape,
		Rim:       w.Rim,
	}
	if w.ToDeg != nil {
		e.Cut.Varies, e.Cut.ToDeg = true, *w.ToDeg
	}
	switch w.Cut {
	case Straight, Bevel, Undercut:
	default:
		return e, fmt.Errorf("edge %q: unknown cut %q", w.ID, w.Cut)
	}
	switch w.AllowanceCorner {
	case "", Mitred, Square, Folded:
	default:
		return e, fmt.Errorf("edge %q: unknown corner %q of an allowance", w.ID, w.AllowanceCorner)
	}
	return e, nil
}

func decodeMark(w wireMark) (Mark, error) {
	if len(w) != 4 && len(w) != 5 {
		return Mark{}, fmt.Errorf("has %d numbers, not 4 or 5", len(w))
	}
	for _, v := range w[:4] {
		if !onMat(v) {
			return Mark{}, fmt.Errorf("has a coordinate of %g mm; at most 100 m are allowed", v)
		}
	}
	m := Mark{At: mat.Point{X: w[0], Y: w[1]}, In: mat.Point{X: w[2], Y: w[3]}}
	if len(w) == 5 {
		m.Ticks = int(w[4])
		if float64(m.Ticks) != w[4] || m.Ticks < 1 || m.Ticks > MostTicks {
			return Mark{}, fmt.Errorf("has %g ticks: 1 to %d are allowed", w[4], MostTicks)
		}
	}
	return m, nil
}

func decodeLine(w wireLine) (InsideLine, error) {
	path, err := decodePath(w.wirePath)
	if err != nil {
		return InsideLine{}, err
	}
	switch w.Work {
	case Drawn, Score, Groove, Slit:
	default:
		return InsideLine{}, fmt.Errorf("unknown work %q", w.Work)
	}
	return InsideLine{Path: path, Work: LineWork{Kind: w.Work, DepthMM: w.DepthMM, BendDeg: w.BendDeg, GapMM: w.GapMM}, Run: w.Run}, nil
}
