package desk

import (
	"slices"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace"
)

// busyBench is a window of 1280 by 800 on a photograph so wide, with 5,000
// outline segments and an edge chosen.
func busyBench(b testing.TB, widthPx int) *desk {
	b.Helper()
	j := &practice.Job{WidthPx: widthPx}
	p := j.Photo()
	j.Drawn = p
	d := newDesk(test.NewTempApp(b), Options{Job: j, PitchMM: practice.PitchMM, Appearance: "light"}, func(f func()) { f() })
	b.Cleanup(d.win.Close)
	q, err := j.SquareUp(b.Context(), p, rectify.Options{PitchMM: practice.PitchMM})
	if err != nil {
		b.Fatal(err)
	}
	d.s.SetPhoto(p)
	d.s.SetSquared(q)
	d.s.SetTraced(&trace.Traced{Pattern: practice.Crowded()})
	d.s.SelectEdge("P01")
	pyramid := raster.NewPyramid(p.RGB, p.Width, p.Height)
	d.editor.setPhoto(pyramid)
	d.pyramids = map[*photo.Photo]*raster.Pyramid{p: pyramid}
	d.win.Resize(fyne.NewSize(1280, 800))
	d.goTo(session.StageMarkUp)
	d.win.Canvas().Capture()
	return d
}

// frame paints what the toolkit would fetch for the next frame.
func (d *desk) frame() {
	s := d.editor.Size()
	d.editor.paint(int(s.Width), int(s.Height))
}

// moves are what a hand does to the view: each is followed by one frame. All
// that the window does for it is in it: the event, the lines of text that follow
// the pointer and their layout, the photograph, and what is drawn over it. The
// toolkit's own painting of the finished picture is not.
var moves = []struct {
	name string
	do   func(d *desk, i int)
}{
	{"pan", func(d *desk, i int) {
		step := float32(5 - 10*(i/20%2)) // to and fro
		at := fyne.NewPos(400, 300).AddXY(step*float32(i%20), 0)
		d.editor.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: at}, Dragged: fyne.NewDelta(step, step/2)})
	}},
	{"zoom", func(d *desk, i int) {
		by := float32(25 - 50*(i/15%2)) // in and out
		d.editor.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(300, 250)}, Scrolled: fyne.NewDelta(0, by)})
	}},
	{"point", func(d *desk, i int) {
		at := fyne.NewPos(float32(100+7*(i%80)), float32(150+5*(i%60)))
		d.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	}},
}

// grasped begins a drag of the view.
func grasped(d *desk) {
	at := fyne.PointEvent{Position: fyne.NewPos(400, 300)}
	d.editor.MouseDown(&desktop.MouseEvent{PointEvent: at, Button: desktop.MouseButtonTertiary})
}

// BenchmarkWindow is what the window does for a frame, over a photograph of
// 12 MP with 5,000 segments: half of the frames and all but a twentieth of them
// take no longer than p50 and p95.
func BenchmarkWindow(b *testing.B) {
	d := busyBench(b, 4032)
	for _, in := range []session.Space{session.InPhoto, session.OnMat} {
		d.editor.setSpace(in)
		for _, m := range moves {
			name := m.name + map[session.Space]string{session.InPhoto: "/photograph", session.OnMat: "/flat"}[in]
			b.Run(name, func(b *testing.B) {
				d.editor.fit()
				if m.name == "pan" {
					grasped(d)
					defer d.editor.DragEnd()
				}
				b.ReportAllocs()
				cpu := cpuPerFrame(b)
				var took []time.Duration
				for i := 0; b.Loop(); i++ {
					began := time.Now()
					m.do(d, i)
					d.frame()
					took = append(took, time.Since(began))
				}
				cpu()
				slices.Sort(took)
				ms := func(part float64) float64 { return took[int(part*float64(len(took)-1))].Seconds() * 1e3 }
				b.ReportMetric(ms(0.5), "p50-ms")
				b.ReportMetric(ms(0.95), "p95-ms")
			})
		}
	}
}

// A frame takes its memory from the frame before: a window that allocates as it
// pans stutters when the collector runs.
func TestAFrameAllocatesLittle(t *testing.T) {
	d := busyBench(t, 1600)
	for _, m := range moves {
		if m.name == "pan" {
			grasped(d)
		}
		i := 0
		got := testing.AllocsPerRun(40, func() {
			m.do(d, i)
			d.frame()
			i++
		})
		if got > mostAllocs {
			t.Errorf("%s allocates %v times a frame, more than %d", m.name, got, mostAllocs)
		}
		d.editor.DragEnd()
		t.Logf("%s: %v", m.name, got)
	}
}

// mostAllocs is what a frame may allocate.
const mostAllocs = 900
