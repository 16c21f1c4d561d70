package rectify

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

// ScaleSource says where the scale of a squared-up photograph came from.
type ScaleSource string

// The sources of scale.
const (
	// FromPitch: the distance of the lines as it was given, the mat's printing
	// taken as true.
	FromPitch ScaleSource = "pitch"
	// FromRule: spans of the mat measured with a steel rule.
	FromRule ScaleSource = "steel rule"
	// FromProfile: spans measured once and kept with the mat's profile.
	FromProfile ScaleSource = "mat profile"
	// FromRectangle: the sides of a rectangle of known size.
	FromRectangle ScaleSource = "rectangle"
)

// Scale corrects the pitch by what was measured of the mat.
type Scale struct {
	// X and Y are the true distance of neighbouring columns and rows over the
	// pitch; 0 means 1. X belongs to the direction that runs across the
	// photograph, Y to that which runs down.
	X, Y float64
	// SigmaX and SigmaY are the standard errors of X and Y, 0 where they are
	// not known.
	SigmaX, SigmaY float64
	Source         ScaleSource
	// Name is the name of the mat profile or of the rectangle.
	Name string
}

// Span is a length measured over so many squares of the mat.
type Span struct{ Squares, LengthMM float64 }

const (
	// ruleSigmaMM is the standard error of a length read off a steel rule, both
	// ends together (common practice, no source).
	ruleSigmaMM = 0.2
	// mostStretch is how far from its nominal size a mat is believed to be
	// printed, in parts.
	mostStretch = 0.05
)

// SpanError reports a measured span that cannot be one of the mat's.
type SpanError struct {
	// Axis is "across" or "down".
	Axis    string
	Span    Span
	PitchMM float64
}

// Error says which span, how far off it is, and what to do.
func (e *SpanError) Error() string {
	if !(e.Span.Squares > 0) || !(e.Span.LengthMM > 0) {
		return fmt.Sprintf("the span %s needs a number of squares and a length, both above zero", e.Axis)
	}
	factor := e.Span.LengthMM / (e.Span.Squares * e.PitchMM)
	return fmt.Sprintf("%g squares %s would be %g mm at %g mm each, but %g mm was measured, %.1f %% off: count the squares and read the rule again, or mend the pitch",
		e.Span.Squares, e.Axis, e.Span.Squares*e.PitchMM, e.PitchMM, e.Span.LengthMM, 100*(factor-1))
}

// ScaleFromSpans returns the scale that two spans measured with a steel rule
// give, one across and one down the photograph. A span left zero leaves its
// direction as printed. Errors: *SpanError.
func ScaleFromSpans(pitchMM float64, across, down Span) (Scale, error) {
	s := Scale{X: 1, Y: 1, Source: FromPitch}
	var err error
	if across != (Span{}) {
		if s.X, s.SigmaX, err = across.factor(pitchMM, "across"); err != nil {
			return Scale{}, err
		}
		s.Source = FromRule
	}
	if down != (Span{}) {
		if s.Y, s.SigmaY, err = down.factor(pitchMM, "down"); err != nil {
			return Scale{}, err
		}
		s.Source = FromRule
	}
	return s, nil
}

func (s Span) factor(pitchMM float64, axis string) (factor, sigma float64, err error) {
	nominal := s.Squares * pitchMM
	factor = s.LengthMM / nominal
	if !(s.Squares > 0) || !(s.LengthMM > 0) || !(math.Abs(factor-1) <= mostStretch) {
		return 0, 0, &SpanError{Axis: axis, Span: s, PitchMM: pitchMM}
	}
	return factor, ruleSigmaMM / nominal, nil
}

// Turned returns the same scale for a mat that lies turned by a quarter.
func (s Scale) Turned() Scale {
	s.X, s.Y = s.Y, s.X
	s.SigmaX, s.SigmaY = s.SigmaY, s.SigmaX
	return s
}

// whole returns the scale with what was left out filled in.
func (s Scale) whole() Scale {
	if s.X == 0 {
		s.X = 1
	}
	if s.Y == 0 {
		s.Y = 1
	}
	if s.Source == "" {
		s.Source = FromPitch
	}
	return s
}

// pitch returns the true distances of the lines.
func (s Scale) pitch(pitchMM float64) mat.Pitch {
	return mat.Pitch{XMM: pitchMM * s.X, YMM: pitchMM * s.Y}
}

// believable reports whether both factors are near 1.
func (s Scale) believable() bool {
	return math.Abs(s.X-1) <= mostStretch && math.Abs(s.Y-1) <= mostStretch
}
