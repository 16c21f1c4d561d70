// Testmain opens the window on the practice bench, without picture analysis:
// for the end-to-end test and for trying the window out.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"slices"
	"time"

	"flatwright/app/desk"
	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/pdf"
	"flatwright/rectify"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// printCuts prints the pieces and the leaning cuts in one line.
func printCuts(p pattern.Pattern) {
	fmt.Printf("%d pieces", len(p.Pieces))
	for _, x := range p.Pieces {
		for _, e := range x.Edges {
			if e.Cut.Kind != pattern.Straight {
				fmt.Printf(" %s=%s%g", e.ID, e.Cut.Kind, e.Cut.AngleDeg)
			}
		}
	}
	for _, m := range p.Seams {
		fmt.Printf(" %s=%s~%s", m.ID, m.A[0].Edge, m.B[0].Edge)
	}
	fmt.Println()
}

// printing is the practice job with the program's own PDF.
type printing struct{ *practice.Job }

// Export writes the PDF and says where.
func (printing) Export(_ context.Context, path string, x session.Printout) error {
	setup := page.DefaultSetup()
	var err error
	if setup.Paper, err = page.PaperByName(x.Print.Paper); err != nil {
		return err
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	if err := pdf.Write(f, draw.Document{Title: "practice", Pattern: x.Pattern, Setup: setup}); err != nil {
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	fmt.Println("saved", path)
	return nil
}

// crowded is the practice job with 5,000 outline segments.
type crowded struct{ printing }

// Trace returns them wherever the mat lies.
func (crowded) Trace(context.Context, *rectify.Squared, trace.Options) (*trace.Traced, error) {
	return &trace.Traced{Pattern: practice.Crowded()}, nil
}

// countFrames returns what counts the pictures painted, and prints after every
// second with at least two of them how many a second there were, and the times
// between them, in ms, that half and all but a twentieth did not exceed.
func countFrames() func() {
	var gaps []time.Duration
	began, last := time.Time{}, time.Time{}
	return func() {
		now := time.Now()
		if pause := now.Sub(last); pause > time.Second {
			began, gaps = now, nil
		} else {
			gaps = append(gaps, pause)
		}
		last = now
		if took := now.Sub(began); took >= time.Second {
			slices.Sort(gaps)
			ms := func(part float64) float64 { return gaps[int(part*float64(len(gaps)-1))].Seconds() * 1e3 }
			fmt.Printf("frames %.1f %.1f %.1f\n", float64(len(gaps))/took.Seconds(), ms(0.5), ms(0.95))
			began, gaps = now, nil
		}
	}
}

func main() {
	var o desk.Options
	var j practice.Job
	var bevelDeg float64
	var frames bool
	flag.StringVar(&o.StartFile, "open", "", "any existing `file`: the practice photograph is drawn instead")
	flag.StringVar(&o.DemoPath, "demo", os.Args[0], "`file` behind the demo button")
	flag.Float64Var(&o.PitchMM, "pitch", 0, "distance between lines, `mm`")
	flag.StringVar(&o.Appearance, "appearance", "light", "light or dark")
	flag.StringVar(&o.Screenshot.Path, "screenshot", "", "PNG to `write`")
	flag.StringVar(&o.Screenshot.Edge, "edge", "", "edge to select")
	flag.Float64Var(&bevelDeg, "bevel", 0, "bevel of that edge, `degrees`")
	flag.Float64Var(&o.Screenshot.ThicknessMM, "thickness", 0, "thickness of its piece, `mm`")
	flag.BoolVar(&o.Screenshot.Flat, "flat", false, "show flat")
	flag.BoolVar(&o.Screenshot.Corners, "corners", false, "place corners")
	flag.IntVar(&o.Screenshot.Stage, "stage", 0, "rung to show, 1 to 6")
	flag.IntVar(&j.WidthPx, "width", 1600, "photograph's width, `px`")
	flag.BoolVar(&j.FailAlone, "fail", false, "squaring up by itself fails")
	flag.DurationVar(&j.StepDelay, "delay", 5*time.Millisecond, "time of a tenth of a step")
	flag.BoolVar(&frames, "frames", false, "5,000 segments, and count the pictures painted")
	flag.Parse()
	if bevelDeg > 0 {
		o.Screenshot.Cut = pattern.Cut{Kind: pattern.Bevel, AngleDeg: bevelDeg}
	}
	o.Changed = printCuts
	o.Job, o.DemoPitchMM = printing{&j}, practice.PitchMM
	if frames {
		o.Job, o.Painted = crowded{printing{&j}}, countFrames()
	}
	if err := desk.Run(o); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
