package grid

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/mat"
)

// table is two mats of 11 by 18 pitches on one table, or one mat with a sheet
// across its middle.
type table struct {
	turnDeg     float64 // of the right mat against the left
	right, down float64 // its shift, in pitches of the left
	pitch       float64 // its pitch, in those of the left
	rightRows   int
	sheet       float64 // half the width of the sheet, in pitches
}

// at is the luminance at a place in pitches of the left mat.
func (s table) at(x, y float64) float64 {
	const table, sheet = 70, 225
	pr := print{ground: 110, line: 210}
	if math.Abs(x-12) < s.sheet {
		return sheet
	}
	if x < 12 {
		if x < 0.5 || y < -0.5 || y > 18.5 {
			return table
		}
		return pr.at(x, math.Min(math.Max(y, -0.05), 18.05), nil)
	}
	c, sn := math.Cos(s.turnDeg*math.Pi/180), math.Sin(s.turnDeg*math.Pi/180)
	dx, dy := x-18-s.right, y-9-s.down
	u, v := (c*dx+sn*dy)/s.pitch+18, (c*dy-sn*dx)/s.pitch+9
	half := float64(s.rightRows) / 2
	if u < 12.6 || u > 24 || math.Abs(v-9) > half {
		return table
	}
	return pr.at(math.Min(u, 24), math.Min(math.Max(v, 0), 18), nil)
}

// Two mats on one table are refused and both named, at whatever angle, shift
// and spacing; one mat under a wide sheet is one, and is read on both sides of
// it; a scrap of another mat does not matter.
func TestTwoMats(t *testing.T) {
	for k, c := range []struct {
		name string
		table
		two bool
	}{
		{"one mat, a sheet of 4 pitches", table{pitch: 1, rightRows: 18, sheet: 2}, false},
		{"one mat, a sheet of 11 pitches", table{pitch: 1, rightRows: 18, sheet: 5.5}, false},
		{"turned by 4 degrees", table{pitch: 1, rightRows: 18, turnDeg: 4, sheet: 0.9}, true},
		{"turned by 30 degrees", table{pitch: 1, rightRows: 18, turnDeg: 30, right: 1}, true},
		{"half a pitch too low", table{pitch: 1, rightRows: 18, down: 0.45, sheet: 0.9}, true},
		{"a third of a pitch apart", table{pitch: 1, rightRows: 18, right: 0.35, sheet: 0.9}, true},
		{"finer by 1/2.54", table{pitch: 1 / 2.54, rightRows: 18, right: -2.5}, true},
		{"a scrap", table{pitch: 1, rightRows: 4, turnDeg: 20, right: 2}, false},
	} {
		seed := uint64(k % 2)
		k1 := -0.06 * float64(seed)
		rng := rand.New(rand.NewPCG(seed, 3))
		m := over(1800, 1300, 62, 5-14*float64(seed), 6+8*float64(seed), k1)
		p := paintPlane(m, 1800, 1300, 2, rng, c.at)
		f, err := Find(context.Background(), p, Sizes{PitchMM: printMM})
		var two *TwoGridsError
		switch {
		case c.two && !errors.As(err, &two):
			t.Errorf("%s, seed %d: %v", c.name, seed, err)
		case c.two:
			left := m.ToPhoto(mat.Point{X: 12 * printMM, Y: 9 * printMM}).X
			if min(two.A.X, two.B.X) > left || max(two.A.X, two.B.X) < left {
				t.Errorf("%s, seed %d: the middles are %v and %v, both on one side of %.0f", c.name, seed, two.A, two.B, left)
			}
		case err != nil:
			t.Errorf("%s, seed %d: %v", c.name, seed, err)
		case c.rightRows == 18 && f.Grid.MaxColumn-f.Grid.MinColumn < 20:
			t.Errorf("%s, seed %d: columns %d to %d", c.name, seed, f.Grid.MinColumn, f.Grid.MaxColumn)
		default:
			for _, at := range [][2]int{{f.Grid.MinColumn, f.Grid.MinRow}, {f.Grid.MaxColumn, f.Grid.MaxRow}} {
				if d := offLattice(m, f.Steps, at[0], at[1]); d > 0.02 {
					t.Errorf("%s, seed %d: crossing %v lies %.3f pitches off", c.name, seed, at, d)
				}
			}
		}
	}
}
