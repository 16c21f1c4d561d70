package writing_test

import (
	"context"
	"testing"

	"flatwright/rectify/scene"
	"flatwright/trace/writing"
)

// The demo's scene: every name in a picture, neither marks nor lines taken for
// writing even when they have not been read; without names, nothing.
func TestDemoNames(t *testing.T) {
	s := scene.Demo().Resized(5)
	for _, named := range []bool{true, false} {
		if !named {
			for i := range s.Pieces {
				s.Pieces[i].Texts = nil
			}
		}
		p := shoot(t, s)
		for _, marked := range []bool{true, false} {
			bs, err := writing.Find(context.Background(), inputOf(s, p, marked))
			if err != nil {
				t.Fatal(err)
			}
			y := compare(s, bs)
			t.Log(y)
			if y.found != y.texts || y.invented > 0 || y.upsideDown > 0 {
				t.Errorf("names %v, marks known %v: missed, invented or upside down", named, marked)
			}
			for _, b := range bs {
				if b.Picture.Width > 400 || b.Picture.Height > 200 || len(b.Picture.RGB) != 3*b.Picture.Width*b.Picture.Height {
					t.Errorf("a picture of %d x %d px with %d bytes", b.Picture.Width, b.Picture.Height, len(b.Picture.RGB))
				}
			}
		}
	}
}

func TestFindRefuses(t *testing.T) {
	if _, err := writing.Find(context.Background(), writing.Input{}); err == nil {
		t.Error("no photograph was read")
	}
}
