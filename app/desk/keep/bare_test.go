package keep_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"testing"

	"flatwright/app/desk/keep"
	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace/pattern"
)

// A project without work, as commands once made them, opens with its
// photographs and its pattern; squaring up again takes no piece away.
func TestProjectWithoutWork(t *testing.T) {
	whole := fmt.Sprintf(`{"pitch_mm":%g,"lines":0,"calibration":{"scale":{"x_factor":1.001,"y_factor":0.999}}}`, practice.PitchMM)
	for name, c := range map[string]struct {
		settings []string
		solved   bool
	}{
		"one":     {[]string{whole}, true},
		"sheet":   {[]string{`{}`}, false},
		"garbled": {[]string{`{"pitch_mm":"wide"}`}, false},
		"two":     {[]string{whole, whole}, false},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := project.New()
			if err != nil {
				t.Fatal(err)
			}
			for i, text := range c.settings {
				if _, err := p.AddPhoto(t.Context(), fmt.Sprint(i, ".jpg"), bytes.NewReader([]byte{byte(i)}), json.RawMessage(text)); err != nil {
					t.Fatal(err)
				}
			}
			want := traced().Document().Pattern
			if _, err := p.Commit("trace", want); err != nil {
				t.Fatal(err)
			}
			k := keep.New(p, func(session.Edit) string { return "" }, func(err error) { t.Error(err) })
			defer k.Close()
			decode := func(_ context.Context, name string, _ []byte) (*photo.Photo, error) {
				ph := *traced().Photo()
				ph.Name = name
				return &ph, nil
			}
			if _, err := k.Load(t.Context(), decode); err != nil {
				t.Fatal(err)
			}
			doc, only, err := k.Current(0, session.UsualPrint("a4"))
			if err != nil {
				t.Fatal(err)
			}
			s := session.New()
			s.Resume(only, doc, true)
			if all, _ := s.Photos(); len(all) != len(c.settings) || s.Photo() == nil {
				t.Fatalf("%d photographs", len(all))
			}
			if n := len(s.Unsolved()); (n == 1) != c.solved {
				t.Fatalf("%d photographs are to be squared up again", n)
			}
			if c.solved {
				if got := s.Unsolved()[0].With; got.Scale != (rectify.Scale{X: 1.001, Y: 0.999}) || got.PitchMM != practice.PitchMM {
					t.Errorf("squared up again with %+v", got)
				}
			}
			checkPiecesStay(t, s, want)
		})
	}
}

// checkPiecesStay squares the photograph up and looks for the pieces.
func checkPiecesStay(t *testing.T, s *session.Session, want pattern.Pattern) {
	t.Helper()
	solve := func(p *photo.Photo, o rectify.Options) *rectify.Squared {
		q, err := (&practice.Job{}).SquareUp(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	s.FillIn(solve)
	s.SetPitch(practice.PitchMM)
	o, err := s.Options(session.ByLines)
	if err != nil {
		t.Fatal(err)
	}
	s.Take(session.Solution{Squared: solve(s.Photo(), o), With: s.Document().Settings, Options: o, Along: s.ComesAlong()})
	for _, q := range want.Pieces {
		if !hasPiece(s.Document().Pattern, q.ID) {
			t.Errorf("squaring up took piece %s away", q.ID)
		}
	}
}

func hasPiece(p pattern.Pattern, id string) bool {
	_, err := p.Piece(id)
	return err == nil
}
