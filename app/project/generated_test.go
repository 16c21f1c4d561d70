package project

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// The generators draw any pattern that can be written, sensible or not: what
// is kept must not depend on what it is.

func genPoint(t *rapid.T) mat.Point {
	c := rapid.Float64Range(-1e5, 1e5)
	return mat.Point{X: c.Draw(t, "x"), Y: c.Draw(t, "y")}
}

func genPath(t *rapid.T, least int) curve.Path {
	p := curve.Path{Closed: rapid.Bool().Draw(t, "closed")}
	at := genPoint(t)
	for range rapid.IntRange(least, 4).Draw(t, "segments") {
		s := curve.Line(at, genPoint(t))
		if rapid.Bool().Draw(t, "curved") {
			s = curve.Cubic(at, genPoint(t), genPoint(t), genPoint(t))
		}
		p.Segments = append(p.Segments, s)
		at = s.P3
	}
	return p
}

func genCut(t *rapid.T) pattern.Cut {
	c := pattern.Cut{Kind: rapid.SampledFrom([]pattern.CutKind{pattern.Straight, pattern.Bevel, pattern.Undercut}).Draw(t, "cut")}
	c.AngleDeg = rapid.Float64Range(0, 90).Draw(t, "angle")
	if c.Varies = rapid.Bool().Draw(t, "varies"); c.Varies {
		c.ToDeg = rapid.Float64Range(-90, 90).Draw(t, "to")
	}
	return c
}

func genPiece(t *rapid.T, id string) pattern.Piece {
	text := rapid.String()
	q := pattern.Piece{
		ID: id, Name: text.Draw(t, "name"), Outline: genPath(t, 1), Quantity: rapid.Int().Draw(t, "quantity"),
		Mirrored: rapid.Bool().Draw(t, "mirrored"), ThicknessMM: rapid.Float64Range(0, 200).Draw(t, "thickness"),
		Face: rapid.SampledFrom([]pattern.Face{pattern.Front, pattern.Back}).Draw(t, "face"), Material: text.Draw(t, "material"), Note: text.Draw(t, "note"),
	}
	n := len(q.Outline.Segments)
	for k := range rapid.IntRange(0, 3).Draw(t, "edges") {
		q.Edges = append(q.Edges, pattern.Edge{
			ID: fmt.Sprint(id, k+1), First: rapid.IntRange(0, n-1).Draw(t, "first"), Count: rapid.IntRange(1, n).Draw(t, "count"), Cut: genCut(t),
			Allowance: pattern.Allowance{
				WidthMM: rapid.Float64Range(0, 50).Draw(t, "allowance"),
				Corner:  rapid.SampledFrom([]pattern.AllowanceCorner{"", pattern.Mitred, pattern.Square, pattern.Folded}).Draw(t, "corner"),
			},
			Tape: rapid.SampledFrom([]string{"", "T1"}).Draw(t, "tape"), Rim: rapid.Bool().Draw(t, "rim"),
		})
	}
	for range rapid.IntRange(0, 2).Draw(t, "openings") {
		q.Openings = append(q.Openings, genPath(t, 1))
	}
	for range rapid.IntRange(0, 2).Draw(t, "marks") {
		ticks := rapid.IntRange(0, pattern.MostTicks).Draw(t, "ticks")
		q.Marks = append(q.Marks, pattern.Mark{At: genPoint(t), In: genPoint(t), Ticks: ticks})
	}
	for range rapid.IntRange(0, 2).Draw(t, "lines") {
		q.Lines = append(q.Lines, pattern.InsideLine{Path: genPath(t, 1), Run: text.Draw(t, "run"), Work: pattern.LineWork{
			Kind:    rapid.SampledFrom([]pattern.LineWorkKind{pattern.Drawn, pattern.Score, pattern.Groove, pattern.Slit}).Draw(t, "work"),
			DepthMM: rapid.Float64().Draw(t, "depth"), BendDeg: rapid.Float64().Draw(t, "bend"), GapMM: rapid.Float64().Draw(t, "gap"),
		}})
	}
	return q
}

func genPattern(t *rapid.T) pattern.Pattern {
	p := pattern.Pattern{Name: rapid.String().Draw(t, "pattern name")}
	var edges []string
	for i := range rapid.IntRange(0, 4).Draw(t, "pieces") {
		q := genPiece(t, pattern.Letters(i))
		for _, e := range q.Edges {
			edges = append(edges, e.ID)
		}
		p.Pieces = append(p.Pieces, q)
	}
	for k := 0; k+1 < len(edges) && rapid.Bool().Draw(t, "seam"); k += 2 {
		ref := func(id string) pattern.Run {
			return pattern.Run{{Edge: id, Reversed: rapid.Bool().Draw(t, "reversed")}}
		}
		p.Seams = append(p.Seams, pattern.Seam{ID: fmt.Sprint("s", k), A: ref(edges[k]), B: ref(edges[k+1]), WantDeg: rapid.Float64Range(0, 360).Draw(t, "want")})
	}
	if rapid.Bool().Draw(t, "tapes") {
		x := pattern.Tape{ID: "T1", Name: rapid.String().Draw(t, "tape name"), SRGB: [3]uint8{1, 2, rapid.Byte().Draw(t, "blue")}, Cut: pattern.Cut{Kind: pattern.Straight}}
		if x.Meant = rapid.Bool().Draw(t, "meant"); x.Meant {
			x.Cut = genCut(t)
		}
		p.Tapes = []pattern.Tape{x}
	}
	if rapid.Bool().Draw(t, "limits") {
		p.Limits = pattern.Limits{SeamMM: rapid.Float64().Draw(t, "seam mm"), SheetWidthMM: rapid.Float64().Draw(t, "sheet")}
	}
	return p
}

// Any pattern that is saved and loaded again is equal.
func TestAnyPatternComesBack(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "any"+Extension)
	p, err := Create(ctx, path)
	must(t, err)
	defer func() { must(t, p.Close()) }()
	rapid.Check(t, func(rt *rapid.T) {
		want := genPattern(rt)
		if _, err := p.Commit("any", want); err != nil {
			rt.Fatal(err)
		}
		if err := p.Close(); err != nil {
			rt.Fatal(err)
		}
		if p, err = Open(ctx, path); err != nil {
			rt.Fatal(err)
		}
		got, err := p.Current()
		if err != nil {
			rt.Fatal(err)
		}
		if !reflect.DeepEqual(got.Pattern, want) {
			rt.Fatalf("saved\n%+v\nloaded\n%+v", want, got.Pattern)
		}
	})
}

// quickDir returns a folder in memory where there is one: what is tested there
// does not depend on a disk.
func quickDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "flatwright-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { must(t, os.RemoveAll(dir)) })
	return dir
}

// model is what a project must do, without a file.
type model struct {
	states [][]byte
	at     int
}

// Any sequence of edits, undone, gives the same bytes; so does doing them
// again, and so does closing and opening in between.
func TestAnySequenceOfEdits(t *testing.T) {
	ctx := context.Background()
	dir := quickDir(t)
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		path := filepath.Join(dir, fmt.Sprint(n, Extension))
		p, err := Create(ctx, path)
		if err != nil {
			rt.Fatal(err)
		}
		defer func() { p.Close() }()
		m := model{states: [][]byte{p.Encoded()}}
		rt.Repeat(map[string]func(*rapid.T){
			"": func(rt *rapid.T) {
				if !bytes.Equal(p.Encoded(), m.states[m.at]) {
					rt.Fatalf("state %d of %d is not what it was", m.at, len(m.states))
				}
			},
			"edit": func(rt *rapid.T) {
				s := State{Pattern: genPattern(rt)}
				if rapid.Bool().Draw(rt, "work") {
					s.Work = json.RawMessage(fmt.Sprintf(`{"pitch_mm":%d}`, rapid.Int().Draw(rt, "pitch")))
				}
				if _, err := p.CommitState(rapid.String().Draw(rt, "edit"), s); err != nil {
					rt.Fatal(err)
				}
				if b := p.Encoded(); !bytes.Equal(b, m.states[m.at]) {
					m.states = append(m.states[:m.at+1], b)
					m.at++
				}
			},
			"undo": func(rt *rapid.T) {
				_, err := p.Undo()
				if m.at == 0 != errors.Is(err, ErrNothingToUndo) || m.at > 0 && err != nil {
					rt.Fatalf("undo at %d: %v", m.at, err)
				}
				m.at = max(m.at-1, 0)
			},
			"redo": func(rt *rapid.T) {
				_, err := p.Redo()
				end := m.at == len(m.states)-1
				if end != errors.Is(err, ErrNothingToRedo) || !end && err != nil {
					rt.Fatalf("redo at %d of %d: %v", m.at, len(m.states), err)
				}
				m.at = min(m.at+1, len(m.states)-1)
			},
			"open again": func(rt *rapid.T) {
				if err := p.Close(); err != nil {
					rt.Fatal(err)
				}
				if p, err = Open(ctx, path); err != nil {
					rt.Fatal(err)
				}
			},
			"save as": func(rt *rapid.T) {
				path = filepath.Join(dir, fmt.Sprint(n, " again", Extension))
				if err := p.SaveAs(ctx, path); err != nil {
					rt.Fatal(err)
				}
			},
		})
		for m.at > 0 {
			if _, err := p.Undo(); err != nil {
				rt.Fatal(err)
			}
			m.at--
			if !bytes.Equal(p.Encoded(), m.states[m.at]) {
				rt.Fatalf("undone to state %d, which is not what it was", m.at)
			}
		}
	})
}
