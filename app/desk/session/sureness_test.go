package session_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// at interpolates a field at a place.
func at(f *session.Field, p view.Point) float64 {
	u := (p.X - f.Bounds.Min.X) / (f.Bounds.Max.X - f.Bounds.Min.X) * float64(f.Columns-1)
	v := (p.Y - f.Bounds.Min.Y) / (f.Bounds.Max.Y - f.Bounds.Min.Y) * float64(f.Rows-1)
	c, r := min(int(u), f.Columns-2), min(int(v), f.Rows-2)
	s, t := u-float64(c), v-float64(r)
	mm := func(i, k int) float64 { return f.MM[(r+k)*f.Columns+c+i] }
	return (mm(0, 0)*(1-s)+mm(1, 0)*s)*(1-t) + (mm(0, 1)*(1-s)+mm(1, 1)*s)*t
}

func TestSurenessIsWhatTheMapSays(t *testing.T) {
	s := traced(t)
	v, _ := s.View()
	rapid.Check(t, func(t *rapid.T) {
		m := mat.Point{X: rapid.Float64Range(0, 300).Draw(t, "x"), Y: rapid.Float64Range(0, 225).Draw(t, "y")}
		want, ok := s.PlusMinusAt(m)
		if !ok {
			t.Fatal("nothing")
		}
		for in, p := range []view.Point{view.Point(v.ToPhoto(m)), view.Point(m)} {
			got := at(s.Sureness(session.Space(in)), p)
			if math.Abs(got-want) > 0.03*want+0.0005 {
				t.Errorf("space %d at %v: %v, want %v", in, m, got, want)
			}
		}
	})
}

func TestSurenessIsMadeOnce(t *testing.T) {
	s := traced(t)
	f := s.Sureness(session.InPhoto)
	s.AddCorner(photo.Point{X: 9, Y: 9}, false)
	if s.Sureness(session.InPhoto) != f {
		t.Error("made anew for a corner")
	}
	s.SetSquared(s.Document().Squared)
	if s.Sureness(session.InPhoto) == f {
		t.Error("kept over another solution")
	}
	if session.New().Sureness(session.OnMat) != nil {
		t.Error("sure of nothing")
	}
}

// Contours of a cone are circles: every point lies at its radius, and the line
// closes.
func TestContoursOfACone(t *testing.T) {
	f := &session.Field{Bounds: view.Rect{Max: view.Point{X: 40, Y: 30}}, Columns: 81, Rows: 61, MM: make([]float64, 81*61)}
	for r := range f.Rows {
		for c := range f.Columns {
			n := f.Node(c, r)
			f.MM[r*f.Columns+c] = math.Hypot(n.X-20, n.Y-15)
		}
	}
	lines := f.Contours([]float64{5, 10, 18})
	count := map[float64]int{}
	for _, l := range lines {
		count[l.LevelMM]++
		for _, p := range l.Points {
			if d := math.Abs(math.Hypot(p.X-20, p.Y-15) - l.LevelMM); d > 0.02 {
				t.Fatalf("a point of %v lies %v off", l.LevelMM, d)
			}
		}
		first, last := l.Points[0], l.Points[len(l.Points)-1]
		if l.LevelMM < 15 && math.Hypot(first.X-last.X, first.Y-last.Y) > 1e-9 {
			t.Errorf("the circle of %v is open", l.LevelMM)
		}
	}
	// The largest circle is cut by the upper and the lower border into two.
	if count[5] != 1 || count[10] != 1 || count[18] != 2 {
		t.Errorf("lines by level: %v", count)
	}
}

func TestContoursLeaveOutWhatIsNotSeen(t *testing.T) {
	f := &session.Field{Bounds: view.Rect{Max: view.Point{X: 2, Y: 1}}, Columns: 3, Rows: 2, MM: []float64{0, 2, 0, math.NaN(), 2, 0}}
	lines := f.Contours([]float64{1})
	if len(lines) != 1 || lines[0].Points[0].X < 1 {
		t.Errorf("%v", lines)
	}
}

func TestContoursAtASaddle(t *testing.T) {
	for _, mm := range [][]float64{{0, 2, 2, 0}, {2, 0, 0, 2}, {0, 3, 3, 0}} {
		f := &session.Field{Bounds: view.Rect{Max: view.Point{X: 1, Y: 1}}, Columns: 2, Rows: 2, MM: mm}
		lines := f.Contours([]float64{1})
		if len(lines) != 2 || len(lines[0].Points) != 2 {
			t.Errorf("%v: %v", mm, lines)
		}
	}
}

func TestNeedlesShowTheMissMade(t *testing.T) {
	s := traced(t)
	end := mat.Point{X: 12 * practice.PitchMM, Y: 8.6 * practice.PitchMM}
	v, _ := s.MatView()
	for _, group := range []int{1, 2, 4} {
		near, most := session.Needle{}, math.Inf(1)
		for _, n := range s.Needles(session.InPhoto, group) {
			p := v.ToPhoto(end)
			if d := math.Hypot(n.At.X-p.X, n.At.Y-p.Y); d < most {
				near, most = n, d
			}
		}
		// The solution gives way a little to a curled end.
		if math.Abs(near.MissPx-practice.MissPx) > 0.4 || near.To.X-near.At.X < 1 || math.Abs(near.To.Y-near.At.Y) > 0.3 {
			t.Errorf("group %d: %+v", group, near)
		}
		if l := math.Hypot(near.To.X-near.At.X, near.To.Y-near.At.Y); math.Abs(l-near.MissPx) > 1e-9 {
			t.Errorf("group %d: %v px long for a miss of %v", group, l, near.MissPx)
		}
	}
	photoNeedles, onMat := s.Needles(session.InPhoto, 1), s.Needles(session.OnMat, 1)
	if len(photoNeedles) != len(onMat) || len(onMat) < 800 {
		t.Fatalf("%d and %d needles", len(photoNeedles), len(onMat))
	}
	for i, n := range onMat {
		if p := v.ToPhoto(mat.Point(n.At)); math.Hypot(p.X-photoNeedles[i].At.X, p.Y-photoNeedles[i].At.Y) > 1e-6 {
			t.Fatalf("needle %d lies elsewhere on the mat", i)
		}
	}
}

func TestTheHullHoldsTheLines(t *testing.T) {
	s := traced(t)
	h := s.Hull().OnMat
	if len(h) < 4 || h[0] != h[len(h)-1] {
		t.Fatalf("%d points", len(h))
	}
	for _, p := range h {
		if p.X < -1 || p.X > 306 || p.Y < -1 || p.Y > 230 {
			t.Errorf("%v lies off the mat", p)
		}
	}
	if len(session.New().Hull().OnMat) != 0 {
		t.Error("a hull of nothing")
	}
}
