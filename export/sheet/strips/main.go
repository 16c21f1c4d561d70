// Command strips packs the public sets of strip packing and prints how dense
// the layouts are beside the published runs.
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"flatwright/export/sheet/nest"
	"flatwright/export/sheet/nest/stripset"
)

func main() {
	dir := flag.String("sets", "../shared/reference/nesting", "folder with the sets")
	only := flag.String("only", "", "names of sets, separated by commas")
	limit := flag.Duration("time", 60*time.Second, "time for each; 0 for none")
	moves := flag.Int("moves", 0, "pieces moved for each; 0 for no bound")
	seed := flag.Uint64("seed", 1, "seed")
	keep := flag.String("keep", "", "folder for the layouts, as JSON for an outside check")
	quiet := flag.Bool("quiet", false, "no progress")
	flag.Parse()
	if err := run(*dir, *only, *keep, *quiet, nest.Options{Seed: *seed, Moves: *moves, Time: *limit}); err != nil {
		fmt.Fprintln(os.Stderr, "strips:", err)
		os.Exit(1)
	}
}

func run(dir, only, keep string, quiet bool, o nest.Options) error {
	paths, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil || len(paths) == 0 {
		return fmt.Errorf("there are no sets in %s; name the folder with -sets", dir)
	}
	fmt.Printf("%-9s %6s %9s %10s %8s %8s %7s %8s\n", "set", "pieces", "moves", "length", "density", "mean", "less", "s")
	for _, path := range paths {
		set, err := stripset.Read(path)
		if err != nil {
			return err
		}
		if only != "" && !strings.Contains(","+only+",", ","+set.Name+",") {
			continue
		}
		if err := pack(set, keep, quiet, o); err != nil {
			return err
		}
	}
	return nil
}

func pack(set stripset.Set, keep string, quiet bool, o nest.Options) error {
	if !quiet {
		o.Progress = func(p nest.Progress) {
			fmt.Fprintf(os.Stderr, "\r%s %3.0f %% %8d moves %6.2f %%  ", set.Name, 100*p.Share, p.Moves, stripset.DensityPercent(set.Problem, p.LengthMM))
		}
	}
	start := time.Now()
	r, err := nest.Solve(context.Background(), set.Problem, o)
	if err != nil {
		return err
	}
	d := stripset.DensityPercent(set.Problem, r.LengthMM)
	if !quiet {
		fmt.Fprint(os.Stderr, "\r")
	}
	fmt.Printf("%-9s %6d %9d %10.3f %8.2f %8.2f %7.2f %8.1f\n", set.Name, len(r.Placements), r.Moves, r.LengthMM,
		d, set.MeanDensity, set.MeanDensity-d, time.Since(start).Seconds())
	if keep == "" {
		return nil
	}
	data, err := json.Marshal(placed(set, r))
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(keep, set.Name+".json"), data, 0o644)
}

// layout is what an outside check reads: the strip, and polygons as placed.
type layout struct {
	Width, Length float64
	Polygons      [][][2]float64
}

func placed(set stripset.Set, r nest.Result) layout {
	out := layout{Width: set.Problem.StripWidthMM, Length: r.LengthMM}
	for _, p := range r.Placements {
		var ring [][2]float64
		for _, v := range set.Problem.Pieces[p.Piece].Shape.Placed(p.TurnDeg, p.ShiftMM).Outline {
			ring = append(ring, [2]float64{v.X, v.Y})
		}
		out.Polygons = append(out.Polygons, ring)
	}
	return out
}
