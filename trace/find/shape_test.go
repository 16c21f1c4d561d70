package find

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/photo"
)

func drawMask(t *rapid.T) ([]uint8, int, int) {
	w, h := rapid.IntRange(3, 24).Draw(t, "w"), rapid.IntRange(3, 24).Draw(t, "h")
	m := make([]uint8, w*h)
	for i := range m {
		if rapid.IntRange(0, 3).Draw(t, "pixel") > 0 {
			m[i] = 1
		}
	}
	return m, w, h
}

// The 3-4 chamfer distance differs from the Euclidean by at most 8 %
// (Borgefors, CVGIP 34, 1986; from memory).
func TestChamferIsNearEuclid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, w, h := drawMask(t)
		d := chamfer(m, 1, w, h)
		for i := range m {
			if m[i] == 0 {
				if d[i] != 0 {
					t.Fatalf("background pixel %d has distance %d", i, d[i])
				}
				continue
			}
			true2 := math.Inf(1)
			for y := -1; y <= h; y++ {
				for x := -1; x <= w; x++ {
					if x < 0 || y < 0 || x >= w || y >= h || m[y*w+x] == 0 {
						true2 = math.Min(true2, math.Hypot(float64(x-i%w), float64(y-i/w)))
					}
				}
			}
			if got := float64(d[i]) / 3; got < 0.9*true2 || got > 1.1*true2+1e-9 {
				t.Fatalf("pixel %d: chamfer %.2f, true %.2f", i, got, true2)
			}
		}
	})
}

func TestOpenThinKeepsThickDropsThin(t *testing.T) {
	const w, h = 60, 40
	m := make([]uint8, w*h)
	for y := 8; y < 32; y++ {
		for x := 8; x < 30; x++ {
			m[y*w+x] = 1
		}
	}
	for x := 30; x < 55; x++ { // a spur three pixels wide
		for y := 18; y < 21; y++ {
			m[y*w+x] = 1
		}
	}
	got := openThin(m, w, h, 2)
	for _, c := range []struct {
		x, y int
		want uint8
	}{{8, 8, 1}, {29, 31, 1}, {20, 20, 1}, {40, 19, 0}, {50, 19, 0}, {4, 4, 0}} {
		if got[c.y*w+c.x] != c.want {
			t.Errorf("pixel (%d, %d) is %d, want %d", c.x, c.y, got[c.y*w+c.x], c.want)
		}
	}
}

func TestBlobsPartitionTheMask(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, w, h := drawMask(t)
		labels, list := blobs(m, 1, w, h)
		area := 0
		for _, b := range list {
			area += b.area
		}
		for i, l := range labels {
			if (l > 0) != (m[i] == 1) {
				t.Fatalf("pixel %d: mask %d, label %d", i, m[i], l)
			}
			if l > 0 {
				area--
			}
			for _, j := range []int{i - 1, i - w} {
				if j >= 0 && (j != i-1 || i%w > 0) && m[i] == 1 && m[j] == 1 && labels[i] != labels[j] {
					t.Fatalf("neighbours %d and %d have labels %d and %d", i, j, labels[i], labels[j])
				}
			}
		}
		if area != 0 {
			t.Fatalf("the areas miss by %d", area)
		}
	})
}

// A loop goes through the middles of the cracks, so that it cuts half a unit
// square off each convex corner and adds one at each concave one; without
// corners counted in, loops of all borders add up to the region's area.
func TestLoopsAddUpToTheArea(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, w, h := drawMask(t)
		labels, list := blobs(m, 1, w, h)
		for _, b := range list {
			p := cutOut(labels, w, b, 3)
			sum, outlines, length := 0.0, 0, 0
			for _, l := range p.loops() {
				a := l.area()
				sum += a
				length += len(l)
				if a > 0 {
					outlines++
				}
			}
			if outlines != 1 {
				t.Fatalf("%d outlines of one region", outlines)
			}
			if math.Abs(sum-float64(b.area)) > float64(length)/8+0.51 {
				t.Fatalf("loops enclose %.2f, the region has %d pixels, border %d", sum, b.area, length)
			}
		}
	})
}

func TestSplitBlobsPartsANeck(t *testing.T) {
	const w, h = 50, 24
	m := make([]uint8, w*h)
	for y := 2; y < 22; y++ {
		for x := 2; x < 48; x++ {
			if x < 23 || x > 26 || y == 11 || y == 12 { // two squares, a 2 px bridge
				m[y*w+x] = 1
			}
		}
	}
	if _, list := splitBlobs(m, w, h, 3, 20); len(list) != 2 {
		t.Errorf("%d regions, want the two squares", len(list))
	}
	if _, list := blobs(m, 1, w, h); len(list) != 1 {
		t.Errorf("%d regions before the split, want 1", len(list))
	}
}

func stepProfile(at, sigma, in, out float64) *profile {
	var f profile
	for k := range f.v {
		o := float64(k)*offsetStep - profileReach
		f.v[k] = float32(out + (in-out)*0.5*math.Erfc((o-at)/(sigma*math.Sqrt2)))
	}
	return &f
}

func TestLocateFindsABlurredStep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.Float64Range(-1.4, 1.4).Draw(t, "at")
		sigma := rapid.Float64Range(0.5, 1).Draw(t, "sigma")
		in, out := rapid.Float64Range(10, 240).Draw(t, "in"), rapid.Float64Range(10, 240).Draw(t, "out")
		if math.Abs(in-out) < 15 {
			return
		}
		r := stepProfile(at, sigma, in, out).locate()
		if !r.ok || math.Abs(r.offset-at) > 0.06 {
			t.Fatalf("step at %.3f px found at %.3f (ok %v)", at, r.offset, r.ok)
		}
	})
}

// A soft shadow beside a bright piece must not pull its edge: the ground
// rises from 75 at the edge to 100 further out, all of it blurred.
func TestShadowDoesNotPull(t *testing.T) {
	const at, sigma = 0.3, 0.7
	scene := func(o float64) float64 {
		if o < at {
			return 200
		}
		return 100 - 25*math.Exp(-(o-at)/5)
	}
	var f profile
	for k := range f.v {
		o := float64(k)*offsetStep - profileReach
		sum, n := 0.0, 0.0
		for d := -3.0; d <= 3; d += 0.02 {
			w := math.Exp(-d * d / (2 * sigma * sigma))
			sum, n = sum+w*scene(o+d), n+w
		}
		f.v[k] = float32(sum / n)
	}
	r := f.locate()
	plain := math.Abs(r.offset - at)
	r.carry(&f, r.inRamp, r.bgRamp)
	if got := math.Abs(r.offset - at); got > 0.03 || got > plain {
		t.Errorf("edge at %.2f px is missed by %.3f px, without the ramp by %.3f", at, got, plain)
	}
}

func TestOffParabola(t *testing.T) {
	l := make(loop, 200)
	for i := range l { // a circle of 32 px radius
		a := 2 * math.Pi * float64(i) / 200
		l[i] = photo.Point{X: 32 * math.Cos(a), Y: 32 * math.Sin(a)}
	}
	bad := make([]bool, len(l))
	if d, ok := offParabola(l, bad, 50, -20, 20); !ok || d > 0.15 {
		t.Errorf("a point on the circle lies %.2f px off its neighbours", d)
	}
	l[50].Y += 2
	if d, _ := offParabola(l, bad, 50, -20, 20); math.Abs(d-2) > 0.2 {
		t.Errorf("a point 2 px out lies %.2f px off its neighbours", d)
	}
}

// A square whose corner was not seen gets it back from its sides.
func TestMendRebuildsACorner(t *testing.T) {
	var s []spot
	add := func(x, y float64, bridged bool) {
		s = append(s, spot{Point: photo.Point{X: x, Y: y}, bridged: bridged})
	}
	for i := 0.0; i < 100; i++ {
		add(i, 0, i > 90)
	}
	for i := 0.0; i < 100; i++ {
		add(100, i, i < 10)
	}
	for i := 0.0; i < 100; i++ {
		add(100-i, 100, false)
	}
	for i := 0.0; i < 100; i++ {
		add(0, 100-i, false)
	}
	best := math.Inf(1)
	for _, q := range mend(s, 50, nil) {
		best = math.Min(best, math.Hypot(q.X-100, q.Y))
	}
	if best > 1 {
		t.Errorf("the nearest point to the corner is %.2f px away", best)
	}
}

// A dart that was lost where it grew too thin is followed to its tip.
func TestMendFollowsADart(t *testing.T) {
	var s []spot
	tip := photo.Point{X: 100, Y: 20}
	for y := 100.0; y > 60; y-- { // left leg, upwards
		s = append(s, spot{Point: photo.Point{X: 100 - (y-20)/10, Y: y}})
	}
	for i := 0; i < 6; i++ {
		s = append(s, spot{Point: photo.Point{X: 97 + float64(i), Y: 60}, bridged: true})
	}
	for y := 61.0; y <= 100; y++ {
		s = append(s, spot{Point: photo.Point{X: 100 + (y-20)/10, Y: y}})
	}
	best := math.Inf(1)
	for _, q := range mend(s, 120, nil) {
		best = math.Min(best, math.Hypot(q.X-tip.X, q.Y-tip.Y))
	}
	if best > 1.5 {
		t.Errorf("the nearest point to the dart's tip is %.2f px away", best)
	}
}

func TestWidenClosesShortGaps(t *testing.T) {
	bad := make([]bool, 40)
	bad[10], bad[18], bad[30] = true, true, true
	widen(bad, 2, 6)
	for i, want := range map[int]bool{7: false, 8: true, 14: true, 20: true, 21: false, 25: false, 28: true, 33: false} {
		if bad[i] != want {
			t.Errorf("point %d is %v, want %v", i, bad[i], want)
		}
	}
}

func TestRegularityTellsTicksFromGrain(t *testing.T) {
	ticks, grain := make([]float64, 2000), make([]float64, 2000)
	seed := uint32(1)
	for i := range ticks {
		seed = seed*1664525 + 1013904223
		noise := float64(seed>>16)/65536 - 0.5
		ticks[i], grain[i] = 150+10*noise, 150+30*noise
		if i%10 < 3 { // a tick a millimetre
			ticks[i] -= 25
		}
	}
	if r := regularity(ticks); r < 0.6 {
		t.Errorf("ticks have regularity %.2f", r)
	}
	if r := regularity(grain); r > 0.2 {
		t.Errorf("grain has regularity %.2f", r)
	}
}

// A reading that hops off a straight side and back is told by the side on
// both ends; a corner and a bend are left alone.
func TestOffSide(t *testing.T) {
	var l loop
	for i := range 200 {
		l = append(l, photo.Point{X: float64(i)})
	}
	for i := range 200 {
		l = append(l, photo.Point{X: 200, Y: float64(i)})
	}
	for i := 98; i < 103; i++ {
		l[i].Y = 1.5
	}
	b := &border{at: l}
	bad := make([]bool, len(l))
	if d := b.offSidePx(bad, 100); math.Abs(d-1.5) > 0.2 {
		t.Errorf("a hop of 1.5 px reads %.2f", d)
	}
	for _, i := range []int{60, 196, 200, 204} {
		if d := b.offSidePx(bad, i); d > 0.1 {
			t.Errorf("point %d of a straight side or a corner reads %.2f px", i, d)
		}
	}
}

// Nothing is closed along a side that is straight but for a step of two pixels:
// the border of what is cut out of the sheet is no other side.
func TestStraightSidesAreNoSlits(t *testing.T) {
	const w, h = 160, 120
	s := &sheet{res: 0.32, w: w, h: h, maxX: w - 1, maxY: h - 1, seen: make([]uint8, w*h)}
	for k := range s.ch {
		s.ch[k] = make([]float32, w*h)
	}
	mask := make([]uint8, w*h)
	for i := range mask {
		s.seen[i] = 1
		if x, y := i%w, i/w; x >= 20 && (x < 130 || y < 40 && x < 132) && y >= 30 && y < 100 && (x < 60 || y < 70) {
			mask[i] = 1
		}
	}
	list := s.regions(mask)
	if len(list) != 1 || !list[0].outlineOf(s) {
		t.Fatalf("%d regions", len(list))
	}
	if got, want := list[0].outline.area(), float64(110*40+40*30+2*10); math.Abs(got-want) > 0.005*want {
		t.Errorf("the region covers %.0f pixels, want %.0f", got, want)
	}
}
