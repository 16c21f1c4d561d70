// Command sweep measures how well photographs are squared up: it draws scenes
// over a range of tilt, lens, coverage and noise, squares each up from the
// photograph alone, and compares the result with the camera that drew it. It
// prints a table and draws two pictures: the distribution of the errors, and
// the errors of one scene over its mat. The same arguments give the same
// numbers.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"flatwright/rectify/scene"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// settings are the command line's.
type settings struct {
	scenes       int
	megapixels   float64
	dir, csv     string
	jobs         int
	photo, mapOf int
	only         int
	hard         bool
	thickMM      float64
	sheet        string
}

func parse() (settings, error) {
	var s settings
	flag.IntVar(&s.scenes, "n", 60, "`number` of scenes")
	flag.Float64Var(&s.megapixels, "mp", 8, "`megapixels` of the photographs")
	flag.StringVar(&s.dir, "out", ".", "`directory` for sweep.png and map.png")
	flag.StringVar(&s.csv, "csv", "", "`file` for the numbers of every scene")
	flag.IntVar(&s.jobs, "jobs", runtime.NumCPU(), "`number` of scenes worked on at a time")
	flag.BoolVar(&s.hard, "hard", false, "also deal out faint and coloured lines, tiled floors, diagonals and cropped mats")
	flag.Float64Var(&s.thickMM, "thick", 0, "pieces are foam this many `mm` thick, and the errors those of their top faces")
	flag.StringVar(&s.sheet, "sheet", "", "square up from a sheet of this `size`, A4, A3 or Letter, instead of a mat; its corners are clicked")
	flag.IntVar(&s.photo, "photo", -1, "only write the photograph of this scene `number` and its truth, as scene-N.jpg")
	flag.IntVar(&s.only, "only", -1, "work on this scene `number` alone; below 0 all")
	flag.IntVar(&s.mapOf, "map", -1, "scene `number` that map.png shows; below 0 takes the one with the median error")
	flag.Parse()
	switch {
	case s.scenes < 1:
		return s, fmt.Errorf("-n %d: a sweep needs a scene at least", s.scenes)
	case !(s.megapixels >= 0.3 && s.megapixels <= 50):
		return s, fmt.Errorf("-mp %g: photographs have from 0.3 to 50 megapixels", s.megapixels)
	case !(s.thickMM >= 0 && s.thickMM < 100):
		return s, fmt.Errorf("-thick %g: foam is from 0 to 100 mm thick", s.thickMM)
	case s.jobs < 1:
		return s, fmt.Errorf("-jobs %d: at least one scene must be worked on", s.jobs)
	case max(s.photo, s.mapOf, s.only) >= s.scenes:
		return s, fmt.Errorf("scenes are numbered from 0 to %d", s.scenes-1)
	}
	return s, nil
}

func run() error {
	s, err := parse()
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	cases, err := s.cases()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(s.dir, 0o755); err != nil {
		return fmt.Errorf("the directory for the pictures cannot be made: %w", err)
	}
	if s.photo >= 0 {
		return writePhoto(ctx, cases[s.photo], s)
	}
	if s.only >= 0 {
		cases = cases[s.only : s.only+1]
	}
	started := time.Now()
	results, err := measureAll(ctx, cases, s)
	if err != nil {
		return err
	}
	fmt.Fprintf(os.Stderr, "\r%d scenes of %.1f megapixels in %.0f s\n", len(results), s.megapixels, time.Since(started).Seconds())
	return s.report(results)
}

// cases are the scenes that the settings ask for.
func (s *settings) cases() ([]testCase, error) {
	out := plan(s.scenes)
	if s.hard {
		harden(out)
	}
	sheet, ok := map[string]*scene.Sheet{
		"": nil, "A4": &scene.SheetA4, "A3": &scene.SheetA3, "LETTER": &scene.SheetLetter,
	}[strings.ToUpper(s.sheet)]
	if !ok {
		return nil, fmt.Errorf("-sheet %s: give A4, A3 or Letter", s.sheet)
	}
	for i := range out {
		out[i].thickMM, out[i].sheet = s.thickMM, sheet
	}
	return out, nil
}

// report prints the table and writes the numbers and the pictures.
func (s *settings) report(results []result) error {
	writeTable(os.Stdout, results)
	if s.csv != "" {
		if err := writeCSV(s.csv, results); err != nil {
			return err
		}
	}
	picture, err := curves(results)
	if err := writePNG(filepath.Join(s.dir, "sweep.png"), picture, err); err != nil {
		return err
	}
	shown := mapped(results, s.mapOf)
	if shown == nil {
		return nil // nothing was squared up
	}
	picture, err = errorMap(shown)
	return writePNG(filepath.Join(s.dir, "map.png"), picture, err)
}

// writePhoto draws a scene's photograph and truth for a closer look.
func writePhoto(ctx context.Context, c testCase, s settings) error {
	spec := c.spec(s.megapixels)
	p, err := scene.Render(ctx, spec)
	if err != nil {
		return err
	}
	name := filepath.Join(s.dir, fmt.Sprintf("scene-%d", c.number))
	picture, err := os.Create(name + ".jpg")
	if err != nil {
		return fmt.Errorf("the photograph cannot be written: %w", err)
	}
	defer picture.Close()
	tags := scene.Tags{Orientation: spec.Sensor.Orientation, Focal35MM: spec.Sensor.Focal35MM}
	if err := scene.EncodeJPEG(picture, p, spec.Sensor.Quality, tags); err != nil {
		return err
	}
	truth, err := os.Create(name + ".truth.json")
	if err != nil {
		return fmt.Errorf("the truth cannot be written: %w", err)
	}
	defer truth.Close()
	if err := spec.Truth().WriteJSON(truth); err != nil {
		return err
	}
	if err := truth.Close(); err != nil {
		return fmt.Errorf("the truth cannot be written: %w", err)
	}
	return picture.Close()
}
