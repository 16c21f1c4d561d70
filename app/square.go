package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"path/filepath"
	"time"

	"flatwright/export/page/lettering"
	"flatwright/export/report"
	"flatwright/rectify/photo/intake"
)

const squareUsage = `flatwright square PHOTO --pitch 1in|10mm|…

Squares a photograph up and says how well, without tracing it: for measuring a
mat with a steel rule, or seeing whether a photograph will do.

`

// squareArguments are the square command's options, checked.
type squareArguments struct {
	photo       string
	squaring    *squaring
	picture     string
	json, quiet bool
}

// parseSquare reads the square command's arguments. It returns flag.ErrHelp
// when help was asked for and printed to out.
func parseSquare(args []string, out io.Writer) (squareArguments, error) {
	var a squareArguments
	fs := flag.NewFlagSet("square", flag.ContinueOnError)
	x := a.register(fs)
	photos, err := parseMixed(fs, args, squareUsage, out)
	if err != nil {
		return a, err
	}
	if len(photos) == 0 {
		return a, &usageError{"no photograph given; see flatwright square --help"}
	}
	if len(photos) > 1 {
		return a, &usageError{fmt.Sprintf("square takes one photograph, not %d; see flatwright square --help", len(photos))}
	}
	a.photo = photos[0]
	a.squaring, err = x.read(1)
	return a, err
}

// register adds the options to a command's.
func (a *squareArguments) register(fs *flag.FlagSet) *squaringTexts {
	x := &squaringTexts{}
	x.register(fs)
	fs.StringVar(&a.picture, "picture", "", "save the mat, flattened to scale, to this PNG `file`")
	fs.BoolVar(&a.json, "json", false, "print the report as JSON")
	fs.BoolVar(&a.quiet, "quiet", false, "print nothing but errors")
	return x
}

// parseMixed reads options that may stand before, between and after plain
// words, which it returns. It returns flag.ErrHelp when help was asked for and
// printed to out.
func parseMixed(fs *flag.FlagSet, args []string, usage string, out io.Writer) (words []string, err error) {
	fs.SetOutput(io.Discard)
	for len(args) > 0 {
		err := fs.Parse(args)
		if errors.Is(err, flag.ErrHelp) {
			fmt.Fprint(out, usage)
			fs.SetOutput(out)
			fs.PrintDefaults()
			return nil, flag.ErrHelp
		}
		if err != nil {
			return nil, badFlags(err, fs.Name()+" --help")
		}
		if args = fs.Args(); len(args) > 0 {
			words, args = append(words, args[0]), args[1:]
		}
	}
	return words, nil
}

// runSquare squares one photograph up and reports.
func runSquare(ctx context.Context, args []string, out, errs io.Writer) error {
	a, err := parseSquare(args, out)
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	if err != nil {
		return err
	}
	ticker := newTicker(errs, a.quiet)
	defer ticker.close()
	ticker.photo(0, 1, filepath.Base(a.photo))
	clock := stopwatch{last: time.Now()}
	ticker.tell("opening", 0)
	p, err := intake.Open(ctx, a.photo)
	if err != nil {
		return err
	}
	clock.lap("open")
	s, err := a.squaring.squareUp(ctx, p, func(stage string, part float64) { ticker.tell(stage, 0.1+0.9*part) })
	if err != nil {
		return err
	}
	clock.lap("square up")
	var shown *report.Picture
	if a.picture != "" {
		if shown, err = writeFlat(ctx, a.picture, s.Squared); err != nil {
			return fmt.Errorf("saving the picture %s: %w", a.picture, err)
		}
	}
	ticker.close()
	kept, err := keep(a.squaring.learn(s.Squared))
	if err != nil {
		return err
	}
	r := report.Squaring{
		Photo:       photoOf(s.Photo),
		Calibration: s.calibration(nil), Problems: s.doubts, Picture: shown, Timings: clock.laps,
	}
	if err := printSquaring(out, r, a); err != nil {
		return err
	}
	return aside(errs, a.quiet, kept, a.squaring.hint(s.Squared))
}

func printSquaring(out io.Writer, r report.Squaring, a squareArguments) error {
	switch {
	case a.json:
		return report.WriteSquaring(out, r)
	case a.quiet:
		return nil
	}
	r.Photo.Name = lettering.OneLine(r.Photo.Name)
	return report.TextSquaring(out, r)
}

// aside prints sentences that are no part of the report.
func aside(errs io.Writer, quiet bool, sentences ...string) error {
	for _, s := range sentences {
		if s == "" || quiet {
			continue
		}
		if _, err := fmt.Fprintln(errs, s); err != nil {
			return err
		}
	}
	return nil
}
