package desk

import (
	"math"
	"syscall"
	"testing"
	"time"

	"fyne.io/fyne/v2/test"
	"golang.org/x/image/font/gofont/goregular"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace"
)

// cpuPerFrame reports the processor time of a frame, which other work on the
// machine does not disturb as it does the time by the clock.
func cpuPerFrame(b *testing.B) func() {
	used := func() time.Duration {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			b.Fatal(err)
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	before := used()
	return func() { b.ReportMetric(float64(used()-before)/1e6/float64(b.N), "cpu-ms/op") }
}

// BenchmarkFrame is one frame of the editor, 1280 by 800, over a photograph of
// 12 MP with 5,000 outline segments and the found lines of the mat.
func BenchmarkFrame(b *testing.B) {
	test.NewTempApp(b)
	j := &practice.Job{WidthPx: 4032}
	s := session.New()
	p := j.Photo()
	s.SetPhoto(p)
	s.SetPitch(practice.PitchMM)
	q, err := j.SquareUp(b.Context(), p, rectify.Options{PitchMM: practice.PitchMM})
	if err != nil {
		b.Fatal(err)
	}
	s.SetSquared(q)
	s.SetTraced(&trace.Traced{Pattern: practice.Crowded()})
	e := newEditor(s, nil, goregular.TTF, lightPalette())
	e.setPhoto(raster.NewPyramid(p.RGB, p.Width, p.Height))
	e.paint(1280, 800)
	fitted := e.view()
	b.Run("pan", func(b *testing.B) {
		defer cpuPerFrame(b)()
		for i := 0; b.Loop(); i++ {
			e.views[0] = fitted.Panned(float64(i%40), float64(i%23))
			e.paint(1280, 800)
		}
	})
	b.Run("zoom", func(b *testing.B) {
		defer cpuPerFrame(b)()
		for i := 0; b.Loop(); i++ {
			e.views[0] = fitted.Zoomed(1+float64(i%30)/10, fitted.Offset, e.limits())
			e.paint(1280, 800)
		}
	})
	b.Run("hover", func(b *testing.B) {
		e.views[0] = fitted
		defer cpuPerFrame(b)()
		for b.Loop() {
			e.paint(1280, 800)
		}
	})
	b.Run("flat", func(b *testing.B) {
		e.space = session.OnMat
		e.fit()
		flat := e.view()
		defer cpuPerFrame(b)()
		for i := 0; b.Loop(); i++ {
			e.views[1] = flat.Panned(float64(i%40), float64(i%23))
			e.paint(1280, 800)
		}
	})
}

// denseMat is the practice mat printed every 5 mm and read four times to a
// square: 22,000 samples.
func denseMat(b *testing.B, j *practice.Job, p *photo.Photo) *rectify.Squared {
	const pitchMM, columns, rows, perPitch = 5.0, 61, 46, 4
	m := j.Model()
	var pts []mat.LinePoint
	add := func(f mat.Family, index, step int) {
		along := float64(step) / perPitch
		at := mat.Point{X: float64(index) * pitchMM, Y: along * pitchMM}
		if f == mat.Rows {
			at.X, at.Y = at.Y, at.X
		}
		seen := m.ToPhoto(at)
		miss := 0.3 * math.Sin(float64(7*len(pts)))
		seen.X, seen.Y = seen.X+miss, seen.Y+miss
		pts = append(pts, mat.LinePoint{Family: f, Index: index, Along: along, At: seen, SigmaPx: 0.1})
	}
	for i := range columns {
		for k := range perPitch*(rows-1) + 1 {
			add(mat.Columns, i, k)
		}
	}
	for i := range rows {
		for k := range perPitch*(columns-1) + 1 {
			add(mat.Rows, i, k)
		}
	}
	fit, err := lens.SolveFrom(b.Context(), m, pts, lens.SolveOptions{PitchMM: pitchMM, Width: p.Width, Height: p.Height})
	if err != nil {
		b.Fatal(err)
	}
	g := mat.Grid{Points: fit.Points, MaxColumn: columns - 1, MaxRow: rows - 1, MinorPerPitch: 1}
	return &rectify.Squared{Photo: p, PitchMM: pitchMM, Pitch: mat.Square(pitchMM), Grid: g, Fit: fit}
}

// BenchmarkErrors is one frame with the found lines, needles and shading of
// 22,000 samples on, over the same photograph and pattern.
func BenchmarkErrors(b *testing.B) {
	test.NewTempApp(b)
	j := &practice.Job{WidthPx: 4032}
	s := session.New()
	p := j.Photo()
	s.SetPhoto(p)
	s.SetSquared(denseMat(b, j, p))
	s.SetTraced(&trace.Traced{Pattern: practice.Crowded()})
	e := newEditor(s, nil, goregular.TTF, lightPalette())
	e.setPhoto(raster.NewPyramid(p.RGB, p.Width, p.Height))
	e.needles, e.shade = true, true
	for in, name := range []string{"photograph", "flat"} {
		e.space = session.Space(in)
		e.paint(1280, 800)
		fitted := e.view()
		b.Run(name+"/pan", func(b *testing.B) {
			defer cpuPerFrame(b)()
			for i := 0; b.Loop(); i++ {
				e.views[in] = fitted.Panned(float64(i%40), float64(i%23))
				e.paint(1280, 800)
			}
		})
		b.Run(name+"/zoom", func(b *testing.B) {
			defer cpuPerFrame(b)()
			for i := 0; b.Loop(); i++ {
				e.views[in] = fitted.Zoomed(1+float64(i%30)/10, fitted.Offset, e.limits())
				e.paint(1280, 800)
			}
		})
	}
}
