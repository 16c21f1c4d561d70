package keep_test

import (
	"encoding/json"
	"errors"
	"reflect"
	"testing"

	"flatwright/app/desk/keep"
	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// full is work in which everything is said that can be said.
func full(a, b *photo.Photo) session.Document {
	scale := rectify.Scale{X: 1.001, Y: 0.999, SigmaX: 1e-4, SigmaY: 2e-4, Source: rectify.FromProfile, Name: "green"}
	set := session.Settings{
		PitchMM: 25.4, Kind: 2, ScaleFrom: session.ByProfile,
		Across: rectify.Span{Squares: 15, LengthMM: 381.5}, Down: rectify.Span{Squares: 10, LengthMM: 254},
		Mat:    session.Mat{Name: "green", PitchMM: 25.4, Kind: 2, Scale: scale},
		Turned: true, Raised: rectify.Raised{ThicknessMM: 10, CameraHeightMM: 600},
	}
	corners := []photo.Point{{X: 1, Y: 2}, {X: 101, Y: 3}, {X: 102, Y: 88}, {X: 2, Y: 90}}
	one := session.Shot{Photo: a, Work: session.Work{
		Settings: set,
		Corners:  []session.Corner{{At: corners[0], Snapped: true, Column: -1, Row: 3, Known: true, Proposed: true}, {At: corners[1]}},
		Sheet:    session.Sheet{Name: "a4", WidthMM: 297, HeightMM: 210, Corners: corners},
		Checks:   []session.LengthCheck{{From: corners[0], To: corners[1], KnownMM: 100}},
		Solved:   set, SolvedBy: session.BySheet,
		SolvedWith: rectify.Options{
			PitchMM: 25.4, Kind: 2, Scale: scale, Raised: set.Raised,
			Rectangle: &rectify.Rectangle{Name: "a4", WidthMM: 297, HeightMM: 210, Corners: [4]photo.Point(corners)},
			Corners:   []rectify.Corner{{At: corners[2], Column: 4, Row: -5}},
		},
	}}
	two := one
	two.Photo, two.Place = b, curve.Transform{A: 0.6, B: -0.8, C: 12, D: 0.8, E: 0.6, F: -3}
	two.SolvedBy, two.Settings.ScaleFrom = session.ByCrossings, session.ByRule
	two.Traced = traced().Document().Traced
	p := traced().Document().Pattern
	from := map[string]session.Origin{p.Pieces[0].ID: {Shots: []int{1}, Elsewhere: true}}
	d := session.Assembled([]session.Shot{one, two}, 1, p, from, []string{"a finding"})
	d.Print = session.Print{
		Paper: "610x914mm", Orientation: "landscape", MarginMM: 5, OverlapMM: 12, Packed: true, ShiftXMM: 3, ShiftYMM: -4,
		ShortMM: 99.5, LongMM: 100.5, SVG: true, DXF: true, Bundle: true,
	}
	d.Measured = map[string]session.Measured{p.Pieces[0].ID: {ToleranceMM: 0.3}}
	return d
}

func TestEverythingComesBack(t *testing.T) {
	a, b := &photo.Photo{Name: "a"}, &photo.Photo{Name: "b"}
	sum := func(p *photo.Photo) string { return "sum of " + p.Name }
	find := func(s string) *photo.Photo { return map[string]*photo.Photo{"sum of a": a, "sum of b": b}[s] }
	want := full(a, b)
	edit := session.Edit{Action: session.ActionCut, Target: "A1"}
	st, err := keep.Encode(want, a, edit, sum)
	if err != nil {
		t.Fatal(err)
	}
	if got := keep.Sums(st); !reflect.DeepEqual(got, []string{"sum of a", "sum of b"}) {
		t.Errorf("photographs %q", got)
	}
	got, e, err := keep.Decode(st, 1, find)
	if err != nil || e != edit {
		t.Fatalf("%v, %v", e, err)
	}
	// Only the pattern and the problems of what was traced are kept.
	for i, x := range want.All(nil) {
		y := got.All(nil)[i]
		if x.Traced != nil {
			if y.Traced == nil || text(t, y.Traced.Pattern) != text(t, x.Traced.Pattern) || !reflect.DeepEqual(y.Traced.Problems, x.Traced.Problems) {
				t.Errorf("photograph %d: traced came back as %+v", i, y.Traced)
			}
			x.Traced, y.Traced = nil, nil
		}
		if !reflect.DeepEqual(x, y) {
			t.Errorf("photograph %d came back as\n%+v, was\n%+v", i, y, x)
		}
	}
	if got.Active != 1 || !reflect.DeepEqual(got.From, want.From) || !reflect.DeepEqual(got.Seen, want.Seen) || !reflect.DeepEqual(got.Measured, want.Measured) || got.Print != want.Print {
		t.Errorf("came back as %d %v %v %v %+v", got.Active, got.From, got.Seen, got.Measured, got.Print)
	}
	again, err := keep.Encode(got, a, edit, sum)
	if err != nil || string(again.Work) != string(st.Work) {
		t.Errorf("kept again it is\n%s, was\n%s, %v", again.Work, st.Work, err)
	}
}

func text(t *testing.T, p pattern.Pattern) string {
	t.Helper()
	b, err := pattern.Encode(p)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Which photograph is looked at is no part of the work.
func TestLookingChangesNothing(t *testing.T) {
	a, b := &photo.Photo{Name: "a"}, &photo.Photo{Name: "b"}
	sum := func(p *photo.Photo) string { return p.Name }
	d := full(a, b)
	s := session.New()
	s.Resume(a, d, true)
	before, err := keep.Encode(s.Document(), a, session.Edit{}, sum)
	if err != nil {
		t.Fatal(err)
	}
	s.LookAt(0)
	after, err := keep.Encode(s.Document(), a, session.Edit{}, sum)
	if err != nil || string(after.Work) != string(before.Work) {
		t.Errorf("looking made of\n%s\n%s, %v", before.Work, after.Work, err)
	}
}

func TestWorkThatCannotBe(t *testing.T) {
	for _, text := range []string{
		`[]`, `{"photographs":3}`,
		`{"photographs":[{"settings":{"scale_from":"a guess"}}]}`,
		`{"photographs":[{"solved":{"by":"luck"}}]}`,
		`{"photographs":[{"solved":{"by":"sheet","sheet":{"corners_px":[{"x":1,"y":2}]}}}]}`,
		`{"photographs":[{"traced":{"pattern":{"pieces":7}}}]}`,
		`{"photographs":[{}],"from":{"A":{"photographs":[1]}}}`,
		`{"photographs":[{}],"from":{"A":{"photographs":[-1]}}}`,
	} {
		if _, _, err := keep.Decode(project.State{Work: json.RawMessage(text)}, 0, nowhere); !errors.Is(err, keep.ErrWork) {
			t.Errorf("%s: %v", text, err)
		}
	}
	if _, e, err := keep.Decode(project.State{Work: json.RawMessage(`{"edit":{"action":"of tomorrow","target":"A"},"photographs":[]}`)}, 7, nowhere); err != nil || e.Action == session.NoAction {
		t.Errorf("an edit of a kind that is not known: %v, %v", e, err)
	}
}

func nowhere(string) *photo.Photo { return nil }

// Whatever a stranger's project says beside the pattern is either refused or
// comes back the same when it is kept again.
func FuzzWork(f *testing.F) {
	a, b := &photo.Photo{Name: "a"}, &photo.Photo{Name: "b"}
	st, err := keep.Encode(full(a, b), a, session.Edit{Action: session.ActionCut, Target: "A1"}, func(p *photo.Photo) string { return p.Name })
	if err != nil {
		f.Fatal(err)
	}
	f.Add([]byte(st.Work))
	f.Add([]byte(`{"edit":{"action":"trace"},"photographs":[{"sha256":"x","settings":{"pitch_mm":10}}]}`))
	f.Fuzz(func(t *testing.T, work []byte) {
		photos := map[string]*photo.Photo{}
		find := func(sum string) *photo.Photo {
			if photos[sum] == nil {
				photos[sum] = &photo.Photo{Name: sum}
			}
			return photos[sum]
		}
		name := func(p *photo.Photo) string { return p.Name }
		d, e, err := keep.Decode(project.State{Work: work}, 0, find)
		if err != nil {
			return
		}
		all := d.All(&photo.Photo{})
		kept, err := keep.Encode(d, all[0].Photo, e, name)
		if err != nil {
			t.Fatalf("what was read cannot be kept: %v", err)
		}
		again, e2, err := keep.Decode(kept, 0, find)
		if err != nil || e2 != e {
			t.Fatalf("what was kept cannot be read: %v, %v, %v", err, e, e2)
		}
		twice, err := keep.Encode(again, all[0].Photo, e, name)
		if err != nil || string(twice.Work) != string(kept.Work) {
			t.Fatalf("kept twice it is\n%s\n%s, %v", kept.Work, twice.Work, err)
		}
	})
}
