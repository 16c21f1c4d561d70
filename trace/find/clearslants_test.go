package find

import (
	"math"
	"testing"

	"flatwright/rectify/mat"
)

// A slanting line that comes out from under a piece is cleared right up to it,
// and nothing of the piece, though the line goes on below it.
func TestSlantsAreClearedUpToThePiece(t *testing.T) {
	const w, h, res, edge = 220, 200, 0.4, 50.0
	s := &sheet{res: res, w: w, h: h, maxX: w - 1, maxY: h - 1, seen: make([]uint8, w*h)}
	for k := range s.ch {
		s.ch[k] = make([]float32, w*h)
	}
	f := finder{sheet: s, mask: make([]uint8, w*h), spread: spread{0.02, 0.02, 0.02, shadowDepth}, lineGain: [3]float32{2.2, 2.2, 2.2}}
	l := slant{nx: math.Sqrt(0.5), ny: math.Sqrt(0.5), rho: 60, half: 0.25, lo: -80, hi: 80}
	f.print = &inked{gain: 1, slants: []slant{l}}
	way := f.inkWay()
	for i := range f.mask {
		s.seen[i] = 1
		at := s.toMM(float64(i%w), float64(i/w))
		part := l.part(at, 0.5)
		if at.X > edge { // red tape
			s.ch[0][i], s.ch[1][i], f.mask[i] = 0.3, 0.9, 1
		} else if s.ch[0][i] = way[0] * float32(part); part > 0.2 {
			f.mask[i] = 1
		}
	}
	tape := 0
	for i, v := range f.mask {
		if v == 1 && s.toMM(float64(i%w), 0).X > edge {
			tape++
		}
	}
	if !f.clearSlants() {
		t.Fatal("nothing was cleared")
	}
	for i, v := range f.mask {
		at := s.toMM(float64(i%w), float64(i/w))
		if at.X > edge && v == 1 {
			tape--
		}
		if v == 1 && at.X < edge-0.5 && at.Y > 2 && at.Y < h*res-2 {
			t.Fatalf("the line is still there at %.1f", at)
		}
	}
	if tape != 0 {
		t.Errorf("%d pixels of the piece are gone", tape)
	}
}

// Turned by what is measured along it, a line is where most of its places are,
// whatever a few strays say.
func TestThroughPassesOverStrays(t *testing.T) {
	l := slant{nx: 0.6, ny: 0.8, rho: 100, half: 0.2, lo: -150, hi: 150}
	var along []float64
	var places []linePlace
	for k := range 40 {
		along = append(along, -140+7*float64(k))
		shift := 0.1 + 0.001*along[k]
		if k%5 == 0 {
			shift += 0.3
		}
		places = append(places, linePlace{width: 0.4, shift: shift})
	}
	got := l.through(along, places)
	for _, c := range along {
		want := mat.Point{X: 0.6*(100.1+0.001*c) - 0.8*c, Y: 0.8*(100.1+0.001*c) + 0.6*c}
		if off := math.Abs(got.nx*want.X + got.ny*want.Y - got.rho); off > 0.01 {
			t.Errorf("%.3f mm off at %.0f mm along", off, c)
		}
	}
	if long := math.Hypot(got.nx, got.ny); math.Abs(long-1) > 1e-9 || math.Abs(got.hi-got.lo-300) > 0.01 {
		t.Errorf("%+v", got)
	}
}
