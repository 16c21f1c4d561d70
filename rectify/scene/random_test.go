package scene

import (
	"image/jpeg"
	"math"
	"os"
	"testing"

	"flatwright/rectify/mat"
)

func TestRandomScenesKeepTheirPromises(t *testing.T) {
	var pieces, hidden, narrow, cut, edgeTapes, openings, marks int
	var most float64
	const scenes = 18
	for seed := range uint64(scenes) {
		s := Random(seed, RandomOptions{})
		mp := float64(s.Width*s.Height) / 1e6
		if mp < 12 || mp > 49.2 {
			t.Errorf("scene %d has %.1f MP", seed, mp)
		}
		c := s.Camera
		focal35 := c.FocalPx / math.Hypot(float64(s.Width), float64(s.Height)) * 43.2666
		if c.TiltDeg > 25 || focal35 < 15.9 || focal35 > 35.1 || c.K1 < -0.3 || c.K1 > 0.1 {
			t.Errorf("scene %d: tilt %.1f, lens %.1f mm, k1 %.3f", seed, c.TiltDeg, focal35, c.K1)
		}
		if perPx := c.DistanceMM / c.FocalPx; perPx < 0.08 || perPx > 0.45 {
			t.Errorf("scene %d: %.3f mm a pixel", seed, perPx)
		}
		if n := len(s.Pieces); n < 5 || n > 16 {
			t.Errorf("scene %d has %d pieces", seed, n)
		}
		pieces += len(s.Pieces)
		checkFrame(t, &s)
		near := checkPieces(t, &s)
		if near < 4.6 {
			narrow++
		}
		h := hiddenPart(&s)
		if h > 0.35 {
			hidden++
		}
		if h > 0.65 {
			t.Errorf("scene %d hides %.0f %% of the crossings", seed, 100*h)
		}
		if fullness(c, &s) > 1 {
			cut++
		}
		most = max(most, h)
		for _, p := range s.Pieces {
			if d := colourDistance(p.Tape.Colour, s.Mat.Colour); d < 60 {
				t.Errorf("scene %d: piece %s differs from the mat by %.0f steps of sRGB", seed, p.ID, d)
			}
			edgeTapes += len(p.Edges)
			openings += len(p.Openings)
			marks += len(p.Marks)
		}
	}
	t.Logf("%d scenes: %d pieces, %d marks, %d openings, %d taped edges; %d scenes with narrow gaps, %d cut by the frame, %d with over 35 %% of crossings hidden, at most %.0f %%",
		scenes, pieces, marks, openings, edgeTapes, narrow, cut, hidden, 100*most)
	for name, n := range map[string]int{"narrow": narrow, "cut": cut, "hidden": hidden, "edge tapes": edgeTapes, "openings": openings} {
		if n == 0 {
			t.Errorf("no scene has %s", name)
		}
	}
}

func colourDistance(a, b Colour) float64 {
	dr, dg, db := float64(a.R)-float64(b.R), float64(a.G)-float64(b.G), float64(a.B)-float64(b.B)
	return math.Sqrt(dr*dr + dg*dg + db*db)
}

// checkFrame requires that the whole frame sees the plane through a lens
// that does not fold.
func checkFrame(t *testing.T, s *Spec) {
	t.Helper()
	v := s.Camera.View()
	for _, x := range []float64{0, 0.5, 1} {
		for _, y := range []float64{0, 0.5, 1} {
			u, w := x*float64(s.Width-1), y*float64(s.Height-1)
			xd, yd := (u-s.Camera.CentreX)/s.Camera.FocalPx, (w-s.Camera.CentreY)/s.Camera.FocalPx
			if _, _, ok := v.unbend(xd, yd, xd, yd); !ok {
				t.Errorf("scene %d: the lens folds at (%.0f, %.0f)", s.Seed, u, w)
			}
		}
	}
}

// checkPieces requires pieces clear of each other, wholly in the frame, with
// marks that lie on the outline and inside; it returns the smallest gap.
func checkPieces(t *testing.T, s *Spec) float64 {
	t.Helper()
	v := s.Camera.View()
	near := math.Inf(1)
	for i := range s.Pieces {
		p := &s.Pieces[i]
		if !s.visible(v, p.Outline, 0, 5) {
			t.Errorf("scene %d: piece %s leaves the frame", s.Seed, p.ID)
		}
		for _, m := range p.Marks {
			if dist(nearestOnRing(p.Outline, m.At), m.At) > 1e-6 || !contains(p.Outline, m.In) {
				t.Errorf("scene %d: piece %s has a mark at %v", s.Seed, p.ID, m)
			}
		}
		ring := resample(p.Outline, 2)
		for j := range i {
			near = min(near, minGap(ring, resample(s.Pieces[j].Outline, 2), 30))
		}
	}
	if near < 1.9 {
		t.Errorf("scene %d: two pieces are %.2f mm apart", s.Seed, near)
	}
	return near
}

// hiddenPart is the part of the crossings under pieces.
func hiddenPart(s *Spec) float64 {
	n := 0
	for i := range s.Mat.Columns + 1 {
		for j := range s.Mat.Rows + 1 {
			at := mat.Point{X: float64(i) * s.Mat.PitchMM, Y: float64(j) * s.Mat.PitchMM}
			for k := range s.Pieces {
				if contains(s.Pieces[k].Outline, at) {
					n++
					break
				}
			}
		}
	}
	return float64(n) / float64((s.Mat.Columns+1)*(s.Mat.Rows+1))
}

func TestRandomIsItsSeed(t *testing.T) {
	a, b := Random(7, RandomOptions{Megapixels: 3}), Random(7, RandomOptions{Megapixels: 3})
	if a.Camera != b.Camera || len(a.Pieces) != len(b.Pieces) || a.Pieces[0].Outline[0] != b.Pieces[0].Outline[0] {
		t.Error("one seed gave two scenes")
	}
	if c := Random(8, RandomOptions{Megapixels: 3}); c.Camera == a.Camera {
		t.Error("two seeds gave one camera")
	}
}

func TestRandomOptions(t *testing.T) {
	o := RandomOptions{
		Megapixels: 3, MaxTiltDeg: 5, MinFocal35MM: 24, MaxFocal35MM: 28, MaxPieces: 6,
		MatColour: "pink",
	}
	for seed := range uint64(10) {
		s := Random(seed, o)
		if mp := float64(s.Width*s.Height) / 1e6; math.Abs(mp-3) > 0.05 {
			t.Errorf("asked for 3 MP, got %.2f", mp)
		}
		focal35 := s.Camera.FocalPx / math.Hypot(float64(s.Width), float64(s.Height)) * 43.2666
		if s.Camera.TiltDeg > 5 || focal35 < 23.9 || focal35 > 28.1 || len(s.Pieces) > 6 {
			t.Errorf("scene %d: tilt %.1f, lens %.1f, %d pieces", seed, s.Camera.TiltDeg, focal35, len(s.Pieces))
		}
		if s.Mat.Colour.R < s.Mat.Colour.G {
			t.Errorf("asked for pink, got %v", s.Mat.Colour)
		}
	}
}

func TestDemo(t *testing.T) {
	s := Demo()
	if s.Width != 4032 || s.Height != 3024 || s.Camera.TiltDeg < 12 || s.Camera.TiltDeg > 15 {
		t.Errorf("the demo is %d x %d px at a tilt of %v", s.Width, s.Height, s.Camera.TiltDeg)
	}
	checkFrame(t, &s)
	if near := checkPieces(t, &s); near < 3 {
		t.Errorf("two pieces of the demo are %.2f mm apart", near)
	}
	var marks, openings, tapes, lines int
	for i, d := range demoPieces() {
		p := &s.Pieces[i]
		if len(p.Marks) != len(d.marks) {
			t.Errorf("piece %s has %d marks of %d", d.name, len(p.Marks), len(d.marks))
		}
		if len(p.Texts) != 1 {
			t.Errorf("piece %s has no room for its name", d.name)
		}
		marks, openings = marks+len(p.Marks), openings+len(p.Openings)
		tapes, lines = tapes+len(p.Edges), lines+len(p.Lines)
		for _, o := range s.Objects {
			if minGap(resample(p.Outline, 2), resample(o.footprint(), 2), 10) < 1 {
				t.Errorf("piece %s lies under the rule", d.name)
			}
		}
	}
	if len(s.Pieces) < 8 || openings < 2 || tapes < 4 || lines < 4 || marks < 30 {
		t.Errorf("%d pieces, %d openings, %d tapes, %d lines, %d marks", len(s.Pieces), openings, tapes, lines, marks)
	}
}

func TestResizedSeesTheSame(t *testing.T) {
	s := Demo()
	small := s.Resized(3)
	p := mat.Point{X: 100, Y: 200}
	a, b := s.Camera.ToPhoto(p), small.Camera.ToPhoto(p)
	k := float64(small.Width) / float64(s.Width)
	if math.Abs((a.X+0.5)*k-0.5-b.X) > 0.01 || math.Abs((a.Y+0.5)*k-0.5-b.Y) > 0.01 {
		t.Errorf("%v became %v at %v of the size", a, b, k)
	}
}

func TestDemoFilesBelongToTheDemo(t *testing.T) {
	f, err := os.Open("../../assets/demo.truth.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	kept, err := ReadTruth(f)
	if err != nil {
		t.Fatal(err)
	}
	want := Demo().Truth()
	if kept.Camera != want.Camera || len(kept.Pieces) != len(want.Pieces) {
		t.Fatal("assets/demo.truth.json is not the demo's; draw it again")
	}
	var found []Outline
	for _, p := range kept.Pieces {
		found = append(found, Outline{Polygon: p.Outline, Openings: p.Openings, Marks: p.Marks})
	}
	if r := Score(want, found); r.FoundToTruth.WorstMM > 1e-3 || r.MarksFoundPart() < 1 || r.MarksInvented > 0 {
		t.Errorf("assets/demo.truth.json differs from the demo: %v", r)
	}
	picture, err := os.Open("../../assets/demo.jpg")
	if err != nil {
		t.Fatal(err)
	}
	defer picture.Close()
	info, err := picture.Stat()
	if err != nil {
		t.Fatal(err)
	}
	if info.Size() >= 3e6 {
		t.Errorf("assets/demo.jpg has %d bytes, 3 MB are allowed", info.Size())
	}
	c, err := jpeg.DecodeConfig(picture)
	if err != nil || c.Width != want.Width || c.Height != want.Height {
		t.Errorf("assets/demo.jpg is %d x %d px (%v)", c.Width, c.Height, err)
	}
}
