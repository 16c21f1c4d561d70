package find

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// onSheet is a camera in the frame of a sheet that lies turned in its scene.
type onSheet struct {
	view     lens.Mapping
	at       mat.Point
	sin, cos float64
}

func newOnSheet(view lens.Mapping, s scene.Sheet) onSheet {
	sin, cos := math.Sincos(s.AngleDeg * math.Pi / 180)
	return onSheet{view, s.At, sin, cos}
}

func (o onSheet) ToPhoto(p mat.Point) photo.Point {
	return o.view.ToPhoto(mat.Point{X: o.at.X + p.X*o.cos - p.Y*o.sin, Y: o.at.Y + p.X*o.sin + p.Y*o.cos})
}

func (o onSheet) ToMat(p photo.Point) (mat.Point, bool) {
	q, ok := o.view.ToMat(p)
	return o.into(q), ok
}

// into carries a place of the scene to the sheet's frame.
func (o onSheet) into(q mat.Point) mat.Point {
	x, y := q.X-o.at.X, q.Y-o.at.Y
	return mat.Point{X: x*o.cos + y*o.sin, Y: y*o.cos - x*o.sin}
}

func (o onSheet) all(ps []mat.Point) []mat.Point {
	out := make([]mat.Point, len(ps))
	for i, p := range ps {
		out[i] = o.into(p)
	}
	return out
}

// sheetInput is what a photograph squared up from its sheet is handed over as.
func sheetInput(t testing.TB, name string, s scene.Spec) (Input, scene.Truth) {
	o := newOnSheet(s.Camera.View(), s.Sheet)
	in := Input{
		Photo: shoot(t, name, s), View: o, Sheet: true,
		Grid:  mat.Grid{MaxColumn: 1, MaxRow: 1, MinorPerPitch: 1},
		Pitch: mat.Pitch{XMM: s.Sheet.WidthMM, YMM: s.Sheet.HeightMM},
	}
	truth := s.Truth()
	for i := range truth.Pieces {
		p := &truth.Pieces[i]
		p.Outline, p.Corners = o.all(p.Outline), o.all(p.Corners)
		for k := range p.Openings {
			p.Openings[k] = o.all(p.Openings[k])
		}
		marks := make([]scene.Mark, len(p.Marks))
		for k, m := range p.Marks {
			marks[k] = scene.Mark{At: o.into(m.At), In: o.into(m.In)}
		}
		p.Marks = marks
	}
	return in, truth
}

// TestSheetSweep scores pieces on and beside a plain sheet under the true
// camera. It runs only when asked:
//
//	FIND_SHEETS=1-4 FIND_MP=8 [FIND_CACHE=dir] [FIND_OUT=dir] go test -run SheetSweep -v ./trace/find
func TestSheetSweep(t *testing.T) {
	lo, hi, ok := seedSpan(os.Getenv("FIND_SHEETS"))
	if !ok {
		t.Skip("set FIND_SHEETS to a range of seeds")
	}
	mp, err := strconv.ParseFloat(os.Getenv("FIND_MP"), 64)
	if err != nil {
		mp = 8
	}
	var all tally
	for seed := lo; seed <= hi; seed++ {
		s := scene.RandomSheet(seed, scene.SheetA4, scene.RandomOptions{Megapixels: mp, MinFocal35MM: 24})
		name := fmt.Sprintf("sheet%d-%g", seed, mp)
		in, truth := sheetInput(t, name, s)
		start := time.Now()
		r, err := Pieces(context.Background(), in)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		got := score(in, r, truth)
		all.add(got)
		t.Logf("seed %d (table %s grain %.1f tiles %.0f, tilt %.0f, %.2f mm/px) %v\n   %v", seed, hexOf(s.Mat.Table.Colour), s.Mat.Table.Grain, s.Mat.Table.TileMM, s.Camera.TiltDeg,
			photoPixelMM(&in, 100, 150), time.Since(start).Round(time.Millisecond), got)
		for _, n := range got.notes {
			t.Log("      ", n)
		}
		for _, q := range r.Problems {
			t.Logf("       problem at %.0f,%.0f: %s", q.At.X, q.At.Y, q.Text)
		}
		if dir := os.Getenv("FIND_OUT"); dir != "" {
			overlay(t, filepath.Join(dir, name+".png"), in, r)
		}
	}
	t.Log("ALL ", all)
}

var _ = strings.Contains
