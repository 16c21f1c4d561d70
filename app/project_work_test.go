package main

import (
	"math"
	"path/filepath"
	"testing"

	kept "flatwright/app/desk/keep"
	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/rectify/photo/intake"
)

// The window goes on with a project that make wrote: the photographs are
// squared up again to the same map, nothing counts as changed, and the pieces
// lie where the photographs show them.
func TestWindowGoesOnWhereMakeEnded(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	for name, args := range map[string][]string{
		"one":  {demo, "--pitch", "1in", "--across", "15=381.5mm"},
		"two":  {demo, demo, "--pitch", "1in"},
		"foam": {demo, "--pitch", "1in", "--raised", "3mm", "--camera-height", "550mm"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			file := filepath.Join(dir, "made.flatwright")
			if status, _, errs := command(append(append([]string{"make"}, args...), "--out", dir, "--project", file, "--quiet")...); status != 0 {
				t.Fatal(errs)
			}
			s := resumed(t, file)
			if s.Stale() || len(s.Unsolved()) > 0 || s.State(session.StageTrace) != session.Done {
				t.Errorf("stale %v, unsolved %d, trace %v", s.Stale(), len(s.Unsolved()), s.State(session.StageTrace))
			}
			all, _ := s.Photos()
			for k := range all {
				s.LookAt(k)
				if name == "foam" {
					// What is flat in the photograph was taken for foam here, and its
					// outlines moved by the height of walls that are not there.
					if s.Document().Squared.Pose == nil {
						t.Error("the height of the pieces is forgotten")
					}
					continue
				}
				checkSeen(t, s)
			}
		})
	}
}

// resumed opens a project as the window does.
func resumed(t *testing.T, file string) *session.Session {
	t.Helper()
	p, err := project.Open(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	k := kept.New(p, func(session.Edit) string { return "" }, func(error) {})
	t.Cleanup(func() { k.Close() })
	if _, err := k.Load(t.Context(), intake.Decode); err != nil {
		t.Fatal(err)
	}
	doc, only, err := k.Current(0, session.UsualPrint("a4"))
	if err != nil {
		t.Fatal(err)
	}
	s := session.New()
	s.Resume(only, doc, false)
	s.FillIn(func(p *photo.Photo, o rectify.Options) *rectify.Squared {
		q, err := rectify.SquareUp(t.Context(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		return q
	})
	return s
}

// checkSeen sees to it that there are pieces of the photograph looked at, and
// that their nodes lie on edges in it: that is where they were traced.
func checkSeen(t *testing.T, s *session.Session) {
	t.Helper()
	v, ok := s.View()
	if !ok || !s.HasOwn() {
		t.Fatal("nothing of the photograph is there")
	}
	for _, q := range s.Document().Pattern.Pieces {
		if !s.Shown(q.ID) {
			continue
		}
		for _, g := range q.Outline.Segments {
			at := photo.Point(v.ToPhoto(g.P0))
			if !s.Photo().Inside(at, 2) || steepest(s.Photo(), at) < 8 {
				t.Errorf("piece %s: there is no edge at %.1f, %.1f", q.ID, at.X, at.Y)
			}
		}
	}
}

// steepest is the largest difference in luminance across 8 px about a place.
func steepest(p *photo.Photo, at photo.Point) float64 {
	most := 0.0
	for k := range 16 {
		sin, cos := math.Sincos(float64(k) / 16 * math.Pi)
		a, b := at, at
		a.X, a.Y = at.X+4*cos, at.Y+4*sin
		b.X, b.Y = at.X-4*cos, at.Y-4*sin
		most = math.Max(most, math.Abs(p.LumaAt(a)-p.LumaAt(b)))
	}
	return most
}
