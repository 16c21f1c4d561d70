package session_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
)

// apart fails when two pieces lie on each other, by what pattern.LayApart would
// move.
func apart(t rapid.TB, s *session.Session) {
	t.Helper()
	for _, q := range s.Document().Pattern.Pieces {
		trial := s.Document().Pattern
		trial.Pieces = append([]pattern.Piece(nil), trial.Pieces...)
		if moved, err := trial.LayApart(q.ID); err != nil || moved {
			t.Errorf("piece %s lies on another, %v", q.ID, err)
		}
	}
}

// inPhotographs is where the photographs show the nodes of their pieces and what
// the tracing found, by piece and finding.
func inPhotographs(s *session.Session) map[string]photo.Point {
	_, active := s.Photos()
	out := map[string]photo.Point{}
	all, _ := s.Photos()
	for k := range all {
		s.LookAt(k)
		v, _ := s.View()
		for _, p := range s.Document().Pattern.Pieces {
			if s.Shown(p.ID) {
				out[p.ID] = v.ToPhoto(p.Outline.Segments[0].P0)
			}
		}
		for _, f := range s.Findings() {
			if f.Kind == session.FromTracing && s.Shows(f) {
				out[f.Text] = v.ToPhoto(f.At)
			}
		}
	}
	s.LookAt(active)
	return out
}

func samePlaces(t rapid.TB, got, want map[string]photo.Point) {
	t.Helper()
	for id, q := range want {
		if p, ok := got[id]; !ok || math.Hypot(p.X-q.X, p.Y-q.Y) > 1e-6 {
			t.Errorf("%s is shown at %v, was at %v", id, p, q)
		}
	}
}

// Wherever on either mat a piece is added, it comes to lie on none of the other
// photograph's; the photographs show all where they did, and undo takes it back.
func TestAnAddedPieceLiesOnNoOther(t *testing.T) {
	s := two(t)
	for k, text := range []string{"first", "second"} {
		s.LookAt(k)
		s.SetTraced(&trace.Traced{Pattern: practice.Pattern(), Problems: []find.Problem{{At: mat.Point{X: 250, Y: 200}, Text: text}}})
	}
	shifted := 0
	rapid.Check(t, func(t *rapid.T) {
		s.LookAt(rapid.IntRange(0, 1).Draw(t, "photograph"))
		// Narrow to the left of all pieces of this photograph, or wide above or below
		// them: on its mat it lies on none of them.
		at := mat.Point{X: rapid.Float64Range(5, 20).Draw(t, "x")}
		wide, high := rapid.SampledFrom([]float64{5, 300}).Draw(t, "wide"), rapid.Float64Range(5, 300).Draw(t, "high")
		switch y := rapid.Float64Range(0.1, 400).Draw(t, "y"); {
		case rapid.Bool().Draw(t, "above"):
			at.Y = 20 - high - y
		case wide > 10:
			at.Y = 215 + y
		default:
			at.Y = y
		}
		before, was := inPhotographs(s), s.Document()
		q := pattern.Piece{Outline: s.FromMat(curve.Polygon(at, mat.Point{X: at.X + wide, Y: at.Y}, mat.Point{X: at.X + wide, Y: at.Y + high}, mat.Point{X: at.X, Y: at.Y + high}))}
		samples := []curve.Sample{{At: q.Outline.Segments[0].P0, SigmaMM: 0.1}}
		v, _ := s.View()
		shown := v.ToPhoto(q.Outline.Segments[0].P0)
		id, err := s.AddPiece(q, samples)
		if err != nil {
			t.Fatal(err)
		}
		apart(t, s)
		if s.Document().Place != was.Place {
			shifted++
		}
		before[id] = shown
		samePlaces(t, inPhotographs(s), before)
		if m, ok := s.MeasuredOutline(id); !ok || math.Hypot(m.Samples[0].At.X-piece(s, id).Outline.Segments[0].P0.X, m.Samples[0].At.Y-piece(s, id).Outline.Segments[0].P0.Y) > 1e-9 {
			t.Errorf("what was measured of %s lies elsewhere", id)
		}
		s.Undo()
		delete(before, id)
		samePlaces(t, inPhotographs(s), before)
	})
	if shifted == 0 {
		t.Error("no piece came to lie on another photograph's")
	}
}

// What was taken as seen stays so when its mat is laid elsewhere.
func TestWhatWasSeenStaysSeenElsewhere(t *testing.T) {
	s := two(t)
	s.LookAt(0)
	s.SetTraced(&trace.Traced{Pattern: practice.Pattern(), Problems: []find.Problem{
		{At: mat.Point{X: 250, Y: 200}, Text: "seen"}, {At: mat.Point{X: 20, Y: 20}, Text: "seen"}, {At: mat.Point{X: 90, Y: 20}, Text: "looked for"},
	}})
	texts := func() (out []string) {
		for _, f := range s.Findings() {
			if f.Kind == session.FromTracing {
				out = append(out, f.Text)
			}
		}
		return out
	}
	for _, f := range s.Findings() {
		if f.Text == "seen" {
			s.TakeAsSeen(f)
		}
	}
	before := s.Document().Place
	reach := s.FromMat(curve.Polygon(mat.Point{X: 5, Y: 230}, mat.Point{X: 305, Y: 230}, mat.Point{X: 305, Y: 530}, mat.Point{X: 5, Y: 530}))
	if _, err := s.AddPiece(pattern.Piece{Outline: reach}, nil); err != nil {
		t.Fatal(err)
	}
	if s.Document().Place == before {
		t.Fatal("the mat was not laid elsewhere")
	}
	if got := texts(); !slices.Equal(got, []string{"looked for"}) {
		t.Errorf("laid elsewhere, still to look at: %q", got)
	}
	s.Undo()
	if got := texts(); !slices.Equal(got, []string{"looked for"}) {
		t.Errorf("undone, still to look at: %q", got)
	}
}

// piece is a piece of the present pattern.
func piece(s *session.Session, id string) pattern.Piece {
	d := s.Document()
	for _, p := range d.Pattern.Pieces {
		if p.ID == id {
			return p
		}
	}
	return pattern.Piece{}
}

// A photograph traced again with a piece that reaches further, and one squared up
// again with larger squares, are laid clear of the other.
func TestLargerPiecesAreLaidClear(t *testing.T) {
	s := two(t)
	s.LookAt(0)
	more := practice.Pattern()
	long, err := pattern.New("", pattern.Piece{Outline: curve.Polygon(mat.Point{X: 5, Y: 5}, mat.Point{X: 20, Y: 5}, mat.Point{X: 20, Y: 420}, mat.Point{X: 5, Y: 420})})
	if err != nil {
		t.Fatal(err)
	}
	more.Append(long, curve.Translation(mat.Point{}))
	s.SetTraced(&trace.Traced{Pattern: more})
	apart(t, s)
	if len(s.Document().Pattern.Pieces) != 9 {
		t.Errorf("%d pieces", len(s.Document().Pattern.Pieces))
	}
	s = two(t)
	s.LookAt(0)
	if err := s.SetCut("A1", bevel(20)); err != nil {
		t.Fatal(err)
	}
	before := inPhotographs(s)
	s.SetPitch(3 * practice.PitchMM)
	x := solved(t, s, session.ByLines)
	x.Traced, x.Along = nil, true
	if c := s.Take(x); !c.Along {
		t.Fatalf("%+v", c)
	}
	apart(t, s)
	for id, q := range inPhotographs(s) { // the practice job reads the lines anew
		if p := before[id]; math.Hypot(p.X-q.X, p.Y-q.Y) > 0.3 {
			t.Errorf("%s is shown at %v, was at %v", id, q, p)
		}
	}
}

// A piece of the same size at the same place of another photograph's mat is no
// reason to leave one out.
func TestAPieceOfAnotherPhotographCoversNone(t *testing.T) {
	s := two(t)
	a := piece(s, "A")
	if id := s.PieceCovering(a.Outline); id != "" {
		t.Errorf("in the second photograph %s is said to lie there", id)
	}
	s.LookAt(0)
	if id := s.PieceCovering(a.Outline); id != "A" {
		t.Errorf("in the first photograph %q is said to lie there", id)
	}
}
