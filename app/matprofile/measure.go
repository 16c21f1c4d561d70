package matprofile

import (
	"math"
	"slices"
	"time"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

const (
	// fewestBare is how many bare squares a colour is taken from at least.
	fewestBare = 4
	// probesPerSquare is how many places along each side of a square are
	// looked at, over the middle insidePart of it.
	probesPerSquare = 9
	insidePart      = 0.8
)

// Colours returns the colours of the mat's ground and of its major lines as
// photographed: the medians over squares all four sides of which were measured
// as printed lines, so that nothing lies on them, and over the samples on the
// lines. Thin lines come out mixed with the ground. False when too few squares
// are bare, or no lines were read.
func Colours(s *rectify.Squared) (ground, line Colour, ok bool) {
	bare := bareSquares(s)
	if len(bare) < fewestBare {
		return Colour{}, Colour{}, false
	}
	var grounds, lines samples
	for _, at := range bare {
		grounds.add(squareColour(s, at))
	}
	for _, p := range s.Fit.Points {
		if p.OfPitch() && s.Photo.Inside(p.At, 1) {
			lines.add(pixel(s.Photo, p.At))
		}
	}
	return grounds.median(), lines.median(), true
}

// square is a square of the mat, named by its first column and row.
type square struct{ column, row int }

// bareSquares returns the squares of whose four sides a sample was used,
// ordered by row and column.
func bareSquares(s *rectify.Squared) []square {
	type side struct {
		family mat.Family
		index  int
		at     int
	}
	seen := map[side]bool{}
	for _, p := range s.Fit.Points {
		if p.OfPitch() {
			seen[side{p.Family, p.Index, int(math.Floor(p.Along))}] = true
		}
	}
	var bare []square
	for r := s.Grid.MinRow; r < s.Grid.MaxRow; r++ {
		for c := s.Grid.MinColumn; c < s.Grid.MaxColumn; c++ {
			if seen[side{mat.Columns, c, r}] && seen[side{mat.Columns, c + 1, r}] &&
				seen[side{mat.Rows, r, c}] && seen[side{mat.Rows, r + 1, c}] {
				bare = append(bare, square{c, r})
			}
		}
	}
	return bare
}

// squareColour returns the median colour inside a square; its minor lines and
// numbers are fewer than its ground.
func squareColour(s *rectify.Squared, at square) Colour {
	var inside samples
	for i := range probesPerSquare {
		for k := range probesPerSquare {
			part := func(n int) float64 {
				return 0.5 + insidePart*((float64(n)+0.5)/probesPerSquare-0.5)
			}
			p := s.Fit.ToPhoto(s.Pitch.At(float64(at.column)+part(k), float64(at.row)+part(i)))
			if s.Photo.Inside(p, 1) {
				inside.add(pixel(s.Photo, p))
			}
		}
	}
	return inside.median()
}

// pixel returns the colour of the pixel nearest to a place inside.
func pixel(p *photo.Photo, at photo.Point) Colour {
	i := 3 * (int(math.Round(at.Y))*p.Width + int(math.Round(at.X)))
	return Colour{p.RGB[i], p.RGB[i+1], p.RGB[i+2]}
}

// samples are colours, channel by channel.
type samples [3][]uint8

func (s *samples) add(c Colour) {
	s[0], s[1], s[2] = append(s[0], c.R), append(s[1], c.G), append(s[2], c.B)
}

// median returns the median of each channel; black of nothing.
func (s *samples) median() Colour {
	var m [3]uint8
	for i := range s {
		if n := len(s[i]); n > 0 {
			slices.Sort(s[i])
			m[i] = s[i][n/2]
		}
	}
	return Colour{m[0], m[1], m[2]}
}

// insidePx is how far inside the photograph a line must run to be in view, and
// inViewPart the part of a line that must be, for its absence to mean that the
// mat ends before it.
const (
	insidePx   = 4
	inViewPart = 0.9
)

// WholeMat returns how many columns and rows of squares the mat has, when the
// photograph shows all four of its sides: the line that would come next is in
// view, and was not found. Otherwise false.
func WholeMat(s *rectify.Squared) (columns, rows int, ok bool) {
	g := s.Grid
	if len(s.Fit.Crossings) > 0 || g.MaxColumn <= g.MinColumn || g.MaxRow <= g.MinRow {
		return 0, 0, false
	}
	for _, c := range []int{g.MinColumn - 1, g.MaxColumn + 1} {
		if !inView(s, c, g.MinRow, c, g.MaxRow) {
			return 0, 0, false
		}
	}
	for _, r := range []int{g.MinRow - 1, g.MaxRow + 1} {
		if !inView(s, g.MinColumn, r, g.MaxColumn, r) {
			return 0, 0, false
		}
	}
	return g.MaxColumn - g.MinColumn, g.MaxRow - g.MinRow, true
}

// inView reports whether most of a line between two crossings is in the
// photograph.
func inView(s *rectify.Squared, column0, row0, column1, row1 int) bool {
	const steps = 40
	in := 0
	for i := range steps + 1 {
		t := float64(i) / steps
		at := s.Pitch.At(float64(column0)+t*float64(column1-column0), float64(row0)+t*float64(row1-row0))
		if s.Photo.Inside(s.Fit.ToPhoto(at), insidePx) {
			in++
		}
	}
	return float64(in) >= inViewPart*(steps+1)
}

// Of returns the profile that a squared-up photograph gives: the pitch and
// scale it was squared up with, the whole mat's size and the colours where
// they can be told. Kind is the option it was squared up with, on the day of
// the measurement. X is across this photograph.
func Of(s *rectify.Squared, name string, kind int, on time.Time) Profile {
	p := Profile{
		Name: name, PitchMM: s.PitchMM, Kind: kind,
		XFactor: s.Scale.X, YFactor: s.Scale.Y, SigmaX: s.Scale.SigmaX, SigmaY: s.Scale.SigmaY,
		MeasuredOn: on.Format(dateLayout),
	}
	if ground, line, ok := Colours(s); ok {
		p.Ground, p.Line = &ground, &line
	}
	p.Columns, p.Rows, _ = WholeMat(s)
	return p
}
