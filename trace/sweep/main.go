// Command sweep traces drawn photographs whose truth is known, and prints how
// well: outlines after one rigid motion of the whole sheet, pieces, openings,
// marks, curve nodes for every drawn edge. It can cut out the worst places.
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/rectify/photo/intake"
	"flatwright/rectify/scene"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// choices are what the command line asks for.
type choices struct {
	from    uint64
	n, crop int
	mp      float64
	out     string
	photos  []string
}

func parse() choices {
	var c choices
	flag.Uint64Var(&c.from, "from", 5001, "first `seed`")
	flag.IntVar(&c.n, "n", 12, "`number` of scenes; 0 when photographs are named")
	flag.Float64Var(&c.mp, "mp", 8, "`megapixels` of the photographs")
	flag.IntVar(&c.crop, "crop", 0, "cut out this `number` of worst places of every photograph")
	flag.StringVar(&c.out, "out", ".", "`directory` for what is cut out")
	flag.Parse()
	c.photos = flag.Args()
	return c
}

func run() error {
	c := parse()
	var all []result
	for _, name := range c.photos {
		r, err := fromFile(name)
		if err != nil {
			return err
		}
		all = append(all, c.tell(r))
	}
	if len(c.photos) == 0 {
		for k := range c.n {
			r, err := drawn(c.from+uint64(k), c.mp)
			if err != nil {
				return err
			}
			all = append(all, c.tell(r))
		}
	}
	fmt.Println(summary(all))
	return nil
}

// result is one photograph's outcome.
type result struct {
	name    string
	photo   *photo.Photo
	truth   scene.Truth
	pattern pattern.Pattern
	score   scene.Report
	sheetMM float64 // RMS error of the squaring up
	nodes   int
	edges   int
	took    time.Duration
	err     error
}

// drawn draws a scene and traces it.
func drawn(seed uint64, mp float64) (result, error) {
	spec := scene.Random(seed, scene.RandomOptions{Megapixels: mp})
	p, err := scene.Shoot(context.Background(), spec)
	if err != nil {
		return result{}, err
	}
	return work(fmt.Sprintf("seed %d", seed), p, spec.Truth()), nil
}

// fromFile traces a photograph whose truth lies beside it, as draw writes it.
func fromFile(name string) (result, error) {
	b, err := os.ReadFile(strings.TrimSuffix(name, filepath.Ext(name)) + ".truth.json")
	if err != nil {
		return result{}, err
	}
	var truth scene.Truth
	if err := json.Unmarshal(b, &truth); err != nil {
		return result{}, fmt.Errorf("%s: %w", name, err)
	}
	p, err := intake.Open(context.Background(), name)
	if err != nil {
		return result{}, err
	}
	return work(filepath.Base(name), p, truth), nil
}

// work squares up, traces and scores.
func work(name string, p *photo.Photo, truth scene.Truth) result {
	r := result{name: name, photo: p, truth: truth}
	s, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: truth.PitchMM})
	if err != nil {
		r.err = err
		return r
	}
	r.sheetMM, _ = scene.CameraError(truth, s.Fit)
	start := time.Now()
	t, err := trace.Trace(context.Background(), s, trace.Options{})
	r.took = time.Since(start)
	if err != nil {
		r.err = err
		return r
	}
	r.pattern = t.Pattern
	r.score = scene.Score(truth, outlines(t.Pattern))
	for _, f := range r.score.Pieces {
		r.nodes += t.Fits[f.Found].Nodes
	}
	for _, piece := range truth.Pieces {
		if !slices.Contains(r.score.Missing, piece.ID) {
			r.edges += max(len(piece.Corners), 1)
		}
	}
	return r
}

// outlines are a pattern's pieces as the score takes them.
func outlines(p pattern.Pattern) []scene.Outline {
	var out []scene.Outline
	for _, piece := range p.Pieces {
		o := scene.Outline{Polygon: piece.Outline.Flatten(0.01)}
		for _, h := range piece.Openings {
			o.Openings = append(o.Openings, h.Flatten(0.01))
		}
		for _, m := range piece.Marks {
			o.Marks = append(o.Marks, scene.Mark{At: m.At, In: m.In})
		}
		out = append(out, o)
	}
	return out
}
