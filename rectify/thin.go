package rectify

import (
	"fmt"

	"flatwright/rectify/mat"
)

// thinMM is the ± inside the lines used from which a photograph read by itself
// is refused: corners clicked by hand leave no more.
const thinMM = 1.5

// ThinError reports that the lines found fix the mat so poorly that corners
// clicked by hand would do better.
type ThinError struct {
	Photo string
	// Lines were used, good to ± PlusMinusMM (median) between them around At.
	Lines       int
	PlusMinusMM float64
	At          mat.Point
}

// Error says how poorly, and what to do.
func (e *ThinError) Error() string {
	return fmt.Sprintf("the %d lines found in %s fix the mat only to ± %s mm: leave more of the mat uncovered and photograph it again, or click crossings by hand",
		e.Lines, e.Photo, millimetres(e.PlusMinusMM))
}

// checkThin returns a *ThinError when the lines found say too little.
func (s *Squared) checkThin() error {
	f := s.Fit
	if f.MedianInsideMM < thinMM {
		return nil
	}
	var at mat.Point
	for _, p := range f.Hull {
		at.X += p.X / float64(len(f.Hull))
		at.Y += p.Y / float64(len(f.Hull))
	}
	return &ThinError{Photo: s.Photo.Name, Lines: len(f.Lines), PlusMinusMM: f.MedianInsideMM, At: at}
}
