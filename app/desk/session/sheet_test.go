package session_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// corners of a sheet 297 by 210 mm in the practice photograph, clockwise.
func sheetCorners() [4]photo.Point {
	m := (&practice.Job{}).Model()
	var out [4]photo.Point
	for i, p := range [4]mat.Point{{X: 2, Y: 5}, {X: 299, Y: 5}, {X: 299, Y: 215}, {X: 2, Y: 215}} {
		out[i] = m.ToPhoto(p)
	}
	return out
}

func TestSheetCornersInAnyOrder(t *testing.T) {
	c := sheetCorners()
	rapid.Check(t, func(t *rapid.T) {
		s := session.New()
		s.SetPhoto(photograph())
		s.ChooseSheet("A4", 210, 297)
		order := rapid.Permutation([]int{0, 1, 2, 3}).Draw(t, "order")
		for n, i := range order {
			if at := s.AddSheetCorner(c[i]); n < 3 && at != n {
				t.Fatalf("corner %d is number %d", n, at)
			}
		}
		r, err := s.Rectangle()
		if err != nil {
			t.Fatal(err)
		}
		for k := range 4 {
			if want := c[(order[0]+k)%4]; r.Corners[k] != want {
				t.Errorf("corner %d is %v, want %v", k, r.Corners[k], want)
			}
		}
		wide := r.WidthMM == 297 && r.HeightMM == 210
		if long := order[0]%2 == 0; wide != long {
			t.Errorf("from corner %d on the sheet is %v by %v", order[0], r.WidthMM, r.HeightMM)
		}
	})
}

func TestSquaringUpFromASheet(t *testing.T) {
	s := traced(t)
	_ = s.SetCut("A2", bevel(45))
	s.ChooseSheet("A4", 210, 297)
	s.ProposeSheet(sheetCorners())
	s.Take(solved(t, s, session.BySheet))
	if d := s.Document(); d.SolvedBy != session.BySheet || s.Stale() || d.Pattern.Pieces[0].Edges[1].Cut != bevel(45) {
		t.Fatalf("by %v, stale %v", d.SolvedBy, s.Stale())
	}
	// The mat's lines have no say now.
	if s.SetPitch(10); s.Stale() {
		t.Error("the pitch makes a sheet's solution stale")
	}
	if s.SetRaised(rectify.Raised{ThicknessMM: 5}); !s.Stale() {
		t.Error("thickness does not")
	}
}

func TestSheetsThatCannotBe(t *testing.T) {
	c := sheetCorners()
	s := session.New()
	s.SetPhoto(photograph())
	if _, err := s.Rectangle(); !errors.Is(err, session.ErrSheet) {
		t.Errorf("nothing: %v", err)
	}
	s.ProposeSheet(c)
	if _, err := s.Rectangle(); !errors.Is(err, session.ErrSheet) {
		t.Errorf("no size: %v", err)
	}
	s.ChooseSheet("", 300, 200)
	if _, err := s.Rectangle(); err != nil {
		t.Errorf("whole: %v", err)
	}
	s.MoveSheetCorner(2, photo.Point{X: (c[0].X + c[1].X + c[3].X) / 3, Y: (c[0].Y + c[1].Y + c[3].Y) / 3})
	if _, err := s.Rectangle(); !errors.Is(err, session.ErrSheetShape) {
		t.Errorf("caved in: %v", err)
	}
	s.MoveSheetCorner(2, photo.Point{X: (c[1].X + c[3].X) / 2, Y: (c[1].Y + c[3].Y) / 2})
	if _, err := s.Rectangle(); !errors.Is(err, session.ErrSheetShape) {
		t.Errorf("three on a line: %v", err)
	}
	for _, mm := range []float64{0, -3, math.NaN()} {
		if s.ChooseSheet("", mm, 100); s.Document().Sheet.WidthMM != 300 {
			t.Errorf("%v mm was taken", mm)
		}
	}
	if s.AddSheetCorner(c[0]) != -1 || len(s.Document().Sheet.Corners) != 4 {
		t.Error("a fifth corner was placed")
	}
}

func TestSheetCornersAreUndone(t *testing.T) {
	c := sheetCorners()
	s := session.New()
	s.SetPhoto(photograph())
	s.ChooseSheet("A4", 210, 297)
	s.ProposeSheet(c)
	s.MoveSheetCorner(1, photo.Point{X: 5, Y: 5})
	s.MoveSheetCorner(1, photo.Point{X: 6, Y: 6})
	s.EndGesture()
	s.Undo()
	if got := s.Document().Sheet.Corners[1]; got != c[1] {
		t.Errorf("a drag is undone to %v", got)
	}
	s.SwapSheet()
	if x := s.Document().Sheet; x.WidthMM != 210 {
		t.Errorf("swapped to %v by %v", x.WidthMM, x.HeightMM)
	}
	s.RemoveSheetCorner(0)
	s.RemoveSheetCorner(7)
	if len(s.Document().Sheet.Corners) != 3 {
		t.Error("not removed")
	}
	s.Undo()
	s.ClearSheet()
	if s.SheetCornerAt(c[0], 5) != -1 {
		t.Error("cleared corners are found")
	}
	s.Undo()
	if i := s.SheetCornerAt(photo.Point{X: c[2].X + 3, Y: c[2].Y}, 5); i != 2 {
		t.Errorf("corner %d is nearest", i)
	}
}
