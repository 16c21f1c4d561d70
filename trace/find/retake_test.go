package find

import (
	"math"
	"slices"
	"testing"

	"flatwright/rectify/photo"
)

func TestAimPastHidesLines(t *testing.T) {
	ground, line := [3]float32{35, 95, 70}, [3]float32{190, 170, 80}
	q := probe{t: powerTone(1)}
	blue := [3]float32{60, 105, 190}
	if !q.aimPast(blue, ground, line, faintPast) {
		t.Fatal("blue tape is not told from green ground past yellow lines")
	}
	if d := q.levelOf(line) - q.levelOf(ground); absf(d) > 1 {
		t.Errorf("the line differs by %.1f levels from the ground", d)
	}
	if d := q.levelOf(blue) - q.levelOf(ground); d < faintPast-1 {
		t.Errorf("the tape differs by %.1f levels from the ground", d)
	}
	if q.aimPast([3]float32{230, 230, 230}, [3]float32{50, 50, 50}, [3]float32{220, 220, 220}, faintPast) {
		t.Error("white tape is told from grey ground past white lines")
	}
}

func TestDrown(t *testing.T) {
	bad := make([]bool, 100)
	for i := 10; i < 80; i++ {
		bad[i] = i < 40 || i >= 46 // an island of six
	}
	want := slices.Clone(bad)
	drown(bad, 3, 15)
	if !slices.Equal(bad, want) {
		t.Error("an island longer than allowed was drowned")
	}
	drown(bad, 6, 15)
	for i := 40; i < 46; i++ {
		want[i] = true
	}
	if !slices.Equal(bad, want) {
		t.Error("the island was not drowned, or more was")
	}
	if n := longest(bad); n != 70 {
		t.Errorf("the longest run is %d, want 70", n)
	}
}

// A corner whose rough border was lost far back is rebuilt where the ground
// beyond is the piece's, and rounded where it is not.
func TestMendAsksTheGround(t *testing.T) {
	var s []spot
	for i := 0.0; i < 100; i++ {
		s = append(s, spot{Point: photo.Point{X: i}, bridged: i > 75})
	}
	for i := 0.0; i < 100; i++ {
		s = append(s, spot{Point: photo.Point{X: 100, Y: i}, bridged: i < 25})
	}
	for i := 76; i < 125; i++ { // cut across
		u := float64(i-75) / 50
		s[i].Point = photo.Point{X: 75 + 25*u, Y: 25 * u}
	}
	for i := 0.0; i < 100; i++ {
		s = append(s, spot{Point: photo.Point{X: 100 - i, Y: 100}})
	}
	for i := 0.0; i < 100; i++ {
		s = append(s, spot{Point: photo.Point{Y: 100 - i}})
	}
	for _, is := range []bool{true, false} {
		best := math.Inf(1)
		for _, q := range mend(s, 50, &lookout{tape: func(int, photo.Point) bool { return is }}) {
			best = math.Min(best, math.Hypot(q.X-100, q.Y))
		}
		if is != (best < 1.5) {
			t.Errorf("tape %v: the nearest point to the corner is %.2f px away", is, best)
		}
	}
}
