package rectify

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

// CountError reports that the counts of squares given with clicked corners do
// not agree with the mat's printed lines.
type CountError struct {
	Photo string
	// Corner is the index of the corner that stands out, -1 when none does.
	Corner int
	// Column and Row are its counts, OffPitch how far it lies from where the
	// lines put them, in squares.
	Column, Row int
	OffPitch    float64
	// Aspect is the ratio of a square's width to its height that the counts
	// would mean, when that is the trouble; 0 otherwise.
	Aspect float64
}

// Error says which corner to look at, and what to do.
func (e *CountError) Error() string {
	switch {
	case e.Corner >= 0:
		return fmt.Sprintf("in %s corner %d (column %d, row %d) lies %.1f squares from where the mat's lines put it: check its numbers",
			e.Photo, e.Corner+1, e.Column, e.Row, e.OffPitch)
	case e.Aspect > 0:
		return fmt.Sprintf("with these numbers the mat's squares in %s would be %.2f times as wide as they are high: check the columns and rows of the corners",
			e.Photo, e.Aspect)
	default:
		return fmt.Sprintf("the mat's lines in %s do not lie where these corners put them: check the columns and rows of the corners", e.Photo)
	}
}

const (
	// plentyOfPoints on printed lines, found without the corners, show that
	// the mat can be read, so that corners which no line follows are wrong.
	plentyOfPoints = 300
	// cornerOffPitch is how far a clicked corner may lie from its crossing.
	cornerOffPitch = 0.3
	// linesSeenPart of the lines between the corners must be seen.
	linesSeenPart = 0.5
	// squareness bounds the ratio of a square's sides; the focal length it is
	// judged by may be a guess.
	squareness = 1.3
)

// agreesWith returns a *CountError when the corners' counts do not agree with
// the lines found.
func (s *Squared) agreesWith(corners []Corner) error {
	for k, c := range corners {
		at, ok := s.Fit.ToMat(c.At)
		off := s.offPitch(at, c)
		if !ok || off > cornerOffPitch {
			return &CountError{Photo: s.Photo.Name, Corner: k, Column: c.Column, Row: c.Row, OffPitch: off}
		}
	}
	g := gridOf(corners)
	if s.linesSeen(mat.Columns, g.MinColumn, g.MaxColumn) < linesSeenPart ||
		s.linesSeen(mat.Rows, g.MinRow, g.MaxRow) < linesSeenPart {
		return &CountError{Photo: s.Photo.Name, Corner: -1}
	}
	if a := s.aspect(); a > squareness || a < 1/squareness {
		return &CountError{Photo: s.Photo.Name, Corner: -1, Aspect: a}
	}
	return nil
}

// offPitch is how far a point lies from a corner's crossing, in squares.
func (s *Squared) offPitch(at mat.Point, c Corner) float64 {
	columns, rows := s.Pitch.Count(at)
	return math.Hypot(columns-float64(c.Column), rows-float64(c.Row))
}

// linesSeen returns the part of a family's lines from lo to hi on which
// samples were used.
func (s *Squared) linesSeen(f mat.Family, lo, hi int) float64 {
	seen := map[int]bool{}
	for _, p := range s.Fit.Points {
		if p.Family == f && p.OfPitch() && p.Index >= lo && p.Index <= hi {
			seen[p.Index] = true
		}
	}
	return float64(len(seen)) / float64(hi-lo+1)
}

// aspect returns the ratio of the width of a square of the mat to its height,
// as the camera sees it: 1 when the counts are right, to the accuracy of the
// focal length.
func (s *Squared) aspect() float64 {
	focal := s.Photo.FocalPx
	if focal <= 0 {
		focal = 0.8 * float64(max(s.Photo.Width, s.Photo.Height))
	}
	return s.Fit.Aspect(focal)
}
