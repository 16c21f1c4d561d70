// Package nest packs polygons onto sheets or a strip, true to shape: pieces
// lie in each other's hollows and openings, and what is left of used sheets is
// used. Pieces are turned by the angles allowed and never mirrored.
//
// The method is overlap minimisation with guided local search: a layout that
// is too tight is allowed to overlap, the pieces that overlap are moved one at
// a time to where their weighted depth of penetration is least, and pairs that
// stay entangled weigh more from round to round until nothing overlaps (Umetani,
// Yagiura, Imahori, Imamichi, Nonobe, Ibaraki, International Transactions in
// Operational Research 16 (2009), from memory; Gardeyn and Wauters, arXiv
// 2509.13329). Depths are read off no-fit polygons: two convex parts A and B
// overlap when the shift between them lies in the Minkowski sum of A and -B.
//
// Lengths are in mm; x runs along a sheet's length, y across it.
package nest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
)

// Piece is a kind of piece and how many of it are wanted.
type Piece struct {
	// Name is told in errors.
	Name  string
	Shape polygon.Shape
	// More are further shapes that belong to it: it covers them all.
	More  []polygon.Shape
	Count int
	// TurnsDeg are the turns allowed, from x towards y; none means any.
	TurnsDeg []float64
}

// Bin is a sheet to be filled: a rectangle from (0, 0) to (LengthMM, WidthMM)
// less its blocked parts.
type Bin struct {
	LengthMM, WidthMM float64
	// Blocked are parts that cannot be used: what an off-cut's rectangle lacks.
	// They may reach beyond the rectangle.
	Blocked []polygon.Shape
}

// Problem is what is to be packed and where.
type Problem struct {
	Pieces []Piece
	// Bins are filled in their order; the last are the first to be done without.
	// Nil asks for a strip.
	Bins []Bin
	// StripWidthMM is the strip's width when there are no bins; its length is
	// made as short as can be.
	StripWidthMM float64
	// GapMM is left between pieces, MarginMM to borders and blocked parts.
	GapMM, MarginMM float64
	// KeepLast leaves the last bin in use as it comes; otherwise its pieces are
	// drawn together towards x = 0, so that the rest stays in one part.
	KeepLast bool
}

// Options steer the search.
type Options struct {
	Seed uint64
	// Moves bounds the number of pieces that are moved; 0 is no bound. One
	// seed and number of moves gives one answer on every machine.
	Moves int
	// Time bounds the search; 0 is no bound.
	Time time.Duration
	// Progress is called from time to time with the best so far.
	Progress func(Progress)
}

// Progress is how far a search is.
type Progress struct {
	// Share of the budget that is used, 0 to 1.
	Share float64
	Moves int
	// Bins in use, and the length in use of the last or of the strip.
	Bins     int
	LengthMM float64
}

// Placement is where a copy of a piece lies: its polygon turned about the
// origin by TurnDeg and then shifted.
type Placement struct {
	Piece, Copy, Bin int
	TurnDeg          float64
	ShiftMM          mat.Point
}

// Result is the best layout found.
type Result struct {
	Placements []Placement
	// Left are the pieces that found no room: their Bin is -1.
	Left []Placement
	// Bins is how many bins are in use; LengthMM what is used of the last one's
	// length, or the strip's length.
	Bins     int
	LengthMM float64
	Moves    int
}

// ErrNoBudget says that neither time nor moves bound a search.
var ErrNoBudget = errors.New("a search needs a bound: give it a time or a number of moves")

// Solve packs the pieces. When ctx is done it returns the best so far without
// an error. It fails for pieces without area, that cross themselves or that
// fit no bin however they are turned.
func Solve(ctx context.Context, p Problem, o Options) (Result, error) {
	if o.Moves <= 0 && o.Time <= 0 && ctx.Done() == nil {
		return Result{}, ErrNoBudget
	}
	if err := p.check(); err != nil {
		return Result{}, err
	}
	s, err := newSolver(ctx, p, o)
	if err != nil {
		return Result{}, err
	}
	if p.Bins == nil {
		return s.search((*solver).packStrip).result(), nil
	}
	return s.search((*solver).packBins).result(), nil
}

func (p *Problem) check() error {
	bad := func(v float64) bool { return !(v >= 0) || math.IsInf(v, 0) }
	if bad(p.GapMM) || bad(p.MarginMM) {
		return fmt.Errorf("the gap of %g mm and the margin of %g mm must not be less than 0", p.GapMM, p.MarginMM)
	}
	if p.Bins == nil && !(p.StripWidthMM > 2*p.MarginMM) {
		return fmt.Errorf("a strip %g mm wide has no room within its margins of %g mm", p.StripWidthMM, p.MarginMM)
	}
	for _, b := range p.Bins {
		if !(b.LengthMM > 2*p.MarginMM) || !(b.WidthMM > 2*p.MarginMM) || math.IsInf(b.LengthMM+b.WidthMM, 0) {
			return fmt.Errorf("a sheet of %g × %g mm has no room within its margins of %g mm", b.LengthMM, b.WidthMM, p.MarginMM)
		}
	}
	for _, q := range p.Pieces {
		if q.Count < 0 {
			return fmt.Errorf("piece %s: %d copies cannot be cut", q.Name, q.Count)
		}
		for _, shape := range append([]polygon.Shape{q.Shape}, q.More...) {
			if !finite(shape) {
				return fmt.Errorf("piece %s has a coordinate that is not a number; trace it again", q.Name)
			}
		}
		for _, d := range q.TurnsDeg {
			if math.IsNaN(d) || math.IsInf(d, 0) {
				return fmt.Errorf("piece %s: %g° is no turn", q.Name, d)
			}
		}
	}
	return nil
}

func finite(s polygon.Shape) bool {
	for _, ring := range s.Rings() {
		for _, v := range ring {
			if math.IsNaN(v.X+v.Y) || math.IsInf(v.X+v.Y, 0) {
				return false
			}
		}
	}
	return true
}
