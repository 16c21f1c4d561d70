package nest

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
)

// tuning are the search's numbers.
type tuning struct {
	// wide and near are how many places are tried all over and close by; walks
	// and steps bound how far each of the best is refined.
	wide, near, walks, steps int
	// idle rounds without less overlap end a strike; strikes bounds them.
	idle, strikes int
}

// quickTuning gives up soon and begins anew often, thoroughTuning looks longer.
// Which finds more depends on the pieces, so that one search runs with each.
func quickTuning() tuning {
	return tuning{wide: 24, near: 12, walks: 12, steps: 16, idle: 15, strikes: 3}
}

func thoroughTuning() tuning {
	return tuning{wide: 50, near: 20, walks: 12, steps: 16, idle: 40, strikes: 2}
}

// solver is one search.
type solver struct {
	ctx     context.Context
	p       Problem
	o       Options
	tuning  tuning
	kinds   []*kind
	turns   *turnTable
	boxes   [][]polygon.Box // [kind][turn]
	penalty []float64       // [kind*kinds+kind]
	store   *store
	// items are the kinds of all copies and, after the movable ones, of blocked
	// parts; copyOf numbers the copies of a piece.
	items, copyOf []int
	movable       int
	fixed         []pose // of the items from movable on
	lengths       []float64
	widths        []float64
	meanRadius    float64
	hair          float64
	rng           *rand.Rand
	seeker        *searcher
	order         []int
	moves         int
	start         time.Time
	best          snapshot
	// out and in lead to and from the other search, see meet.
	out, in  ferry
	nextMeet int
	alone    bool
	told     time.Time
}

func newSolver(ctx context.Context, p Problem, o Options) (*solver, error) {
	s := &solver{
		ctx: ctx, p: p, o: o, tuning: quickTuning(),
		rng: rand.New(rand.NewPCG(o.Seed, 0)), start: time.Now(),
	}
	if err := s.addPieces(); err != nil {
		return nil, err
	}
	if err := s.addBins(); err != nil {
		return nil, err
	}
	s.weighKinds()
	s.store = newStore(s.kinds, s.turns, s.gapOf)
	return s, nil
}

func (s *solver) addPieces() error {
	for _, q := range s.p.Pieces {
		k, err := newKind(q.Shape, q.More, len(q.TurnsDeg) == 0)
		if err != nil {
			return fmt.Errorf("piece %s cannot be placed: %w; mend its outline first", q.Name, err)
		}
		s.kinds = append(s.kinds, k)
		for c := range q.Count {
			s.items, s.copyOf = append(s.items, len(s.kinds)-1), append(s.copyOf, c)
		}
	}
	s.movable = len(s.items)
	s.setTurns()
	return nil
}

// setTurns gathers the turns of all pieces. Turn 0 comes first.
func (s *solver) setTurns() {
	degs := []float64{0}
	index := map[int64]int{0: 0}
	add := func(k *kind, deg float64) {
		deg = circleDeg(deg)
		key := int64(math.Round(deg * 1e7))
		i, ok := index[key]
		if !ok {
			i = len(degs)
			index[key] = i
			degs = append(degs, deg)
		}
		if !slices.Contains(k.turns, i) {
			k.turns = append(k.turns, i)
		}
	}
	for i, q := range s.p.Pieces {
		if len(q.TurnsDeg) == 0 {
			for d := range anyTurns {
				add(s.kinds[i], float64(d)*360/anyTurns)
			}
		}
		for _, d := range q.TurnsDeg {
			add(s.kinds[i], d)
		}
	}
	s.turns = newTurnTable(degs)
}

// beside returns the kind's turn some steps on in its list.
func (s *solver) beside(k *kind, turn, step int) int {
	at := slices.Index(k.turns, turn)
	n := len(k.turns)
	return k.turns[((at+step)%n+n)%n]
}

func (s *solver) addBins() error {
	if s.p.Bins == nil {
		s.widths = []float64{s.p.StripWidthMM}
		s.lengths = []float64{math.Inf(1)}
		return nil
	}
	for b, bin := range s.p.Bins {
		s.widths = append(s.widths, bin.WidthMM)
		s.lengths = append(s.lengths, bin.LengthMM)
		for _, shape := range bin.Blocked {
			k, err := newKind(shape, nil, false)
			if err != nil {
				return fmt.Errorf("a blocked part of sheet %d cannot be used: %w", b+1, err)
			}
			k.fixed = true
			k.turns = []int{0}
			s.items = append(s.items, len(s.kinds))
			s.kinds = append(s.kinds, k)
			s.fixed = append(s.fixed, pose{bin: b, at: k.origin})
		}
	}
	return nil
}

// weighKinds finds boxes, penalties and the scale of things.
func (s *solver) weighKinds() {
	sum := 0.0
	for _, k := range s.kinds {
		boxes := make([]polygon.Box, len(s.turns.deg))
		for _, t := range k.turns {
			boxes[t] = k.box(s.turns.deg[t])
		}
		s.boxes = append(s.boxes, boxes)
	}
	for _, i := range s.items[:s.movable] {
		sum += s.kinds[i].radius
	}
	s.meanRadius = sum / math.Max(1, float64(s.movable))
	s.hair = 1e-9 * s.meanRadius
	for _, a := range s.kinds {
		for _, b := range s.kinds {
			s.penalty = append(s.penalty, math.Sqrt(math.Sqrt(a.areaMM2*b.areaMM2))/s.meanRadius)
		}
	}
}

func (s *solver) gapOf(a, b *kind) float64 {
	if a.fixed || b.fixed {
		return s.p.MarginMM
	}
	return s.p.GapMM
}

// over reports whether the budget is used up.
func (s *solver) over() bool {
	if s.o.Moves > 0 && s.moves >= s.o.Moves {
		return true
	}
	if s.o.Time > 0 && time.Since(s.start) >= s.o.Time {
		return true
	}
	return s.ctx.Err() != nil
}

// share returns how much of the budget is used, 0 to 1.
func (s *solver) share() float64 {
	part := 0.0
	if s.o.Moves > 0 {
		part = float64(s.moves) / float64(s.o.Moves)
	}
	if s.o.Time > 0 {
		part = math.Max(part, float64(time.Since(s.start))/float64(s.o.Time))
	}
	return math.Min(part, 1)
}

func (s *solver) tell() {
	if s.o.Progress == nil || time.Since(s.told) < 100*time.Millisecond {
		return
	}
	s.told = time.Now()
	r := s.result()
	s.o.Progress(Progress{Share: s.share(), Moves: s.moves, Bins: r.Bins, LengthMM: r.LengthMM})
}

// result puts the best layout in the pieces' own frames.
func (s *solver) result() Result {
	r := Result{Moves: s.moves}
	left := map[int]bool{}
	for _, i := range s.best.left {
		left[i] = true
		r.Left = append(r.Left, Placement{Piece: s.items[i], Copy: s.copyOf[i], Bin: -1})
	}
	if s.best.poses == nil {
		return r
	}
	for i, p := range s.best.poses[:s.movable] {
		if left[i] {
			continue
		}
		k := s.kinds[s.items[i]]
		deg := circleDeg(k.baseDeg + s.turns.deg[p.turn])
		sin, cos := polygon.SinCosDeg(deg)
		r.Placements = append(r.Placements, Placement{
			Piece: s.items[i], Copy: s.copyOf[i], Bin: p.bin, TurnDeg: deg,
			ShiftMM: mat.Point{
				X: p.at.X - (cos*k.origin.X - sin*k.origin.Y),
				Y: p.at.Y - (sin*k.origin.X + cos*k.origin.Y),
			},
		})
		r.Bins = max(r.Bins, p.bin+1)
	}
	r.LengthMM = s.reach(s.best.poses, r.Bins-1)
	return r
}

// reach returns how far along x the pieces in a bin come, their margin
// counted.
func (s *solver) reach(poses []pose, bin int) float64 {
	far := 0.0
	for i, p := range poses[:s.movable] {
		if p.bin == bin {
			far = math.Max(far, p.at.X+s.boxes[s.items[i]][p.turn].MaxX+s.p.MarginMM)
		}
	}
	return far
}
