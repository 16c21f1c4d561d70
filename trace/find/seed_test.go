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
