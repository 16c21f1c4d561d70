package rectify

import (
	"flatwright/rectify/mat"
)

// Advice is one thing about a photograph that costs accuracy.
type Advice struct {
	// Text says what is wrong, with place and number, then what to do.
	Text string
	// At is the place on the mat it speaks of.
	At mat.Point
	// MM is what it costs there, in mm, as far as it is known.
	MM float64
}

// Advice returns what would make the next photograph better, most serious
// first; nothing on a good one.
func (s *Squared) Advice() []Advice { return nil }
