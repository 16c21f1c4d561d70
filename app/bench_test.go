package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/pdf"
	"flatwright/export/svg"
	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat/grid"
	"flatwright/rectify/photo"
	"flatwright/rectify/photo/intake"
	"flatwright/trace"
)

// The demo photograph and the distance of its mat's lines.
const (
	benchPhoto   = "../assets/demo.jpg"
	benchPitchMM = 25.4
)

// BenchmarkDemo times each stage of the job on the demo photograph.
func BenchmarkDemo(b *testing.B) {
	ctx := context.Background()
	data, err := os.ReadFile(benchPhoto)
	fatal(b, err)
	p, err := intake.Decode(ctx, "demo.jpg", data)
	fatal(b, err)
	found, err := grid.Find(ctx, p, grid.Sizes{PitchMM: benchPitchMM, FocalPx: p.FocalPx})
	fatal(b, err)
	s, err := rectify.SquareUp(ctx, p, rectify.Options{PitchMM: benchPitchMM})
	fatal(b, err)
	tr, err := trace.Trace(ctx, s, trace.Options{})
	fatal(b, err)
	doc := draw.Document{Title: "demo", Pattern: tr.Pattern, Setup: page.DefaultSetup()}

	stage(b, "decode", func() error { _, err := intake.Decode(ctx, "demo.jpg", data); return err })
	stage(b, "grid", func() error {
		_, err := grid.Find(ctx, p, grid.Sizes{PitchMM: benchPitchMM, FocalPx: p.FocalPx})
		return err
	})
	stage(b, "solve", func() error { return solve(ctx, p, found) })
	stage(b, "trace", func() error { _, err := trace.Trace(ctx, s, trace.Options{}); return err })
	stage(b, "pdf", func() error { return pdf.Write(io.Discard, doc) })
	stage(b, "svg", func() error { return svg.Write(io.Discard, tr.Pattern) })
}

func stage(b *testing.B, name string, work func() error) {
	b.Run(name, func(b *testing.B) {
		for b.Loop() {
			fatal(b, work())
		}
	})
}

// solve is the camera's solution as the program makes it: from the model of
// lattice steps, in millimetres.
func solve(ctx context.Context, p *photo.Photo, found *grid.Found) error {
	start := found.Steps
	for k := range 3 {
		start.H[3*k] /= benchPitchMM
		start.H[3*k+1] /= benchPitchMM
	}
	_, err := lens.SolveFrom(ctx, start, found.Grid.Points,
		lens.SolveOptions{PitchMM: benchPitchMM, Width: p.Width, Height: p.Height, FocalPx: p.FocalPx})
	return err
}

// BenchmarkDemoJob reports the whole job, photograph in, files out, as a
// multiple of what djpeg (libjpeg-turbo) takes for the same file: the program
// and djpeg run by turns as processes of their own, start included, and the
// medians are divided. The clock counts what a maker waits for and is upset
// by other work on the machine; processor time is steadier, and does not see
// that the job uses several processors. Peak memory (VmHWM) is a multiple of
// the decoded picture, three bytes a pixel.
func BenchmarkDemoJob(b *testing.B) {
	djpeg, err := exec.LookPath("djpeg")
	if err != nil {
		b.Fatal("djpeg is not installed (libjpeg-turbo-progs), so that there is nothing to compare with")
	}
	program := filepath.Join(b.TempDir(), "flatwright")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	out := filepath.Join(b.TempDir(), "out")
	job := func() *exec.Cmd {
		return exec.Command(program, "make", benchPhoto, "--pitch", "1in", "--out", out, "--quiet")
	}
	peak := peakBytes(b, job())
	var jobs, plains, starts costs
	for b.Loop() {
		plains.add(b, exec.Command(djpeg, "-outfile", os.DevNull, benchPhoto))
		jobs.add(b, job())
		starts.add(b, exec.Command(program, "help"))
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(ms(jobs.wall()), "ms")
	b.ReportMetric(ms(jobs.cpu()), "cpu-ms")
	b.ReportMetric(ms(starts.cpu()), "start-cpu-ms")
	b.ReportMetric(float64(jobs.wall())/float64(plains.wall()), "x-djpeg")
	b.ReportMetric(float64(jobs.cpu())/float64(plains.cpu()), "x-djpeg-cpu")
	b.ReportMetric(float64(peak)/decodedBytes(b), "x-picture")
	b.Logf("%d runs by turns: job %.0f ms (processor %.0f ms), djpeg %.0f ms (%.0f ms); peak memory %.0f MB",
		len(jobs.walls), ms(jobs.wall()), ms(jobs.cpu()), ms(plains.wall()), ms(plains.cpu()), float64(peak)/1e6)
}

// costs are the times of a command, run by run.
type costs struct{ walls, cpus []time.Duration }

func (c *costs) add(b *testing.B, cmd *exec.Cmd) {
	start := time.Now()
	if out, err := cmd.CombinedOutput(); err != nil {
		b.Fatalf("%v: %v: %s", cmd.Args, err, out)
	}
	c.walls = append(c.walls, time.Since(start))
	c.cpus = append(c.cpus, cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime())
}

func (c *costs) wall() time.Duration { return median(c.walls) }
func (c *costs) cpu() time.Duration  { return median(c.cpus) }

func median(d []time.Duration) time.Duration { return slices.Sorted(slices.Values(d))[len(d)/2] }

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

func decodedBytes(b *testing.B) float64 {
	p, err := intake.Open(context.Background(), benchPhoto)
	fatal(b, err)
	return float64(3 * p.Width * p.Height)
}

// peakBytes runs a command and returns the most memory it held at a time. It
// is read while the command runs: a finished child's own figure (ru_maxrss)
// counts what this process held when it started it.
func peakBytes(b *testing.B, cmd *exec.Cmd) int64 {
	var errs bytes.Buffer
	cmd.Stderr = &errs
	fatal(b, cmd.Start())
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	var peak int64
	for {
		select {
		case err := <-ended:
			if err != nil {
				b.Fatalf("%v: %s", err, errs.Bytes())
			}
			return peak
		case <-time.After(2 * time.Millisecond):
			if cmd.Process != nil {
				peak = max(peak, highWater(cmd.Process.Pid))
			}
		}
	}
}

// highWater is a process's VmHWM in bytes; 0 when it is gone.
func highWater(pid int) int64 {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(status), "VmHWM:")
	fields := strings.Fields(rest)
	if len(fields) == 0 {
		return 0
	}
	kB, err := strconv.ParseInt(fields[0], 10, 64)
	if err != nil {
		return 0
	}
	return kB * 1024
}

func fatal(b *testing.B, err error) {
	b.Helper()
	if err != nil {
		b.Fatal(err)
	}
}
