package session_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/find"
)

// doubted is two, of which the tracing doubts the same two places of both
// photographs.
func doubted(t *testing.T) *session.Session {
	t.Helper()
	s := two(t)
	for _, k := range []int{0, 1} {
		s.LookAt(k)
		s.SetTraced(&trace.Traced{Pattern: practice.Pattern(), Problems: []find.Problem{
			{At: mat.Point{X: 250, Y: 200}, Text: "Dark."}, {At: mat.Point{X: 150, Y: 20}, Text: "Dark."},
		}})
	}
	return s
}

func ofTracing(s *session.Session) (out []session.Finding) {
	for _, f := range s.Findings() {
		if f.Kind == session.FromTracing {
			out = append(out, f)
		}
	}
	return out
}

// What the tracing says belongs to the photograph it was found in, at its place
// there, whichever is looked at; and is taken as seen for itself.
func TestTracingsFindingsBelongToTheirPhotograph(t *testing.T) {
	s := doubted(t)
	all := ofTracing(s)
	if len(all) != 4 {
		t.Fatalf("%d findings", len(all))
	}
	for k := range 2 {
		s.LookAt(k)
		if now := ofTracing(s); !slices.Equal(now, all) {
			t.Errorf("the findings change as photograph %d is looked at: %v", k, now)
		}
		v, _ := s.View()
		for i, f := range all {
			if f.Shot != i/2 || s.Shows(f) != (f.Shot == k) {
				t.Errorf("finding %d belongs to photograph %d, shown in %d: %v", i, f.Shot, k, s.Shows(f))
			}
			if !s.Shows(f) {
				continue
			}
			// Both photographs are the same, and so are the places in them.
			mv, _ := s.MatView()
			want := mv.ToPhoto([]mat.Point{{X: 250, Y: 200}, {X: 150, Y: 20}}[i%2])
			if at := v.ToPhoto(f.At); math.Hypot(at.X-want.X, at.Y-want.Y) > 1e-6 {
				t.Errorf("finding %d lies at %v, was found at %v", i, at, want)
			}
		}
	}
	for i := range all {
		s.TakeAsSeen(all[i])
		if left := ofTracing(s); !slices.Equal(left, all[i+1:]) {
			t.Fatalf("%d taken as seen, left: %v", i+1, left)
		}
	}
}

// A project of an older program says without its place what of the tracing was
// seen: that still counts.
func TestOlderSeenFindingsStaySeen(t *testing.T) {
	s := doubted(t)
	doc := s.Document()
	doc.Seen = []string{fmt.Sprintf("%d %s %s %.2f %s", session.FromTracing, "", "", 0.0, "Dark.")}
	s.Resume(s.Photo(), doc, true)
	if left := ofTracing(s); len(left) > 0 {
		t.Errorf("not seen any more: %v", left)
	}
	s.ShowSeen()
	if len(ofTracing(s)) != 4 {
		t.Error("not shown again")
	}
}

// The place of every finding of the rules lies on a piece of the photograph that
// is said to show it: of seams across photographs, and of a piece that lies in
// none.
func TestFindingsOfSeamsBelongToAPhotograph(t *testing.T) {
	s := two(t)
	s.SetThicknessOfAll(5)
	for _, pair := range [][2]string{{"A1", "G3"}, {"F1", "C2"}, {"B1", "B2"}, {"E1", "G1"}} {
		if _, err := s.Pair(pair[0], pair[1]); err != nil {
			t.Fatal(err)
		}
	}
	s.SelectPiece("H")
	copied, err := s.MirrorCopy()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Pair("D1", copied+"1"); err != nil {
		t.Fatal(err)
	}
	shots := map[int]int{}
	for _, f := range s.Findings() {
		if f.Kind != session.FromRules {
			continue
		}
		shots[f.Shot]++
		near := math.Inf(1)
		for _, p := range s.Document().Pattern.Pieces {
			o := s.Origin(p.ID)
			shot := o.Shots[0]
			if o.Elsewhere {
				shot = session.NoShot
			}
			if at, err := p.Outline.Nearest(f.At); shot == f.Shot && err == nil {
				near = math.Min(near, at.DistanceMM)
			}
		}
		if near > 1e-6 {
			t.Errorf("photograph %d is said to show %v, %.1f mm off all its pieces: %s", f.Shot, f.At, near, f.Text)
		}
	}
	if shots[0] == 0 || shots[1] == 0 {
		t.Errorf("findings by photograph: %v", shots)
	}
}
