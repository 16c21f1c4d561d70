package rectify_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// sheetErrors are the errors of a squared-up sheet against the truth, in mm,
// with nothing taken out: on the sheet itself, and beside it as far as the
// photograph goes. within is the part of all places no farther off than their
// ±.
type sheetErrors struct {
	on, beside scene.Deviation
	within     float64
}

func errorsOfSheet(truth scene.Truth, s *rectify.Squared) sheetErrors {
	sh := truth.Sheet
	a, b := sh.CornersMM[0], sh.CornersMM[1]
	ux, uy := (b.X-a.X)/sh.WidthMM, (b.Y-a.Y)/sh.WidthMM
	var on, beside []float64
	within := 0.0
	view := truth.Camera.View()
	for x := -400.0; x <= 800; x += 10 {
		for y := -400.0; y <= 800; y += 10 {
			seen := view.ToPhoto(mat.Point{X: a.X + ux*x - uy*y, Y: a.Y + uy*x + ux*y})
			if !s.Photo.Inside(seen, 0) {
				continue
			}
			off := math.Inf(1)
			if at, ok := s.Fit.ToMat(seen); ok {
				off = math.Hypot(at.X-x, at.Y-y)
			}
			if off <= s.PlusMinusMM(mat.Point{X: x, Y: y}) {
				within++
			}
			if x >= 0 && x <= sh.WidthMM && y >= 0 && y <= sh.HeightMM {
				on = append(on, off)
			} else {
				beside = append(beside, off)
			}
		}
	}
	return sheetErrors{deviation(on), deviation(beside), within / float64(len(on)+len(beside))}
}

func deviation(off []float64) (d scene.Deviation) {
	for _, v := range off {
		d.RMSMM += v * v / float64(len(off))
		d.WorstMM = max(d.WorstMM, v)
	}
	d.RMSMM = math.Sqrt(d.RMSMM)
	return d
}

func (e sheetErrors) String() string {
	return fmt.Sprintf("on the sheet rms %.3f mm, worst %.3f mm; beside it rms %.3f mm, worst %.3f mm; %.0f %% within the ±",
		e.on.RMSMM, e.on.WorstMM, e.beside.RMSMM, e.beside.WorstMM, 100*e.within)
}

// clicked are a sheet's corners as a hand clicks them, off by up to offPx in
// each direction, within the photograph.
func clicked(sh *scene.TruthSheet, p *photo.Photo, offPx float64, seed uint64) *rectify.Rectangle {
	r := rand.New(rand.NewPCG(seed, 11))
	out := &rectify.Rectangle{Name: "A4", WidthMM: sh.WidthMM, HeightMM: sh.HeightMM}
	for k, c := range sh.CornersPx {
		out.Corners[k] = photo.Point{
			X: min(max(c.X+offPx*(2*r.Float64()-1), 0), float64(p.Width-1)),
			Y: min(max(c.Y+offPx*(2*r.Float64()-1), 0), float64(p.Height-1)),
		}
	}
	return out
}

func squareUpSheet(t *testing.T, p *photo.Photo, r *rectify.Rectangle) *rectify.Squared {
	t.Helper()
	s, err := rectify.SquareUp(context.Background(), p, rectify.Options{Rectangle: r})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// An A4 sheet over about half of a photograph of 12 megapixels, clicked up to
// 15 px off.
func TestSheetAtFullSize(t *testing.T) {
	spec := scene.RandomSheet(5, scene.SheetA4, scene.RandomOptions{Megapixels: 12})
	p := shoot(t, spec)
	truth := spec.Truth()
	s := squareUpSheet(t, p, clicked(truth.Sheet, p, 15, 1))
	e := errorsOfSheet(truth, s)
	t.Log(e)
	if e.on.RMSMM > 0.1 || e.on.WorstMM > 0.3 {
		t.Errorf("on the sheet rms %.3f mm, worst %.3f mm; want at most 0.1 and 0.3", e.on.RMSMM, e.on.WorstMM)
	}
	if e.within < 0.95 {
		t.Errorf("%.0f %% of places within the ±, want 95", 100*e.within)
	}
	if s.Scale.Source != rectify.FromRectangle || s.Scale.Name != "A4" || s.Pitch != (mat.Pitch{XMM: 210, YMM: 297}) {
		t.Errorf("scale %+v, pitch %+v", s.Scale, s.Pitch)
	}
	if g := s.Grid; g.MinColumn != 0 || g.MaxColumn != 1 || g.MinRow != 0 || g.MaxRow != 1 || g.LineWidthPitch != 0 || g.MinorPerPitch != 1 {
		t.Errorf("grid %d..%d by %d..%d", g.MinColumn, g.MaxColumn, g.MinRow, g.MaxRow)
	}
}

// hindered are small photographs of sheets with what lies and falls across
// their sides. A px is 0.4 to 0.5 mm here. Where a bar or a shadow cuts the
// sheet in two no corners are proposed that could be relied on.
var hindered = []struct {
	name     string
	seed     uint64
	sheet    scene.Sheet
	spoil    func(*scene.Spec, *photo.Photo)
	proposed bool
}{
	{"letter, a corner turned down", 101, scene.SheetLetter, func(s *scene.Spec, p *photo.Photo) { cutCorner(s, p, 1, 25) }, true},
	{"all corners rounded", 119, scene.SheetA4, func(s *scene.Spec, p *photo.Photo) {
		for k := range 4 {
			cutCorner(s, p, k, 6)
		}
	}, true},
	{"a bar across two sides, a shadow across two", 109, scene.SheetA4, func(s *scene.Spec, p *photo.Photo) {
		c := s.Sheet.Corners()
		bar(s, p, along(c[0], c[1], 0.35), along(c[1], c[2], 0.2), 15, 40)
		shade(s, p, along(c[0], c[1], 0.6), along(c[3], c[2], 0.4), 35)
	}, false},
}

func TestSheetsHindered(t *testing.T) {
	for _, tc := range hindered {
		t.Run(tc.name, func(t *testing.T) {
			spec := scene.RandomSheet(tc.seed, tc.sheet, scene.RandomOptions{Megapixels: 1.5})
			p := shoot(t, spec)
			if tc.spoil != nil {
				tc.spoil(&spec, p)
			}
			truth := spec.Truth()
			s := squareUpSheet(t, p, clicked(truth.Sheet, p, 5, tc.seed))
			e := errorsOfSheet(truth, s)
			t.Log(e)
			if e.on.RMSMM > 0.15 || e.on.WorstMM > 0.4 {
				t.Errorf("on the sheet rms %.3f mm, worst %.3f mm; want at most 0.15 and 0.4", e.on.RMSMM, e.on.WorstMM)
			}
			if e.within < 0.9 {
				t.Errorf("%.0f %% of places within the ±, want 90", 100*e.within)
			}
			if !tc.proposed {
				return
			}
			found, ok := rectify.FindRectangle(context.Background(), p)
			if off := cornersOff(truth.Sheet, found); !ok || off > 8 {
				t.Errorf("proposed corners %v: %.1f px off, want at most 8", ok, off)
			}
		})
	}
}

// cornersOff is the distance in px of the worst proposed corner, whichever
// the first is.
func cornersOff(sh *scene.TruthSheet, found [4]photo.Point) float64 {
	best := math.Inf(1)
	for first := range 4 {
		worst := 0.0
		for k, c := range found {
			want := sh.CornersPx[(k+first)%4]
			worst = max(worst, math.Hypot(c.X-want.X, c.Y-want.Y))
		}
		best = min(best, worst)
	}
	return best
}

func along(a, b mat.Point, part float64) mat.Point {
	return mat.Point{X: a.X + part*(b.X-a.X), Y: a.Y + part*(b.Y-a.Y)}
}

// repaint changes the pixels whose place on the table is inside.
func repaint(s *scene.Spec, p *photo.Photo, inside func(mat.Point) bool, change func(px []byte)) {
	v := s.Camera.View()
	for y := range p.Height {
		for x := range p.Width {
			at, ok := v.ToMat(photo.Point{X: float64(x), Y: float64(y)})
			if ok && inside(at) {
				i := y*p.Width + x
				change(p.RGB[3*i : 3*i+3])
				r, g, b := float64(p.RGB[3*i]), float64(p.RGB[3*i+1]), float64(p.RGB[3*i+2])
				p.Luma[i] = byte(0.299*r + 0.587*g + 0.114*b + 0.5)
			}
		}
	}
}

// cutCorner paints the table over a corner, as far along both sides.
func cutCorner(s *scene.Spec, p *photo.Photo, corner int, mm float64) {
	c := s.Sheet.Corners()
	at, a, b := c[corner], c[(corner+3)%4], c[(corner+1)%4]
	c1, c2 := along(at, a, mm/math.Hypot(a.X-at.X, a.Y-at.Y)), along(at, b, mm/math.Hypot(b.X-at.X, b.Y-at.Y))
	turn := func(a, b, q mat.Point) float64 { return (b.X-a.X)*(q.Y-a.Y) - (b.Y-a.Y)*(q.X-a.X) }
	side := turn(c1, c2, at)
	t := s.Mat.Table.Colour
	repaint(s, p, func(q mat.Point) bool {
		return turn(c1, c2, q)*side > 0 && math.Hypot(q.X-at.X, q.Y-at.Y) < 1.5*mm
	}, func(px []byte) { px[0], px[1], px[2] = t.R, t.G, t.B })
}

// bar paints a strip from one place to another, beyond both by so much.
func bar(s *scene.Spec, p *photo.Photo, from, to mat.Point, halfMM, beyondMM float64) {
	l := math.Hypot(to.X-from.X, to.Y-from.Y)
	ux, uy := (to.X-from.X)/l, (to.Y-from.Y)/l
	repaint(s, p, func(q mat.Point) bool {
		x, y := q.X-from.X, q.Y-from.Y
		t := x*ux + y*uy
		return math.Abs(x*uy-y*ux) < halfMM && t > -beyondMM && t < l+beyondMM
	}, func(px []byte) { px[0], px[1], px[2] = 52, 60, 66 })
}

// shade takes half the light from a strip that runs right across.
func shade(s *scene.Spec, p *photo.Photo, from, to mat.Point, halfMM float64) {
	l := math.Hypot(to.X-from.X, to.Y-from.Y)
	ux, uy := (to.X-from.X)/l, (to.Y-from.Y)/l
	repaint(s, p, func(q mat.Point) bool {
		return math.Abs((q.X-from.X)*uy-(q.Y-from.Y)*ux) < halfMM
	}, func(px []byte) {
		for i := range px {
			px[i] = byte(0.7 * float64(px[i]))
		}
	})
}

// A side that runs into the white of something else is held by its corners,
// and the ± says so.
func TestSheetWithAnUnseenSide(t *testing.T) {
	spec := scene.RandomSheet(105, scene.SheetA4, scene.RandomOptions{Megapixels: 1.5})
	spec.Pieces = nil
	p := shoot(t, spec)
	c := spec.Sheet.Corners()
	mid := spec.Camera.ToPhoto(along(c[0], c[2], 0.5))
	paper := p.RGB[3*(int(mid.Y)*p.Width+int(mid.X)):][:3]
	white := [3]byte{paper[0], paper[1], paper[2]}
	a, b := along(c[0], c[1], -0.1), along(c[1], c[0], -0.1)
	repaint(&spec, p, func(q mat.Point) bool {
		d := ((b.X-a.X)*(q.Y-a.Y) - (b.Y-a.Y)*(q.X-a.X)) / math.Hypot(b.X-a.X, b.Y-a.Y)
		return d > -60 && d < 12
	}, func(px []byte) { copy(px, white[:]) })
	truth := spec.Truth()
	s := squareUpSheet(t, p, clicked(truth.Sheet, p, 2, 3))
	e := errorsOfSheet(truth, s)
	t.Log(e)
	if e.within < 0.95 || e.on.WorstMM > 2 {
		t.Errorf("%v; want 95 %% and 2 mm", e)
	}
	text := ""
	for _, a := range s.Advice() {
		text += a.Text + "\n"
	}
	if !strings.Contains(text, "edge was not seen between corners 1 to 2,") {
		t.Errorf("advice: %s", text)
	}
}

// Rectangles that cannot be are refused with one sentence naming the
// photograph and what to do.
func TestRectangleRefused(t *testing.T) {
	spec := scene.RandomSheet(105, scene.SheetA4, scene.RandomOptions{Megapixels: 0.7})
	p := shoot(t, spec)
	good := *clicked(spec.Truth().Sheet, p, 0, 1)
	nan := math.NaN()
	for name, tc := range map[string]struct {
		change func(*rectify.Rectangle)
		says   string
	}{
		"mixed up":       {func(r *rectify.Rectangle) { r.WidthMM, r.HeightMM = r.HeightMM, r.WidthMM }, "swap width and height"},
		"another sheet":  {func(r *rectify.Rectangle) { r.HeightMM *= 1.5 }, "check its size"},
		"anticlockwise":  {func(r *rectify.Rectangle) { r.Corners[1], r.Corners[3] = r.Corners[3], r.Corners[1] }, "clockwise"},
		"crossed":        {func(r *rectify.Rectangle) { r.Corners[1], r.Corners[2] = r.Corners[2], r.Corners[1] }, "cross"},
		"on a line":      {func(r *rectify.Rectangle) { r.Corners[1] = middleOf(r.Corners[0], r.Corners[2]) }, "line"},
		"twice the same": {func(r *rectify.Rectangle) { r.Corners[1] = r.Corners[0] }, "same place"},
		"dented": {func(r *rectify.Rectangle) {
			c := &r.Corners
			c[1] = photo.Point{X: 0.6*c[3].X + 0.4*c[1].X, Y: 0.6*c[3].Y + 0.4*c[1].Y}
		}, "corner"},
		"outside":      {func(r *rectify.Rectangle) { r.Corners[2].X = float64(p.Width) + 3 }, "corner 3"},
		"not a number": {func(r *rectify.Rectangle) { r.Corners[3].Y = nan }, "corner 4"},
		"no width":     {func(r *rectify.Rectangle) { r.WidthMM = 0 }, "a side of 0 mm"},
		"endless":      {func(r *rectify.Rectangle) { r.HeightMM = math.Inf(1) }, "millimetres"},
		"no size":      {func(r *rectify.Rectangle) { r.HeightMM = nan }, "millimetres"},
	} {
		r := good
		tc.change(&r)
		_, err := rectify.SquareUp(context.Background(), p, rectify.Options{Rectangle: &r})
		var refused *rectify.RectangleError
		if !errors.As(err, &refused) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if text := err.Error(); !strings.Contains(text, tc.says) || !strings.Contains(text, p.Name) || strings.Contains(text, "\n") {
			t.Errorf("%s: %q", name, text)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := rectify.SquareUp(ctx, p, rectify.Options{Rectangle: &good}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func middleOf(a, b photo.Point) photo.Point {
	return photo.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
}

// Any four corners whatever end in an answer or a plain error, never a panic,
// and never mirrored.
func TestAnyCorners(t *testing.T) {
	p := &photo.Photo{Name: "grey.png", Width: 300, Height: 200, RGB: make([]byte, 3*300*200), Luma: make([]byte, 300*200)}
	for i := range p.RGB {
		p.RGB[i] = byte(100 + (i*2654435761>>8)%40)
	}
	rapid.Check(t, func(t *rapid.T) {
		r := &rectify.Rectangle{
			WidthMM: rapid.Float64Range(-10, 1e5).Draw(t, "width"), HeightMM: rapid.Float64Range(-10, 1e5).Draw(t, "height"),
		}
		for k := range r.Corners {
			r.Corners[k] = photo.Point{X: rapid.Float64Range(-20, 320).Draw(t, "x"), Y: rapid.Float64Range(-20, 220).Draw(t, "y")}
		}
		s, err := rectify.SquareUp(context.Background(), p, rectify.Options{Rectangle: r})
		if err == nil && s.Fit.Mirrored() {
			t.Fatalf("mirrored: %v", r.Corners)
		}
		if err != nil && (err.Error() == "" || strings.Contains(err.Error(), "NaN")) {
			t.Fatalf("%q", err)
		}
	})
}

// No sheet is proposed where there is none, or where a corner is out of view.
func TestNoSheetProposed(t *testing.T) {
	flat := &photo.Photo{Name: "flat.png", Width: 400, Height: 300, RGB: make([]byte, 3*400*300), Luma: make([]byte, 400*300)}
	if c, ok := rectify.FindRectangle(context.Background(), flat); ok {
		t.Errorf("a black picture: %v", c)
	}
	if c, ok := rectify.FindRectangle(context.Background(), &photo.Photo{Name: "none"}); ok {
		t.Errorf("an empty picture: %v", c)
	}
	spec := scene.RandomSheet(105, scene.SheetA4, scene.RandomOptions{Megapixels: 0.7})
	spec.Camera.TargetX += 260 // the camera looks past the sheet
	p := shoot(t, spec)
	sheet := spec.Truth().Sheet
	out := 0
	for _, c := range sheet.CornersPx {
		if !p.Inside(c, 0) {
			out++
		}
	}
	if out == 0 {
		t.Fatal("the sheet is in view: the test tests nothing")
	}
	if c, ok := rectify.FindRectangle(context.Background(), p); ok {
		t.Errorf("%d corners out of view, proposed %v for %v", out, c, sheet.CornersPx)
	}
}

// The sheets' proportions: ISO 216 sheets are 1 to the root of 2 within their
// rounding to whole mm, and halve into each other.
func TestKnownSheets(t *testing.T) {
	var last rectify.KnownSheet
	for _, name := range []string{"A0", "A1", "A2", "A3", "A4", "A5"} {
		s, ok := rectify.SheetNamed(strings.ToLower(name))
		if !ok {
			t.Fatalf("no %s", name)
		}
		if math.Abs(s.HeightMM-s.WidthMM*math.Sqrt2) > 1 {
			t.Errorf("%s is %g x %g mm", name, s.WidthMM, s.HeightMM)
		}
		if last.Name != "" && (s.HeightMM != last.WidthMM || math.Abs(2*s.WidthMM-last.HeightMM) > 1) {
			t.Errorf("%s is not half of %s", name, last.Name)
		}
		last = s
	}
	for _, s := range rectify.KnownSheets() {
		if got, ok := rectify.SheetNamed(" " + s.Name); !ok || got != s || s.Turned().WidthMM != s.HeightMM || s.WidthMM > s.HeightMM {
			t.Errorf("%+v", s)
		}
	}
	if _, ok := rectify.SheetNamed("foolscap"); ok {
		t.Error("foolscap is not offered")
	}
}
