package rectify

import (
	"fmt"

	"flatwright/rectify/mat"
)

const (
	// bentAdviseMM is the miss that neighbouring lines share, in mm, worth
	// speaking of: no flat mat reaches it under lenses to 13 mm-equivalent with
	// each line printed off by 0.1 mm.
	bentAdviseMM = 0.2
	// bentRefuseMM is the miss at which the photograph is refused: more than
	// any flat mat shows, drawn or photographed. It is a lower bound of the
	// error in the place itself, and lines are followed no further than a
	// millimetre or two, so that it may be all that is seen of a swell that
	// puts a piece several millimetres off.
	bentRefuseMM = 0.4
)

// BentError reports a mat that does not lie flat: its lines run where no
// lens and no flat mat puts them.
type BentError struct {
	Photo string
	// Place names where in the photograph, At where on the mat, and MM by how
	// much the lines are off there.
	Place string
	At    mat.Point
	MM    float64
}

// Error says where and by how much, and what to do.
func (e *BentError) Error() string {
	return fmt.Sprintf("the mat in %s does not lie flat: at %s its lines run %s mm beside where a flat mat's would: press it flat, weigh its corners down, or lay it on something flat, and photograph it again; if it lies flat, lines were misread there: leave more of the mat uncovered, or click crossings by hand",
		e.Photo, e.Place, millimetres(e.MM))
}

// checkFlat returns a *BentError when the mat is bent too much to be used.
func (s *Squared) checkFlat() error {
	if b := s.Fit.Bend(); !s.fromSheet() && b.WorstMM > bentRefuseMM {
		return &BentError{Photo: s.Photo.Name, Place: s.placeOf(b.At), At: b.At, MM: b.WorstMM}
	}
	return nil
}

// bent speaks of a mat that is bent a little.
func (s *Squared) bent() (Advice, bool) {
	b := s.Fit.Bend()
	if s.fromSheet() || b.WorstMM < bentAdviseMM {
		return Advice{}, false
	}
	return Advice{
		Text: fmt.Sprintf("The mat does not lie quite flat: at %s its lines run %s mm beside where a flat mat's would. Press it flat, or keep pieces away from there.",
			s.placeOf(b.At), millimetres(b.WorstMM)),
		At: b.At, MM: b.WorstMM,
	}, true
}
