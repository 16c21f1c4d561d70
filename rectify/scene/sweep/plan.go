package main

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"

	"flatwright/rectify/scene"
)

// factor is one thing that is varied, with its levels.
type factor struct {
	name   string
	levels []float64
	// label writes a level.
	label string
}

// The factors of the sweep. The bend is by what part of its radius k1 shifts
// the picture's corner, so that every lens may have any of them.
var factors = [...]factor{
	{"tilt", []float64{0, 10, 20, 25}, "%g deg"},
	{"lens", []float64{16, 24, 35}, "%g mm"},
	{"k1 bend", []float64{-0.12, -0.04, 0.02}, "%+.2f"},
	{"covered", []float64{0.1, 0.4, 0.7}, "%.0f%%"},
	{"noise", []float64{1, 2, 4}, "%g"},
}

// The places of the factors.
const (
	tilt = iota
	lens
	bend
	covered
	noise
	factorCount
)

// testCase is one scene to draw.
type testCase struct {
	number int
	seed   uint64
	levels [factorCount]float64
	// What is drawn at random beside the factors.
	colour   string
	pitchMM  float64
	minors   int // divisions of a pitch, 0 as the mat has them
	anyRoll  bool
	sidesOut int
	packed   bool // pieces cover a part of the mat all but wholly
	// trouble is the name of what makes the mat hard to read beside the
	// factors; empty in an ordinary sweep.
	trouble string
	// thickMM is the pieces' thickness, whose top faces are measured; sheet,
	// when not nil, lies there instead of a mat.
	thickMM float64
	sheet   *scene.Sheet
}

// trouble is what makes a mat hard to read.
type trouble struct {
	name string
	set  func(*scene.RandomOptions)
}

// troubles are dealt in turn in a hard sweep.
var troubles = []trouble{
	{"none", func(*scene.RandomOptions) {}},
	{"lines 20 levels", func(o *scene.RandomOptions) { o.LineContrast = 20 }},
	{"lines 10 levels", func(o *scene.RandomOptions) { o.LineContrast = 10 }},
	{"lines in colour", func(o *scene.RandomOptions) { o.Isoluminant = true }},
	{"tiled floor", func(o *scene.RandomOptions) { o.TiledFloor = true }},
	{"diagonals", func(o *scene.RandomOptions) { o.AllDiagonals = true }},
	{"3 sides out", func(o *scene.RandomOptions) { o.SidesOut = 3 }},
}

// harden deals out the troubles.
func harden(cases []testCase) {
	for i := range cases {
		cases[i].trouble = troubles[i%len(troubles)].name
	}
}

// firstSeed is the seed of scene 0.
const firstSeed = 77000

// plan thins the full factorial to n cases: each next one is the combination
// not yet taken whose pairs of levels have been seen least, ties broken at
// random by a fixed seed. Beyond the full factorial it starts anew.
func plan(n int) []testCase {
	rng := rand.New(rand.NewPCG(1, 0x5eee9))
	all := combinations()
	var out []testCase
	var left [][factorCount]int
	seen := map[[4]int]int{}
	for i := range n {
		if len(left) == 0 {
			left = slices.Clone(all)
			rng.Shuffle(len(left), func(i, j int) { left[i], left[j] = left[j], left[i] })
		}
		k := leastSeen(left, seen)
		pick := left[k]
		left = slices.Delete(left, k, k+1)
		for _, p := range pairs(pick) {
			seen[p]++
		}
		out = append(out, newCase(i, pick))
	}
	return out
}

// combinations is the full factorial, as places in the factors' levels.
func combinations() [][factorCount]int {
	out := [][factorCount]int{{}}
	for f := range factors {
		var next [][factorCount]int
		for _, c := range out {
			for l := range factors[f].levels {
				c[f] = l
				next = append(next, c)
			}
		}
		out = next
	}
	return out
}

// pairs are all pairs of factors with their levels in a combination.
func pairs(c [factorCount]int) [][4]int {
	var out [][4]int
	for f := range c {
		for g := range f {
			out = append(out, [4]int{f, c[f], g, c[g]})
		}
	}
	return out
}

// leastSeen is the combination with the rarest pairs.
func leastSeen(left [][factorCount]int, seen map[[4]int]int) int {
	rarity := func(c [factorCount]int) int {
		sum := 0
		for _, p := range pairs(c) {
			sum += seen[p] * seen[p]
		}
		return sum
	}
	best := slices.MinFunc(left, func(a, b [factorCount]int) int { return cmp.Compare(rarity(a), rarity(b)) })
	return slices.Index(left, best)
}

func newCase(number int, pick [factorCount]int) testCase {
	c := testCase{number: number, seed: firstSeed + uint64(number)}
	for f, l := range pick {
		c.levels[f] = factors[f].levels[l]
	}
	rng := rand.New(rand.NewPCG(c.seed, 0xca5e))
	c.colour = scene.MatColours[rng.IntN(len(scene.MatColours))].Name
	c.pitchMM = []float64{10, 12.7, 25.4, 25.4}[rng.IntN(4)]
	if eighths := rng.IntN(3) == 0; eighths && c.pitchMM == 25.4 {
		c.minors = 8
	}
	c.anyRoll = rng.IntN(2) == 0
	if rng.IntN(4) == 0 {
		c.sidesOut = 1 + rng.IntN(2)
	}
	c.packed = rng.IntN(3) == 0
	return c
}

// spec is the case's scene.
func (c testCase) spec(megapixels float64) scene.Spec {
	o := scene.RandomOptions{
		Megapixels: megapixels, TiltDeg: &c.levels[tilt], CornerBend: &c.levels[bend],
		MinFocal35MM: c.levels[lens], MaxFocal35MM: c.levels[lens],
		Coverage: c.levels[covered], Packed: c.packed, Noise: c.levels[noise], ThicknessMM: c.thickMM,
		MatColour: c.colour, PitchMM: c.pitchMM, MinorPerPitch: c.minors,
		AnyRoll: c.anyRoll, SidesOut: c.sidesOut,
	}
	for _, t := range troubles {
		if t.name == c.trouble {
			t.set(&o)
		}
	}
	s := scene.Spec{}
	if c.sheet != nil {
		s = scene.RandomSheet(c.seed, *c.sheet, o)
	} else {
		s = scene.Random(c.seed, o)
	}
	s.Name = fmt.Sprintf("scene %d (seed %d)", c.number, c.seed)
	return s
}

// groups are the names of the levels that a case belongs to, in the table's
// order: the factors first, then what was drawn at random.
func (c testCase) groups() [][2]string {
	var out [][2]string
	for f := range factors {
		v := c.levels[f]
		if f == covered {
			if c.sheet != nil {
				continue // pieces lie on the sheet as they will
			}
			v *= 100
		}
		out = append(out, [2]string{factors[f].name, fmt.Sprintf(factors[f].label, v)})
	}
	roll := "square"
	if c.anyRoll {
		roll = "any"
	}
	if c.trouble != "" {
		out = append(out, [2]string{"trouble", c.trouble})
	}
	if c.sheet != nil {
		return append(out, [2]string{"roll", roll})
	}
	return append(
		out,
		[2]string{"layout", c.layout()},
		[2]string{"mat", c.colour},
		[2]string{"pitch", c.pitchName()},
		[2]string{"roll", roll},
		[2]string{"sides out", fmt.Sprint(c.sidesOut)},
	)
}

func (c testCase) layout() string {
	if c.packed {
		return "packed"
	}
	return "spread"
}

func (c testCase) pitchName() string {
	if c.minors > 0 {
		return fmt.Sprintf("%g mm /%d", c.pitchMM, c.minors)
	}
	return fmt.Sprintf("%g mm", c.pitchMM)
}
