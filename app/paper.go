package main

import (
	"flag"
	"fmt"
	"strings"

	"flatwright/export/page"
)

// paperTexts are the options on paper as they were written.
type paperTexts struct {
	paper, layout, orientation, margin, overlap, printed string
}

// register adds the options on paper to a command.
func (x *paperTexts) register(fs *flag.FlagSet) {
	fs.StringVar(&x.paper, "paper", "a4", "paper: a0 to a5, letter, legal, tabloid, `WIDTHxHEIGHT` like 610x914mm or 24x36in, or a roll by its width, roll610mm or roll24in")
	fs.StringVar(&x.layout, "layout", "laid", "how pieces lie on the sheets, a `way`: laid (as on the mat) or packed (turned and packed on the fewest sheets)")
	fs.StringVar(&x.orientation, "orientation", "auto", "how the paper lies, a `way`: auto (whichever needs fewer sheets), portrait or landscape")
	fs.StringVar(&x.margin, "margin", "10mm", "`width` left free on every side of a sheet, 5 to 60 mm")
	fs.StringVar(&x.overlap, "overlap", "10mm", "`width` of the strip that neighbouring sheets share, 0 to 40 mm")
	fs.StringVar(&x.printed, "printed", "", "what the 100 mm square of an earlier cover measured, `WIDTHxHEIGHT` like 99.6x100.1mm: along the paper's shorter side, then its longer; this print is corrected by it")
}

// read returns how the pattern is laid out on paper, which can be printed.
func (x *paperTexts) read() (page.Setup, error) {
	s, err := x.parse()
	if err != nil {
		return s, err
	}
	return s, checkPaper(s)
}

// checkPaper says why a paper cannot be printed on; nil when it can.
func checkPaper(s page.Setup) error {
	if err := s.Check(); err != nil {
		return &usageError{fmt.Sprintf("the paper cannot be used: %v", err)}
	}
	return nil
}

// parse reads the options one by one.
func (x *paperTexts) parse() (page.Setup, error) {
	s := page.DefaultSetup()
	var err error
	if s.Paper, err = readPaper(x.paper); err != nil {
		return s, err
	}
	switch strings.ToLower(strings.TrimSpace(x.layout)) {
	case "laid":
	case "packed":
		s.Packed = true
	default:
		return s, &usageError{fmt.Sprintf("--layout %q is neither laid nor packed", x.layout)}
	}
	switch s.Orientation = page.Orientation(strings.ToLower(strings.TrimSpace(x.orientation))); s.Orientation {
	case page.Auto, page.Portrait, page.Landscape:
	default:
		return s, &usageError{fmt.Sprintf("--orientation %q is none of auto, portrait, landscape", x.orientation)}
	}
	if s.MarginMM, err = readLength(x.margin, longestMM); err != nil {
		return s, badLength(err, fmt.Sprintf("--margin %q is not a length; write it like 10mm or 3/8in", x.margin))
	}
	if s.OverlapMM, err = readFromZero(x.overlap, longestMM); err != nil {
		return s, badLength(err, fmt.Sprintf("--overlap %q is not a length; write it like 10mm or 3/8in", x.overlap))
	}
	if x.printed != "" {
		s.Printer, err = readPrinted(x.printed)
	}
	return s, err
}
