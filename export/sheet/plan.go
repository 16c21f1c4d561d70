package sheet

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Options say what is cut from and how.
type Options struct {
	// Stock is used in its order, off-cuts first. No stock fails.
	Stock []Stock
	// GapMM is left between cuts, MarginMM to the sheet's edges.
	GapMM, MarginMM float64
	// TurnsDeg are the turns allowed, from x towards y, from how the piece lies
	// in the pattern; none means any (whole degrees from where the longest
	// straight side lies along the sheet).
	TurnsDeg []float64
	// ToleranceMM is how far the simplified outlines that are packed may reach
	// beyond the true ones; 0 means 0.3 mm.
	ToleranceMM float64
	// Seed, Moves and Time steer and bound the search, all sheets together: one
	// seed and number of moves gives one answer on every machine. Without both
	// bounds the time is 20 s.
	Seed  uint64
	Moves int
	Time  time.Duration
	// Progress is called from time to time.
	Progress func(Progress)
}

// Progress is how far a plan is.
type Progress struct {
	// Share of the budget that is used, 0 to 1.
	Share float64
	// Sheets in use in the best plan so far.
	Sheets int
}

// Placed is one copy of a piece on a sheet.
type Placed struct {
	// Index is the piece's in the pattern; Copy counts from 0.
	Index, Copy int
	// Mirrored copies are cut as mirror images.
	Mirrored bool
	TurnDeg  float64
	// Move takes the pattern's frame to the sheet's.
	Move curve.Transform
	// Piece is the piece as it lies on the sheet.
	Piece pattern.Piece
}

// Sheet is one sheet with what is cut from it.
type Sheet struct {
	// Stock is the kind's index in the options; LengthMM of a roll is what is
	// cut off.
	Stock             int
	Name              string
	LengthMM, WidthMM float64
	// Outline and Openings of an off-cut, in the sheet's frame.
	Outline  []mat.Point
	Openings [][]mat.Point
	// ThicknessMM and Material of the pieces on it; 0 and "" when not given.
	ThicknessMM float64
	Material    string
	Pieces      []Placed
	// PiecesMM2 is the pieces' area, openings left out; Yield its share of the
	// sheet's, 0 to 1. UsedMM is how much of the length is used.
	PiecesMM2, Yield, UsedMM float64
}

// Left is a piece for which the stock has no room.
type Left struct {
	Index, Copies int
	// Why is a sentence.
	Why string
}

// Result is a plan.
type Result struct {
	Sheets []Sheet
	Left   []Left
	// Yield is the pieces' share of the area of all sheets in use, 0 to 1.
	Yield float64
	// Notes are sentences about pieces that could not be judged in full.
	Notes []string
	Moves int
}

// What is taken where an option is 0.
const (
	defaultToleranceMM = 0.3
	defaultTime        = 20 * time.Second
)

// ErrNoStock says that there is nothing to cut from.
var ErrNoStock = errors.New("there is no sheet to cut from; give at least one, such as 24x60in")

// mostCopies is how many copies of pieces are planned at once.
const mostCopies = 2000

// copiesIn counts all copies; large quantities are not added up beyond what
// matters.
func copiesIn(p pattern.Pattern) (n int) {
	for _, q := range p.Pieces {
		n += min(max(1, q.Quantity), 2*mostCopies)
	}
	return n
}

// Plan lays the pattern's pieces on sheets: every copy, mirrored ones as
// mirror images, pieces of each thickness and material on sheets of their own.
// A piece covers its outline, its other face and its allowances. When ctx is
// done the best plan so far is returned without an error. Pieces without room
// are told in Left.
func Plan(ctx context.Context, p pattern.Pattern, o Options) (Result, error) {
	o, err := o.ready()
	if err != nil {
		return Result{}, err
	}
	var r Result
	if n := copiesIn(p); n > mostCopies {
		return Result{}, fmt.Errorf("%d copies of pieces are more than can be planned at once (%d): lower the quantities, and cut what is left by a second plan", n, mostCopies)
	}
	jobs, err := jobsOf(p, o, &r)
	if err != nil {
		return Result{}, err
	}
	total := 0
	for _, j := range jobs {
		total += len(j.copies)
	}
	if total == 0 {
		return Result{}, errors.New("the pattern has no pieces, so there is nothing to cut; trace or draw a piece first")
	}
	done := 0
	for _, j := range jobs {
		part := float64(len(j.copies)) / float64(total)
		if err := j.plan(ctx, o, part, float64(done)/float64(total), &r); err != nil {
			return Result{}, err
		}
		done += len(j.copies)
	}
	r.Yield = yieldOf(r.Sheets, o.Stock)
	return r, nil
}

func (o Options) ready() (Options, error) {
	if len(o.Stock) == 0 {
		return o, ErrNoStock
	}
	stock := make([]Stock, len(o.Stock))
	for i, s := range o.Stock {
		ready, err := s.ready()
		if err != nil {
			return o, err
		}
		stock[i] = ready
	}
	o.Stock = stock
	for _, v := range []float64{o.GapMM, o.MarginMM, o.ToleranceMM} {
		if !(v >= 0) || math.IsInf(v, 0) {
			return o, fmt.Errorf("gap, margin and tolerance must be 0 mm or more, not %g", v)
		}
	}
	if o.ToleranceMM == 0 {
		o.ToleranceMM = defaultToleranceMM
	}
	if o.Time <= 0 && o.Moves <= 0 {
		o.Time = defaultTime
	}
	return o, nil
}
