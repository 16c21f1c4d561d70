package desk

import (
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/view"
)

// bench is a window on the practice job, without a display. Work posts to a
// queue that the test runs itself, as the window's goroutine would.
type bench struct {
	*desk
	t     *testing.T
	job   *practice.Job
	queue chan func()
	file  string
}

// drawn is the practice photograph, drawn once: nothing writes to it.
var drawn = sync.OnceValue((&practice.Job{}).Photo)

func newBench(t *testing.T, o Options, j *practice.Job) *bench {
	t.Helper()
	b := &bench{t: t, job: j, queue: make(chan func(), 100), file: filepath.Join(t.TempDir(), "bench.jpg")}
	if err := os.WriteFile(b.file, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	o.Job, j.Drawn = j, drawn()
	if o.Papers == nil {
		o.Papers = []string{"a4", "letter", "a3"}
	}
	if o.Appearance == "" {
		o.Appearance = "light"
	}
	b.desk = newDesk(test.NewTempApp(t), o, func(f func()) { b.queue <- f })
	t.Cleanup(b.win.Close)
	return b
}

// settle runs what work posts until none is left.
func (b *bench) settle() {
	b.t.Helper()
	end := time.After(20 * time.Second)
	for b.runner.busy() {
		select {
		case f := <-b.queue:
			f()
		case <-end:
			b.t.Fatal("the work never ended")
		}
	}
}

// ready opens the practice photograph and lets the work end.
func ready(t *testing.T) *bench {
	t.Helper()
	b := newBench(t, Options{PitchMM: practice.PitchMM}, &practice.Job{})
	b.open(b.file)
	b.settle()
	b.capture()
	return b
}

func (b *bench) capture() image.Image { return b.win.Canvas().Capture() }

// seen returns where a point of the mat lies in the editor, in its own px.
func (b *bench) seen(x, y float64) fyne.Position {
	p := b.editor.onScreen(view.Point{X: x, Y: y})
	return fyne.NewPos(float32(p.X), float32(p.Y))
}

func (b *bench) press(at fyne.Position, button desktop.MouseButton) {
	b.editor.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: button})
}

func (b *bench) click(at fyne.Position) {
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	b.press(at, desktop.MouseButtonPrimary)
	b.editor.MouseUp(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonPrimary})
}

func (b *bench) drag(from, to fyne.Position, button desktop.MouseButton) {
	b.press(from, button)
	b.editor.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: to}, Dragged: fyne.NewDelta(to.X-from.X, to.Y-from.Y)})
}

// ways are the buttons of the strip.
func (b *bench) ways() []*button {
	var out []*button
	for _, o := range append(b.strip.ways.Objects, b.strip.below.Objects...) {
		if w, ok := o.(*button); ok {
			out = append(out, w)
		}
	}
	return out
}

func (b *bench) typed(keys string) {
	for _, r := range keys {
		b.editor.TypedRune(r)
	}
}

// at returns the editor's own picture at a position.
func (b *bench) at(p fyne.Position) color.NRGBA {
	i := b.editor.front.PixOffset(int(p.X), int(p.Y))
	q := b.editor.front.Pix[i:]
	return color.NRGBA{R: q[0], G: q[1], B: q[2], A: 255}
}

// has reports whether a colour occurs within a radius of a position, up to a
// tolerance per channel.
func (b *bench) has(p fyne.Position, radius int, want color.NRGBA, tol int) bool {
	for dy := -radius; dy <= radius; dy++ {
		for dx := -radius; dx <= radius; dx++ {
			if near(b.at(p.AddXY(float32(dx), float32(dy))), want, tol) {
				return true
			}
		}
	}
	return false
}

func near(a, b color.NRGBA, tol int) bool {
	d := func(x, y uint8) bool { return int(math.Abs(float64(x)-float64(y))) <= tol }
	return d(a.R, b.R) && d(a.G, b.G) && d(a.B, b.B)
}
