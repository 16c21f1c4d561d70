// Package rectify squares a photograph up: from the mat's own printed lines
// to a two-way map between the photograph (px) and the mat (mm).
package rectify

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/mat/grid"
	"flatwright/rectify/photo"
)

// Options tell SquareUp what the photograph cannot.
type Options struct {
	// PitchMM is the distance between the mat's (major) lines. Required unless
	// a Rectangle is given.
	PitchMM float64
	// Kind says which printed lines are a pitch apart: 0 leaves it to the
	// program, n means the n-th widest spacing that is printed, 1 the widest.
	Kind int
	// Scale corrects the pitch by what was measured; the zero value takes the
	// mat's printing as true.
	Scale Scale
	// Raised is the height of the pieces above the mat; the zero value takes
	// them to lie in its plane.
	Raised Raised
	// Rectangle, when set, is squared up from instead of the mat's lines.
	Rectangle *Rectangle
	// Corners are crossings the maker has clicked, with the counts of squares
	// between them. Empty: the lines are found automatically. Otherwise at
	// least four, no three on a line.
	Corners []Corner
	// Progress, when set, is told the stage by name and how far it is, 0 to 1.
	Progress func(stage string, part float64)
}

// Corner is a crossing of the mat's lines clicked by hand.
type Corner struct {
	At          photo.Point
	Column, Row int
}

// Squared is a photograph squared up.
type Squared struct {
	Photo *photo.Photo
	// PitchMM is the pitch as it was given, Pitch the true distances of the
	// lines and Scale how they came about.
	PitchMM float64
	Pitch   mat.Pitch
	Scale   Scale
	Grid    mat.Grid
	Fit     *lens.Fit
	// Raised is the height of the pieces as it was given, Pose where the camera
	// stood; nil when the pieces lie in the mat's plane.
	Raised Raised
	Pose   *lens.Pose
	// twin is the camera that the same clicks would give through a lens that
	// bends as much as is usual; nil where the bend was measured.
	twin *lens.Model
}

// Raised describes pieces that rise above the mat's plane: straight-walled
// slabs of foam, say.
type Raised struct {
	// ThicknessMM is the height of the pieces' upper face; 0 for tape.
	ThicknessMM float64
	// CameraHeightMM is the height of the camera above the mat as the maker
	// measured it, 0 unknown.
	CameraHeightMM float64
}

// Rectangle is a flat sheet of known size lying on the table.
type Rectangle struct {
	// Name is what it is called, like "a4".
	Name string
	// WidthMM is the length of the side from the first corner to the second,
	// HeightMM that from the second to the third.
	WidthMM, HeightMM float64
	// Corners are the four corners in the photograph, going round clockwise to
	// the eye.
	Corners [4]photo.Point
}

// MinPitchMM and MaxPitchMM bound the pitches that are believed.
const (
	MinPitchMM = 1
	MaxPitchMM = 1000
)

// ErrNoPitch is returned when the distance between the mat's lines is not
// given, or is absurd.
var ErrNoPitch = errors.New("say how far apart the mat's lines are, for instance 1in or 10mm")

// ErrScale is returned when a scale lies too far from 1 to be a mat's.
var ErrScale = errors.New("the mat's correction lies more than 5 % from its pitch: mend the pitch instead")

// SquareUp finds the mat's lines in a photograph and solves the camera. With
// corners given it starts from those, keeps their numbering, and uses the
// printed lines where they are found; without any line found the corners
// alone decide. A rectangle given goes before all that, and pieces that rise
// above the mat are allowed for last. Errors: ErrNoPitch, ErrScale,
// *grid.NotFoundError, *grid.SpacingError, *grid.ShapeError, *grid.KindError,
// *grid.SlipError, *grid.TwoGridsError, *ThinError, *CountError,
// *RectangleError, *BentError, *HeightError, *lens.FitError, or the context's.
func SquareUp(ctx context.Context, p *photo.Photo, o Options) (*Squared, error) {
	if err := o.Raised.check(p.Name); err != nil {
		return nil, err
	}
	s, err := squareUp(ctx, p, o)
	if err != nil {
		return nil, err
	}
	if err := s.checkFlat(); err != nil {
		return nil, err
	}
	if err := s.raise(o.Raised); err != nil {
		return nil, err
	}
	return s, nil
}

// squareUp solves the camera over the mat's plane.
func squareUp(ctx context.Context, p *photo.Photo, o Options) (*Squared, error) {
	if o.Rectangle != nil {
		return fromRectangle(ctx, p, o)
	}
	if !(o.PitchMM >= MinPitchMM && o.PitchMM <= MaxPitchMM) {
		return nil, ErrNoPitch
	}
	if o.Scale = o.Scale.whole(); !o.Scale.believable() {
		return nil, ErrScale
	}
	if len(o.Corners) > 0 {
		return fromCorners(ctx, p, o)
	}
	o.tell("finding the mat's lines", 0)
	found, err := grid.Find(ctx, p, grid.Sizes{PitchMM: o.PitchMM, FocalPx: p.FocalPx, FocalUnsure: p.FocalUnsure, Kind: o.Kind})
	if err != nil {
		return nil, err
	}
	s, err := solve(ctx, p, found, o)
	if err != nil {
		return nil, err
	}
	return s, s.checkThin()
}

// Snap returns the crossing of printed lines nearest to a click, to a
// fraction of a pixel; false when there is none close by.
func Snap(p *photo.Photo, near photo.Point) (photo.Point, bool) {
	return grid.Snap(p, near)
}

func (o Options) tell(stage string, part float64) {
	if o.Progress != nil {
		o.Progress(stage, part)
	}
}

func (o Options) solver(p *photo.Photo) lens.SolveOptions {
	pitch := o.pitch()
	return lens.SolveOptions{PitchMM: pitch.XMM, RowPitchMM: pitch.YMM, Width: p.Width, Height: p.Height, FocalPx: p.FocalPx, FocalUnsure: p.FocalUnsure}
}

// pitch is the true distance of the lines.
func (o Options) pitch() mat.Pitch { return o.Scale.pitch(o.PitchMM) }

// squared is the outcome with all that the options say.
func (o Options) squared(p *photo.Photo, g mat.Grid, fit *lens.Fit) *Squared {
	return &Squared{Photo: p, PitchMM: o.PitchMM, Pitch: o.pitch(), Scale: o.Scale, Grid: g, Fit: fit}
}

// solve turns measured lines into a camera in millimetres. Outermost lines
// that turn out not to lie where the others put them were no lines of the
// mat, and bound the grid no longer.
func solve(ctx context.Context, p *photo.Photo, found *grid.Found, o Options) (*Squared, error) {
	o.tell("solving the camera", 0.7)
	pitch := o.pitch()
	fit, err := lens.SolveFrom(ctx, found.Steps.Stretch(1/pitch.XMM, 1/pitch.YMM), found.Grid.Points, o.solver(p))
	if err != nil {
		return nil, fmt.Errorf("squaring up %s: %w", p.Name, err)
	}
	s := o.squared(p, found.Grid, fit)
	s.trim()
	o.tell("squared up", 1)
	return s, nil
}

// An outermost line may run off its place by the median of its samples, and
// still be one of the mat's, as far as believedPx, or believedTimes what is
// usual where a mat curls. Border ticks pull a mat's rim lines by a tenth or
// two; grain of a table lies anywhere.
const (
	believedPx    = 0.6
	believedTimes = 4
)

// trim moves the grid's bounds inwards past lines that do not run where the
// others put them.
func (s *Squared) trim() {
	offsPx := s.medianOffsPx()
	var all []float64
	for _, f := range offsPx {
		for _, v := range f {
			all = append(all, v)
		}
	}
	if len(all) == 0 {
		return
	}
	slices.Sort(all)
	limitPx := max(believedPx, believedTimes*all[len(all)/2])
	believed := func(f mat.Family, i int) bool {
		// A rim line whose profiles were all refused for its ticks was still
		// seen in the reduced picture.
		v, measured := offsPx[f][i]
		return !measured || v < limitPx
	}
	g := &s.Grid
	g.MinColumn, g.MaxColumn = inwards(g.MinColumn, g.MaxColumn, mat.Columns, believed)
	g.MinRow, g.MaxRow = inwards(g.MinRow, g.MaxRow, mat.Rows, believed)
}

// medianOffsPx returns, for every line with three samples or more, their
// median distance from where the fit puts it.
func (s *Squared) medianOffsPx() map[mat.Family]map[int]float64 {
	offs := map[mat.Family]map[int][]float64{mat.Columns: {}, mat.Rows: {}}
	for _, p := range s.Grid.Points {
		at, ok := s.Fit.ToMat(p.At)
		if !ok || !p.OfPitch() {
			continue
		}
		off := at.X
		if p.Family == mat.Rows {
			off = at.Y
		}
		off = math.Abs(off-p.Line()*s.Pitch.Of(p.Family)) / s.Fit.ScaleMMPerPx(at)
		offs[p.Family][p.Index] = append(offs[p.Family][p.Index], off)
	}
	medians := map[mat.Family]map[int]float64{mat.Columns: {}, mat.Rows: {}}
	for f, lines := range offs {
		for i, v := range lines {
			if len(v) < 3 {
				continue
			}
			slices.Sort(v)
			medians[f][i] = v[len(v)/2]
		}
	}
	return medians
}

// inwards narrows lo..hi to lines that are believed, leaving three at least.
func inwards(lo, hi int, f mat.Family, believed func(mat.Family, int) bool) (newLo, newHi int) {
	for hi-lo > 2 && !believed(f, lo) {
		lo++
	}
	for hi-lo > 2 && !believed(f, hi) {
		hi--
	}
	return lo, hi
}
