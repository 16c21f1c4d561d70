package find

import (
	"bytes"
	"context"
	"encoding/gob"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
	"flatwright/trace/curve"
)

// gridOf is what the mat finder hands over for a scene that is seen whole.
func gridOf(m scene.Mat) mat.Grid {
	return mat.Grid{
		MaxColumn: m.Columns, MaxRow: m.Rows, MinorPerPitch: m.MinorPerPitch,
		LineWidthPitch: m.MajorMM / m.PitchMM,
	}
}

// tally is how a result compares with the truth of its scene.
type tally struct {
	pieces, found, invented int
	openings, openingsFound int
	openingsInvented        int
	marks, marksFound       int
	marksInvented           int
	sum2, sum, worst        float64 // mm, sides only
	n, nc, bridged, total   int
	clipped2                float64
	worstUncover            float64
	notes                   []string
}

// cornerRimMM is left out about corners: they are sharpened later from the
// sides.
func score(in Input, r Result, truth scene.Truth) tally {
	var t tally
	t.pieces = len(truth.Pieces)
	taken := make([]bool, len(truth.Pieces))
	for _, p := range r.Pieces {
		k := bestMatch(p.Outline, truth)
		if k < 0 || taken[k] {
			t.invented++
			t.notes = append(t.notes, fmt.Sprintf("invented at %.0f,%.0f", p.Outline[0].At.X, p.Outline[0].At.Y))
			continue
		}
		taken[k] = true
		t.found++
		w := truth.Pieces[k]
		t.outline(in, w.ID, p.Outline, w.Outline, w.Corners)
		t.openingsOf(in, p, w)
		t.marksOf(p, w)
	}
	for k, ok := range taken {
		if !ok {
			t.notes = append(t.notes, fmt.Sprintf("missed %s at %.0f,%.0f", truth.Pieces[k].ID, truth.Pieces[k].Outline[0].X, truth.Pieces[k].Outline[0].Y))
			t.marks += len(truth.Pieces[k].Marks)
			t.openings += len(truth.Pieces[k].Openings)
		}
	}
	return t
}

func bestMatch(s []curve.Sample, truth scene.Truth) int {
	best, at := 2.0, -1
	for k := range truth.Pieces {
		var sum float64
		n := 0
		for i := 0; i < len(s); i += 1 + len(s)/60 {
			d, _ := distTo(truth.Pieces[k].Outline, s[i].At)
			sum += math.Min(d, 8)
			n++
		}
		if sum/float64(n) < best {
			best, at = sum/float64(n), k
		}
	}
	return at
}

// distTo returns the distance of a point from a closed ring and on which
// side it lies: +1 outside of a clockwise ring.
func distTo(ring []mat.Point, p mat.Point) (float64, float64) {
	best, side := math.Inf(1), 1.0
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		dx, dy := b.X-a.X, b.Y-a.Y
		l2 := dx*dx + dy*dy
		if l2 == 0 {
			continue
		}
		t := math.Min(1, math.Max(0, ((p.X-a.X)*dx+(p.Y-a.Y)*dy)/l2))
		d := math.Hypot(p.X-a.X-t*dx, p.Y-a.Y-t*dy)
		if d < best {
			best = d
			side = 1
			if dx*(p.Y-a.Y)-dy*(p.X-a.X) > 0 {
				side = -1
			}
		}
	}
	return best, side
}

func (t *tally) outline(in Input, id string, s []curve.Sample, ring, corners []mat.Point) {
	pxMM := photoPixelMM(&in, ring[0].X, ring[0].Y)
	rim := 3 * pxMM
	worst, worstAt, sum, n := 0.0, mat.Point{}, 0.0, 0
	for _, q := range s {
		t.total++
		if q.SigmaMM >= bridgedSigmaMM {
			t.bridged++
			continue
		}
		if nearAny(corners, q.At, rim) {
			continue
		}
		d, side := distTo(ring, q.At)
		t.sum2 += d * d
		if d < 0.5 {
			t.sum += d * side
			t.clipped2 += d * d
			t.nc++
		}
		t.n++
		sum += d * side
		n++
		if d > worst {
			worst, worstAt = d, q.At
		}
	}
	t.worst = math.Max(t.worst, worst)
	if worst > 0.35 {
		t.notes = append(t.notes, fmt.Sprintf("%s worst %.2f at %.1f,%.1f", id, worst, worstAt.X, worstAt.Y))
	}
	if b := sum / float64(n); math.Abs(b) > 0.06 {
		t.notes = append(t.notes, fmt.Sprintf("%s bias %+.3f", id, b))
	}
	for _, p := range ring {
		d := math.Inf(1)
		for _, q := range s {
			d = math.Min(d, math.Hypot(q.At.X-p.X, q.At.Y-p.Y))
		}
		if d > t.worstUncover+0.3 {
			t.worstUncover = d
			if d > 1.2 {
				t.notes = append(t.notes, fmt.Sprintf("%s no sample within %.1f of %.1f,%.1f", id, d, p.X, p.Y))
			}
		}
	}
}

func nearAny(ps []mat.Point, p mat.Point, r float64) bool {
	for _, q := range ps {
		if math.Hypot(p.X-q.X, p.Y-q.Y) < r {
			return true
		}
	}
	return false
}

func (t *tally) openingsOf(in Input, p Piece, w scene.TruthPiece) {
	t.openings += len(w.Openings)
	for _, o := range p.Openings {
		ok := false
		for _, ring := range w.Openings {
			if d, _ := distTo(ring, o[len(o)/3].At); d < 1.5 {
				ok = true
				t.outline(in, w.ID+" opening", o, ring, nil)
			}
		}
		if ok {
			t.openingsFound++
		} else {
			t.openingsInvented++
			t.notes = append(t.notes, fmt.Sprintf("%s opening invented at %.0f,%.0f", w.ID, o[0].At.X, o[0].At.Y))
		}
	}
}

func (t *tally) marksOf(p Piece, w scene.TruthPiece) {
	t.marks += len(w.Marks)
	used := make([]bool, len(p.Marks))
	for _, m := range w.Marks {
		ok := false
		for i, q := range p.Marks {
			if !used[i] && math.Hypot(q.At.X-m.At.X, q.At.Y-m.At.Y) < 0.5 && math.Hypot(q.In.X-m.In.X, q.In.Y-m.In.Y) < 0.5 {
				used[i], ok = true, true
				break
			}
		}
		if ok {
			t.marksFound++
			continue
		}
		note := fmt.Sprintf("%s mark missed %.1f,%.1f-%.1f,%.1f", w.ID, m.At.X, m.At.Y, m.In.X, m.In.Y)
		for _, q := range p.Marks {
			if math.Hypot(q.At.X-m.At.X, q.At.Y-m.At.Y) < 3 {
				note += fmt.Sprintf(" (got %.1f,%.1f-%.1f,%.1f)", q.At.X, q.At.Y, q.In.X, q.In.Y)
			}
		}
		t.notes = append(t.notes, note)
	}
	for i, q := range p.Marks {
		if !used[i] {
			t.marksInvented++
			t.notes = append(t.notes, fmt.Sprintf("%s mark invented %.1f,%.1f-%.1f,%.1f", w.ID, q.At.X, q.At.Y, q.In.X, q.In.Y))
		}
	}
}

func (t tally) String() string {
	n, nc := math.Max(1, float64(t.n)), math.Max(1, float64(t.nc))
	return fmt.Sprintf("pieces %d/%d +%d  openings %d/%d +%d  marks %d/%d +%d  rms %.3f (clipped %.3f) bias %+.3f worst %.2f  bridged %.1f%%  uncovered %.2f",
		t.found, t.pieces, t.invented, t.openingsFound, t.openings, t.openingsInvented, t.marksFound, t.marks, t.marksInvented,
		math.Sqrt(t.sum2/n), math.Sqrt(t.clipped2/nc), t.sum/nc, t.worst, 100*float64(t.bridged)/math.Max(1, float64(t.total)), t.worstUncover)
}

// rms is the root mean square distance of the measured points, mm.
func (t *tally) rms() float64 { return math.Sqrt(t.sum2 / math.Max(1, float64(t.n))) }

func (t *tally) add(o tally) {
	t.pieces, t.found, t.invented = t.pieces+o.pieces, t.found+o.found, t.invented+o.invented
	t.openings, t.openingsFound, t.openingsInvented = t.openings+o.openings, t.openingsFound+o.openingsFound, t.openingsInvented+o.openingsInvented
	t.marks, t.marksFound, t.marksInvented = t.marks+o.marks, t.marksFound+o.marksFound, t.marksInvented+o.marksInvented
	t.sum2, t.sum, t.n = t.sum2+o.sum2, t.sum+o.sum, t.n+o.n
	t.nc, t.clipped2 = t.nc+o.nc, t.clipped2+o.clipped2
	t.worst, t.worstUncover = math.Max(t.worst, o.worst), math.Max(t.worstUncover, o.worstUncover)
	t.bridged, t.total = t.bridged+o.bridged, t.total+o.total
}

// shoot draws a scene, from the cache folder when it was drawn before.
func shoot(t testing.TB, name string, s scene.Spec) *photo.Photo {
	t.Helper()
	dir := os.Getenv("FIND_CACHE")
	file := filepath.Join(dir, name+".gob")
	if dir != "" {
		if raw, err := os.ReadFile(file); err == nil {
			var p photo.Photo
			if gob.NewDecoder(bytes.NewReader(raw)).Decode(&p) == nil {
				return &p
			}
		}
	}
	p, err := scene.Shoot(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	if dir != "" {
		var buf bytes.Buffer
		if err := gob.NewEncoder(&buf).Encode(p); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, buf.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return p
}

// vary makes a scene harder in one way and returns a suffix for its name.
func vary(s *scene.Spec, how string) string {
	switch how {
	case "encoded":
		s.Sensor.EncodedLight = true
	case "noise":
		s.Sensor.Noise, s.Sensor.Quality = 6, 75
	case "lamp":
		s.Light.Red, s.Light.Blue = 1.35, 0.6
	case "dim":
		s.Light.Level *= 0.55
	default:
		return ""
	}
	return "-" + how
}

// seedSpan reads a range of seeds like 3-9, or one.
func seedSpan(span string) (lo, hi uint64, ok bool) {
	a, b, two := strings.Cut(span, "-")
	lo, err := strconv.ParseUint(a, 10, 64)
	if err != nil {
		return 0, 0, false
	}
	if !two {
		return lo, lo, true
	}
	hi, err = strconv.ParseUint(b, 10, 64)
	return lo, hi, err == nil
}

// TestSweep scores many random scenes. It runs only when asked:
//
//	FIND_SWEEP=1-12 FIND_MP=8 [FIND_VARIANT=noise] [FIND_CACHE=dir] [FIND_OUT=dir] go test -run Sweep -v ./trace/find
func TestSweep(t *testing.T) {
	lo, hi, ok := seedSpan(os.Getenv("FIND_SWEEP"))
	if !ok {
		t.Skip("set FIND_SWEEP to a range of seeds")
	}
	mp, err := strconv.ParseFloat(os.Getenv("FIND_MP"), 64)
	if err != nil {
		mp = 8
	}
	var all tally
	for seed := lo; seed <= hi; seed++ {
		s := scene.Random(seed, scene.RandomOptions{Megapixels: mp})
		name := fmt.Sprintf("s%d-%g", seed, mp)
		name += vary(&s, os.Getenv("FIND_VARIANT"))
		p := shoot(t, name, s)
		in := Input{Photo: p, View: s.Camera.View(), Pitch: mat.Square(s.Mat.PitchMM), Grid: gridOf(s.Mat)}
		start := time.Now()
		r, err := Pieces(context.Background(), in)
		took := time.Since(start)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		got := score(in, r, s.Truth())
		all.add(got)
		t.Logf("seed %d (%s %.0f mm, tilt %.0f, %.2f mm/px) %v\n   %v", seed, hexOf(s.Mat.Colour), s.Mat.PitchMM, s.Camera.TiltDeg,
			photoPixelMM(&in, s.Camera.TargetX, s.Camera.TargetY), took.Round(time.Millisecond), got)
		for _, n := range got.notes {
			t.Log("      ", n)
		}
		for _, q := range r.Problems {
			t.Logf("       problem at %.0f,%.0f: %s", q.At.X, q.At.Y, q.Text)
		}
		if dir := os.Getenv("FIND_OUT"); dir != "" {
			overlay(t, filepath.Join(dir, fmt.Sprintf("s%d.png", seed)), in, r)
		}
	}
	t.Log("ALL ", all)
}

func hexOf(c scene.Colour) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// overlay writes the photograph at a third with what was found drawn on it.
func overlay(t testing.TB, file string, in Input, r Result) {
	k := max(1, in.Photo.Width/1600)
	small := shrink(in.Photo, k)
	img := image.NewRGBA(image.Rect(0, 0, small.w, small.h))
	for i := 0; i < small.w*small.h; i++ {
		img.Set(i%small.w, i/small.w, color.RGBA{small.rgb[3*i], small.rgb[3*i+1], small.rgb[3*i+2], 255})
	}
	dot := func(p mat.Point, c color.RGBA) {
		q := in.View.ToPhoto(p)
		img.Set(int(q.X)/k, int(q.Y)/k, c)
	}
	line := func(a, b mat.Point, c color.RGBA) {
		for i := 0; i <= 40; i++ {
			f := float64(i) / 40
			dot(mat.Point{X: a.X + (b.X-a.X)*f, Y: a.Y + (b.Y-a.Y)*f}, c)
		}
	}
	for _, p := range r.Pieces {
		for _, l := range append([][]curve.Sample{p.Outline}, p.Openings...) {
			for _, q := range l {
				c := color.RGBA{255, 0, 0, 255}
				if q.SigmaMM >= bridgedSigmaMM {
					c = color.RGBA{0, 0, 255, 255}
				}
				dot(q.At, c)
			}
		}
		for _, m := range p.Marks {
			line(m.At, m.In, color.RGBA{255, 0, 255, 255})
		}
		for _, l := range p.Lines {
			for i := 1; i < len(l); i++ {
				line(l[i-1], l[i], color.RGBA{0, 200, 0, 255})
			}
		}
	}
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		t.Fatal(err)
	}
}
