package session_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

// All mends of a kind are one step: as many are made as are told of, none of the
// kind is left, and one undo brings all back.
func TestMendAll(t *testing.T) {
	whole := t
	rapid.Check(t, func(t *rapid.T) {
		s := traced(whole)
		pairs := rapid.IntRange(1, 2).Draw(t, "seams")
		for _, pair := range [][2]string{{"A2", "B3"}, {"A4", "B1"}}[:pairs] {
			if _, err := s.Pair(pair[0], pair[1]); err != nil {
				t.Fatal(err)
			}
		}
		rims := rapid.SliceOfDistinct(rapid.SampledFrom([]string{"A1", "A3", "B2", "C1", "C4", "D1"}), rapid.ID).Draw(t, "rims")
		for _, id := range rims {
			if err := s.SetRim(id, true); err != nil {
				t.Fatal(err)
			}
		}
		before := fmt.Sprintf("%+v", s.Document().Pattern)
		for _, f := range s.Findings() {
			if f.Mend.Kind != pattern.LeaveRim && f.Other.Kind != pattern.LeaveRim {
				continue
			}
			g := f.Group()
			want := s.CountMends(g, pattern.LeaveRim)
			made, err := s.MendAll(g, pattern.LeaveRim, "all")
			if err != nil || made != want || s.CountMends(g, pattern.LeaveRim) != 0 {
				t.Fatalf("%d of %d made, %d left: %v", made, want, s.CountMends(g, pattern.LeaveRim), err)
			}
			s.Undo()
			if after := fmt.Sprintf("%+v", s.Document().Pattern); after != before || s.CountMends(g, pattern.LeaveRim) != want {
				t.Fatalf("undone it is\n%s\nwas\n%s", after, before)
			}
		}
	})
}

// A mend that does not take its finding away is made once, and where none can be
// made nothing is changed.
func TestMendAllEnds(t *testing.T) {
	s := traced(t)
	if _, err := s.Pair("A2", "B3"); err != nil {
		t.Fatal(err)
	}
	steps := func() int { return len(undoable(s)) }
	before := steps()
	for _, f := range s.Findings() {
		for _, m := range []pattern.Mend{f.Mend, f.Other} {
			want := s.CountMends(f.Group(), m.Kind)
			made, err := s.MendAll(f.Group(), m.Kind, "all")
			if made > want || (steps() != before) != (made > 0) {
				t.Errorf("%q: %d of %d were made (%v) in %d steps", m.Kind, made, want, err, steps()-before)
			}
			if made > 0 {
				s.Undo()
			}
		}
	}
	if made, _ := s.MendAll(session.Group{}, pattern.LeaveRim, "all"); made != 0 || steps() != before {
		t.Errorf("of a group without findings %d were mended", made)
	}
}

// All findings of a group are seen in one step, faults excepted.
func TestAllLikeThisAreSeen(t *testing.T) {
	s := traced(t)
	if _, err := s.Pair("A2", "B3"); err != nil {
		t.Fatal(err)
	}
	all := s.Findings()
	for _, f := range all {
		n := 0
		for _, x := range all {
			if x.Group() == f.Group() && x.Severity < pattern.Fault {
				n++
			}
		}
		s.TakeAllAsSeen(f.Group())
		if got := s.SeenFindings(); got != n {
			t.Errorf("%d seen, want %d", got, n)
		}
		if n > 0 {
			s.Undo()
		}
		if len(s.Findings()) != len(all) {
			t.Fatalf("undone, %d findings of %d", len(s.Findings()), len(all))
		}
	}
}
