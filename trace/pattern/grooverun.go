package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// GroovePlace is where a run of grooves bends a piece: along an edge, the
// grooves square to it, or across a line inside, the grooves beside it.
type GroovePlace struct {
	// Edge names the edge; empty for a line.
	Edge string
	// Line is the number of the line inside the piece, from 0.
	Line int
}

// GrooveRun is a bend that is wanted of a run of grooves.
type GrooveRun struct {
	// RadiusMM is the radius of the face that is not cut, ArcMM the length along
	// it over which the sheet bends; it lies about the middle of the edge or of
	// the line.
	RadiusMM, ArcMM float64
	// WebMM is what is left uncut under the grooves.
	WebMM float64
	// SagittaMM is how far the facets between them may stray from the arc.
	SagittaMM float64
}

const (
	// leastWebMM is the thinnest web that does not tear when it is bent (common
	// practice, no source).
	leastWebMM = 0.3
	// straightMM is how far an edge or a line may stray from straight: a sheet
	// bends about straight lines only.
	straightMM = 1.0
	// clipMM is how far the ends of a groove may lie from the outline.
	clipMM = 0.02
	// typedMM is how exactly lengths are typed.
	typedMM = 0.1
)

// PlanGrooves works a run of grooves out: the numbers, and the lines along
// which they are cut, from outline to outline. The piece is not changed. It
// refuses what GroovesFor refuses, webs that tear, edges and lines that are
// not straight, and runs that reach beyond the piece.
func (p *Piece) PlanGrooves(at GroovePlace, want GrooveRun) (Grooving, []InsideLine, error) {
	if p.ThicknessMM > 0 && want.WebMM < leastWebMM {
		return Grooving{}, nil, fmt.Errorf("a web of %.1f mm under grooves tears: leave at least %.1f mm uncut; a sheet of %g mm that leaves no room for it is too thin for grooves and bends without", want.WebMM, leastWebMM, p.ThicknessMM)
	}
	g, err := GroovesFor(want.RadiusMM, want.ArcMM, p.ThicknessMM, want.WebMM, want.SagittaMM)
	if err != nil {
		return Grooving{}, nil, err
	}
	axis, err := p.grooveAxis(at, want.ArcMM)
	if err != nil {
		return Grooving{}, nil, err
	}
	work := LineWork{Kind: Groove, DepthMM: g.DepthMM, BendDeg: g.BendDeg}
	var lines []InsideLine
	for k := range g.Count {
		by := g.SpacingMM * (float64(k) + 0.5 - float64(g.Count)/2)
		cuts := p.clip(axis.from(by), axis.along)
		if len(cuts) == 0 {
			return Grooving{}, nil, fmt.Errorf("the bend reaches %.0f mm to either side and leaves piece %s there: bend it over less than %.0f mm", want.ArcMM/2, p.ID, 2*math.Abs(by))
		}
		for _, c := range cuts {
			lines = append(lines, InsideLine{Path: c, Work: work, Run: p.runName(at)})
		}
	}
	return g, lines, nil
}

// grooveAxis is a line through the middle of a bend: grooves run along it, and
// the sheet bends across it.
type grooveAxis struct{ middle, along, across mat.Point }

// from returns the place on a groove that lies so far across the bend.
func (a grooveAxis) from(by float64) mat.Point {
	return mat.Point{X: a.middle.X + by*a.across.X, Y: a.middle.Y + by*a.across.Y}
}

func (p *Piece) grooveAxis(at GroovePlace, arcMM float64) (grooveAxis, error) {
	if at.Edge != "" {
		return p.axisOnEdge(at.Edge, arcMM)
	}
	if at.Line < 0 || at.Line >= len(p.Lines) {
		return grooveAxis{}, fmt.Errorf("piece %s has no line number %d", p.ID, at.Line+1)
	}
	from, dir, long, err := straight(p.Lines[at.Line].Path, "this line")
	return grooveAxis{
		middle: mat.Point{X: from.X + dir.X*long/2, Y: from.Y + dir.Y*long/2},
		along:  dir, across: mat.Point{X: -dir.Y, Y: dir.X},
	}, err
}

// axisOnEdge puts the axis just inside an edge's middle.
func (p *Piece) axisOnEdge(edge string, arcMM float64) (grooveAxis, error) {
	k := p.edgeIndex(edge)
	if k < 0 {
		return grooveAxis{}, fmt.Errorf("piece %s has no edge %q", p.ID, edge)
	}
	from, dir, long, err := straight(p.EdgePath(k), "edge "+edge)
	if err != nil {
		return grooveAxis{}, err
	}
	if arcMM > long+typedMM {
		return grooveAxis{}, fmt.Errorf("edge %s is %.1f mm long: it cannot be bent over %.1f mm", edge, long, arcMM)
	}
	in := mat.Point{X: -dir.Y, Y: dir.X}
	if p.Outline.Area() < 0 {
		in = mat.Point{X: -in.X, Y: -in.Y}
	}
	const insideMM = straightMM + clipMM
	return grooveAxis{
		middle: mat.Point{X: from.X + dir.X*long/2 + in.X*insideMM, Y: from.Y + dir.Y*long/2 + in.Y*insideMM},
		along:  in, across: dir,
	}, nil
}

// straight returns the beginning, direction and length of a path that is
// straight within straightMM.
func straight(path curve.Path, what string) (from, dir mat.Point, long float64, err error) {
	pts := path.Flatten(clipMM)
	if !path.Closed && len(path.Segments) > 0 {
		pts = append(pts, path.Segments[len(path.Segments)-1].P3)
	}
	if len(pts) < 2 {
		return from, dir, 0, fmt.Errorf("%s has no length", what)
	}
	from = pts[0]
	to := pts[len(pts)-1]
	if long = math.Hypot(to.X-from.X, to.Y-from.Y); long < straightMM {
		return from, dir, 0, fmt.Errorf("%s ends where it begins: a sheet bends about a straight line", what)
	}
	dir = mat.Point{X: (to.X - from.X) / long, Y: (to.Y - from.Y) / long}
	worst := 0.0
	for _, q := range pts {
		worst = max(worst, math.Abs((q.X-from.X)*dir.Y-(q.Y-from.Y)*dir.X))
	}
	if worst > straightMM {
		return from, dir, 0, fmt.Errorf("%s strays %.1f mm from straight: a sheet bends about a straight line, within %.0f mm", what, worst, straightMM)
	}
	return from, dir, long, nil
}

// clip returns the parts of a line through a place of the piece that lie
// between the outline and its openings, on the stretch of the outline's inside
// that holds the place; none when it lies outside.
func (p *Piece) clip(through, dir mat.Point) []curve.Path {
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, t := range crossings(p.Outline, through, dir) {
		if t <= 0 {
			lo = max(lo, t)
		} else {
			hi = min(hi, t)
		}
	}
	if math.IsInf(lo, 0) || math.IsInf(hi, 0) || !p.Outline.Contains(through, clipMM) {
		return nil
	}
	stops := []float64{lo, hi}
	for _, o := range p.Openings {
		for _, t := range crossings(o, through, dir) {
			if t > lo && t < hi {
				stops = append(stops, t)
			}
		}
	}
	slices.Sort(stops)
	at := func(t float64) mat.Point { return mat.Point{X: through.X + t*dir.X, Y: through.Y + t*dir.Y} }
	var out []curve.Path
	for i := 0; i+1 < len(stops); i += 2 {
		if stops[i+1]-stops[i] > clipMM {
			out = append(out, curve.Polyline(at(stops[i]), at(stops[i+1])))
		}
	}
	return out
}

// crossings returns how far along a line it crosses a closed path, in mm from
// the line's place.
func crossings(loop curve.Path, through, dir mat.Point) []float64 {
	pts := loop.Flatten(clipMM)
	side := func(q mat.Point) float64 { return (q.X-through.X)*dir.Y - (q.Y-through.Y)*dir.X }
	var out []float64
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		sa, sb := side(a), side(b)
		if (sa > 0) == (sb > 0) {
			continue
		}
		k := sa / (sa - sb)
		q := mat.Point{X: a.X + k*(b.X-a.X), Y: a.Y + k*(b.Y-a.Y)}
		out = append(out, (q.X-through.X)*dir.X+(q.Y-through.Y)*dir.Y)
	}
	return out
}

// GroovePlaceOf returns where the run stands that a line inside belongs to:
// itself when it belongs to none, or is the line that a run is spread beside.
func (p *Piece) GroovePlaceOf(line int) GroovePlace {
	if line < 0 || line >= len(p.Lines) || p.Lines[line].Run == "" || p.Lines[line].Work.Kind != Groove {
		return GroovePlace{Line: line}
	}
	run := p.Lines[line].Run
	if p.edgeIndex(run) >= 0 {
		return GroovePlace{Edge: run}
	}
	for i, l := range p.Lines {
		if l.Run == run && l.Work.Kind != Groove {
			return GroovePlace{Line: i}
		}
	}
	return GroovePlace{Line: line}
}

// GroovesAt counts the grooves of the run at a place, a groove that an opening
// interrupts by its parts.
func (p *Piece) GroovesAt(at GroovePlace) int {
	n := 0
	for _, l := range p.Lines {
		if run := p.runName(at); l.Run == run && l.Work.Kind == Groove {
			n++
		}
	}
	return n
}

// runName is the name of the run at a place, a fresh one for a line that has
// none.
func (p *Piece) runName(at GroovePlace) string {
	if at.Edge != "" {
		return at.Edge
	}
	if at.Line >= 0 && at.Line < len(p.Lines) && p.Lines[at.Line].Run != "" {
		return p.Lines[at.Line].Run
	}
	for k := 1; ; k++ {
		name := fmt.Sprintf("g%d", k)
		if !slices.ContainsFunc(p.Lines, func(l InsideLine) bool { return l.Run == name }) {
			return name
		}
	}
}

// SetGrooves puts a run of grooves on a piece in the place of the one that
// stands there. The line it is spread beside stays, drawn only. On an error
// nothing is changed.
func (p *Pattern) SetGrooves(pieceID string, at GroovePlace, want GrooveRun) (Grooving, error) {
	q, err := p.Piece(pieceID)
	if err != nil {
		return Grooving{}, err
	}
	g, lines, err := q.PlanGrooves(at, want)
	if err != nil {
		return Grooving{}, err
	}
	run := q.runName(at)
	all := slices.Clone(q.Lines)
	if at.Edge == "" {
		all[at.Line].Run, all[at.Line].Work = run, LineWork{}
	}
	q.Lines = append(withoutRun(all, run), lines...)
	return g, nil
}

// DropGrooves takes the run of grooves at a place off a piece.
func (p *Pattern) DropGrooves(pieceID string, at GroovePlace) error {
	q, err := p.Piece(pieceID)
	if err != nil {
		return err
	}
	run := q.runName(at)
	all := slices.Clone(q.Lines)
	if at.Edge == "" && at.Line >= 0 && at.Line < len(all) && all[at.Line].Work.Kind != Groove {
		all[at.Line].Run = ""
	}
	q.Lines = withoutRun(all, run)
	return nil
}

// withoutRun leaves the grooves of a run out.
func withoutRun(lines []InsideLine, run string) []InsideLine {
	return slices.DeleteFunc(lines, func(l InsideLine) bool { return l.Run == run && l.Work.Kind == Groove })
}
