package scene

import (
	"bytes"
	"context"
	"errors"
	"runtime"
	"testing"
)

// smallScene is a quarter-megapixel random scene.
func smallScene(seed uint64) Spec { return Random(seed, RandomOptions{Megapixels: 0.25}) }

func mustRender(t *testing.T, s Spec, stripRows int) (rgb, luma []byte) {
	t.Helper()
	p, err := render(context.Background(), s, stripRows)
	if err != nil {
		t.Fatal(err)
	}
	return p.RGB, p.Luma
}

func TestRenderIsTheSameOnAnyNumberOfProcessors(t *testing.T) {
	s := smallScene(4)
	old := runtime.GOMAXPROCS(1)
	one, _ := mustRender(t, s, defaultStripRows)
	runtime.GOMAXPROCS(5)
	five, _ := mustRender(t, s, 20)
	runtime.GOMAXPROCS(old)
	if !bytes.Equal(one, five) {
		t.Error("one and five processors drew different pictures")
	}
}

func TestRenderHasNoSeamsBetweenStrips(t *testing.T) {
	s := smallScene(5)
	a, la := mustRender(t, s, defaultStripRows)
	b, lb := mustRender(t, s, 17)
	if !bytes.Equal(a, b) || !bytes.Equal(la, lb) {
		t.Error("the picture depends on how it is cut into strips")
	}
}

func TestSeedChangesThePicture(t *testing.T) {
	s := smallScene(4)
	a, _ := mustRender(t, s, defaultStripRows)
	s.Seed++
	b, _ := mustRender(t, s, defaultStripRows)
	if bytes.Equal(a, b) {
		t.Error("another seed drew the same noise")
	}
}

func TestRenderStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Render(ctx, smallScene(1)); !errors.Is(err, context.Canceled) {
		t.Errorf("a stopped drawing gave %v", err)
	}
}

func TestRenderRefuses(t *testing.T) {
	for name, change := range map[string]func(*Spec){
		"no size":    func(s *Spec) { s.Width = 0 },
		"no pitch":   func(s *Spec) { s.Mat.PitchMM = 0 },
		"no focal":   func(s *Spec) { s.Camera.FocalPx = 0 },
		"flat tilt":  func(s *Spec) { s.Camera.TiltDeg = 90 },
		"no outline": func(s *Spec) { s.Pieces[0].Outline = nil },
	} {
		s := smallScene(1)
		change(&s)
		if _, err := Render(context.Background(), s); err == nil {
			t.Errorf("%s: drawn without complaint", name)
		}
	}
}

func TestNoiseLevel(t *testing.T) {
	// Even mid grey: the noise asked for is the noise there.
	s := Spec{Width: 400, Height: 300, Seed: 3}
	r := &rows{height: 300, width: 400, pix: make([]float32, 3*400*300)}
	for i := range r.pix {
		r.pix[i] = 0.2
	}
	s.Sensor = Sensor{Noise: 2}
	s.Sensor.develop(r, newToneTable(0), make([]float32, len(r.pix)), 1)
	var sum, squares float64
	for _, v := range r.pix {
		sum += float64(v)
		squares += float64(v) * float64(v)
	}
	n := float64(len(r.pix))
	mean := sum / n
	if dev := squares/n - mean*mean; dev < 1.8*1.8 || dev > 2.2*2.2 {
		t.Errorf("variance %.2f for a noise of 2 steps", dev)
	}
	if mean < 123 || mean > 124.5 { // sRGB of 0.2 is 123.5 (by the formula)
		t.Errorf("mean %.2f for light 0.2", mean)
	}
}
