package report

import (
	"fmt"
	"math"

	"flatwright/rectify"
)

// Scale says where the scale came from and what it is.
type Scale struct {
	// Source is "pitch", "steel rule", "mat profile" or "rectangle".
	Source string `json:"source"`
	// Name is the mat profile's or the rectangle's, else empty.
	Name string `json:"name"`
	// XFactor and YFactor are the true distances of the lines over the pitch
	// given, across and down; PitchXMM and PitchYMM the true distances, or the
	// two sides of a rectangle.
	XFactor  float64 `json:"x_factor"`
	YFactor  float64 `json:"y_factor"`
	PitchXMM float64 `json:"pitch_x_mm"`
	PitchYMM float64 `json:"pitch_y_mm"`
	// PlusMinusPercent is two standard errors of the scale in its worse
	// direction, nil when nothing was measured.
	PlusMinusPercent *float64 `json:"plus_minus_percent"`
	// Note says it in one sentence.
	Note string `json:"note"`
}

func scaleOf(s *rectify.Squared) Scale {
	r := Scale{
		Source: string(s.Scale.Source), Name: s.Scale.Name, XFactor: s.Scale.X, YFactor: s.Scale.Y,
		PitchXMM: s.Pitch.XMM, PitchYMM: s.Pitch.YMM,
	}
	if sigma := max(s.Scale.SigmaX, s.Scale.SigmaY); sigma > 0 {
		r.PlusMinusPercent = finiteOrNil(200 * sigma)
	}
	r.Note = noteOf(s, r)
	return r
}

// noteOf says in a sentence where the scale came from, and what of it was not
// measured.
func noteOf(s *rectify.Squared, r Scale) string {
	switch s.Scale.Source {
	case rectify.FromRule:
		return fmt.Sprintf("Scale measured with a steel rule: %s%s.", squares(r), measured(s.Scale, r))
	case rectify.FromProfile:
		if r.PlusMinusPercent == nil {
			return fmt.Sprintf("Scale from the mat %q, whose printing is taken as true: %s.", oneLine(r.Name), squares(r))
		}
		return fmt.Sprintf("Scale from the mat %q as once measured: %s%s.", oneLine(r.Name), squares(r), measured(s.Scale, r))
	case rectify.FromRectangle:
		return fmt.Sprintf("Scale from the sides of %s, %s × %s mm%s.", rectangleName(r.Name), shortest(r.PitchXMM), shortest(r.PitchYMM), measured(s.Scale, r))
	default:
		return fmt.Sprintf("The mat's own printing is taken as true, %s mm a square: check it with a steel rule.", shortest(r.PitchXMM))
	}
}

func rectangleName(name string) string {
	if name == "" {
		return "a rectangle of known size"
	}
	return "the sheet " + oneLine(name)
}

// squares says how large a square is.
func squares(r Scale) string {
	if math.Abs(r.PitchXMM-r.PitchYMM) < 0.0005 {
		return fmt.Sprintf("a square is %.3f mm", r.PitchXMM)
	}
	return fmt.Sprintf("a square is %.3f mm across and %.3f mm down", r.PitchXMM, r.PitchYMM)
}

// measured says how good that is, and which direction was not measured.
func measured(s rectify.Scale, r Scale) string {
	if r.PlusMinusPercent == nil {
		return ""
	}
	good := fmt.Sprintf(", good to ± %.2f %%", max(0.01, math.Ceil(*r.PlusMinusPercent*100)/100))
	switch {
	case s.SigmaX == 0:
		return good + " down; across it was not measured"
	case s.SigmaY == 0:
		return good + " across; down it was not measured"
	}
	return good
}

func (s Scale) rounded() Scale {
	s.XFactor, s.YFactor = round6(s.XFactor), round6(s.YFactor)
	s.PitchXMM, s.PitchYMM = round6(s.PitchXMM), round6(s.PitchYMM)
	s.PlusMinusPercent = roundedOr(s.PlusMinusPercent)
	return s
}

// round6 keeps factors and pitches to a millionth: over a mat of a metre a
// ten-thousandth would be seen.
func round6(v float64) float64 { return math.Round(v*1e6) / 1e6 }
