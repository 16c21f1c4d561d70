package main

import (
	"flag"
	"fmt"
	"io"
	"strings"

	"flatwright/export"
	"flatwright/export/dxf"
	"flatwright/export/page"
)

// makeArguments are the make command's options, checked.
type makeArguments struct {
	photos      []string
	squaring    *squaring
	outDir      string
	setup       page.Setup
	files       export.Options
	thicknessMM float64
	toleranceMM float64
	name        string
	author      string
	project     string
	picture     string
	picturePage int
	json        bool
	quiet       bool
}

const (
	// maxThicknessMM is the thickest sheet that is taken for one.
	maxThicknessMM = 200
	// leastToleranceMM and mostToleranceMM bound how far a curve may lie from the
	// outline traced.
	leastToleranceMM = 0.01
	mostToleranceMM  = 5.0
)

const makeUsage = `flatwright make PHOTO... --pitch 1in|10mm|… --out DIR

Squares each photograph up from the mat's printed lines, traces the pieces,
and writes pattern.pdf, pattern.svg, pattern.dxf and report.json into DIR.

`

// parseMake reads the make command's arguments. Options may stand before,
// between and after the photographs. It returns flag.ErrHelp when help was
// asked for and printed to out.
func parseMake(args []string, out io.Writer) (makeArguments, error) {
	var a makeArguments
	fs := flag.NewFlagSet("make", flag.ContinueOnError)
	x := a.register(fs)
	var err error
	if a.photos, err = parseMixed(fs, args, makeUsage, out); err != nil {
		return a, err
	}
	if err := a.check(x); err != nil {
		return a, err
	}
	a.setup, err = x.paper.read()
	return a, err
}

// makeTexts are the make command's options as they were written.
type makeTexts struct {
	squaring                  squaringTexts
	paper                     paperTexts
	dxf, thickness, tolerance string
}

// register adds the options to a command's.
func (a *makeArguments) register(fs *flag.FlagSet) *makeTexts {
	x := &makeTexts{}
	x.squaring.register(fs)
	fs.StringVar(&a.outDir, "out", "", "`folder` to write to; made when missing")
	x.paper.register(fs)
	fs.StringVar(&x.dxf, "dxf", "splines", "how pattern.dxf is written, a `form`: splines (exact), polylines, r12 (polylines for old cutters), or none")
	fs.StringVar(&x.thickness, "thickness", "", "`thickness` of the sheet the pieces will be cut from, for bevels: 10mm, 3/8in, …")
	fs.StringVar(&x.tolerance, "tolerance", "0.15mm", "how far a curve may lie from the traced outline, a `length`")
	fs.BoolVar(&a.files.Bundle, "bundle", false, "also write pattern.zip, with all that another maker needs")
	fs.StringVar(&a.name, "name", "", "the pattern's `name`; the first photograph's when left out")
	fs.StringVar(&a.author, "author", "", "the maker's `name`, for the files' properties; none when left out")
	fs.StringVar(&a.project, "project", "", "also keep all of it, photographs included, in this project `file`, like helmet.flatwright")
	fs.StringVar(&a.picture, "picture", "", "also draw one printed page to this PNG `file`")
	fs.IntVar(&a.picturePage, "picture-page", 1, "which `page` that is, counted from the cover")
	fs.BoolVar(&a.json, "json", false, "print the report as JSON on standard output")
	fs.BoolVar(&a.quiet, "quiet", false, "print nothing but errors")
	return x
}

// check reads the options that are more than text.
func (a *makeArguments) check(x *makeTexts) error {
	if len(a.photos) == 0 {
		return &usageError{"no photograph given; see flatwright make --help"}
	}
	var err error
	if a.squaring, err = x.squaring.read(len(a.photos)); err != nil {
		return err
	}
	switch {
	case a.outDir == "":
		return &usageError{"say where to write, for instance --out pattern"}
	case a.picturePage < 1:
		return &usageError{"--picture-page counts from 1, the cover"}
	}
	if a.toleranceMM, err = readLength(x.tolerance, mostToleranceMM); err != nil || a.toleranceMM < leastToleranceMM {
		return badLength(err, fmt.Sprintf("--tolerance %q is not a length from %g mm to %g mm; write it like 0.15mm", x.tolerance, leastToleranceMM, mostToleranceMM))
	}
	if a.thicknessMM, err = readThickness(x.thickness); err != nil {
		return err
	}
	switch f := dxf.Form(strings.ToLower(x.dxf)); f {
	case dxf.Splines, dxf.Polylines, dxf.R12:
		a.files.DXF = f
	case "none":
	default:
		return &usageError{fmt.Sprintf("--dxf %q is none of splines, polylines, r12, none", x.dxf)}
	}
	if a.name == "" {
		a.name = nameOf(a.photos[0])
	}
	return nil
}

// readThickness reads the thickness of a sheet; nothing is 0.
func readThickness(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	mm, err := readLength(text, maxThicknessMM)
	if err != nil {
		return 0, badLength(err, fmt.Sprintf("--thickness %q is not a thickness up to %d mm; write it like 10mm or 3/8in", text, maxThicknessMM))
	}
	return mm, nil
}

// nameOf is a file's base name without its extension.
func nameOf(path string) string {
	if i := strings.LastIndexAny(path, `/\`); i >= 0 {
		path = path[i+1:]
	}
	if i := strings.LastIndexByte(path, '.'); i > 0 {
		path = path[:i]
	}
	return path
}
