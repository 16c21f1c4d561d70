package curve

import (
	"math"
	"math/rand"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
)

// Outlines as they come from photographs on a printed mat: dense, little
// scatter, errors shared by neighbours, bridged wherever a printed line
// crosses the edge, now and then a jog beside a pen mark.

// spoiling says how a measured outline differs from the true one.
type spoiling struct {
	// gridMM is the distance of the printed lines, bridgeMM half the width
	// that one hides, offMM how far a bridge strays at most.
	gridMM, bridgeMM, offMM float64
	// jogs beside pen marks, 0.5 mm over 1 mm.
	jogs int
}

var onMat = spoiling{gridMM: 12.7, bridgeMM: 1.2, offMM: 0.25, jogs: 3}

// measured samples the path as a photograph on a mat would.
func measured(p Path, s spoiling, r *rand.Rand) []Sample {
	q := resample(p.Flatten(0.005), 0.25)
	for range 2 {
		q = blunted(q)
	}
	out := make([]Sample, len(q))
	slow := 0.0
	for i, at := range q {
		slow = 0.85*slow + 0.53*0.02*r.NormFloat64()
		out[i] = Sample{along(at, normalAt(q, i), slow+0.008*r.NormFloat64()), 0.02}
	}
	sharp := cornersOf(p)
	addJogs(out, q, s, sharp, r)
	addBridges(out, q, s, sharp, r)
	return out
}

// blunted rounds corners by a tenth of a millimetre or two.
func blunted(q []mat.Point) []mat.Point {
	n := len(q)
	out := make([]mat.Point, n)
	for i := range q {
		out[i] = lerp(q[i], lerp(q[(i+n-1)%n], q[(i+1)%n], 0.5), 0.5)
	}
	return out
}

func normalAt(q []mat.Point, i int) mat.Point {
	n := len(q)
	return leftOf(unit(sub(q[(i+2)%n], q[(i+n-2)%n])))
}

// sharpCorner is a corner of a path and the angle inside it.
type sharpCorner struct {
	at     mat.Point
	tipDeg float64
}

func cornersOf(p Path) []sharpCorner {
	var out []sharpCorner
	n := len(p.Segments)
	for i, s := range p.Segments {
		a := turn(p.Segments[(i+n-1)%n].Tangent(1), s.Tangent(0)) * 180 / math.Pi
		if math.Abs(a) > 15 {
			out = append(out, sharpCorner{s.P0, 180 - math.Abs(a)})
		}
	}
	return out
}

func nearCorner(list []sharpCorner, p mat.Point, reachMM, tipDeg float64) bool {
	for _, c := range list {
		if c.tipDeg <= tipDeg && dist(c.at, p) < reachMM {
			return true
		}
	}
	return false
}

func addJogs(out []Sample, q []mat.Point, s spoiling, sharp []sharpCorner, r *rand.Rand) {
	for range s.jogs {
		i := r.Intn(len(q))
		if nearCorner(sharp, q[i], 4, 180) {
			continue
		}
		for k := range 5 {
			j := (i + k) % len(q)
			out[j].At = along(out[j].At, normalAt(q, j), 0.5*math.Sin(math.Pi*float64(k+1)/6))
		}
	}
}

// addBridges hides half of the crossings with printed lines. At the very tips
// of darts nothing is hidden: what is hidden there nobody can tell.
func addBridges(out []Sample, q []mat.Point, s spoiling, sharp []sharpCorner, r *rand.Rand) {
	shift := pt(r.Float64()*s.gridMM, r.Float64()*s.gridMM)
	hidden := func(p mat.Point) bool {
		x, y := math.Mod(p.X+1000*s.gridMM-shift.X, s.gridMM), math.Mod(p.Y+1000*s.gridMM-shift.Y, s.gridMM)
		return min(x, s.gridMM-x) < s.bridgeMM || min(y, s.gridMM-y) < s.bridgeMM
	}
	for i := 0; i < len(q); i++ {
		from := i
		for i < len(q) && i-from < 16 && hidden(q[i]) {
			i++
		}
		if i-from < 3 || r.Intn(2) == 0 {
			continue
		}
		off := (2*r.Float64() - 1) * s.offMM
		for k := from; k < i; k++ {
			if nearCorner(sharp, q[k], 4, 40) {
				continue
			}
			out[k].SigmaMM = 1
			out[k].At = along(out[k].At, normalAt(q, k), off*math.Sin(math.Pi*float64(k-from+1)/float64(i-from+1)))
		}
	}
}

// slit is a rectangle with a slit 2.5 mm wide, a tab with a tip of 60° and a
// rounded end.
func slit() Path {
	return closeUp(
		[]Segment{Line(pt(0, 0), pt(30, 0)), Line(pt(30, 0), pt(30.5, 25)), Line(pt(30.5, 25), pt(32.8, 25)), Line(pt(32.8, 25), pt(32.5, 0)), Line(pt(32.5, 0), pt(70, 0))},
		arc(pt(70, 20), 20, -90, 90),
		[]Segment{Line(pt(50, 40), pt(40, 57)), Line(pt(40, 57), pt(30, 40))},
		[]Segment{Line(pt(0, 40), pt(0, 0))},
	).Rotate(pt(0, 0), 0.25)
}

// measuredShapes leaves out darts whose tips no sample reaches.
func measuredShapes() []shape {
	out := []shape{{name: "slit", path: slit(), nodes: 14}}
	for _, s := range shapes() {
		if s.tipDeg == 0 || s.tipDeg > 14 {
			out = append(out, s)
		}
	}
	return out
}

// TestFitMeasured: within 0.35 mm and 0.06 mm RMS of the truth, all corners,
// no others, few nodes; in nine cases of ten, the rest within 0.6 mm.
func TestFitMeasured(t *testing.T) {
	all, good := 0, 0
	for _, s := range measuredShapes() {
		corners := len(cornersOf(s.path))
		for seed := range int64(4) {
			samples := measured(s.path, onMat, rand.New(rand.NewSource(seed)))
			p, r, err := FitClosed(samples, FitOptions{CornerGapMM: 0.7})
			if err != nil {
				t.Fatal(err)
			}
			checkPath(t, p)
			got := compare(p, s.path)
			all++
			if got.worst <= 0.35 && got.rms <= 0.06 && r.Corners == corners {
				good++
			} else {
				t.Logf("%s, seed %d: rms %.3f mm, worst %.2f mm at (%.1f, %.1f), %d corners of %d", s.name, seed, got.rms, got.worst, got.at.X, got.at.Y, r.Corners, corners)
			}
			if got.worst > 0.6 || got.rms > 0.1 || len(p.Segments) > 2*s.nodes+4 {
				t.Errorf("%s, seed %d: rms %.3f mm, worst %.2f mm at (%.1f, %.1f), %d nodes", s.name, seed, got.rms, got.worst, got.at.X, got.at.Y, len(p.Segments))
			}
			if len(r.Unreliable) == 0 {
				t.Errorf("%s, seed %d: nothing is said of the bridges", s.name, seed)
			}
		}
	}
	if 10*good < 9*all {
		t.Errorf("%d good fits of %d", good, all)
	}
}

// TestFitStaysWithSamples: whatever the samples, the path is finite, closed,
// runs the same way round and never leaves the way of the samples.
func TestFitStaysWithSamples(t *testing.T) {
	list := measuredShapes()
	rapid.Check(t, func(t *rapid.T) {
		s := list[rapid.IntRange(0, len(list)-1).Draw(t, "shape")]
		k := spoiling{
			gridMM:   rapid.Float64Range(8, 26).Draw(t, "grid"),
			bridgeMM: rapid.Float64Range(0.3, 2).Draw(t, "bridge"),
			offMM:    rapid.Float64Range(0, 1).Draw(t, "off"),
			jogs:     rapid.IntRange(0, 8).Draw(t, "jogs"),
		}
		samples := measured(s.path, k, rand.New(rand.NewSource(rapid.Int64().Draw(t, "seed"))))
		p, _, err := FitClosed(samples, FitOptions{CornerGapMM: rapid.Float64Range(0.4, 1.2).Draw(t, "gap")})
		if err != nil {
			t.Fatal(err)
		}
		checkPath(t, p)
		if p.Area() <= 0 {
			t.Fatalf("the path runs the other way round, area %.1f mm²", p.Area())
		}
		way := make([]mat.Point, len(samples))
		for i, q := range samples {
			way[i] = q.At
		}
		x := newPolyIndex(way, true)
		tips, own := cornersOf(s.path), cornersOf(p)
		for _, q := range densePoints(p, 0.2) {
			most := 2*pathGrossMM + 0.05
			if nearCorner(own, q, 3, 180) {
				// The fit's own corners may lie beyond a bridge's samples.
				most += tipBridgeMM
			}
			if d := x.distance(q); d > most && !nearCorner(tips, q, 8, 45) && !nearCorner(tips, q, 3, 180) {
				t.Fatalf("the path is %.2f mm from the samples at %v", d, q)
			}
		}
	})
}
