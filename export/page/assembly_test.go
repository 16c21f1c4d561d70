package page

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"flatwright/trace/pattern"
)

// boxes are n squares of 100 mm, A, B, …, with edges 1 above, 2 right, 3 below,
// 4 left, of sheets 10 mm thick.
func boxes(n int) pattern.Pattern {
	var p pattern.Pattern
	for i := range n {
		q := box(pattern.Letters(i), float64(i)*120, 0, 100, 100)
		q.ThicknessMM = 10
		p.Pieces = append(p.Pieces, q)
	}
	for i := range p.Pieces {
		if err := pattern.EdgesFromCorners(&p.Pieces[i]); err != nil {
			panic(err)
		}
	}
	return p
}

func paired(t *testing.T, p *pattern.Pattern, pairs ...string) {
	t.Helper()
	for _, s := range pairs {
		a, b, _ := strings.Cut(s, "-")
		ra, rb := pattern.Facing(a, b)
		if _, err := p.Pair(ra, rb); err != nil {
			t.Fatal(err)
		}
	}
}

func lean(p *pattern.Pattern, deg float64, edges ...string) {
	for _, id := range edges {
		q, k, err := p.FindEdge(id)
		if err != nil {
			panic(err)
		}
		q.Edges[k].Cut = bevel(deg)
	}
}

func told(steps []Step) string {
	var all []string
	for _, s := range steps {
		all = append(all, fmt.Sprintf("%s %s %s+%s", s.Kind, s.Seam, strings.Join(s.A, ""), strings.Join(s.B, "")))
	}
	return strings.Join(all, ", ")
}

func TestAssembly(t *testing.T) {
	t.Run("four walls and a floor", func(t *testing.T) {
		p := boxes(5) // E is the floor
		paired(t, &p, "A2-B4", "B2-C4", "C2-D4", "D2-A4", "E1-A3")
		lean(&p, 45, "A2", "B4", "B2", "C4", "D2", "A4", "E1", "A3") // C2-D4 is flat
		steps, loose := Assembly(p)
		want := "join s3 C+D, join s1 A+B, join s2 AB+CD, join s5 E+ABCD, ring s4 ABCDE+ABCDE"
		if got := told(steps); got != want || loose != nil {
			t.Errorf("%s, loose %v; want %s", got, loose, want)
		}
	})
	t.Run("a dart, a tube and a loose piece", func(t *testing.T) {
		p := boxes(3)
		paired(t, &p, "A2-A4", "B1-B2", "A1-B3")
		steps, loose := Assembly(p)
		if got := told(steps); got != "dart s2 B+B, join s3 A+B, ring s1 AB+AB" || fmt.Sprint(loose) != "[C]" {
			t.Errorf("%s, loose %v", got, loose)
		}
	})
	t.Run("small rings before large ones", func(t *testing.T) {
		p := boxes(5)
		paired(t, &p, "A2-B4", "B2-C4", "C2-D4", "D2-E4", "E2-A4", "A1-B1")
		steps, _ := Assembly(p)
		last := steps[len(steps)-2:]
		if got := told(last); got != "ring s6 ABCDE+ABCDE, ring s5 ABCDE+ABCDE" {
			t.Errorf("the last steps are %s", got)
		}
	})
	t.Run("of equally flat seams the better fit", func(t *testing.T) {
		p := boxes(4)
		p.Pieces[1] = box("B", 120, 0, 100, 103)
		if err := pattern.EdgesFromCorners(&p.Pieces[1]); err != nil {
			t.Fatal(err)
		}
		paired(t, &p, "A2-B4", "C2-D4")
		steps, _ := Assembly(p)
		if got := told(steps); got != "join s2 C+D, join s1 A+B" {
			t.Error(got)
		}
	})
	t.Run("a side over two pieces waits for them", func(t *testing.T) {
		p := boxes(3)
		if _, err := p.Pair(pattern.Run{{Edge: "A1"}, {Edge: "B1"}}, pattern.Run{{Edge: "C3", Reversed: true}}); err != nil {
			t.Fatal(err)
		}
		paired(t, &p, "A2-B4")
		lean(&p, 45, "A2", "B4")
		steps, _ := Assembly(p)
		if got := told(steps); got != "join s2 A+B, join s1 AB+C" {
			t.Error(got)
		}
	})
}

// Whatever is joined to what, every seam is closed once, no step joins what is
// one already, and no ring comes before a join that could be made.
func TestAssemblyOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "pieces")
		p := boxes(n)
		for range rapid.IntRange(0, 12).Draw(t, "tries") {
			edge := func(what string) string {
				return fmt.Sprintf("%s%d", pattern.Letters(rapid.IntRange(0, n-1).Draw(t, what)), rapid.IntRange(1, 4).Draw(t, what+" edge"))
			}
			a, b := pattern.Facing(edge("a"), edge("b"))
			_, _ = p.Pair(a, b) // taken edges are refused
		}
		steps, loose := Assembly(p)
		if len(steps) != len(p.Seams) {
			t.Fatalf("%d steps for %d seams", len(steps), len(p.Seams))
		}
		phase, joins := map[StepKind]int{CloseDart: 0, JoinParts: 1, CloseRing: 2}, 0
		for i, s := range steps {
			if i > 0 && phase[s.Kind] < phase[steps[i-1].Kind] {
				t.Fatalf("%s comes after %s", told(steps[i:i+1]), told(steps[i-1:i]))
			}
			if s.Kind == JoinParts {
				joins++
				if len(s.A)+len(s.B) > n {
					t.Fatalf("joined twice: %s", told(steps))
				}
			}
		}
		if joins+len(loose) > n {
			t.Fatalf("%d joins and %d loose of %d pieces", joins, len(loose), n)
		}
	})
}
