package tape_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
	"flatwright/trace/curve"
	"flatwright/trace/tape"
)

// strip is a run of truth: arc lengths along a piece's outline.
type strip struct {
	piece    int
	from, to float64
	name     string
}

// inputOf is a scene's photograph with the true outlines.
func inputOf(t testing.TB, s scene.Spec) tape.Input {
	t.Helper()
	p, err := scene.Shoot(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	return wrapped(s, p)
}

func wrapped(s scene.Spec, p *photo.Photo) tape.Input {
	in := tape.Input{Photo: p, View: s.Camera.View()}
	for _, q := range s.Truth().Pieces {
		piece := tape.Piece{Outline: curve.Polygon(q.Outline...)}
		for _, o := range q.Openings {
			piece.Openings = append(piece.Openings, curve.Polygon(o...))
		}
		in.Pieces = append(in.Pieces, piece)
	}
	return in
}

// stripsOf is the truth of a scene: neighbouring strips of one colour are one.
func stripsOf(s scene.Spec) []strip {
	var out []strip
	for i, p := range s.Pieces {
		long := curve.Polygon(p.Outline...).Length()
		var own []strip
		for _, e := range p.Edges {
			own = append(own, strip{i, e.FromMM, e.ToMM, e.Name})
		}
		for again := true; again; {
			again = false
			for a := range own {
				for b := range own {
					gap := math.Mod(own[b].from-own[a].to+2*long, long)
					if a != b && own[a].name == own[b].name && min(gap, long-gap) < 0.5 {
						own[a].to += own[b].to - own[b].from
						own = append(own[:b], own[b+1:]...)
						again = true
						break
					}
				}
				if again {
					break
				}
			}
		}
		out = append(out, own...)
	}
	return out
}

// tally is how the strips found compare with the truth.
type tally struct {
	strips, found, invented, mixed int
	worstMM, sumMM                 float64
	ends                           int
	notes                          []string
}

func compare(s scene.Spec, truth []strip, in tape.Input, r tape.Result) tally {
	var y tally
	used := make([]bool, len(r.Runs))
	groupOf := map[string]int{}
	for _, w := range truth {
		y.strips++
		long := in.Pieces[w.piece].Outline.Length()
		best, off := -1, 8.0
		for k, f := range r.Runs {
			if used[k] || f.Piece != w.piece {
				continue
			}
			if d := max(around(f.FromMM-w.from, long), around(f.ToMM-w.to, long)); d < off {
				best, off = k, d
			}
		}
		if best < 0 {
			y.notes = append(y.notes, fmt.Sprintf("missed %s on %s, %.1f to %.1f of %.1f", w.name, s.Pieces[w.piece].ID, w.from, w.to, long))
			continue
		}
		used[best] = true
		y.found++
		f := r.Runs[best]
		for _, d := range []float64{around(f.FromMM-w.from, long), around(f.ToMM-w.to, long)} {
			y.sumMM += d
			y.ends++
		}
		if y.worstMM = max(y.worstMM, off); off > 2 {
			y.notes = append(y.notes, fmt.Sprintf("%s on %s off %.1f", w.name, s.Pieces[w.piece].ID, off))
		}
		if g, ok := groupOf[w.name]; ok && g != f.Group {
			y.mixed++
			y.notes = append(y.notes, fmt.Sprintf("%s on %s is in group %s", w.name, s.Pieces[w.piece].ID, r.Groups[f.Group].Name))
		} else {
			groupOf[w.name] = f.Group
		}
	}
	for k, f := range r.Runs {
		if !used[k] {
			y.invented++
			y.notes = append(y.notes, fmt.Sprintf("invented on %s %.1f to %.1f contrast %.0f width %.1f confidence %.2f", s.Pieces[f.Piece].ID, f.FromMM, f.ToMM, f.Contrast, f.WidthMM, f.Confidence))
		}
	}
	seen := map[int]string{}
	for n, g := range groupOf {
		if m, ok := seen[g]; ok {
			y.mixed++
			y.notes = append(y.notes, fmt.Sprintf("%s and %s are one group", m, n))
		}
		seen[g] = n
	}
	return y
}

func around(d, long float64) float64 {
	d = math.Mod(math.Abs(d), long)
	return min(d, long-d)
}

func (y tally) String() string {
	return fmt.Sprintf("strips %d found %d invented %d mixed %d ends mean %.2f worst %.2f mm  %s",
		y.strips, y.found, y.invented, y.mixed, y.sumMM/float64(max(1, y.ends)), y.worstMM, strings.Join(y.notes, "; "))
}

// colour is a tape that the tests lay.
type colour struct {
	name string
	scene.Colour
}

// cornersOf are the arc lengths of an outline's sharp corners.
func cornersOf(ring []mat.Point) []float64 {
	var out []float64
	s := 0.0
	for i, p := range ring {
		b, n := ring[(i+len(ring)-1)%len(ring)], ring[(i+1)%len(ring)]
		turn := math.Atan2((p.X-b.X)*(n.Y-p.Y)-(p.Y-b.Y)*(n.X-p.X), (p.X-b.X)*(n.X-p.X)+(p.Y-b.Y)*(n.Y-p.Y))
		if math.Abs(turn) > 0.3 {
			out = append(out, s)
		}
		s += math.Hypot(n.X-p.X, n.Y-p.Y)
	}
	return out
}

// dress lays strips along some pieces of a scene anew: from corner to corner,
// or over a part of an edge. It returns where they are seen: the drawing lets
// a strip run on by its width past both ends, past the knife at a corner.
func dress(s *scene.Spec, seed uint64, colours []colour) []strip {
	var out []strip
	rng := rand.New(rand.NewPCG(seed, 0x7a9e))
	for i := range s.Pieces {
		p := &s.Pieces[i]
		p.Edges = nil
		at := cornersOf(p.Outline)
		long := curve.Polygon(p.Outline...).Length()
		if rng.IntN(3) == 0 {
			continue
		}
		smooth := len(at) < 2
		if smooth {
			at = []float64{0, long * 0.3}
		}
		for range 1 + rng.IntN(2) {
			k := rng.IntN(len(at))
			from, to := at[k], at[(k+1)%len(at)]
			if to <= from {
				to += long
			}
			c := colours[rng.IntN(len(colours))]
			e := scene.EdgeTape{Name: c.name, Colour: c.Colour, FromMM: from, ToMM: to, WidthMM: 3.5 + 11*rng.Float64()}
			if to-from > 80 && (smooth || rng.IntN(3) == 0) {
				from, to = from+12+10*rng.Float64(), to-8-12*rng.Float64()
				e.FromMM, e.ToMM = from+e.WidthMM, to-e.WidthMM
			}
			if to-from > 20 && (!smooth || e.FromMM != from) && clear(*p, e, long) {
				p.Edges = append(p.Edges, e)
				out = append(out, strip{i, from, to, c.name})
			}
		}
	}
	return out
}

// clear reports whether a strip keeps off those laid already.
func clear(p scene.Piece, e scene.EdgeTape, long float64) bool {
	for _, f := range p.Edges {
		for s := e.FromMM - 30; s < e.ToMM+30; s++ {
			if math.Mod(s-f.FromMM+2*long, long) < f.ToMM-f.FromMM {
				return false
			}
		}
	}
	return true
}
