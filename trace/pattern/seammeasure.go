package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// SeamMeasure is what a seam's two sides have in common and what not.
type SeamMeasure struct {
	SeamID string
	// A and B are the sides.
	A, B SideMeasure
	// Joints pair marks of both sides in the order in which the seam closes;
	// marks without a partner are in A.Alone and B.Alone.
	Joints []MarkJoint
	// Stretches are the parts of the seam from its beginning to the first
	// joint, from joint to joint, and from the last one to its end.
	Stretches []Stretch
}

// SideMeasure is one side of a seam.
type SideMeasure struct {
	LengthMM float64
	// Marks lie along the side from its beginning on.
	Marks []SideMark
	// Alone are the indices in Marks of those without a partner.
	Alone []int
	// Start and End are the side's ends on the mat.
	Start, End mat.Point
}

// SideMark is a registration mark of a side.
type SideMark struct {
	// PieceID and Index name the mark: number Index of the piece's marks.
	PieceID string
	Index   int
	AlongMM float64
	At      mat.Point
}

// MarkJoint is a pair of marks that should meet. OffMM is how far B's lies
// beyond A's when the seam is closed from its beginning without stretching.
type MarkJoint struct {
	A, B  int
	OffMM float64
}

// Stretch is a part of a seam between two joints. DifferenceMM is B's length
// less A's.
type Stretch struct {
	AFromMM, AToMM, BFromMM, BToMM float64
	DifferenceMM                   float64
}

// DifferenceMM is how much longer side B is than side A.
func (m SeamMeasure) DifferenceMM() float64 { return m.B.LengthMM - m.A.LengthMM }

// Part is the difference over the mean length.
func (m SeamMeasure) Part() float64 {
	mean := (m.A.LengthMM + m.B.LengthMM) / 2
	if mean == 0 {
		return 0
	}
	return m.DifferenceMM() / mean
}

// StretchWords says between which marks a stretch lies, counted along side A:
// "between its start and the 1st mark".
func (m SeamMeasure) StretchWords(stretch int) string {
	end := func(k int, off string) string {
		if k < 0 || k >= len(m.Joints) {
			return "its " + off
		}
		return "the " + nth(m.Joints[k].A+1) + " mark"
	}
	return "between " + end(stretch-1, "start") + " and " + end(stretch, "end")
}

// worst returns the number of the stretch that WorstStretch returns.
func (m SeamMeasure) worst() int {
	best := 0
	for i, t := range m.Stretches {
		if math.Abs(t.DifferenceMM) > math.Abs(m.Stretches[best].DifferenceMM) {
			best = i
		}
	}
	return best
}

// WorstStretch returns the stretch in which most of the difference arises, in
// mm for its length; false when there are no joints to tell by.
func (m SeamMeasure) WorstStretch() (Stretch, bool) {
	if len(m.Joints) == 0 {
		return Stretch{}, false
	}
	return m.Stretches[m.worst()], true
}

// Arises says where along side A the difference arises, for a sentence that
// goes on with the side: "Most of it, 6.0 mm, arises between the 1st mark and
// the 2nd mark, 20 to 60 mm along"; empty when there are no marks to tell by.
func (m SeamMeasure) Arises() string {
	t, ok := m.WorstStretch()
	if !ok || len(m.Stretches) < 2 {
		return ""
	}
	return fmt.Sprintf("Most of it, %.1f mm, arises %s, %.0f to %.0f mm along",
		math.Abs(t.DifferenceMM), m.StretchWords(m.worst()), t.AFromMM, t.AToMM)
}

// MeasureSeam measures a seam along the face that the pattern shows. Two
// pieces of which one shows its front and the other its back are measured
// along the front of both. Errors: a seam or an edge that is not there, or a
// front that cannot be made.
func (p *Pattern) MeasureSeam(seamID string) (SeamMeasure, error) {
	k := slices.IndexFunc(p.Seams, func(s Seam) bool { return s.ID == seamID })
	if k < 0 {
		return SeamMeasure{}, fmt.Errorf("there is no seam %q", seamID)
	}
	s := p.Seams[k]
	m := SeamMeasure{SeamID: s.ID}
	face, err := p.sharedFace(s)
	if err != nil {
		return m, fmt.Errorf("measure seam %s: %w", s.ID, err)
	}
	if m.A, err = p.measureRun(s.A, face); err != nil {
		return m, fmt.Errorf("measure seam %s: %w", s.ID, err)
	}
	if m.B, err = p.measureRun(s.B, face); err != nil {
		return m, fmt.Errorf("measure seam %s: %w", s.ID, err)
	}
	m.join()
	return m, nil
}

// sharedFace returns the face that all edges of a seam are measured along.
func (p *Pattern) sharedFace(s Seam) (Face, error) {
	var shared Face
	for _, r := range append(slices.Clone(s.A), s.B...) {
		q, _, err := p.FindEdge(r.Edge)
		if err != nil {
			return "", err
		}
		if shared != "" && shared != q.Face {
			return Front, nil
		}
		shared = q.Face
	}
	return shared, nil
}

// measureRun lays a side's edges end to end.
func (p *Pattern) measureRun(run Run, face Face) (SideMeasure, error) {
	var m SideMeasure
	for i, r := range run {
		q, k, err := p.FindEdge(r.Edge)
		if err != nil {
			return m, err
		}
		path, err := q.edgeOnFace(k, face)
		if err != nil {
			return m, err
		}
		if r.Reversed {
			path = path.Reverse()
		}
		length := path.Length()
		m.Marks = append(m.Marks, q.marksAlong(k, path, m.LengthMM)...)
		if n := len(path.Segments); n > 0 {
			if i == 0 {
				m.Start = path.Segments[0].P0
			}
			m.End = path.Segments[n-1].P3
		}
		m.LengthMM += length
	}
	slices.SortStableFunc(m.Marks, func(a, b SideMark) int { return int(math.Copysign(1, a.AlongMM-b.AlongMM)) })
	return m, nil
}

// edgeOnFace returns an edge as it runs on one face of the sheet.
func (p *Piece) edgeOnFace(k int, face Face) (curve.Path, error) {
	if face == p.Face || face == "" {
		return p.EdgePath(k), nil
	}
	return p.OtherEdge(k)
}

// atCornerMM is how near to an edge's end a mark shows where the corner is,
// and not a place along the edge.
const atCornerMM = 1.5

// marksAlong returns an edge's marks where they meet the path that the edge
// follows on the face being measured; they count from the beginning of the
// run, fromMM before the path's.
func (p *Piece) marksAlong(edge int, path curve.Path, fromMM float64) []SideMark {
	var out []SideMark
	lengthMM := path.Length()
	for i, m := range p.Marks {
		at, err := p.MarkEdge(m)
		if err != nil || at.Edge != edge {
			continue
		}
		on, err := path.Nearest(p.Outline.Eval(at.Position))
		if err != nil {
			continue
		}
		along := path.LengthTo(on.Position)
		if along < atCornerMM || along > lengthMM-atCornerMM {
			continue
		}
		out = append(out, SideMark{PieceID: p.ID, Index: i, AlongMM: fromMM + along, At: m.At})
	}
	return out
}

// join pairs the marks of both sides in order: the pairing of the most marks,
// and among those the one with the least sum of squared differences in the
// spacing, found by dynamic programming. Spacing is compared, not place, since
// a stretch that is too long moves every mark behind it.
func (m *SeamMeasure) join() {
	a, b := m.A.Marks, m.B.Marks
	cost := func(i, j, i0, j0 int) float64 {
		fa, fb := 0.0, 0.0
		if i0 >= 0 {
			fa, fb = a[i0].AlongMM, b[j0].AlongMM
		}
		d := (b[j].AlongMM - fb) - (a[i].AlongMM - fa)
		return d * d
	}
	// best[i][j] is the best chain that ends with the pair (i, j).
	type chain struct {
		count, i0, j0 int
		cost          float64
	}
	better := func(x, y chain) bool {
		return x.count > y.count || x.count == y.count && x.cost < y.cost
	}
	best := make([][]chain, len(a))
	last := chain{i0: -1, j0: -1}
	for i := range a {
		best[i] = make([]chain, len(b))
		for j := range b {
			c := chain{count: 1, i0: -1, j0: -1, cost: cost(i, j, -1, -1)}
			for i0 := range i {
				for j0 := range j {
					before := best[i0][j0]
					d := chain{count: before.count + 1, i0: i0, j0: j0, cost: before.cost + cost(i, j, i0, j0)}
					if better(d, c) {
						c = d
					}
				}
			}
			best[i][j] = c
			tail := (m.B.LengthMM - b[j].AlongMM) - (m.A.LengthMM - a[i].AlongMM)
			if whole := (chain{c.count, i, j, c.cost + tail*tail}); better(whole, last) {
				last = whole
			}
		}
	}
	for i, j := last.i0, last.j0; i >= 0; {
		m.Joints = append(m.Joints, MarkJoint{A: i, B: j, OffMM: b[j].AlongMM - a[i].AlongMM})
		i, j = best[i][j].i0, best[i][j].j0
	}
	slices.Reverse(m.Joints)
	m.alone()
	m.stretch()
}

// alone lists the marks that found no partner.
func (m *SeamMeasure) alone() {
	inA, inB := map[int]bool{}, map[int]bool{}
	for _, j := range m.Joints {
		inA[j.A], inB[j.B] = true, true
	}
	for i := range m.A.Marks {
		if !inA[i] {
			m.A.Alone = append(m.A.Alone, i)
		}
	}
	for i := range m.B.Marks {
		if !inB[i] {
			m.B.Alone = append(m.B.Alone, i)
		}
	}
}

func (m *SeamMeasure) stretch() {
	var fromA, fromB float64
	add := func(toA, toB float64) {
		m.Stretches = append(m.Stretches, Stretch{
			AFromMM: fromA, AToMM: toA, BFromMM: fromB, BToMM: toB,
			DifferenceMM: (toB - fromB) - (toA - fromA),
		})
		fromA, fromB = toA, toB
	}
	for _, j := range m.Joints {
		add(m.A.Marks[j.A].AlongMM, m.B.Marks[j.B].AlongMM)
	}
	add(m.A.LengthMM, m.B.LengthMM)
}
