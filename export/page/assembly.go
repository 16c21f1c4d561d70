package page

import (
	"cmp"
	"math"
	"slices"

	"flatwright/trace/pattern"
)

// StepKind is what a step of the assembly does.
type StepKind string

// The kinds of step.
const (
	// CloseDart brings two edges of one piece together that meet in a corner.
	CloseDart StepKind = "dart"
	// JoinParts joins pieces, or parts that were joined before.
	JoinParts StepKind = "join"
	// CloseRing joins edges of one part: a tube, a ring, the point of a cone.
	CloseRing StepKind = "ring"
)

// Step is one seam in the order in which the seams are closed.
type Step struct {
	Seam string
	Kind StepKind
	// A and B are the pieces of the parts that the seam's sides belong to, as
	// joined so far, in the pattern's order. The two are one where the seam
	// closes a part.
	A, B []string
	// TurnDeg is how far the faces turn at the seam: 0 is flat.
	TurnDeg float64
	// DifferenceMM is by how much the sides differ in length, unsigned.
	DifferenceMM float64
}

// AssemblyRule is the rule of Assembly in words (common practice, no source).
const AssemblyRule = "A suggestion, from the seams alone: darts first; then the flattest seams, and of those the ones whose sides fit best, " +
	"so that pieces become rows and rows become parts; rings last, those of the fewest pieces first. Try it with tape before you glue."

// Assembly suggests an order in which to close a pattern's seams, by the rule
// above, and lists the pieces that no seam holds. Seams that cannot be measured
// are ranked last among their like.
func Assembly(p pattern.Pattern) (steps []Step, loose []string) {
	a := newAssembly(p)
	for len(a.open) > 0 {
		steps = append(steps, a.take(a.next()))
	}
	for i, q := range p.Pieces {
		if !a.held[i] {
			loose = append(loose, q.ID)
		}
	}
	return steps, loose
}

// assembly is the work of putting seams in order.
type assembly struct {
	pattern *pattern.Pattern
	open    []joint
	// part is the number of the part that each piece belongs to, by now.
	part []int
	held []bool
	// links are the joins made so far, piece to piece.
	links [][2]int
}

// joint is a seam that is still open: the pieces of its sides, and what it is
// ranked by.
type joint struct {
	seam           *pattern.Seam
	a, b           []int
	dart           bool
	turnDeg, offMM float64
	lengthMM       float64
}

func newAssembly(p pattern.Pattern) *assembly {
	a := &assembly{pattern: &p, part: make([]int, len(p.Pieces)), held: make([]bool, len(p.Pieces))}
	index := map[string]int{}
	for i := range p.Pieces {
		a.part[i] = i
		for _, e := range p.Pieces[i].Edges {
			index[e.ID] = i
		}
	}
	for i := range p.Seams {
		if j, ok := newJoint(&p, &p.Seams[i], index); ok {
			a.open = append(a.open, j)
		}
	}
	return a
}

func newJoint(p *pattern.Pattern, s *pattern.Seam, index map[string]int) (joint, bool) {
	j := joint{seam: s, offMM: math.Inf(1)}
	for _, side := range []struct {
		run pattern.Run
		to  *[]int
	}{{s.A, &j.a}, {s.B, &j.b}} {
		for _, r := range side.run {
			i, known := index[r.Edge]
			if !known {
				return j, false
			}
			if !slices.Contains(*side.to, i) {
				*side.to = append(*side.to, i)
			}
		}
	}
	if len(j.a) == 0 || len(j.b) == 0 {
		return j, false
	}
	j.turnDeg = turnOf(p, s)
	if m, err := p.MeasureSeam(s.ID); err == nil {
		j.offMM, j.lengthMM = math.Abs(m.DifferenceMM()), m.A.LengthMM
	}
	j.dart = len(j.a) == 1 && len(j.b) == 1 && j.a[0] == j.b[0] && adjoin(&p.Pieces[j.a[0]], s)
	return j, true
}

// turnOf is how far the faces turn at a seam: as wanted, or as the cuts give.
func turnOf(p *pattern.Pattern, s *pattern.Seam) float64 {
	if s.WantDeg > 0 {
		return math.Abs(180 - s.WantDeg)
	}
	a, ka, err1 := p.FindEdge(s.A[0].Edge)
	b, kb, err2 := p.FindEdge(s.B[0].Edge)
	if err1 != nil || err2 != nil {
		return 0
	}
	return math.Abs(180 - pattern.InteriorDeg(a.Edges[ka].Cut, b.Edges[kb].Cut))
}

// adjoin reports whether an edge of one side follows one of the other round
// the piece: the two meet in the dart's point.
func adjoin(p *pattern.Piece, s *pattern.Seam) bool {
	at := map[string]int{}
	for i, e := range p.Edges {
		at[e.ID] = i
	}
	n := len(p.Edges)
	for _, a := range s.A {
		for _, b := range s.B {
			i, j := at[a.Edge], at[b.Edge]
			if (i+1)%n == j || (j+1)%n == i {
				return true
			}
		}
	}
	return false
}

// flatStepDeg is how much two seams may differ in their turn and still count as
// equally flat: less is not felt in the hand.
const flatStepDeg = 15

// next returns the number of the seam to close now.
func (a *assembly) next() int {
	best := 0
	for i := 1; i < len(a.open); i++ {
		if a.compare(i, best) < 0 {
			best = i
		}
	}
	return best
}

func (a *assembly) compare(i, j int) int {
	x, y := &a.open[i], &a.open[j]
	return cmp.Or(
		cmp.Compare(a.rank(x), a.rank(y)),
		cmp.Compare(a.ringLength(x), a.ringLength(y)),
		cmp.Compare(math.Floor(x.turnDeg/flatStepDeg+1e-9), math.Floor(y.turnDeg/flatStepDeg+1e-9)),
		cmp.Compare(math.Floor(x.offMM), math.Floor(y.offMM)),
		cmp.Compare(y.lengthMM, x.lengthMM),
	)
}

// rank is the class of a seam: darts, joins, rings, and last what must wait
// because a side runs over pieces that are not joined yet.
func (a *assembly) rank(j *joint) int {
	switch {
	case !a.one(j.a) || !a.one(j.b):
		return 3
	case j.dart:
		return 0
	case a.part[j.a[0]] != a.part[j.b[0]]:
		return 1
	}
	return 2
}

// one reports whether pieces belong to one part.
func (a *assembly) one(pieces []int) bool {
	return !slices.ContainsFunc(pieces, func(i int) bool { return a.part[i] != a.part[pieces[0]] })
}

// ringLength is how many pieces the ring has that a seam would close; 0 for
// darts and joins.
func (a *assembly) ringLength(j *joint) int {
	if a.rank(j) != 2 {
		return 0
	}
	steps := map[int]int{j.a[0]: 1}
	for queue := []int{j.a[0]}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		for _, l := range a.links {
			for k := range 2 {
				if to := l[1-k]; l[k] == at && steps[to] == 0 {
					steps[to] = steps[at] + 1
					queue = append(queue, to)
				}
			}
		}
	}
	return steps[j.b[0]]
}

// take closes a seam.
func (a *assembly) take(i int) Step {
	j := a.open[i]
	a.open = slices.Delete(a.open, i, i+1)
	s := Step{Seam: j.seam.ID, Kind: CloseRing, A: a.members(j.a), B: a.members(j.b), TurnDeg: j.turnDeg, DifferenceMM: j.offMM}
	switch {
	case j.dart:
		s.Kind = CloseDart
	case !slices.Equal(s.A, s.B):
		s.Kind = JoinParts
	}
	all := append(slices.Clone(j.a), j.b...)
	for _, k := range all {
		a.held[k] = true
		a.unite(j.a[0], k)
		if k != j.a[0] {
			a.links = append(a.links, [2]int{j.a[0], k})
		}
	}
	return s
}

// members are the IDs of the pieces of the parts that some pieces belong to.
func (a *assembly) members(pieces []int) []string {
	var ids []string
	for i, q := range a.pattern.Pieces {
		if slices.ContainsFunc(pieces, func(k int) bool { return a.part[k] == a.part[i] }) {
			ids = append(ids, q.ID)
		}
	}
	return ids
}

func (a *assembly) unite(i, j int) {
	from, to := a.part[j], a.part[i]
	for k := range a.part {
		if a.part[k] == from {
			a.part[k] = to
		}
	}
}
