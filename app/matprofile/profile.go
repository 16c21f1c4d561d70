// Package matprofile keeps what was once learnt of a cutting mat, so that it
// need not be measured again: how far apart its lines truly are, how large it
// is, and its colour, by which it is known again.
package matprofile

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"flatwright/rectify"
)

// Profile is one mat.
type Profile struct {
	// Name is what the maker calls the mat; see CheckName.
	Name string
	// PitchMM is the nominal distance of its lines, and Kind which of the
	// printed lines that means (see rectify.Options.Kind).
	PitchMM float64
	Kind    int
	// XFactor and YFactor are the true distances of its lines over PitchMM,
	// along the mat's own x and y: across and down as it lay when it was
	// measured. SigmaX and SigmaY are their standard errors, 0 where that
	// direction was not measured.
	XFactor, YFactor float64
	SigmaX, SigmaY   float64
	// Columns and Rows count the squares of the whole mat along its own x and
	// y, 0 when not known.
	Columns, Rows int
	// Ground and Line are the colours of the mat and of its lines as
	// photographed; nil when not known.
	Ground, Line *Colour
	// MeasuredOn is the date of the measurement, YYYY-MM-DD, or empty.
	MeasuredOn string
	Note       string
}

// Measured reports whether a rule was laid on the mat in either direction.
func (p Profile) Measured() bool { return p.SigmaX > 0 || p.SigmaY > 0 }

// Scale returns the profile's correction for a photograph in which the mat
// lies as it was measured, or turned by a quarter.
func (p Profile) Scale(turned bool) rectify.Scale {
	s := rectify.Scale{
		X: p.XFactor, Y: p.YFactor, SigmaX: p.SigmaX, SigmaY: p.SigmaY,
		Source: rectify.FromProfile, Name: p.Name,
	}
	if turned {
		return s.Turned()
	}
	return s
}

const (
	// MaxNameLength and MaxNoteLength are counted in characters.
	MaxNameLength = 60
	MaxNoteLength = 500
	// mostStretch is how far from its nominal size a mat is believed to be
	// printed, in parts; rectify refuses more.
	mostStretch = 0.05
	maxKind     = 16
	maxSquares  = 10000
	dateLayout  = "2006-01-02"
)

// CheckName returns a mat's name without the blanks around it. Errors: a
// sentence for a name that is empty, longer than MaxNameLength, or holds
// characters that cannot be seen.
func CheckName(name string) (string, error) {
	name = strings.TrimSpace(name)
	switch {
	case name == "":
		return "", errors.New("a mat needs a name")
	case utf8.RuneCountInString(name) > MaxNameLength:
		return "", fmt.Errorf("the mat's name has %d characters; make it %d at most", utf8.RuneCountInString(name), MaxNameLength)
	case !readable(name):
		return "", fmt.Errorf("the mat's name %+q holds characters that cannot be seen; type it without them", name)
	}
	return name, nil
}

// readable reports whether a text is one line of characters that show what
// they are: no control characters, no line breaks, and none that change the
// direction of writing (Unicode Bidi_Control, UAX 9 section 2; from memory).
func readable(text string) bool {
	if !utf8.ValidString(text) {
		return false
	}
	for _, r := range text {
		if unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control) {
			return false
		}
	}
	return true
}

// check returns the profile with its texts trimmed, or an error that says
// which value cannot be.
func (p Profile) check() (Profile, error) {
	var err error
	if p.Name, err = CheckName(p.Name); err != nil {
		return p, err
	}
	p.Note = strings.TrimSpace(p.Note)
	switch {
	case !(p.PitchMM >= rectify.MinPitchMM && p.PitchMM <= rectify.MaxPitchMM):
		return p, p.wrong("pitch_mm", p.PitchMM)
	case !(math.Abs(p.XFactor-1) <= mostStretch):
		return p, p.wrong("x_factor", p.XFactor)
	case !(math.Abs(p.YFactor-1) <= mostStretch):
		return p, p.wrong("y_factor", p.YFactor)
	case !(p.SigmaX >= 0 && p.SigmaX <= mostStretch):
		return p, p.wrong("x_sigma", p.SigmaX)
	case !(p.SigmaY >= 0 && p.SigmaY <= mostStretch):
		return p, p.wrong("y_sigma", p.SigmaY)
	case p.Kind < 0 || p.Kind > maxKind:
		return p, p.wrong("lines", p.Kind)
	case p.Columns < 0 || p.Columns > maxSquares || p.Rows < 0 || p.Rows > maxSquares || (p.Columns == 0) != (p.Rows == 0):
		return p, p.wrong("columns and rows", fmt.Sprintf("%d and %d", p.Columns, p.Rows))
	case utf8.RuneCountInString(p.Note) > MaxNoteLength || !readable(p.Note):
		return p, fmt.Errorf("the note of the mat %q is longer than %d characters, or holds some that cannot be seen", p.Name, MaxNoteLength)
	}
	if _, err := time.Parse(dateLayout, p.MeasuredOn); p.MeasuredOn != "" && err != nil {
		return p, p.wrong("measured_on", p.MeasuredOn)
	}
	return p, nil
}

func (p Profile) wrong(what string, value any) error {
	return fmt.Errorf("%s of the mat %q cannot be %v", what, p.Name, value)
}

// NotKnownError reports a name that no profile has.
type NotKnownError struct {
	Name  string
	Known []string
}

// Error says which name, and which there are.
func (e *NotKnownError) Error() string {
	if len(e.Known) == 0 {
		return fmt.Sprintf("no mat %q is known, nor any other: measure one and keep it with --save-mat", e.Name)
	}
	return fmt.Sprintf("no mat %q is known; there are %s", e.Name, quoted(e.Known))
}

func quoted(names []string) string {
	q := make([]string, len(names))
	for i, n := range names {
		q[i] = fmt.Sprintf("%q", n)
	}
	return strings.Join(q, ", ")
}

// Find returns the profile of a name, in capitals or not. Errors:
// *NotKnownError.
func Find(profiles []Profile, name string) (Profile, error) {
	if i := index(profiles, name); i >= 0 {
		return profiles[i], nil
	}
	e := &NotKnownError{Name: strings.TrimSpace(name)}
	for _, p := range profiles {
		e.Known = append(e.Known, p.Name)
	}
	return Profile{}, e
}

func index(profiles []Profile, name string) int {
	name = strings.TrimSpace(name)
	for i, p := range profiles {
		if strings.EqualFold(p.Name, name) {
			return i
		}
	}
	return -1
}
