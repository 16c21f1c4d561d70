// Package grid finds the printed lines of a cutting mat in a photograph and
// measures them to a few hundredths of a pixel.
//
// It works from the small to the large. In a reduced picture, windows are
// searched for two crossing combs of evenly spaced lines; the best window
// seeds a lattice, which grows span by span as far as its camera model,
// refitted at every round, predicts lines that are really there. Every line
// is then located in the photograph itself, by profiles across it between
// the crossings. Every span is found where one global model expects it; that
// the numbers of the lines are right is then proven without the model, step by
// step, by the distances measured (checkCounts).
package grid

import (
	"context"
	"errors"
	"fmt"
	"math"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// errLost is the end of a false trail: too few lines agree.
var errLost = errors.New("the lines do not make a lattice")

// NotFoundError reports that no usable grid was seen.
type NotFoundError struct {
	// Lines is the number of lines of the best attempt, Spans the number of
	// stretches between crossings that were seen of them.
	Lines, Spans int
	// At is the middle of what was seen, in the photograph; only when Spans
	// is not 0.
	At photo.Point
	// Photo is the photograph's name.
	Photo string
}

// Error says what was seen and what to do.
func (e *NotFoundError) Error() string {
	if e.Spans == 0 {
		return fmt.Sprintf("no mat lines found in %s: photograph the mat from higher up so that its grid fills the frame, in even light, or click four corners", e.Photo)
	}
	return fmt.Sprintf("only %d mat lines found in %s, around pixel (%.0f, %.0f): leave more of the mat uncovered, take the photograph from higher up, or click four corners",
		e.Lines, e.Photo, e.At.X, e.At.Y)
}

// Found is a grid and a first camera model for it, in pitches: the model maps
// (column, row) to the photograph.
type Found struct {
	Grid  mat.Grid
	Steps lens.Model
}

// minSpans and minLines are the least of a grid that can be measured with.
const (
	minSpans = 16
	minLines = 3
)

// Find reads the mat's lines. The columns and rows of the result count from
// the crossing at the top left of what was seen. Sizes help to tell the lines
// that are a pitch apart from stressed or finer ones. Errors: *NotFoundError,
// *SpacingError, *ShapeError, *KindError, *SlipError, *TwoGridsError, or the context's.
func Find(ctx context.Context, p *photo.Photo, sizes Sizes) (*Found, error) {
	var found *Found
	var first error
	err := eachReading(ctx, p, func(r reading) bool {
		r = r.inClearestPlane(ctx, p)
		if !sizes.FocalUnsure {
			r.lattice.focalPx = sizes.FocalPx
		}
		f, err := r.lattice.read(ctx, r.plane, sizes)
		if err == nil && !r.believable(f) {
			err = r.lattice.notFound(p.Name)
		}
		var kind *KindError
		var two *TwoGridsError
		if err == nil || ctx.Err() != nil || errors.As(err, &kind) || errors.As(err, &two) {
			found, first = f, err
			return true
		}
		if first == nil {
			first = err
		}
		return false
	})
	if err != nil {
		return nil, err
	}
	return found, first
}

// read makes a grid of a lattice that was found in a plane of a photograph.
func (g *lattice) read(ctx context.Context, p *photo.Photo, sizes Sizes) (*Found, error) {
	if !g.enough() {
		return nil, g.notFound(p.Name)
	}
	minors, finer, err := g.useMajors(ctx, p, sizes)
	if err != nil && ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil || !g.enough() {
		return nil, g.notFound(p.Name)
	}
	if err := g.grow(ctx, noLimit); err != nil && ctx.Err() != nil {
		return nil, err
	}
	if fine := searchFactor(p); fine < g.lvl.factor {
		// The fine lines between may be gone in a coarser picture.
		near := *g
		near.lvl = levelOf(p, fine)
		minors = max(minors, near.minors())
	}
	kinds := g.kinds(minors, finer)
	if minors, err = g.useKind(ctx, kinds, minors, sizes.Kind, p.Name); err != nil {
		return nil, err
	}
	if sizes.Kind == 0 {
		if err := g.plausible(sizes, p.Name); err != nil {
			return nil, err
		}
	}
	g.dropStrays()
	if err := g.joinParts(ctx, p.Name); err != nil {
		return nil, err
	}
	fine, err := g.finer(ctx, minors)
	if err != nil {
		return nil, err
	}
	if fine != nil {
		g.widenTo(fine, minors)
	}
	if !g.enough() {
		return nil, g.notFound(p.Name)
	}
	if err := g.square(p.Name); err != nil {
		return nil, err
	}
	lo := g.renumber()
	f, err := g.measure(ctx, p)
	if err != nil {
		return nil, err
	}
	f.Grid.MinorPerPitch, f.Grid.Kinds = minors, kinds
	if err := checkCounts(f.Grid.Points, p.Name); err != nil {
		return nil, err
	}
	if fine != nil {
		fine.shift([2]int{lo[0] * minors, lo[1] * minors})
		if err := f.addMinors(ctx, p, fine, minors); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// weight is the sum of the heights seen: a few strong lines are worth more
// than many faint ones.
func (g *lattice) weight() float64 {
	sum := 0.0
	for _, s := range g.seen {
		sum += s.height
	}
	return sum
}

// enough reports whether what was seen can be measured with.
func (g *lattice) enough() bool {
	return len(g.seen) >= minSpans && g.bothFamilies(minLines)
}

// notFound describes the attempt.
func (g *lattice) notFound(name string) error {
	e := &NotFoundError{Spans: len(g.seen), Photo: name}
	lines := map[span]bool{}
	for s, v := range g.seen {
		lines[span{s.family, s.index, 0}] = true
		e.At.X += v.at.X / float64(len(g.seen))
		e.At.Y += v.at.Y / float64(len(g.seen))
	}
	e.Lines = len(lines)
	return e
}

// renumber moves the origin to the top left of what was seen, and returns
// where that was.
func (g *lattice) renumber() (lo [2]int) {
	lo, _ = g.bounds()
	g.shift(lo)
	return lo
}

// shift moves the origin to a crossing.
func (g *lattice) shift(to [2]int) {
	g.model = g.model.Shift(mat.Point{X: float64(to[0]), Y: float64(to[1])})
	old := g.seen
	g.seen = make(map[span]sight, len(old))
	for s, v := range old {
		g.seen[span{s.family, s.index - to[s.family], s.at - to[1-s.family]}] = v
	}
}

// measure locates every line in the photograph: first the spans seen in the
// level, then, with the model refitted to those, every span of the lattice.
func (g *lattice) measure(ctx context.Context, p *photo.Photo) (*Found, error) {
	spans := thin(g.spans(), refitSpans)
	u := g.gauge(p, 2*len(spans))
	pts := u.measureAll(g.model, spans)
	fit, err := lens.SolveFrom(ctx, g.model, pts, g.options())
	if err != nil {
		return nil, fmt.Errorf("measuring the mat's lines in %s: %w", p.Name, err)
	}
	g.model = fit.Model
	lo, hi := g.bounds()
	all := spansIn(lo, hi)
	u.reachPx = math.Min(u.reachPx, 2)
	u.samples = samplesFor(len(all))
	pts = u.measureAll(g.model, all)
	return &Found{
		Steps: g.model,
		Grid: mat.Grid{
			Points:    pts,
			MinColumn: lo[0], MaxColumn: hi[0], MinRow: lo[1], MaxRow: hi[1],
			MinorPerPitch:  1,
			LineWidthPitch: u.widthPx / g.pitchPx(),
		},
	}, nil
}

// bounds returns the first and last column and row that were seen.
func (g *lattice) bounds() (lo, hi [2]int) {
	lo, hi = [2]int{math.MaxInt, math.MaxInt}, [2]int{math.MinInt, math.MinInt}
	for s := range g.seen {
		lo[s.family] = min(lo[s.family], s.index)
		hi[s.family] = max(hi[s.family], s.index)
	}
	return lo, hi
}

// pitchPx is the median length of a seen span in the photograph.
func (g *lattice) pitchPx() float64 {
	var ls []float64
	for s := range g.seen {
		if c, ok := g.course(s, 0); ok {
			ls = append(ls, c.length()*float64(g.lvl.factor))
		}
	}
	return median(ls)
}

// gauge sets up the measuring in the photograph from what the level showed.
func (g *lattice) gauge(p *photo.Photo, spans int) *gauge {
	var ws []float64
	for _, s := range g.spans() {
		ws = append(ws, g.seen[s].width)
	}
	f := float64(g.lvl.factor)
	width := math.Min(math.Max(median(ws)*f*0.8, 1.5), 0.15*g.pitchPx())
	return &gauge{
		photo: p, pol: float64(g.pol), widthPx: width,
		reachPx: math.Min(math.Max(1.5*f, 2), 0.1*g.pitchPx()),
		samples: samplesFor(spans),
	}
}

// samplesFor spreads a fixed budget of profiles over the spans.
func samplesFor(spans int) int {
	const budget = 24000
	return min(max(budget/max(spans, 1), 8), 24)
}
