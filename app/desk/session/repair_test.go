package session_test

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// sound fails when edges do not cover their outline once, when names are not
// the only ones, or when a seam names an edge that is not there.
func sound(t *rapid.T, p pattern.Pattern) {
	seen := map[string]bool{}
	edges := map[string]bool{}
	for _, q := range p.Pieces {
		if seen[q.ID] {
			t.Fatalf("two pieces %s", q.ID)
		}
		seen[q.ID] = true
		n := len(q.Outline.Segments)
		covered := make([]int, n)
		for _, e := range q.Edges {
			if edges[e.ID] {
				t.Fatalf("two edges %s", e.ID)
			}
			edges[e.ID] = true
			for k := range e.Count {
				covered[(e.First+k)%n]++
			}
		}
		for k, c := range covered {
			if c != 1 {
				t.Fatalf("piece %s: segment %d lies on %d edges", q.ID, k, c)
			}
			if a, b := q.Outline.Segments[k].P3, q.Outline.Segments[(k+1)%n].P0; a != b {
				t.Fatalf("piece %s: segment %d ends at %v, the next begins at %v", q.ID, k, a, b)
			}
		}
	}
	for _, m := range p.Seams {
		for _, run := range []pattern.Run{m.A, m.B} {
			for _, r := range run {
				if !edges[r.Edge] {
					t.Fatalf("seam %s names edge %s, which is not there", m.ID, r.Edge)
				}
			}
		}
	}
}

// Any run of repairs leaves a sound pattern after each step, and undo takes all
// of them back to the bit.
func TestRepairsAreUndoneToTheBit(t *testing.T) {
	q := traced(t).Document().Squared
	rapid.Check(t, func(rt *rapid.T) {
		s := session.New()
		s.SetPhoto(photograph())
		s.SetPitch(practice.PitchMM)
		s.SetSquared(q)
		s.SetTraced(&trace.Traced{Pattern: practice.Pattern()})
		if _, err := s.Pair("A1", "C4"); err != nil {
			rt.Fatal(err)
		}
		if err := s.SetCut("B2", bevel(20)); err != nil {
			rt.Fatal(err)
		}
		s.SetThicknessOfAll(5)
		before, first := s.Document().Pattern, len(undoable(s))
		pick := func(name string, n int) int { return rapid.IntRange(0, n-1).Draw(rt, name) }
		num := func(name string) float64 { return rapid.Float64Range(-30, 30).Draw(rt, name) }
		for range rapid.IntRange(1, 12).Draw(rt, "steps") {
			all := s.Document().Pattern.Pieces
			if len(all) == 0 {
				break
			}
			p := all[pick("piece", len(all))]
			s.SelectPiece(p.ID)
			if rapid.Bool().Draw(rt, "an edge") {
				s.SelectEdge(p.Edges[pick("edge", len(p.Edges))].ID)
			}
			for range pick("nodes", 3) {
				s.SelectNode(pattern.Outer, pick("node", len(p.Outline.Segments)), true)
			}
			b := p.Outline.Bounds()
			o := mat.Point{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}
			u, v := mat.Point{X: o.X + num("x") - 300, Y: o.Y + num("y")}, mat.Point{X: o.X + 300, Y: o.Y + num("z")}
			// What a repair refuses leaves no step; both ways are fine here.
			switch pick("repair", 11) {
			case 0:
				_ = s.NudgeNodes(mat.Point{X: num("dx") / 10, Y: num("dy") / 10})
			case 1:
				_ = s.AddNode(u)
			case 2:
				_ = s.RemoveNodes()
			case 3:
				_ = s.ToggleNodes()
			case 4:
				if x, err := s.SelectedStretch(); err == nil {
					_ = s.Straighten(x)
				}
			case 5:
				_, _ = s.Split(u, v)
			case 6:
				_, _ = s.SplitAtNodes()
			case 7:
				_, _ = s.MirrorCopy()
			case 8:
				_, _ = s.Complete()
			case 9:
				_, _ = s.CompleteAbout(u, v)
			case 10:
				if len(all) > 1 {
					_ = s.LeaveOut()
				}
			}
			sound(rt, s.Document().Pattern)
		}
		s.EndGesture()
		for len(undoable(s)) > first {
			s.Undo()
		}
		if !reflect.DeepEqual(s.Document().Pattern, before) {
			rt.Fatal("undone it is another pattern")
		}
	})
}

// undoable lists what undo would take back, the last first, by a copy of the
// session.
func undoable(s *session.Session) []session.Edit {
	c := *s
	var out []session.Edit
	for {
		e, ok := c.Undo()
		if !ok {
			return out
		}
		out = append(out, e)
	}
}
