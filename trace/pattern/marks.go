package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// Transfer says how a mark's place on one side of a seam becomes a place on
// the other.
type Transfer uint8

const (
	// ByShare keeps the part of the side's length: a difference in length is
	// eased in evenly.
	ByShare Transfer = iota
	// ByLength keeps the distance from the seam's beginning.
	ByLength
)

// MarkMM is the length of a registration mark that the program makes.
const MarkMM = 6.0

// TransferMarks copies the marks of one side of a seam (A's, or B's when fromB
// is set) that have no partner to the other side, and returns how many. Marks
// that would fall beyond the other side are an error, and nothing is changed.
func (p *Pattern) TransferMarks(seamID string, fromB bool, how Transfer) (int, error) {
	m, err := p.MeasureSeam(seamID)
	if err != nil {
		return 0, err
	}
	s, _ := p.seam(seamID)
	from, to, run := m.A, m.B, s.B
	if fromB {
		from, to, run = m.B, m.A, s.A
	}
	var places []sidePlace
	for _, i := range from.Alone {
		at := from.Marks[i]
		along := at.AlongMM
		if how == ByShare {
			along *= to.LengthMM / from.LengthMM
		}
		if along > to.LengthMM {
			return 0, fmt.Errorf("the mark %.1f mm along seam %s lies beyond its other side of %.1f mm: transfer by share instead", along, seamID, to.LengthMM)
		}
		q, err := p.Piece(at.PieceID)
		if err != nil {
			return 0, err
		}
		places = append(places, sidePlace{along, q.Marks[at.Index].Ticks})
	}
	return len(places), p.addMarks(run, places)
}

// sidePlace is where a mark is wanted along a side, in mm.
type sidePlace struct {
	alongMM float64
	ticks   int
}

func (p *Pattern) seam(id string) (*Seam, bool) {
	for i := range p.Seams {
		if p.Seams[i].ID == id {
			return &p.Seams[i], true
		}
	}
	return nil, false
}

// addMarks puts marks along a side. Either all of them are put or none.
func (p *Pattern) addMarks(run Run, places []sidePlace) error {
	seam, face := p.SeamOf(run[0].Edge)
	shared := Face("")
	if face {
		var err error
		if shared, err = p.sharedFace(*seam); err != nil {
			return err
		}
	}
	added := map[string][]Mark{}
	for _, at := range places {
		id, m, err := p.markOnRun(run, at.alongMM, shared)
		if err != nil {
			return err
		}
		m.Ticks = at.ticks
		added[id] = append(added[id], m)
	}
	for id, marks := range added {
		q, err := p.Piece(id)
		if err != nil {
			return err
		}
		q.Marks = append(slices.Clip(q.Marks), marks...)
	}
	return nil
}

// markOnRun returns the mark at a length along a side as it is measured on a
// face, and the piece that it belongs to.
func (p *Pattern) markOnRun(run Run, alongMM float64, face Face) (pieceID string, m Mark, err error) {
	for i, r := range run {
		q, k, err := p.FindEdge(r.Edge)
		if err != nil {
			return "", Mark{}, err
		}
		path, err := q.edgeOnFace(k, face)
		if err != nil {
			return "", Mark{}, err
		}
		length := path.Length()
		if alongMM > length && i < len(run)-1 {
			alongMM -= length
			continue
		}
		local := min(alongMM, length)
		if r.Reversed {
			local = length - local
		}
		at, err := path.PointAtLength(local)
		if err != nil {
			return "", Mark{}, err
		}
		shown := q.EdgePath(k)
		on, err := shown.Nearest(at)
		if err != nil {
			return "", Mark{}, err
		}
		m, err = q.MarkAt(k, shown.LengthTo(on.Position), MarkMM)
		return q.ID, m, err
	}
	return "", Mark{}, fmt.Errorf("a side without edges has no marks")
}

// Spread says how marks are spread along a seam.
type Spread struct {
	// SpacingMM is the wanted distance on straight stretches.
	SpacingMM float64
	// OnCurves is how many times closer they stand where the seam bends through
	// a right angle within one spacing; 1 or less for even spacing.
	OnCurves float64
	// OneWay makes the spacing odd, so that the seam cannot be closed the wrong
	// way round.
	OneWay bool
	// Ticks is the number of strokes of each mark.
	Ticks int
}

const (
	// leastSpacingMM keeps marks apart.
	leastSpacingMM = 4
	// oneWayMM is how far marks of a seam closed the wrong way round must miss
	// each other to be noticed.
	oneWayMM = 5
	// seamStepMM is the step at which a seam's bend is sampled.
	seamStepMM = 1.0
)

// SpreadMarks takes the marks of both sides of a seam away and spreads new
// ones, at the same share of either side. It returns how many stand on each
// side. A seam shorter than two spacings gets one mark, off its middle when
// OneWay is set.
func (p *Pattern) SpreadMarks(seamID string, how Spread) (int, error) {
	if !(how.SpacingMM >= leastSpacingMM) || math.IsInf(how.SpacingMM, 0) {
		return 0, fmt.Errorf("marks %g mm apart cannot be told apart: choose %d mm or more", how.SpacingMM, leastSpacingMM)
	}
	if how.Ticks < 0 || how.Ticks > MostTicks {
		return 0, fmt.Errorf("marks of %d ticks cannot be counted at a glance: choose 1 to %d", how.Ticks, MostTicks)
	}
	m, err := p.MeasureSeam(seamID)
	if err != nil {
		return 0, err
	}
	s, _ := p.seam(seamID)
	shares, err := p.spreadShares(s.A, m.A.LengthMM, how)
	if err != nil {
		return 0, err
	}
	if how.OneWay {
		shares = oneWay(shares, min(m.A.LengthMM, m.B.LengthMM))
	}
	next := p.clone()
	next.dropMarks(m.A.Marks)
	next.dropMarks(m.B.Marks)
	for _, side := range []struct {
		run    Run
		length float64
	}{{s.A, m.A.LengthMM}, {s.B, m.B.LengthMM}} {
		places := make([]sidePlace, len(shares))
		for k, v := range shares {
			places[k] = sidePlace{v * side.length, how.Ticks}
		}
		if err := next.addMarks(side.run, places); err != nil {
			return 0, err
		}
	}
	*p = next
	return len(shares), nil
}

// spreadShares places marks so that the same sum of length and bend lies
// between all of them.
func (p *Pattern) spreadShares(run Run, lengthMM float64, how Spread) ([]float64, error) {
	var along, sum []float64
	total, at := 0.0, 0.0
	closer := max(how.OnCurves, 1) - 1
	for _, r := range run {
		path, err := p.EdgeRun(r)
		if err != nil {
			return nil, err
		}
		length := path.Length()
		n := max(1, int(math.Ceil(length/seamStepMM)))
		step := length / float64(n)
		for k := range n {
			pos, err := path.PositionAt((float64(k) + 0.5) * step)
			if err != nil {
				return nil, err
			}
			bend := math.Abs(path.Segments[pos.Segment].Curvature(pos.T)) * how.SpacingMM / (math.Pi / 2)
			if math.IsNaN(bend) {
				bend = 0
			}
			total += step * (1 + closer*min(bend, 1))
			at += step
			along, sum = append(along, at), append(sum, total)
		}
	}
	n := max(2, int(math.Round(total/how.SpacingMM)))
	shares := make([]float64, 0, n-1)
	for k := 1; k < n; k++ {
		want := total * float64(k) / float64(n)
		i, _ := slices.BinarySearch(sum, want)
		i = min(i, len(sum)-1)
		a0, s0 := 0.0, 0.0
		if i > 0 {
			a0, s0 = along[i-1], sum[i-1]
		}
		shares = append(shares, (a0+(along[i]-a0)*(want-s0)/(sum[i]-s0))/at)
	}
	return shares, nil
}

// oneWay warps shares towards the beginning until the marks of the seam
// turned round miss their own places by oneWayMM or a sixth of the seam.
func oneWay(shares []float64, lengthMM float64) []float64 {
	want := min(oneWayMM/lengthMM, 1.0/6)
	out := slices.Clone(shares)
	for warp := 0.0; warp <= 0.5; warp += 0.02 {
		for k, v := range shares {
			// Keeps both ends and the order for any warp up to 1.
			out[k] = v - warp*v*(1-v)
		}
		if missWhenTurned(out) >= want {
			break
		}
	}
	return out
}

// missWhenTurned is the largest distance of a mark of the turned seam from the
// nearest of the seam as it is: one mark that finds no partner is enough to
// be noticed.
func missWhenTurned(shares []float64) float64 {
	worst := 0.0
	for _, v := range shares {
		near := math.Inf(1)
		for _, w := range shares {
			near = min(near, math.Abs(1-v-w))
		}
		worst = max(worst, near)
	}
	return worst
}

// dropMarks takes marks away by their index.
func (p *Pattern) dropMarks(list []SideMark) {
	gone := map[string]map[int]bool{}
	for _, m := range list {
		if gone[m.PieceID] == nil {
			gone[m.PieceID] = map[int]bool{}
		}
		gone[m.PieceID][m.Index] = true
	}
	for i := range p.Pieces {
		q := &p.Pieces[i]
		if gone[q.ID] == nil {
			continue
		}
		var kept []Mark
		for k, m := range q.Marks {
			if !gone[q.ID][k] {
				kept = append(kept, m)
			}
		}
		q.Marks = kept
	}
}

// clone copies the pattern as deeply as edits reach: pieces, edges, marks,
// lines, seams and tapes.
func (p *Pattern) clone() Pattern {
	c := *p
	c.Pieces = slices.Clone(p.Pieces)
	for i := range c.Pieces {
		c.Pieces[i] = c.Pieces[i].Translate(mat.Point{})
	}
	c.Seams = slices.Clone(p.Seams)
	c.Tapes = slices.Clone(p.Tapes)
	return c
}

// TellTicks returns, for every seam, a number of ticks from 1 to MostTicks
// such that seams that meet at a corner or share a piece differ as far as the
// numbers reach: the seams with the most neighbours choose first, each the
// number that the fewest of its neighbours have (greedy colouring, Welsh &
// Powell, Computer Journal 10, 1967; from memory).
func (p *Pattern) TellTicks() map[string]int {
	near := p.seamNeighbours()
	order := make([]string, 0, len(p.Seams))
	for _, s := range p.Seams {
		order = append(order, s.ID)
	}
	slices.SortStableFunc(order, func(a, b string) int { return len(near[b]) - len(near[a]) })
	ticks := map[string]int{}
	for _, id := range order {
		var used [MostTicks + 1]int
		for other := range near[id] {
			used[ticks[other]]++
		}
		best := 1
		for n := 2; n <= MostTicks; n++ {
			if used[n] < used[best] {
				best = n
			}
		}
		ticks[id] = best
	}
	return ticks
}

// seamNeighbours returns, for every seam, those that follow it on a piece.
func (p *Pattern) seamNeighbours() map[string]map[string]bool {
	near := map[string]map[string]bool{}
	for _, s := range p.Seams {
		near[s.ID] = map[string]bool{}
	}
	for i := range p.Pieces {
		q := &p.Pieces[i]
		for k, e := range q.Edges {
			a, ok1 := p.SeamOf(e.ID)
			b, ok2 := p.SeamOf(q.Edges[(k+1)%len(q.Edges)].ID)
			if ok1 && ok2 && a.ID != b.ID {
				near[a.ID][b.ID], near[b.ID][a.ID] = true, true
			}
		}
	}
	return near
}
