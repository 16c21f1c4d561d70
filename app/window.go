package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"

	"flatwright/app/desk"
	"flatwright/app/desk/units"
	"flatwright/app/locale/numbers"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/rectify/photo/intake"
	"flatwright/trace"
)

// openWindow opens the window, on a photograph when one is named.
func openWindow(args []string) error {
	o, err := parseWindow(args)
	if err != nil {
		return err
	}
	if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
		return fmt.Errorf("there is no display to open a window on; flatwright make does the job without one")
	}
	o.DemoPath = demoPath()
	return desk.Run(o)
}

// parseWindow reads the window's arguments.
func parseWindow(args []string) (desk.Options, error) {
	o := desk.Options{
		Job: bench{pages: newPageStore()}, Mats: cupboard{}, DemoPitchMM: units.MMPerInch,
		Papers: windowPapers(), DecimalComma: numbers.DecimalComma(),
	}
	fs := flag.NewFlagSet("flatwright", flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	var x windowTexts
	x.register(fs)
	for len(args) > 0 {
		if err := fs.Parse(args); err != nil {
			return o, badFlags(err, "help")
		}
		if args = fs.Args(); len(args) > 0 {
			if o.StartFile != "" {
				return o, &usageError{fmt.Sprintf("%q is neither a command nor the only photograph; see flatwright help", args[0])}
			}
			o.StartFile, args = args[0], args[1:]
		}
	}
	if x.picture == "" {
		o.Keep = keeping()
	}
	if err := checkWindow(&o, &x); err != nil {
		return o, err
	}
	return o, pressed(&o.Screenshot, x.press, x.rung)
}

// windowTexts are the window's options as they were written.
type windowTexts struct {
	pitch, appearance, picture, cut, thickness, press string
	rung                                              int
}

// register adds the options to the window's.
func (x *windowTexts) register(fs *flag.FlagSet) {
	fs.StringVar(&x.pitch, "pitch", "", "distance between the mat's `lines`: 1in, 10mm, …")
	fs.StringVar(&x.appearance, "appearance", "", "light or dark; the system's when left out")
	fs.StringVar(&x.picture, "picture", "", "save a picture of the window to this PNG `file` once the work is done, and quit")
	fs.StringVar(&x.cut, "cut", "", "give an `edge` this cut before the picture: A2=B45, …")
	fs.StringVar(&x.thickness, "thickness", "", "give its piece this `thickness` before the picture: 10mm, …")
	fs.StringVar(&x.press, "press", "", "press these `keys` before the picture: ra, …")
	fs.IntVar(&x.rung, "rung", 0, "show this rung in the picture, 1 to 6")
}

// pressed reads what is done in the window before its picture is taken.
func pressed(s *desk.Screenshot, keys string, rung int) error {
	switch {
	case s.Path == "" && (keys != "" || rung != 0):
		return &usageError{"--press and --rung go with --picture"}
	case rung < 0 || rung > 6:
		return &usageError{fmt.Sprintf("--rung %d is none of the six, 1 to 6", rung)}
	}
	s.Keys, s.Stage = keys, rung
	return nil
}

// checkWindow reads the window's options that are more than text.
func checkWindow(o *desk.Options, x *windowTexts) (err error) {
	if x.pitch != "" {
		if o.PitchMM, err = readPitch(x.pitch); err != nil {
			return err
		}
	}
	o.Appearance = x.appearance
	switch o.Appearance {
	case "", "light", "dark":
	default:
		return &usageError{fmt.Sprintf("--appearance %q is neither light nor dark", o.Appearance)}
	}
	if o.StartFile != "" {
		_, err := os.Stat(o.StartFile)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return &usageError{fmt.Sprintf("%s is neither a command nor a file that is there; see flatwright help", o.StartFile)}
		case err != nil:
			return &usageError{fmt.Sprintf("%s is neither a command nor a photograph that can be opened (%v); see flatwright help", o.StartFile, err)}
		}
	}
	o.Screenshot, err = posed(x.picture, x.cut, x.thickness)
	return err
}

// bench is the work behind the window.
type bench struct{ pages *pageStore }

var (
	_ desk.Job         = bench{}
	_ desk.PageCounter = bench{}
	_ desk.KindReader  = bench{}
)

// Open reads a photograph.
func (bench) Open(ctx context.Context, path string) (*photo.Photo, error) {
	return intake.Open(ctx, path)
}

// SquareUp solves the camera.
func (bench) SquareUp(ctx context.Context, p *photo.Photo, o rectify.Options) (*rectify.Squared, error) {
	return rectify.SquareUp(ctx, p, o)
}

// Snap moves a click to the crossing beside it.
func (bench) Snap(p *photo.Photo, near photo.Point) (photo.Point, bool) { return rectify.Snap(p, near) }

// Kinds tells which spacings of lines the mat is printed with.
func (bench) Kinds(s *rectify.Squared) []desk.LineKind {
	g := s.Grid
	var out []desk.LineKind
	for _, k := range g.Kinds {
		if k.EveryPitch > 0 {
			out = append(out, desk.LineKind{
				Across: int(float64(g.MaxColumn-g.MinColumn)/k.EveryPitch + 1e-6),
				Down:   int(float64(g.MaxRow-g.MinRow)/k.EveryPitch + 1e-6),
			})
		}
	}
	return out
}

// Trace makes the pattern.
func (bench) Trace(ctx context.Context, s *rectify.Squared, o trace.Options) (*trace.Traced, error) {
	return trace.Trace(ctx, s, o)
}
