package scene

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// defaultStripRows is how many picture rows are worked at a time; memory
// beyond the picture itself is a few strips.
const defaultStripRows = 96

// Render draws the scene as the sensor delivers it, before JPEG. Four samples
// a pixel are mapped from the photograph to the mat through the inverted
// camera, and each averages what is drawn over its own width, so that edges
// stand within 0.01 mm of the truth. The result does not depend on the number
// of processors. It stops with ctx's error when ctx ends.
func Render(ctx context.Context, s Spec) (*photo.Photo, error) {
	return render(ctx, s, defaultStripRows)
}

func render(ctx context.Context, s Spec, stripRows int) (*photo.Photo, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	p := &photo.Photo{
		Name: s.Name, Width: s.Width, Height: s.Height,
		RGB: make([]byte, 3*s.Width*s.Height), Luma: make([]byte, s.Width*s.Height),
		FocalPx: tagFocalPx(s.Sensor.Focal35MM, s.Width, s.Height),
	}
	st := newStage(&s)
	tone := newToneTable(s.Sensor.Contrast)
	strips := (s.Height + stripRows - 1) / stripRows
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), strips) {
		wait.Go(func() {
			w := newWorker(st, tone, stripRows)
			for i := int(next.Add(1) - 1); i < strips && ctx.Err() == nil; i = int(next.Add(1) - 1) {
				w.strip(i*stripRows, min((i+1)*stripRows, s.Height), p)
			}
		})
	}
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("scene: drawing was stopped: %w", err)
	}
	return p, nil
}

// tagFocalPx is the focal length that a 35 mm-equivalent claims: equivalent
// by the picture's diagonal, 43.27 mm on film (CIPA DCG-001).
func tagFocalPx(focal35MM, width, height int) float64 {
	return float64(focal35MM) / math.Hypot(36, 24) * math.Hypot(float64(width), float64(height))
}

// worker draws strips with its own memory.
type worker struct {
	*stage
	tone *toneTable
	pix  []float32
	tmp  []float32
}

func newWorker(st *stage, tone *toneTable, stripRows int) *worker {
	n := (stripRows + 2*st.spec.Sensor.haloRows()) * st.spec.Width * 3
	return &worker{stage: st, tone: tone, pix: make([]float32, n), tmp: make([]float32, n)}
}

// strip draws the picture rows from..to (exclusive) into p.
func (w *worker) strip(from, to int, p *photo.Photo) {
	s := w.spec
	halo := s.Sensor.haloRows()
	top, bottom := max(from-halo, 0), min(to+halo, s.Height)
	r := &rows{top: top, height: bottom - top, width: s.Width}
	r.pix = w.pix[:r.height*r.width*3]
	for y := range r.height {
		w.sampleRow(top+y, r.row(y))
	}
	s.Sensor.develop(r, w.tone, w.tmp[:len(r.pix)], s.Seed+99)
	for y := from; y < to; y++ {
		storeRow(r.row(y-top), p, y)
	}
}

func storeRow(row []float32, p *photo.Photo, y int) {
	out := p.RGB[3*y*p.Width:]
	for i, v := range row {
		out[i] = uint8(min(max(v, 0), 255) + 0.5)
	}
	for x := range p.Width {
		r, g, b := float32(out[3*x]), float32(out[3*x+1]), float32(out[3*x+2])
		p.Luma[y*p.Width+x] = uint8(luma601(r, g, b) + 0.5)
	}
}

// sampleRow fills a picture row with the light of its pixels.
func (w *worker) sampleRow(y int, row []float32) {
	clear(row)
	for k := range 2 {
		v := float64(y) - 0.25 + 0.5*float64(k)
		var t tracker
		for i := range 2 * w.spec.Width {
			c := w.sample(float64(i)*0.5-0.25, v, &t)
			px := row[3*(i/2):]
			px[0] += 0.25 * c[0]
			px[1] += 0.25 * c[1]
			px[2] += 0.25 * c[2]
		}
	}
}

// tracker guesses the next undistorted position along a row from the last
// two, so that Newton's method needs a step or two.
type tracker struct {
	x, y, dx, dy float64
	known        int
}

func (t *tracker) guess(x, y float64) (gx, gy float64) {
	if t.known == 0 {
		return x, y
	}
	return t.x + t.dx, t.y + t.dy
}

func (t *tracker) put(x, y float64) {
	if t.known > 0 {
		t.dx, t.dy = x-t.x, y-t.y
	}
	t.x, t.y = x, y
	t.known++
}

// sample is the light that reaches one place of the photograph.
func (w *worker) sample(u, v float64, t *tracker) rgb {
	cam := &w.view.cam
	xd, yd := (u-cam.CentreX)/cam.FocalPx, (v-cam.CentreY)/cam.FocalPx
	gx, gy := t.guess(xd, yd)
	x, y, ok := w.view.unbend(xd, yd, gx, gy)
	if !ok {
		*t = tracker{}
		return rgb{}
	}
	t.put(x, y)
	m, depth, ok := w.view.meet(x, y)
	if !ok {
		return w.encoded(rgb{0.2, 0.2, 0.2}) // the room above the horizon
	}
	ground := spot{m.X, m.Y, 0.5 * depth / cam.FocalPx}
	if w.spec.Mat.Bump.AmplitudeMM != 0 {
		at, k := w.bent(ground)
		return w.encoded(w.lit(w.at(at).times(k), mat.Point{X: at.x, Y: at.y}, u, v))
	}
	if w.slabs.near(ground) {
		return w.encoded(w.amongSlabs(ground, u, v))
	}
	return w.encoded(w.lit(w.at(ground), m, u, v))
}

// lit is a colour at a place of the plane in the scene's light, seen at u, v.
func (w *worker) lit(c rgb, m mat.Point, u, v float64) rgb {
	s := w.spec
	gain, sheen := w.light.at(m.X, m.Y)
	c = c.mul(gain)
	c = rgb{c[0] + sheen, c[1] + sheen, c[2] + sheen}
	dx, dy := u/float64(s.Width)-0.5, v/float64(s.Height)-0.5
	r2 := 2 * (dx*dx + dy*dy) // 1 at the corners
	return c.times(float32(1 - s.Light.Vignette*r2*(0.7+0.3*r2)))
}

func (w *worker) encoded(c rgb) rgb {
	if !w.spec.Sensor.EncodedLight {
		return c
	}
	return rgb{w.tone.at(c[0]), w.tone.at(c[1]), w.tone.at(c[2])}
}
