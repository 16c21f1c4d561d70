package session

import (
	"maps"
	"math"
	"strings"

	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
	"flatwright/trace/reshape"
)

// Measured is a piece's outline as it was measured in the photograph.
type Measured struct {
	Samples []curve.Sample
	// ToleranceMM is how closely the curve follows them, 0 for the usual.
	ToleranceMM float64
}

// UsualToleranceMM is how closely tracing follows what it measured.
const UsualToleranceMM = trace.UsualToleranceMM

// deviationCache keeps the deviation of a piece in one state of the document.
type deviationCache struct {
	version int
	piece   string
	of      *curve.Sample
	value   reshape.Deviation
}

// liveSamples is how many samples are looked at while something is dragged.
const liveSamples = 600

// MeasuredOutline returns the outline of a piece as measured; false before that.
func (s *Session) MeasuredOutline(pieceID string) (Measured, bool) {
	m, ok := s.doc.Measured[pieceID]
	return m, ok && len(m.Samples) > 0
}

// SetMeasured keeps what was measured of a piece. That is no edit.
func (s *Session) SetMeasured(pieceID string, samples []curve.Sample) {
	if s.doc.piece(pieceID) == nil {
		return
	}
	m := s.doc.Measured[pieceID]
	m.Samples = samples
	s.doc.Measured = withMeasured(s.doc.Measured, pieceID, m)
}

func withMeasured(all map[string]Measured, id string, m Measured) map[string]Measured {
	out := maps.Clone(all)
	if out == nil {
		out = map[string]Measured{}
	}
	out[id] = m
	return out
}

// Deviation tells how far a piece's outline lies from where it was measured;
// false when it was not, or when the piece lies elsewhere now.
func (s *Session) Deviation(pieceID string) (reshape.Deviation, bool) {
	p, m := s.doc.piece(pieceID), s.doc.Measured[pieceID]
	if p == nil || len(m.Samples) == 0 {
		return reshape.Deviation{}, false
	}
	if c := &s.deviation; c.version != s.version || c.piece != pieceID || c.of != &m.Samples[0] {
		*c = deviationCache{s.version, pieceID, &m.Samples[0], reshape.DeviationOf(p.Outline, m.Samples, liveSamples)}
	}
	return s.deviation.value, s.deviation.value.Samples > 0
}

// SetSmoothness gives a piece the course that follows its measured outline
// within a tolerance, as part of a gesture that EndGesture ends. Base is the
// piece as the gesture began.
func (s *Session) SetSmoothness(base pattern.Piece, course curve.Path, toleranceMM float64) error {
	err := s.drag(ActionSmoothness, base, func(p *pattern.Piece) error { return p.Redraw(pattern.Outer, first(p), first(p), course) })
	if err != nil {
		return err
	}
	m := s.doc.Measured[base.ID]
	m.ToleranceMM = toleranceMM
	s.doc.Measured = withMeasured(s.doc.Measured, base.ID, m)
	return nil
}

// first is the node at which a piece's first edge begins.
func first(p *pattern.Piece) int {
	if len(p.Edges) == 0 {
		return 0
	}
	return p.Edges[0].First
}

// LeaveOut takes the selected pieces out of the pattern.
func (s *Session) LeaveOut() error {
	ids := s.SelectedPieces()
	if len(ids) == 0 {
		return ErrNoPiece
	}
	return s.onPattern(Edit{ActionLeaveOut, strings.Join(ids, ", ")}, func(p *pattern.Pattern) error { return p.Remove(ids...) })
}

// AddPiece takes in a piece that was traced from a click, selects it and
// returns its ID.
func (s *Session) AddPiece(q pattern.Piece, samples []curve.Sample) (string, error) {
	q.ID = s.freshPieceID()
	trial := s.doc.clone()
	id, err := trial.Pattern.Add(q)
	if err != nil {
		return "", err
	}
	q.ID = id
	trial.setOrigin(Origin{Shots: []int{trial.Active}}, id)
	trial.Measured = withMeasured(trial.Measured, id, Measured{Samples: samples})
	trial.layClear()
	s.edit(Edit{ActionAddPiece, id}, func(d *Document) { *d = trial })
	s.SelectPiece(q.ID)
	return q.ID, nil
}

// freshPieceID is a letter that no piece has or had when it was traced: what
// is written on pieces is known by their letter.
func (s *Session) freshPieceID() string {
	used := map[string]bool{}
	for _, p := range s.doc.Pattern.Pieces {
		used[p.ID] = true
	}
	for _, t := range s.doc.allTraced() {
		for _, p := range t.Pattern.Pieces {
			used[p.ID] = true
		}
	}
	for k := 0; ; k++ {
		if id := pattern.Letters(k); !used[id] {
			return id
		}
	}
}

// PieceCovering returns the piece of the photograph looked at whose outline has
// most of a new one's area around it already; empty for none: a click on a piece
// that is there adds no second one.
func (s *Session) PieceCovering(o curve.Path) string {
	b := o.Bounds()
	mid := b.Min
	mid.X, mid.Y = (b.Min.X+b.Max.X)/2, (b.Min.Y+b.Max.Y)/2
	for _, p := range s.doc.Pattern.Pieces {
		if !s.doc.shown(p.ID) {
			continue
		}
		c := p.Outline.Bounds()
		near := math.Hypot((c.Min.X+c.Max.X)/2-mid.X, (c.Min.Y+c.Max.Y)/2-mid.Y)
		if near < 5 && math.Abs(math.Abs(p.Outline.Area())-math.Abs(o.Area())) < 0.2*math.Abs(o.Area()) {
			return p.ID
		}
	}
	return ""
}
