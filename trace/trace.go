// Package trace turns a squared-up photograph into a pattern: it finds the
// pieces, fits their outlines, and gives them edges, letters and marks.
package trace

import (
	"context"
	"errors"

	"flatwright/rectify"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
)

// Options bound the tracing.
type Options struct {
	// ToleranceMM bounds the distance between the measured outline and the
	// curve, both ways. 0 means 0.1 mm.
	ToleranceMM float64
	// Progress, when set, is told how far the work is, 0 to 1.
	Progress func(part float64)
}

// Traced is a pattern and what the maker should hear about it.
type Traced struct {
	Pattern  pattern.Pattern
	Problems []find.Problem
}

// Trace finds the pieces of a squared-up photograph and makes the pattern.
func Trace(ctx context.Context, s *rectify.Squared, o Options) (*Traced, error) {
	return nil, errors.New("not wired yet")
}
