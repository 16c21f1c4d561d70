package pattern

import (
	"regexp"
	"strings"
	"testing"

	"flatwright/trace/curve"
)

func TestEdgeWords(t *testing.T) {
	for want, ids := range map[string][]string{
		"no edge":             nil,
		"edge A2":             {"A2"},
		"edges A2 and A3":     {"A2", "A3"},
		"edges A2, A3 and B1": {"A2", "A3", "B1"},
	} {
		if got := EdgeWords(ids...); got != want {
			t.Errorf("%v: %q, want %q", ids, got, want)
		}
	}
	run := Run{{Edge: "A2", Reversed: true}, {Edge: "A1", Reversed: true}}
	if got := run.Words(); got != "edges A2 and A1" {
		t.Errorf("a run reads %q", got)
	}
	if got := run.String(); got != "A2 + A1" {
		t.Errorf("in a table it reads %q", got)
	}
}

func TestNth(t *testing.T) {
	for n, want := range map[int]string{1: "1st", 2: "2nd", 3: "3rd", 4: "4th", 11: "11th", 12: "12th", 13: "13th", 21: "21st", 102: "102nd", 111: "111th"} {
		if got := nth(n); got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}

// signed is a sign before an edge's name: a way for the program to write
// directions, and none for a maker to read.
var signed = regexp.MustCompile(`-[A-Z]+[0-9]`)

// Two sides of 100 and 106 mm with marks at 20 and 60, and at 20 and 66: all
// of the difference arises between the first mark and the second.
func TestDifferenceIsPlacedBetweenMarks(t *testing.T) {
	strip := func(id string, width float64, marks ...float64) Piece {
		p := Piece{ID: id, Outline: curve.Polygon(pt(0, 0), pt(width, 0), pt(width, 40), pt(0, 40))}
		for _, x := range marks {
			p.Marks = append(p.Marks, Mark{At: pt(x, 0), In: pt(x, 5)})
		}
		return p
	}
	p, err := New("two strips", strip("A", 100, 20, 60), strip("B", 106, 106-66, 106-20))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Pair(Facing("A1", "B1")); err != nil {
		t.Fatal(err)
	}
	m, err := p.MeasureSeam("s1")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := m.Arises(), "Most of it, 6.0 mm, arises between the 1st mark and the 2nd mark, 20 to 60 mm along"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if a, b := m.StretchWords(0), m.StretchWords(2); a != "between its start and the 1st mark" || b != "between the 2nd mark and its end" {
		t.Errorf("the ends are %q and %q", a, b)
	}
	found := false
	for _, f := range Check(p) {
		if signed.MatchString(f.Text) {
			t.Errorf("an edge is written with a sign: %q", f.Text)
		}
		if f.Kind == SeamLength {
			found = strings.Contains(f.Text, "edge B1 is 6.0 mm (5.8 %) longer than edge A1. Most of it, 6.0 mm, arises between the 1st mark and the 2nd mark, 20 to 60 mm along edge A1.")
			t.Log(f.Text)
		}
	}
	if !found {
		t.Error("no finding says between which marks the difference arises")
	}
}
