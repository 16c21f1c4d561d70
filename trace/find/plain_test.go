package find

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
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

// Pieces on paper and beside it on a plain table are all found and measured,
// and the sheet itself is none.
func TestPlainSheet(t *testing.T) {
	s := scene.RandomSheet(2, scene.SheetA4, scene.RandomOptions{Megapixels: 3, MinFocal35MM: 24, MaxPieces: 6})
	in, truth := sheetInput(t, "plain2-3", s)
	r, err := Pieces(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	got := score(in, r, truth)
	t.Log(got, got.notes, r.Problems)
	if got.found != got.pieces || got.invented != 0 {
		t.Errorf("%d of %d pieces, %d invented", got.found, got.pieces, got.invented)
	}
	if got.rms() > 0.12 {
		t.Errorf("outline RMS %.3f mm, want at most 0.12", got.rms())
	}
}

// paperShot is a sheet of 120 x 80 mm on a darker table with one disc on it,
// seen from straight above, with a little noise.
func paperShot(paper, table, tape byte) Input {
	p := greyPhoto(560, 440, 0)
	seed := uint32(3)
	for y := range p.Height {
		for x := range p.Width {
			m := mat.Point{X: (float64(x) - 40) / 4, Y: (float64(y) - 40) / 4}
			v := table
			if m.X >= 0 && m.X <= 120 && m.Y >= 0 && m.Y <= 80 {
				v = paper
			}
			if math.Hypot(m.X-50, m.Y-40) < 22 {
				v = tape
			}
			seed = seed*1664525 + 1013904223
			v += byte(seed>>30) - 1
			i := y*p.Width + x
			p.Luma[i], p.RGB[3*i], p.RGB[3*i+1], p.RGB[3*i+2] = v, v, v, v
		}
	}
	return Input{
		Photo: p, View: flat{}, Sheet: true, Pitch: mat.Pitch{XMM: 120, YMM: 80},
		Grid: mat.Grid{MaxColumn: 1, MaxRow: 1, MinorPerPitch: 1},
	}
}

// Nothing is found or told of on a bare sheet; grey tape on it is found.
func TestGreyOnPaper(t *testing.T) {
	for tape, pieces := range map[byte]int{228: 0, 120: 1} {
		r, err := Pieces(context.Background(), paperShot(228, 90, tape))
		if err != nil {
			t.Fatalf("tape of %d: %v", tape, err)
		}
		if len(r.Pieces) != pieces || len(r.Problems) > 0 {
			t.Errorf("tape of %d: %d pieces of %d, told %v", tape, len(r.Pieces), pieces, r.Problems)
		}
	}
}

// Crossings clicked by hand on a mat whose lines do not show: the ground is
// learnt from the area, and pieces beyond the crossings are found, too.
func TestCrossingsWithoutLines(t *testing.T) {
	for _, lines := range []float64{1, 40} {
		s := scene.Random(5, scene.RandomOptions{Megapixels: 3, MaxPieces: 6, LineContrast: lines})
		in := Input{
			Photo: shoot(t, fmt.Sprintf("nolines5-3-%g", lines), s), View: s.Camera.View(), Pitch: mat.Square(s.Mat.PitchMM),
			Grid: mat.Grid{MinColumn: 2, MaxColumn: s.Mat.Columns - 2, MinRow: 2, MaxRow: s.Mat.Rows - 2, MinorPerPitch: 1},
		}
		r, err := Pieces(context.Background(), in)
		if err != nil {
			t.Fatal(err)
		}
		got := score(in, r, s.Truth())
		t.Log(lines, got, got.notes, r.Problems)
		if got.found != got.pieces || got.invented > 0 {
			t.Errorf("lines %g levels off the mat: %d of %d pieces, %d invented", lines, got.found, got.pieces, got.invented)
		}
		if got.rms() > 0.12 {
			t.Errorf("lines %g levels off the mat: RMS %.3f mm, want at most 0.12", lines, got.rms())
		}
	}
}

// Lines of the mat's own grey level, told by their colour alone, harm nothing.
func TestIsoluminantLines(t *testing.T) {
	for _, seed := range []uint64{3, 9} {
		s := scene.Random(seed, scene.RandomOptions{Megapixels: 3, MaxPieces: 6, Isoluminant: true})
		in := Input{Photo: shoot(t, fmt.Sprintf("iso%d-3", seed), s), View: s.Camera.View(), Pitch: mat.Square(s.Mat.PitchMM), Grid: gridOf(s.Mat)}
		r, err := Pieces(context.Background(), in)
		if err != nil {
			t.Fatal(err)
		}
		got := score(in, r, s.Truth())
		t.Log(hexOf(s.Mat.Colour), hexOf(s.Mat.Line), got, got.notes)
		if got.found != got.pieces || got.invented > 0 {
			t.Errorf("seed %d: %d of %d pieces, %d invented", seed, got.found, got.pieces, got.invented)
		}
		if got.rms() > 0.13 {
			t.Errorf("seed %d: RMS %.3f mm, want at most 0.13", seed, got.rms())
		}
	}
}
