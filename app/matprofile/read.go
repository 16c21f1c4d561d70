package matprofile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// Schema is the version of the file that is written; higher ones are refused.
const Schema = 1

// file is the file as it is written. Units are in the keys.
type file struct {
	Schema int         `json:"schema"`
	Mats   []fileEntry `json:"mats"`
}

type fileEntry struct {
	Name       string  `json:"name"`
	PitchMM    float64 `json:"pitch_mm"`
	Lines      int     `json:"lines"`
	XFactor    float64 `json:"x_factor"`
	YFactor    float64 `json:"y_factor"`
	XSigma     float64 `json:"x_sigma"`
	YSigma     float64 `json:"y_sigma"`
	Columns    int     `json:"columns"`
	Rows       int     `json:"rows"`
	Ground     string  `json:"ground_srgb"`
	Line       string  `json:"line_srgb"`
	MeasuredOn string  `json:"measured_on"`
	Note       string  `json:"note"`
}

// ContentError says what is wrong with the text of a file of profiles, and
// where: Line and Column count from 1, and are 0 when it has no one place.
type ContentError struct {
	Line, Column int
	Err          error
}

// Error names the place and the trouble.
func (e *ContentError) Error() string {
	if e.Line == 0 {
		return e.Err.Error()
	}
	return fmt.Sprintf("line %d, character %d: %v", e.Line, e.Column, e.Err)
}

// Unwrap returns the trouble.
func (e *ContentError) Unwrap() error { return e.Err }

// NewerError reports a file written by a later program.
type NewerError struct{ Schema int }

// Error says so.
func (e *NewerError) Error() string {
	return fmt.Sprintf("it was written by a newer Flatwright (its schema is %d, this one reads up to %d)", e.Schema, Schema)
}

// Decode reads a file of profiles. Errors: *ContentError, whose Err is a
// *NewerError when a later program wrote it. Keys that are not known are
// refused, for they would be lost when the file is written again.
func Decode(data []byte) ([]Profile, error) {
	var head struct {
		Schema int `json:"schema"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return nil, placed(data, err)
	}
	switch {
	case head.Schema > Schema:
		return nil, &ContentError{Err: &NewerError{Schema: head.Schema}}
	case head.Schema < 1:
		return nil, &ContentError{Err: errors.New("it does not say which schema it has")}
	}
	var f file
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&f); err != nil {
		return nil, placed(data, err)
	}
	return f.profiles()
}

func (f file) profiles() ([]Profile, error) {
	all := make([]Profile, 0, len(f.Mats))
	for k, e := range f.Mats {
		p, err := e.profile()
		if err != nil {
			return nil, &ContentError{Err: fmt.Errorf("mat %d: %w", k+1, err)}
		}
		if index(all, p.Name) >= 0 {
			return nil, &ContentError{Err: fmt.Errorf("mat %d: the name %q is there twice", k+1, p.Name)}
		}
		all = append(all, p)
	}
	return all, nil
}

func (e fileEntry) profile() (Profile, error) {
	p := Profile{
		Name: e.Name, PitchMM: e.PitchMM, Kind: e.Lines,
		XFactor: e.XFactor, YFactor: e.YFactor, SigmaX: e.XSigma, SigmaY: e.YSigma,
		Columns: e.Columns, Rows: e.Rows, MeasuredOn: e.MeasuredOn, Note: e.Note,
	}
	var err error
	if p.Ground, err = colourOrNone(e.Ground); err != nil {
		return p, err
	}
	if p.Line, err = colourOrNone(e.Line); err != nil {
		return p, err
	}
	return p.check()
}

func colourOrNone(text string) (*Colour, error) {
	if text == "" {
		return nil, nil
	}
	c, err := ParseColour(text)
	return &c, err
}

// placed turns what the JSON reader says into a place in the text.
func placed(data []byte, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	offset := int64(-1)
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset
	case errors.As(err, &kind):
		offset, err = kind.Offset, fmt.Errorf("%s cannot be a %s", kind.Field, kind.Value)
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		offset, err = int64(len(data)), errors.New("it breaks off")
	}
	if offset < 0 || offset > int64(len(data)) {
		return &ContentError{Err: err}
	}
	before := data[:offset]
	return &ContentError{
		Line:   1 + bytes.Count(before, []byte{'\n'}),
		Column: max(1, len(before)-1-bytes.LastIndexByte(before, '\n')), Err: err,
	}
}

// Encode writes profiles as a file that Decode reads. Errors: a profile that
// cannot be.
func Encode(profiles []Profile) ([]byte, error) {
	f := file{Schema: Schema, Mats: []fileEntry{}}
	for _, p := range profiles {
		p, err := p.check()
		if err != nil {
			return nil, err
		}
		f.Mats = append(f.Mats, p.entry())
	}
	data, err := json.MarshalIndent(f, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("the mat profiles could not be written out: %w", err)
	}
	return append(data, '\n'), nil
}

func (p Profile) entry() fileEntry {
	e := fileEntry{
		Name: p.Name, PitchMM: p.PitchMM, Lines: p.Kind,
		XFactor: p.XFactor, YFactor: p.YFactor, XSigma: p.SigmaX, YSigma: p.SigmaY,
		Columns: p.Columns, Rows: p.Rows, MeasuredOn: p.MeasuredOn, Note: p.Note,
	}
	if p.Ground != nil {
		e.Ground = p.Ground.String()
	}
	if p.Line != nil {
		e.Line = p.Line.String()
	}
	return e
}
