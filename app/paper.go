package main

import (
	"flag"
	"fmt"
	"strings"

	"flatwright/app/desk/units"
	"flatwright/export/page"
)

// paperTexts are the options on paper as they were written.
type paperTexts struct {
	paper, layout, orientation, margin, overlap, printed string
}

// register adds the options on paper to a command.
func (x *paperTexts) register(fs *flag.FlagSet) {
	fs.StringVar(&x.paper, "paper", "a4", "paper: a0 to a5, letter, legal, tabloid, `WIDTHxHEIGHT` in mm (or 24x36in), or a roll by its width, roll610 or roll24in")
	fs.StringVar(&x.layout, "layout", "laid", "how pieces lie on the sheets, a `way`: laid (as on the mat) or packed (turned and packed on the fewest sheets)")
	fs.StringVar(&x.orientation, "orientation", "auto", "how the paper lies, a `way`: auto (whichever needs fewer sheets), portrait or landscape")
	fs.StringVar(&x.margin, "margin", "10mm", "`width` left free on every side of a sheet, 5 to 60 mm")
	fs.StringVar(&x.overlap, "overlap", "10mm", "`width` of the strip that neighbouring sheets share, 0 to 40 mm")
	fs.StringVar(&x.printed, "printed", "", "what the 100 mm square of an earlier cover measured, `WIDTHxHEIGHT`mm: along the paper's shorter side, then its longer; this print is corrected by it")
}

// read returns how the pattern is laid out on paper.
func (x *paperTexts) read() (page.Setup, error) {
	s := page.DefaultSetup()
	var err error
	if s.Paper, err = page.PaperByName(x.paper); err != nil {
		return s, &usageError{fmt.Sprintf("--paper: %v", err)}
	}
	switch strings.ToLower(strings.TrimSpace(x.layout)) {
	case "laid":
	case "packed":
		s.Packed = true
	default:
		return s, &usageError{fmt.Sprintf("--layout %q is neither laid nor packed", x.layout)}
	}
	s.Orientation = page.Orientation(strings.ToLower(strings.TrimSpace(x.orientation)))
	if s.MarginMM, err = units.ParseLength(x.margin, 1); err != nil {
		return s, badLength(err, fmt.Sprintf("--margin %q is not a length; write it like 10mm", x.margin))
	}
	if s.OverlapMM, err = units.ParseFromZero(x.overlap, 1); err != nil {
		return s, badLength(err, fmt.Sprintf("--overlap %q is not a length; write it like 10mm", x.overlap))
	}
	if x.printed != "" {
		if s.Printer, err = page.PrinterOf(strings.ReplaceAll(x.printed, ",", ".")); err != nil {
			return s, &usageError{fmt.Sprintf("--printed: %v", err)}
		}
	}
	if err := s.Check(); err != nil {
		return s, &usageError{fmt.Sprintf("the paper cannot be used: %v", err)}
	}
	return s, nil
}
