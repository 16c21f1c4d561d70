package session

import (
	"math"

	"flatwright/rectify"
)

// ScaleFrom says where the true distance of the mat's lines comes from.
type ScaleFrom uint8

const (
	// AsPrinted takes the mat's printing as true.
	AsPrinted ScaleFrom = iota
	// ByRule corrects it by spans measured with a steel rule.
	ByRule
	// ByProfile corrects it by what was once measured of a known mat.
	ByProfile
)

// Mat is a known mat.
type Mat struct {
	Name    string
	PitchMM float64
	// Kind is which of the printed lines are PitchMM apart, as in
	// rectify.Options.
	Kind int
	// Scale is the mat's correction as it lay when it was measured.
	Scale rectify.Scale
}

// Settings are what the maker says about the mat and the pieces. They are
// comparable: two that are equal solve a photograph alike.
type Settings struct {
	// PitchMM is the distance between the mat's lines; 0 until chosen.
	PitchMM float64
	// Kind says which printed lines are that far apart, as in rectify.Options.
	Kind      int
	ScaleFrom ScaleFrom
	// Across and Down are spans measured with a rule, as typed: either half
	// may still be missing.
	Across, Down rectify.Span
	// Mat is the known mat that was chosen, Turned tells that it lies turned
	// by a quarter.
	Mat    Mat
	Turned bool
	Raised rectify.Raised
}

// Scale returns the correction of the pitch. A span of which a half is missing
// counts as not measured. Errors: *rectify.SpanError.
func (s Settings) Scale() (rectify.Scale, error) {
	switch s.ScaleFrom {
	case ByRule:
		return rectify.ScaleFromSpans(s.PitchMM, complete(s.Across), complete(s.Down))
	case ByProfile:
		if s.Turned {
			return s.Mat.Scale.Turned(), nil
		}
		return s.Mat.Scale, nil
	}
	return rectify.Scale{}, nil
}

func complete(s rectify.Span) rectify.Span {
	if s.Squares == 0 || s.LengthMM == 0 {
		return rectify.Span{}
	}
	return s
}

// Means is the way in which a photograph was squared up.
type Means uint8

const (
	// ByLines: from the mat's lines, found automatically.
	ByLines Means = iota
	// ByCrossings: from crossings placed by hand.
	ByCrossings
	// BySheet: from the four corners of a sheet of known size.
	BySheet
)

// used returns the settings with those left out that have no say in a way of
// squaring up.
func (s Settings) used(by Means) Settings {
	if by == BySheet {
		return Settings{Raised: s.Raised}
	}
	s.Across, s.Down = complete(s.Across), complete(s.Down)
	if s.ScaleFrom != ByRule {
		s.Across, s.Down = rectify.Span{}, rectify.Span{}
	} else if s.Across == s.Down && s.Across == (rectify.Span{}) {
		s.ScaleFrom = AsPrinted
	}
	if s.ScaleFrom != ByProfile {
		s.Mat, s.Turned = Mat{}, false
	}
	if by == ByCrossings {
		s.Kind = 0
	}
	return s
}

// Options returns what squaring up in a way is to be told. Errors:
// *rectify.SpanError, ErrSheet.
func (s *Session) Options(by Means) (rectify.Options, error) {
	d := s.doc
	o := rectify.Options{PitchMM: d.PitchMM, Kind: d.Kind, Raised: d.Raised}
	switch by {
	case BySheet:
		r, err := s.Rectangle()
		if err != nil {
			return o, err
		}
		return rectify.Options{Rectangle: &r, Raised: d.Raised}, nil
	case ByCrossings:
		o.Corners, o.Kind = s.UsableCorners(), 0
	}
	var err error
	o.Scale, err = d.Scale()
	return o, err
}

// Stale reports whether the settings have changed since the photograph was
// squared up: what is shown is then not what the settings say.
func (s *Session) Stale() bool {
	d := s.doc
	return d.Squared != nil && d.used(d.SolvedBy) != d.Solved.used(d.SolvedBy)
}

// setting changes the settings as one step of undo, which stays open so that
// the solution that follows from it can join it. It reports whether anything
// changed.
func (s *Session) setting(e Edit, change func(*Settings)) bool {
	next := s.doc.Settings
	change(&next)
	if next == s.doc.Settings {
		return false
	}
	s.EndGesture()
	s.gesture(e, func(d *Document) { d.Settings = next })
	return true
}

// SetPitch chooses the distance between the mat's lines. What was squared up
// with another pitch stays until it is squared up again; see Stale.
func (s *Session) SetPitch(mm float64) bool {
	if !(mm > 0) {
		return false
	}
	return s.setting(Edit{Action: ActionPitch}, func(x *Settings) { x.PitchMM = mm })
}

// SetKind says which printed lines are a pitch apart, 0 for "find out".
func (s *Session) SetKind(kind int) bool {
	return s.setting(Edit{Action: ActionKind}, func(x *Settings) { x.Kind = kind })
}

// SetScaleFrom says where the true distance of the lines comes from.
func (s *Session) SetScaleFrom(f ScaleFrom) bool {
	return s.setting(Edit{Action: ActionScale}, func(x *Settings) { x.ScaleFrom = f })
}

// SetSpans gives what was measured with a steel rule, in squares and mm; a
// zero stands for what is not measured.
func (s *Session) SetSpans(across, down rectify.Span) bool {
	return s.setting(Edit{Action: ActionScale}, func(x *Settings) { x.ScaleFrom, x.Across, x.Down = ByRule, across, down })
}

// SetMat chooses a known mat, with its pitch and lines, and says whether it
// lies turned by a quarter.
func (s *Session) SetMat(m Mat, turned bool) bool {
	return s.setting(Edit{ActionMat, m.Name}, func(x *Settings) {
		x.ScaleFrom, x.Mat, x.Turned, x.PitchMM, x.Kind = ByProfile, m, turned, m.PitchMM, m.Kind
	})
}

// SetTurned says whether the known mat lies turned by a quarter.
func (s *Session) SetTurned(turned bool) bool {
	return s.setting(Edit{Action: ActionTurned}, func(x *Settings) { x.Turned = turned })
}

// SetRaised says how thick the pieces are that lie on the mat, and how high
// the camera stood, in mm; 0 is flat tape, and not measured.
func (s *Session) SetRaised(r rectify.Raised) bool {
	return s.setting(Edit{Action: ActionRaised}, func(x *Settings) { x.Raised = r })
}

// RaisedCostMM returns what the thickness of the pieces adds to "±", worst over
// their nodes, in mm: the part of the heights, as it adds to the rest by
// squares. 0 for pieces that lie in the mat's plane.
func (s *Session) RaisedCostMM() float64 {
	q := s.doc.Squared
	if q == nil || q.Pose == nil {
		return 0
	}
	flat := *q
	flat.Raised, flat.Pose = rectify.Raised{}, nil
	worst := 0.0
	for _, at := range s.doc.Pattern.Nodes() {
		all, rest := q.PlusMinusMM(at), flat.PlusMinusMM(at)
		worst = math.Max(worst, math.Sqrt(math.Max(all*all-rest*rest, 0)))
	}
	return worst
}
