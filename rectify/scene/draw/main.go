// Command draw makes a test photograph and its truth: a JPEG and a JSON file
// of the same name.
package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// choices are what the command line asks for.
type choices struct {
	demo    bool
	seed    uint64
	sheet   string
	bumpMM  float64
	out     string
	tilt    float64
	options scene.RandomOptions
}

func parse() choices {
	var c choices
	o := &c.options
	flag.BoolVar(&c.demo, "demo", false, "draw the demo scene instead of a random one")
	flag.Uint64Var(&c.seed, "seed", 1, "`number` of the random scene")
	flag.StringVar(&c.sheet, "sheet", "", "draw a plain sheet of this `size` instead of a mat: A4, A3, Letter, or 200x300 in mm")
	flag.Float64Var(&o.Megapixels, "mp", 0, "`megapixels` of the photograph; 0 lets the scene choose")
	flag.Float64Var(&o.ThicknessMM, "thick", 0, "draw the pieces as foam this many `mm` thick; 0 for tape")
	flag.Float64Var(&o.Coverage, "cover", 0, "`part` of the mat's crossings under pieces, up to 0.75; 0 lets the scene choose")
	flag.BoolVar(&o.Packed, "packed", false, "with -cover, leave a part of the mat free and cover the rest")
	flag.IntVar(&o.SidesOut, "sides-out", 0, "`number` of the mat's sides out of the frame, 1 to 3; 0 lets the scene choose")
	flag.StringVar(&o.MatColour, "colour", "", "`name` of the mat's colour: green, blue, black, grey, pink")
	flag.Float64Var(&o.PitchMM, "pitch", 0, "distance of the mat's lines in `mm`; 0 lets the scene choose")
	flag.IntVar(&o.MinorPerPitch, "minor", 0, "`number` of divisions of a pitch; 0 lets the scene choose")
	flag.Float64Var(&o.LineContrast, "contrast", 0, "grey `levels` between mat and lines; 0 lets the scene choose")
	flag.BoolVar(&o.Isoluminant, "iso", false, "lines that differ from the mat in colour only")
	flag.BoolVar(&o.AllDiagonals, "diagonals", false, "print every guide line")
	flag.BoolVar(&o.TiledFloor, "tiles", false, "lay the mat on a tiled floor")
	flag.BoolVar(&o.AnyRoll, "any-roll", false, "turn the camera by any angle about its axis")
	flag.Float64Var(&o.StretchX, "stretch-x", 0, "`factor` by which the print is too large along x")
	flag.Float64Var(&o.StretchY, "stretch-y", 0, "`factor` by which the print is too large along y")
	flag.Float64Var(&c.bumpMM, "bump", 0, "height in `mm` by which a corner of the mat curls up")
	flag.Float64Var(&c.tilt, "tilt", -1, "tilt of the camera in `degrees`; below 0 lets the scene choose")
	flag.Float64Var(&o.Noise, "noise", 0, "sensor noise in grey `levels`; 0 lets the scene choose")
	flag.StringVar(&c.out, "out", "scene.jpg", "JPEG `file`; the truth goes beside it as .truth.json")
	flag.Parse()
	if c.tilt >= 0 {
		o.TiltDeg = &c.tilt
	}
	return c
}

func run() error {
	c := parse()
	spec, err := c.spec()
	if err != nil {
		return err
	}
	spec.Name = filepath.Base(c.out)
	return write(spec, c.out)
}

// spec is the scene asked for.
func (c *choices) spec() (scene.Spec, error) {
	switch {
	case c.demo && c.options.Megapixels > 0:
		return scene.Demo().Resized(c.options.Megapixels), nil
	case c.demo:
		return scene.Demo(), nil
	case c.sheet != "":
		sheet, err := sheetOf(c.sheet)
		return scene.RandomSheet(c.seed, sheet, c.options), err
	case c.bumpMM != 0:
		// Curled up within a hand's breadth of the corner.
		c.options.Bump = scene.Bump{At: mat.Point{}, AmplitudeMM: c.bumpMM, RadiusMM: 120}
	}
	return scene.Random(c.seed, c.options), nil
}

// sheetOf reads a sheet's size.
func sheetOf(size string) (scene.Sheet, error) {
	switch strings.ToLower(size) {
	case "a4":
		return scene.SheetA4, nil
	case "a3":
		return scene.SheetA3, nil
	case "letter":
		return scene.SheetLetter, nil
	}
	s := scene.SheetA4
	if _, err := fmt.Sscanf(size, "%gx%g", &s.WidthMM, &s.HeightMM); err != nil || !(s.WidthMM > 0 && s.HeightMM > 0) {
		return s, fmt.Errorf("%q is no sheet: give A4, A3, Letter, or a width and height in mm like 200x300", size)
	}
	return s, nil
}

// write draws the scene; nothing is written unless all of it could be made.
func write(spec scene.Spec, path string) error {
	p, err := scene.Render(context.Background(), spec)
	if err != nil {
		return err
	}
	var picture, truth bytes.Buffer
	tags := scene.Tags{Orientation: spec.Sensor.Orientation, Focal35MM: spec.Sensor.Focal35MM}
	if err := scene.EncodeJPEG(&picture, p, spec.Sensor.Quality, tags); err != nil {
		return err
	}
	if err := spec.Truth().WriteJSON(&truth); err != nil {
		return err
	}
	if err := os.WriteFile(path, picture.Bytes(), 0o644); err != nil {
		return fmt.Errorf("the picture could not be written: %w", err)
	}
	truthPath := strings.TrimSuffix(path, filepath.Ext(path)) + ".truth.json"
	if err := os.WriteFile(truthPath, truth.Bytes(), 0o644); err != nil {
		return fmt.Errorf("the truth could not be written: %w", err)
	}
	fmt.Printf("%s: %d x %d px, %d pieces, %.1f MB\n", path, p.Width, p.Height,
		len(spec.Pieces), float64(picture.Len())/1e6)
	return nil
}
