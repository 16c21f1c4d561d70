package report

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
)

// Squaring is what is told of a photograph that was squared up and no more:
// the same keys as in a Report.
type Squaring struct {
	Photo       Photo       `json:"photo"`
	Calibration Calibration `json:"calibration"`
	Problems    []Finding   `json:"problems"`
	Timings     []Timing    `json:"timings"`
}

// WriteSquaring writes it as JSON, rounded as Write does. It fails, before
// writing, when a number is not finite.
func WriteSquaring(w io.Writer, s Squaring) error {
	r := rounded(Report{Calibration: s.Calibration, Problems: s.Problems, Timings: s.Timings})
	data, err := json.MarshalIndent(Squaring{s.Photo, r.Calibration, r.Problems, r.Timings}, "", "  ")
	if err != nil {
		return fmt.Errorf("the report could not be made: %w", err)
	}
	if _, err := w.Write(append(data, '\n')); err != nil {
		return fmt.Errorf("the report could not be written: %w", err)
	}
	return nil
}

// TextSquaring writes it for people.
func TextSquaring(w io.Writer, s Squaring) error {
	var b strings.Builder
	textPhoto(&b, s.Photo, s.Calibration, "over the mat")
	textFindings(&b, "Problems", s.Problems)
	_, err := io.WriteString(w, b.String())
	return err
}
