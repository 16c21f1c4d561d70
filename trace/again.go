package trace

import (
	"context"
	"errors"
	"fmt"
	"math"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
)

// Again looks at a squared-up photograph again, for repairs by hand. One
// goroutine at a time may use it.
type Again struct {
	s    *rectify.Squared
	look *find.Looker
}

// LookAgain learns what the bare mat looks like; that takes about a quarter of
// the time of tracing. It fails as Trace does.
func LookAgain(ctx context.Context, s *rectify.Squared) (*Again, error) {
	l, err := find.NewLooker(ctx, inputOf(s, nil))
	if err != nil {
		return nil, err
	}
	return &Again{s, l}, nil
}

// Of returns the squared-up photograph that is looked at.
func (a *Again) Of() *rectify.Squared { return a.s }

// PieceAt traces the piece that lies at a point of the mat, in mm: it has no
// ID, and one edge from corner to corner each. The samples are its outline as
// it was measured. Errors: those of find.Looker.PieceAt, and of an outline that
// no curve follows.
func (a *Again) PieceAt(at mat.Point, o Options) (pattern.Piece, []curve.Sample, error) {
	found, err := a.look.PieceAt(at)
	if err != nil {
		return pattern.Piece{}, nil, err
	}
	return a.fit(found, o)
}

// PartAt is PieceAt for a piece that runs off the mat or off the picture: the
// part that is seen. Its outline where it runs off is not its own; another
// photograph shows how it goes on, see pattern.Pattern.JoinParts.
func (a *Again) PartAt(at mat.Point, o Options) (pattern.Piece, []curve.Sample, error) {
	found, err := a.look.PartAt(at)
	if err != nil {
		return pattern.Piece{}, nil, err
	}
	return a.fit(found, o)
}

// fit makes a piece of what a look found.
func (a *Again) fit(found find.Piece, o Options) (pattern.Piece, []curve.Sample, error) {
	if o.ToleranceMM <= 0 {
		o.ToleranceMM = UsualToleranceMM
	}
	if o.ThicknessMM == 0 {
		o.ThicknessMM = a.s.Raised.ThicknessMM
	}
	f := fitPiece(found, a.s, o)
	if f.err != nil {
		return pattern.Piece{}, nil, fmt.Errorf("the outline here could not be followed: %w", f.err)
	}
	return f.piece, found.Outline, nil
}

// flattenMM is how closely an outline is handed on as points.
const flattenMM = 0.02

// sameArea is by how much the piece that lies there may differ from an outline,
// in parts of its area, and still be the same one.
const sameArea = 0.05

// Measure measures the edge that a closed outline stands for: that of the piece
// which lies there when it is of about that size, else the clearest edge within
// about a millimetre.
func (a *Again) Measure(outline curve.Path) ([]curve.Sample, error) {
	pts := outline.Flatten(flattenMM)
	if at, ok := within(pts); ok {
		p, err := a.look.PieceAt(at)
		if want := math.Abs(outline.Area()); err == nil && math.Abs(areaOf(p.Outline)-want) < sameArea*want {
			return p.Outline, nil
		}
	}
	return a.look.Measure(pts)
}

// within is a point well inside a loop: the middle of its widest passage along
// one of some level lines. False for a loop without extent.
func within(pts []mat.Point) (best mat.Point, ok bool) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		low, high = math.Min(low, p.Y), math.Max(high, p.Y)
	}
	wide := 0.0
	const lines = 9
	for k := 1; k <= lines; k++ {
		y := low + (high-low)*float64(k)/(lines+1)
		x := curve.RowCrossings([][]mat.Point{pts}, y)
		for i := 0; i+1 < len(x); i += 2 {
			if x[i+1]-x[i] > wide {
				wide, best, ok = x[i+1]-x[i], mat.Point{X: (x[i] + x[i+1]) / 2, Y: y}, true
			}
		}
	}
	return best, ok
}

// areaOf is the area within a loop of samples, mm².
func areaOf(s []curve.Sample) float64 {
	sum := 0.0
	for i, p := range s {
		q := s[(i+1)%len(s)]
		sum += p.At.X*q.At.Y - q.At.X*p.At.Y
	}
	return math.Abs(sum) / 2
}

// ErrShort tells that a stretch is too short to be traced.
var ErrShort = errors.New("the stretch between these two points is too short to be traced: choose points farther apart")

// Between traces the stretch of a closed outline from the start of one segment
// forward to that of another along the clearest edge of the photograph. It
// returns an open path, within toleranceMM of what was measured, and the
// samples it follows. Its ends lie where the edge was measured next to the two
// nodes.
func (a *Again) Between(outline curve.Path, from, to int, toleranceMM float64) (curve.Path, []curve.Sample, error) {
	n := len(outline.Segments)
	if n == 0 || from < 0 || to < 0 || from >= n || to >= n {
		return curve.Path{}, nil, fmt.Errorf("no nodes %d and %d in an outline of %d", from, to, n)
	}
	start, end := outline.Segments[from].P0, outline.Segments[to].P0
	way, err := a.look.Follow(start, end)
	if err != nil {
		return curve.Path{}, nil, err
	}
	rest := curve.Path{}
	for i := to; i != from; i = (i + 1) % n {
		rest.Segments = append(rest.Segments, outline.Segments[i])
	}
	loop := append(way[:len(way)-1:len(way)-1], rest.Flatten(flattenMM)...)
	all, err := a.look.Measure(loop[:len(loop)-1])
	if err != nil {
		return curve.Path{}, nil, err
	}
	part := stretch(all, start, end)
	if len(part) < 12 {
		return curve.Path{}, nil, ErrShort
	}
	path, _, err := curve.FitOpen(part, a.fitOptions(part, toleranceMM))
	if err != nil {
		return curve.Path{}, nil, ErrShort
	}
	return path, part, nil
}

// stretch is the samples from the one nearest to a point forward to the one
// nearest to another.
func stretch(all []curve.Sample, from, to mat.Point) []curve.Sample {
	a, b := nearestSample(all, from), nearestSample(all, to)
	if a < 0 || b < 0 {
		return nil
	}
	if a <= b {
		return all[a : b+1]
	}
	return append(all[a:len(all):len(all)], all[:b+1]...)
}

func nearestSample(all []curve.Sample, p mat.Point) int {
	best, near := -1, math.Inf(1)
	for i, q := range all {
		if d := math.Hypot(q.At.X-p.X, q.At.Y-p.Y); d < near {
			best, near = i, d
		}
	}
	return best
}

func (a *Again) fitOptions(s []curve.Sample, toleranceMM float64) curve.FitOptions {
	return fitOptions(s, a.s, Options{ToleranceMM: toleranceMM})
}

// Fit follows a closed loop of samples within toleranceMM.
func (a *Again) Fit(samples []curve.Sample, toleranceMM float64) (curve.Path, curve.FitReport, error) {
	return curve.FitClosed(samples, a.fitOptions(samples, toleranceMM))
}
