package grid

import (
	"context"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// KindError reports that a spacing of lines was asked for that the mat does
// not show.
type KindError struct {
	Photo       string
	Asked, Seen int
}

// Error says how many there are.
func (e *KindError) Error() string {
	if e.Seen == 1 {
		return fmt.Sprintf("only one spacing of lines is seen on the mat in %s, but number %d was asked for: leave the choice of lines out", e.Photo, e.Asked)
	}
	return fmt.Sprintf("%d spacings of lines are seen on the mat in %s, but number %d was asked for: choose 1, the widest, to %d", e.Seen, e.Photo, e.Asked, e.Seen)
}

// SpacingError reports that the lines found cannot be a pitch apart, since the
// camera would have been where no hand holds it.
type SpacingError struct {
	Photo string
	// PitchMM is the pitch, HeightMM how far above the mat the camera would
	// have been.
	PitchMM, HeightMM float64
}

// Error says what follows from the pitch, and what to do.
func (e *SpacingError) Error() string {
	return fmt.Sprintf("if the lines found in %s are %g mm apart, the camera was %.1f m from the mat: those are other lines, so check the pitch, say which lines are meant, or click four corners",
		e.Photo, e.PitchMM, e.HeightMM/1000)
}

// ShapeError reports that the lines found would make cells far from square:
// they were counted wrongly, or are none of a mat.
type ShapeError struct {
	Photo string
	// Aspect is the width of a cell over its height.
	Aspect float64
}

// Error says what follows, and what to do.
func (e *ShapeError) Error() string {
	return fmt.Sprintf("the lines found in %s would make cells %.2f times as long as wide, and no mat is printed so: leave more of the mat bare, photograph it from straighter above, or click four corners",
		e.Photo, math.Max(e.Aspect, 1/e.Aspect))
}

// mostOblong is how far from square the cells of a mat may seem while the focal
// length is only guessed, and mostOblongKnown when it is known.
const mostOblong, mostOblongKnown = 1.3, 1.15

// square returns a *ShapeError when the cells are not.
func (g *lattice) square(name string) error {
	most := mostOblong
	if g.focalPx > 0 {
		most = mostOblongKnown
	}
	if a := g.cellAspect(); a > most || a < 1/most {
		return &ShapeError{Photo: name, Aspect: a}
	}
	return nil
}

// A photograph of a mat is taken from within these distances. The bounds are
// wide, for the focal length may be a guess.
const (
	nearestMM  = 30
	farthestMM = 3200
)

// plausible returns a *SpacingError when the pitch puts the camera out of
// reach.
func (g *lattice) plausible(sizes Sizes, name string) error {
	if sizes.PitchMM <= 0 {
		return nil
	}
	height := g.heightSteps(sizes) * sizes.PitchMM
	if height < nearestMM || height > farthestMM {
		return &SpacingError{Photo: name, PitchMM: sizes.PitchMM, HeightMM: height}
	}
	return nil
}

// kinds lists the spacings of lines, in steps of the lattice and the widest
// first: lines that are stressed, the lattice's own, and those between.
func (g *lattice) kinds(minors int, finer []float64) []mat.LineKind {
	every := []float64{1}
	if m, _ := strongStep(g.inks([2]int{1, 1}, [2]int{}), emphases); m > 1 {
		every = append(every, float64(m))
	}
	every = append(every, finer...)
	if minors > 1 {
		every = append(every, 1/float64(minors))
	}
	slices.SortFunc(every, func(a, b float64) int { return int(math.Copysign(1, b-a)) })
	var out []mat.LineKind
	for i, v := range every {
		if i == 0 || every[i-1]-v > 1e-9 {
			out = append(out, mat.LineKind{EveryPitch: v})
		}
	}
	return out
}

// useKind makes the spacing that was asked for the lattice's own and counts
// the kinds in it. It returns the minor steps to the new pitch.
func (g *lattice) useKind(ctx context.Context, kinds []mat.LineKind, minors, kind int, name string) (int, error) {
	if kind == 0 {
		return minors, nil
	}
	if kind < 0 || kind > len(kinds) {
		return 0, &KindError{Photo: name, Asked: kind, Seen: len(kinds)}
	}
	want := kinds[kind-1].EveryPitch
	switch {
	case want > 1.5:
		m := int(math.Round(want))
		phase, _ := groupingOf(g.inks([2]int{1, 1}, [2]int{}), m)
		if err := g.regroupTo(ctx, [2]int{m, m}, phase); err != nil {
			return 0, g.notFound(name)
		}
	case want < 0.75:
		m := int(math.Round(1 / want))
		old := g.floor
		g.floor *= finerFloor
		for _, f := range families {
			g.subdivide(f, m)
		}
		if err := g.grow(ctx, noLimit); err != nil {
			return 0, err
		}
		g.floor = old
	}
	for i := range kinds {
		kinds[i].EveryPitch /= want
	}
	return max(1, int(math.Round(float64(minors)*want))), nil
}

// finerFloor lowers the least height of a line while the fainter ones between
// are looked for.
const finerFloor = 0.5
