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
	// Picture is the flattened picture, nil when none was wanted.
	Picture *Picture `json:"picture"`
	Timings []Timing `json:"timings"`
}

// Picture is a photograph flattened to scale: the size of its pixels, and
// where on the mat the middle of its first pixel lies.
type Picture struct {
	File    string  `json:"file"`
	MMPerPx float64 `json:"mm_per_px"`
	Left    float64 `json:"left_mm"`
	Top     float64 `json:"top_mm"`
}

// WriteSquaring writes it as JSON, rounded as Write does. It fails, before
// writing, when a number is not finite.
func WriteSquaring(w io.Writer, s Squaring) error {
	r := rounded(Report{Calibration: s.Calibration, Problems: s.Problems, Timings: s.Timings})
	s.Calibration, s.Problems, s.Timings = r.Calibration, r.Problems, r.Timings
	data, err := json.MarshalIndent(s, "", "  ")
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
	if s.Picture != nil {
		fmt.Fprintf(&b, "Wrote %s, %s mm a pixel.\n", baseName(s.Picture.File), shortest(s.Picture.MMPerPx))
	}
	_, err := io.WriteString(w, b.String())
	return err
}
