package edge_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/edge"
	"flatwright/rectify/photo"
)

// painted is a photograph of paper below the curve y = height(x) and of a
// darker table above it, blurred in light and coded, with noise. Things may
// lie across it.
func painted(width, high int, height func(x float64) float64, paper, table [3]float64, blurPx, noise float64, seed uint64) *photo.Photo {
	p := &photo.Photo{Name: "painted", Width: width, Height: high, RGB: make([]byte, 3*width*high), Luma: make([]byte, width*high)}
	r := rand.New(rand.NewPCG(seed, 2))
	for y := range high {
		for x := range width {
			// The distance across the edge, to first order.
			h := height(float64(x))
			slope := height(float64(x)+0.5) - height(float64(x)-0.5)
			d := (float64(y) - h) / math.Hypot(1, slope)
			in := 0.5 * (1 + math.Erf(d/(blurPx*math.Sqrt2)))
			for c := range 3 {
				light := in*math.Pow(paper[c]/255, 1.8) + (1-in)*math.Pow(table[c]/255, 1.8)
				v := 255*math.Pow(light, 1/1.8) + noise*r.NormFloat64()
				p.RGB[3*(y*width+x)+c] = byte(min(max(v+0.5, 0), 255))
			}
		}
	}
	return p
}

func fill(p *photo.Photo, x0, y0, x1, y1 int, v byte) {
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			i := 3 * (y*p.Width + x)
			p.RGB[i], p.RGB[i+1], p.RGB[i+2] = v, v, v
		}
	}
}

var (
	white = [3]float64{236, 235, 230}
	wood  = [3]float64{150, 115, 80}
	black = [3]float64{40, 42, 45}
	// cream is as bright as grey: only the colour tells them apart.
	grey  = [3]float64{172, 172, 172}
	cream = [3]float64{200, 172, 98}
)

// The mean error along an edge, and the scatter, by what the paper lies on,
// the blur and the noise, with the chord clicked up to 14 px off.
func TestLocate(t *testing.T) {
	for _, tc := range []struct {
		name         string
		paper, table [3]float64
		blur, noise  float64
		spoil        func(*photo.Photo)
		meanPx       float64
		seen         float64
	}{
		{"white on wood", white, wood, 0.9, 2, nil, 0.03, 0.95},
		{"white on black", white, black, 0.7, 2, nil, 0.03, 0.95},
		{"black on white", black, white, 0.7, 2, nil, 0.03, 0.95},
		{"soft", white, wood, 2.5, 2, nil, 0.04, 0.9},
		{"noisy", white, wood, 1, 9, nil, 0.05, 0.7},
		{"by colour alone", cream, grey, 1, 2, nil, 0.05, 0.9},
		{"a rule across", white, wood, 0.9, 2, func(p *photo.Photo) { fill(p, 300, 60, 420, 240, 190) }, 0.03, 0.75},
		{"both corners gone", white, wood, 0.9, 2, func(p *photo.Photo) { fill(p, 90, 100, 150, 240, 100); fill(p, 760, 100, 820, 240, 100) }, 0.03, 0.75},
	} {
		t.Run(tc.name, func(t *testing.T) {
			height := func(x float64) float64 { u := (x - 450) / 350; return 150.3 + 0.04*(x-450) + 9*u*u - 1.5*u*u*u }
			p := painted(900, 300, height, tc.paper, tc.table, tc.blur, tc.noise, 1)
			if tc.spoil != nil {
				tc.spoil(p)
			}
			// The sheet lies below: clockwise, its upper side runs to the right.
			side := edge.Side{From: photo.Point{X: 104, Y: height(100) + 12}, To: photo.Point{X: 797, Y: height(800) - 14}}
			e, ok := edge.Locate(context.Background(), p, side, edge.Options{ReachPx: 40, CornerPx: 8})
			if !ok {
				t.Fatal("not seen")
			}
			var mean, squares, claimed float64
			for _, s := range e.Samples {
				d := s.At.Y - height(s.At.X)
				mean += d / float64(len(e.Samples))
				squares += d * d / float64(len(e.Samples))
				claimed += s.SigmaPx / float64(len(e.Samples))
			}
			scatter := math.Sqrt(squares - mean*mean)
			t.Logf("%d samples over %.0f %%: mean %+.3f px, scatter %.3f px, claimed %.3f px", len(e.Samples), 100*e.SeenPart, mean, scatter, claimed)
			if math.Abs(mean) > tc.meanPx || scatter > 3*claimed || e.SeenPart < tc.seen {
				t.Errorf("want a mean within %g px, a scatter within thrice what is claimed, %.0f %% seen", tc.meanPx, 100*tc.seen)
			}
			if n := len(e.Means(24)); n < 12 || n > 24 {
				t.Errorf("%d means of 24 stretches", n)
			}
		})
	}
}

// Where there is no edge none is seen, whatever the chord.
func TestLocateNothing(t *testing.T) {
	p := painted(400, 300, func(float64) float64 { return 1e4 }, white, wood, 1, 3, 1)
	for name, s := range map[string]edge.Side{
		"plain":   {From: photo.Point{X: 50, Y: 150}, To: photo.Point{X: 350, Y: 150}},
		"a point": {From: photo.Point{X: 50, Y: 150}, To: photo.Point{X: 50, Y: 150}},
		"outside": {From: photo.Point{X: -500, Y: -10}, To: photo.Point{X: -50, Y: -90}},
		"nan":     {From: photo.Point{X: math.NaN(), Y: 1}, To: photo.Point{X: 5, Y: 9}},
	} {
		if _, ok := edge.Locate(context.Background(), p, s, edge.Options{ReachPx: 30, CornerPx: 5}); ok {
			t.Errorf("%s: an edge was seen", name)
		}
	}
}

// Two curved edges meet where they do.
func TestMeet(t *testing.T) {
	p := painted(600, 600, func(x float64) float64 { return 150.25 + 0.03*(x-300) }, white, black, 0.8, 1, 4)
	// The left side is upright: paint the table to the left of x = 120.5.
	for y := range 600 {
		fill(p, 0, y, 121, y+1, 42)
	}
	upper, ok1 := edge.Locate(context.Background(), p, edge.Side{From: photo.Point{X: 118, Y: 150}, To: photo.Point{X: 560, Y: 155}}, edge.Options{ReachPx: 20, CornerPx: 5})
	left, ok2 := edge.Locate(context.Background(), p, edge.Side{From: photo.Point{X: 124, Y: 560}, To: photo.Point{X: 118, Y: 150}}, edge.Options{ReachPx: 20, CornerPx: 5})
	if !ok1 || !ok2 {
		t.Fatal(fmt.Sprint("not seen: ", ok1, ok2))
	}
	at, ok := edge.Meet(left, upper, photo.Point{X: 118, Y: 150})
	want := photo.Point{X: 120.5, Y: 150.25 + 0.03*(120.5-300)}
	if !ok || math.Hypot(at.X-want.X, at.Y-want.Y) > 0.15 {
		t.Errorf("they meet at (%.2f, %.2f), want (%.2f, %.2f)", at.X, at.Y, want.X, want.Y)
	}
	if _, ok := edge.Meet(upper, upper, want); ok {
		t.Error("an edge meets itself")
	}
}
