package find

import (
	"math"
	"testing"
)

// linedSheet is a ground of a level with lines every 20 px along y, and what
// change makes of it. Levels are logarithms.
func linedSheet(change func(x, y int, v float32) float32) (*sheet, []lineSample) {
	const w, h, every = 200, 200, 20
	s := &sheet{res: 0.5, w: w, h: h, minX: 0, minY: 0, maxX: w - 1, maxY: h - 1, seen: make([]uint8, w*h)}
	for k := range s.ch {
		s.ch[k] = make([]float32, w*h)
	}
	for i := range s.seen {
		s.seen[i] = 1
		v := float32(4)
		if d := i % w % every; d < 2 {
			v -= 0.4
		}
		v = change(i%w, i/w, v)
		for k := range s.ch {
			s.ch[k][i] = v
		}
	}
	r := ruling{half: 1, side: 4}
	for x := every; x < w-every; x += every {
		r.at = append(r.at, float64(x)+0.5)
	}
	samples := r.samples(s)
	markShowing(samples)
	return s, samples
}

// A pen stroke on tape where a line would run is no line, and the ground
// there is the mat's, not the tape's.
func TestSeedGroundPassesOverWriting(t *testing.T) {
	s, samples := linedSheet(func(x, y int, v float32) float32 {
		if x < 70 || x > 150 || y < 60 || y > 140 {
			return v
		}
		if x%20 < 2 && x/20 == 5 && y > 90 && y < 112 {
			return 5 - 0.4 // the stroke
		}
		return 5
	})
	f, ok := seedGround(s, samples, 7, 10)
	if !ok {
		t.Fatal("no ground")
	}
	var c [3]float32
	f.at(102, 101, &c)
	if math.Abs(float64(c[1])-4) > 0.1 {
		t.Errorf("under the tape the ground is %.2f, on the mat 4", c[1])
	}
}

// Glare lightens ground and lines alike; the ground follows it.
func TestSeedGroundFollowsGlare(t *testing.T) {
	glare := func(x, y int) float64 {
		r := math.Hypot(float64(x-100), float64(y-100)) / 100
		return 60 * math.Exp(-4*r*r)
	}
	s, samples := linedSheet(func(x, y int, v float32) float32 {
		return float32(math.Log(math.Exp(float64(v)) + glare(x, y)))
	})
	f, ok := seedGround(s, samples, 7, 10)
	if !ok {
		t.Fatal("no ground")
	}
	for _, x := range []int{30, 70, 90, 110} {
		var c [3]float32
		f.at(x, 100, &c)
		if want := math.Log(math.Exp(4) + glare(x, 100)); math.Abs(float64(c[1])-want) > 0.15 {
			t.Errorf("at x = %d the ground is %.2f, want %.2f", x, c[1], want)
		}
	}
}

// What glare adds is light; a tape is another colour.
func TestOnlyLightIsGlare(t *testing.T) {
	logOf := func(r, g, b float64) (c [3]float32) {
		for k, v := range [3]float64{r, g, b} {
			c[k] = float32(math.Log(v + logFloor))
		}
		return c
	}
	lit := func(r, g, b, lr, lg, lb float64) [3]float32 {
		add := func(v, light float64) float64 {
			return 255 * math.Pow(math.Pow(v/255, blurPower)+light, 1/blurPower)
		}
		return logOf(add(r, lr), add(g, lg), add(b, lb))
	}
	for _, c := range []struct {
		what string
		a, b [3]float32
		is   bool
	}{
		{"sheen on a grey mat", logOf(115, 118, 122), lit(115, 118, 122, 0.2, 0.2, 0.2), true},
		{"sheen on a green mat", logOf(30, 95, 75), lit(30, 95, 75, 0.15, 0.15, 0.15), true},
		{"a warm lamp's sheen on a navy mat", logOf(27, 48, 105), lit(27, 48, 105, 0.2, 0.15, 0.09), true},
		{"the same the other way", lit(30, 95, 75, 0.15, 0.15, 0.15), logOf(30, 95, 75), true},
		{"hardly a difference", logOf(115, 118, 122), logOf(118, 118, 121), true},
		{"tan tape on a grey mat", logOf(115, 118, 122), logOf(210, 180, 130), false},
		{"blue tape on a navy mat", logOf(27, 48, 105), logOf(60, 105, 180), false},
		{"yellow tape on a green mat", logOf(30, 95, 75), logOf(240, 205, 50), false},
	} {
		if got := differsByLight(c.a, c.b); got != c.is {
			t.Errorf("%s: %v", c.what, got)
		}
	}
}

// What was known of bare ground beside a shadow stays where the shadow would be
// filled in, and nothing else.
func TestRefinedGroundKeepsWhatIsBesideAShadow(t *testing.T) {
	cells := func(c ...[4]float32) *field {
		f := &field{w: len(c), h: 1, cell: 8}
		for k := range f.c {
			f.c[k] = make([]float32, len(c))
		}
		f.n = make([]float32, len(c))
		for j, v := range c {
			f.c[0][j], f.c[1][j], f.c[2][j], f.n[j] = v[0], v[1], v[2], v[3]
		}
		return f
	}
	was := cells([4]float32{4.9, 5, 5.1, 1}, [4]float32{4.9, 5, 5.1, 1}, [4]float32{4.7, 4.8, 4.9, 1}, [4]float32{4.9, 5, 5.1, 0})
	now := cells([4]float32{4.5, 4.6, 4.7, 1}, [4]float32{4.6, 4.7, 4.8, 0}, [4]float32{4.6, 4.7, 4.8, 0}, [4]float32{4.6, 4.7, 4.8, 0})
	if !now.keepKnown(was) {
		t.Error("nothing was kept")
	}
	for j, want := range []float32{4.6, 5, 4.7, 4.7} {
		if got := now.c[1][j]; got != want {
			t.Errorf("cell %d is %.2f, want %.2f", j, got, want)
		}
	}
	if now.n[0] != 1 || now.n[1] != 1 || now.n[2] != 0 || now.n[3] != 0 {
		t.Errorf("known are %v", now.n)
	}
}
