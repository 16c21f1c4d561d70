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

	"flatwright/rectify/scene"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run() error {
	demo := flag.Bool("demo", false, "draw the demo scene instead of a random one")
	seed := flag.Uint64("seed", 1, "`number` of the random scene")
	mp := flag.Float64("mp", 0, "`megapixels` of the photograph; 0 lets the scene choose")
	thick := flag.Float64("thick", 0, "draw the pieces as foam this many `mm` thick; 0 for tape")
	out := flag.String("out", "scene.jpg", "JPEG `file`; the truth goes beside it as .truth.json")
	flag.Parse()
	spec := scene.Random(*seed, scene.RandomOptions{Megapixels: *mp, ThicknessMM: *thick})
	if *demo {
		spec = scene.Demo()
		if *mp > 0 {
			spec = spec.Resized(*mp)
		}
	}
	spec.Name = filepath.Base(*out)
	return write(spec, *out)
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
