package tape_test

import (
	"context"
	"testing"

	"flatwright/rectify/scene"
	"flatwright/trace/tape"
)

// The demo's scene at a quarter of its pixels: every strip, from corner to
// corner, none invented, one colour called blue.
func TestDemoStrips(t *testing.T) {
	s := scene.Demo().Resized(5)
	in := inputOf(t, s)
	r, err := tape.Find(context.Background(), in, tape.Options{})
	if err != nil {
		t.Fatal(err)
	}
	y := compare(s, stripsOf(s), in, r)
	t.Log(y)
	if y.found != y.strips || y.invented+y.mixed > 0 || y.worstMM > 0.1 {
		t.Error("strips missed, invented, mixed up or off their corners")
	}
	if len(r.Groups) != 1 || r.Groups[0].Name != "blue" {
		t.Errorf("groups %+v", r.Groups)
	}
}

// Strips laid anew over parts of edges too, in blue light: ends within 2 mm.
func TestStripsInBlueLight(t *testing.T) {
	s := scene.Random(13, scene.RandomOptions{Megapixels: 6})
	s.Light.Blue, s.Light.Red = 1.35, 0.8
	truth := dress(&s, 13, []colour{
		{"blue", scene.Colour{R: 0x2f, G: 0x6f, B: 0xb5}},
		{"red", scene.Colour{R: 0xc2, G: 0x39, B: 0x32}},
		{"green", scene.Colour{R: 0x2e, G: 0x8a, B: 0x55}},
		{"yellow", scene.Colour{R: 0xe6, G: 0xcb, B: 0x45}},
	})
	in := inputOf(t, s)
	r, err := tape.Find(context.Background(), in, tape.Options{})
	if err != nil {
		t.Fatal(err)
	}
	y := compare(s, truth, in, r)
	t.Log(y)
	if y.found != y.strips || y.invented+y.mixed > 0 || y.worstMM > 2 {
		t.Error("strips missed, invented, mixed up or ends off by more than 2 mm")
	}
}

func TestFindRefuses(t *testing.T) {
	if _, err := tape.Find(context.Background(), tape.Input{}, tape.Options{}); err == nil {
		t.Error("no photograph was read")
	}
}
