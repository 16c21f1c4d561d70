package pattern

import (
	"cmp"
	"math"
	"slices"
)

// MateOptions say how well edges were measured. Zero fields take the value
// named in their comment.
type MateOptions struct {
	// NoiseMM is the standard error of a mark's place and of an edge's end;
	// 0.3 mm.
	NoiseMM float64
	// EasePart is how much the two sides of a seam may differ in length beyond
	// that, 1 sigma in parts; 0.004.
	EasePart float64
	// MissPart is how often a mark of one side is missing on the other; 0.1.
	MissPart float64
	// LeastMM is the shortest edge that is looked at; 5 mm.
	LeastMM float64
	// SurePart is the share of the chances that a proposal must have against
	// the second best pairing to count as sure; 0.97.
	SurePart float64
}

func (o MateOptions) whole() MateOptions {
	for _, f := range []struct {
		have *float64
		or   float64
	}{{&o.NoiseMM, 0.3}, {&o.EasePart, 0.004}, {&o.MissPart, 0.1}, {&o.LeastMM, 5}, {&o.SurePart, 0.97}} {
		if !(*f.have > 0) {
			*f.have = f.or
		}
	}
	return o
}

// Proposal is a pair of edges that look like mates. Nothing is joined until
// the maker says so.
type Proposal struct {
	A, B Run
	// ResidualMM is the root mean square of the difference in length and of
	// those between the marks that fit together.
	ResidualMM float64
	// LengthMM is B's length less A's; Marks pairs of marks fit together, and
	// Alone marks of both sides find no partner.
	LengthMM     float64
	Marks, Alone int
	// Score is the logarithm of the odds that the two belong together against
	// their being alike by chance; Margin is by how much the pairing beats
	// the second best pairing of the whole pattern, in which they do not, and
	// Rival is the pair of edges that either of them would then be in, empty
	// when it would stay alone.
	Score, Margin float64
	Rival         [2]string
	// Twins tells that the two pieces are alike turned over, left and right of
	// one form: any edge of the one then fits its own twin, whether they meet or
	// not. That only the maker knows.
	Twins bool
	// Sure tells that the margin is large enough to be trusted.
	Sure bool
}

// key is an edge as a key: its length and the places of its marks from its
// start, with the outline.
type key struct {
	edge, piece string
	face        Face
	lengthMM    float64
	marks       []float64
}

// ProposeMates looks for edges that were one before the form was cut apart:
// their lengths are alike, and the spacing of their marks fits like a key in
// a lock. Every edge that is in no seam yet, and not the form's rim, takes part
// at most once; pairs that are likelier alike by chance are left out. The
// surest come first.
//
// Each pair is scored by the logarithm of a likelihood ratio: of the
// difference in length and of the marks, aligned in order with gaps for
// missing ones (Needleman & Wunsch, J. Mol. Biol. 48, 1970; from memory),
// against edges and marks strewn as in the whole pattern. The pairing is the
// one-to-one choice with the largest sum, found by exchanging partners until
// nothing improves.
func (p *Pattern) ProposeMates(o MateOptions) []Proposal {
	o = o.whole()
	keys := p.keys(o)
	scores := newScores(keys, o)
	partner := scores.pairUp()
	var out []Proposal
	for i, j := range partner {
		if j > i {
			m := scores.proposal(i, j, partner)
			m.Twins = p.twins(keys[i].piece, keys[j].piece, scores)
			m.Sure = m.Sure && !m.Twins
			out = append(out, m)
		}
	}
	slices.SortStableFunc(out, func(a, b Proposal) int { return cmp.Compare(b.Margin, a.Margin) })
	return out
}

// keys lists the edges that are free.
func (p *Pattern) keys(o MateOptions) []key {
	var out []key
	for i := range p.Pieces {
		q := &p.Pieces[i]
		for k, e := range q.Edges {
			if _, taken := p.SeamOf(e.ID); taken || e.Rim {
				continue
			}
			path := q.EdgePath(k)
			x := key{edge: e.ID, piece: q.ID, face: q.Face, lengthMM: path.Length()}
			if x.lengthMM < o.LeastMM {
				continue
			}
			for _, m := range q.marksAlong(k, path, 0) {
				x.marks = append(x.marks, m.AlongMM)
			}
			slices.Sort(x.marks)
			out = append(out, x)
		}
	}
	return out
}

// scores are the log odds of all pairs of edges.
type scores struct {
	keys []key
	o    MateOptions
	of   [][]float64
	// strewn is the mean density of lengths near each edge's, 1/mm.
	strewn []float64
}

func newScores(keys []key, o MateOptions) *scores {
	s := &scores{keys: keys, o: o, of: make([][]float64, len(keys)), strewn: make([]float64, len(keys))}
	for i := range keys {
		s.of[i] = make([]float64, len(keys))
		s.strewn[i] = density(keys, keys[i].lengthMM)
	}
	// The chance that an edge has its mate in the pattern, and that it is this
	// one of so many.
	prior := -math.Log(float64(max(2, len(keys)-1)))
	for i := range keys {
		s.of[i][i] = math.Inf(-1)
		for j := range i {
			v, _ := s.fit(i, j)
			s.of[i][j] = v + prior
			s.of[j][i] = s.of[i][j]
		}
	}
	return s
}

// density is the density of edge lengths at a length: Gaussians of a tenth of
// each length, so that a pattern of few edges says little.
func density(keys []key, lengthMM float64) float64 {
	sum := 0.0
	for _, k := range keys {
		w := max(0.1*k.lengthMM, 2)
		z := (lengthMM - k.lengthMM) / w
		sum += math.Exp(-z*z/2) / w
	}
	return sum / (float64(len(keys)) * math.Sqrt(2*math.Pi))
}

// fitted is how the marks of two edges fit.
type fitted struct {
	marks, alone int
	squares      float64 // of the differences, mm²
	lengthMM     float64
}

// fit returns the log likelihood ratio of a pair, and how it fits.
func (s *scores) fit(i, j int) (float64, fitted) {
	a, b := &s.keys[i], &s.keys[j]
	mean := (a.lengthMM + b.lengthMM) / 2
	d := b.lengthMM - a.lengthMM
	sigma := math.Hypot(2*s.o.NoiseMM, s.o.EasePart*mean)
	v := logNormal(d, sigma) - math.Log((s.strewn[i]+s.strewn[j])/2)
	f := fitted{lengthMM: d}
	if v < -40 {
		return v, f
	}
	// Two pieces outlined alike meet edges that run against each other; with
	// one face up and one down they run alike.
	along := slices.Clone(b.marks)
	if a.face == b.face {
		slices.Reverse(along)
		for k := range along {
			along[k] = b.lengthMM - along[k]
		}
	}
	for k := range along {
		along[k] *= a.lengthMM / b.lengthMM
	}
	return v + s.align(a.marks, along, a.lengthMM, &f), f
}

// align pairs marks in order for the largest likelihood ratio: a pair gains
// the density of its difference over that of strewn marks, a mark alone costs
// the chance that its partner is missing.
func (s *scores) align(a, b []float64, lengthMM float64, f *fitted) float64 {
	sigma := math.Sqrt2 * s.o.NoiseMM
	alone := math.Log(s.o.MissPart)
	paired := 2*math.Log(1-s.o.MissPart) + math.Log(lengthMM)
	best := make([][]float64, len(a)+1)
	for i := range best {
		best[i] = make([]float64, len(b)+1)
		for j := range best[i] {
			switch {
			case i == 0 || j == 0:
				best[i][j] = alone * float64(i+j)
			default:
				best[i][j] = max(
					best[i-1][j]+alone, best[i][j-1]+alone,
					best[i-1][j-1]+paired+logNormal(b[j-1]-a[i-1], sigma))
			}
		}
	}
	i, j := len(a), len(b)
	for i > 0 && j > 0 {
		switch best[i][j] {
		case best[i-1][j] + alone:
			i--
			f.alone++
		case best[i][j-1] + alone:
			j--
			f.alone++
		default:
			d := b[j-1] - a[i-1]
			f.squares += d * d
			f.marks++
			i, j = i-1, j-1
		}
	}
	f.alone += i + j
	return best[len(a)][len(b)]
}

func logNormal(d, sigma float64) float64 {
	z := d / sigma
	return -z*z/2 - math.Log(sigma*math.Sqrt(2*math.Pi))
}

// pairUp returns every edge's partner, -1 for none: the best pairs first, then
// exchanged as long as that raises the sum. Two pairs may take new partners
// from each other, and a pair may give up one side for an edge left over.
func (s *scores) pairUp() []int {
	n := len(s.keys)
	partner := make([]int, n)
	for i := range partner {
		partner[i] = -1
	}
	type pair struct {
		i, j int
		v    float64
	}
	var list []pair
	for i := range n {
		for j := range i {
			if v := s.of[i][j]; v > 0 {
				list = append(list, pair{j, i, v})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b pair) int { return cmp.Compare(b.v, a.v) })
	for _, c := range list {
		if partner[c.i] < 0 && partner[c.j] < 0 {
			partner[c.i], partner[c.j] = c.j, c.i
		}
	}
	const rounds = 50
	for range rounds {
		better := false
		for _, c := range list {
			if partner[c.i] != c.j && s.exchange(partner, c.i, c.j) {
				better = true
			}
		}
		if !better {
			break
		}
	}
	return partner
}

// exchange joins i and j when the sum rises by it; their partners join each
// other where that is likelier than not.
func (s *scores) exchange(partner []int, i, j int) bool {
	pi, pj := partner[i], partner[j]
	gain := s.of[i][j]
	if pi >= 0 {
		gain -= s.of[i][pi]
	}
	if pj >= 0 {
		gain -= s.of[j][pj]
	}
	together := pi >= 0 && pj >= 0 && s.of[pi][pj] > 0
	if together {
		gain += s.of[pi][pj]
	}
	if gain <= 1e-9 {
		return false
	}
	for _, k := range []int{pi, pj} {
		if k >= 0 {
			partner[k] = -1
		}
	}
	if together {
		partner[pi], partner[pj] = pj, pi
	}
	partner[i], partner[j] = j, i
	return true
}

// proposal sums a pair up.
func (s *scores) proposal(i, j int, partner []int) Proposal {
	a, b := &s.keys[i], &s.keys[j]
	_, f := s.fit(i, j)
	p := Proposal{
		A: Run{{Edge: a.edge}}, B: Run{{Edge: b.edge, Reversed: a.face == b.face}},
		LengthMM: f.lengthMM, Marks: f.marks, Alone: f.alone, Score: s.of[i][j],
		ResidualMM: math.Sqrt((f.squares + f.lengthMM*f.lengthMM) / float64(f.marks+1)),
	}
	second, with := s.secondBest(i, j, partner)
	p.Margin = p.Score - second
	if with[0] >= 0 {
		p.Rival = [2]string{s.keys[with[0]].edge, s.keys[with[1]].edge}
	}
	p.Sure = p.Margin > math.Log(s.o.SurePart/(1-s.o.SurePart))
	return p
}

// secondBest returns what the sum of the pairing keeps of a pair's score when
// the two may not be joined: each stays alone, takes another edge from its
// partner, or both take partners from one other pair. with is the likeliest
// other pair of either.
func (s *scores) secondBest(i, j int, partner []int) (kept float64, with [2]int) {
	with = [2]int{-1, -1}
	alone, rival := [2]float64{}, 0.0
	for side, e := range [2]int{i, j} {
		for k := range s.keys {
			if k == i || k == j {
				continue
			}
			v := s.of[e][k]
			if l := partner[k]; l >= 0 {
				v -= s.of[k][l]
			}
			alone[side] = max(alone[side], v)
			if v > rival {
				rival, with = v, [2]int{e, k}
			}
		}
	}
	kept = alone[0] + alone[1]
	for k, l := range partner {
		if l < 0 || k == i || k == j {
			continue
		}
		if v := s.of[i][k] + s.of[j][l] - s.of[k][l]; v > kept {
			kept, with = v, [2]int{i, k}
		}
	}
	return kept, with
}

// twinPart is how nearly alike areas and outlines of twins are.
const twinPart = 0.015

// twins tells whether two different pieces are mirror images: alike in area
// and perimeter, and with a likely fit for two edges or more.
func (p *Pattern) twins(a, b string, s *scores) bool {
	if a == b {
		return false
	}
	x, errX := p.Piece(a)
	y, errY := p.Piece(b)
	if errX != nil || errY != nil || !alike(x.AreaMM2(), y.AreaMM2()) || !alike(x.PerimeterMM(), y.PerimeterMM()) {
		return false
	}
	fits := map[int]bool{}
	for i := range s.keys {
		for j := range s.keys {
			if s.keys[i].piece == a && s.keys[j].piece == b && s.of[i][j] > 0 {
				fits[i] = true
			}
		}
	}
	return len(fits) >= 2
}

func alike(a, b float64) bool { return math.Abs(a-b) <= twinPart*math.Max(a, b) }

// Accept joins a proposal's edges in a seam and returns its ID.
func (p *Pattern) Accept(m Proposal) (string, error) { return p.Pair(m.A, m.B) }
