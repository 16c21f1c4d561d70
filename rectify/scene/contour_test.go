package scene

import (
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/mat"
)

func TestContourCornersAndArea(t *testing.T) {
	sq := begin(0, 0).line(10, 0).line(10, 10).line(0, 10).close()
	if len(sq.corners) != 4 || math.Abs(signedArea(sq.points)-100) > 1e-12 {
		t.Errorf("square: corners %v, area %v", sq.corners, signedArea(sq.points))
	}
	back := begin(0, 0).line(0, 10).line(10, 10).line(10, 0).close()
	if signedArea(back.points) < 0 {
		t.Error("an outline drawn the other way round was not turned clockwise")
	}
	disc := ellipse(5, 5, 40, 40)
	if len(disc.corners) != 0 {
		t.Errorf("a disc has corners %v", disc.corners)
	}
	// The cubic circle is 2.7e-4 of the radius out at most (from memory), the
	// chords 0.01 mm in.
	for _, p := range disc.points {
		if r := dist(p, mat.Point{X: 5, Y: 5}); math.Abs(r-40) > 0.012 {
			t.Fatalf("disc of 40 mm has a point at %v mm", r)
		}
	}
	bowed := begin(-50, 0).bow(50, 0, 10).line(50, 40).line(-50, 40).close()
	if b := boundsOf(bowed.points); math.Abs(b.minY+10) > 0.01 {
		t.Errorf("a bow of 10 mm rises %v mm outwards", -b.minY)
	}
}

func TestFlattenKeepsItsTolerance(t *testing.T) {
	b := [4]mat.Point{{X: 0, Y: 0}, {X: 100, Y: 200}, {X: -100, Y: 200}, {X: 40, Y: 0}}
	fine := flatten([]mat.Point{b[0]}, b, 1e-5)
	coarse := flatten([]mat.Point{b[0]}, b, 0.05)
	edges := lineEdges(coarse)
	for _, p := range fine {
		if d := nearestDistance(edges, p); d > 0.05 {
			t.Fatalf("the curve leaves its chords by %v mm", d)
		}
	}
}

func TestShapesAreSimpleAndClockwise(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for k, kind := range shapeKinds {
		for range 50 {
			c := kind(rng, 100)
			if signedArea(c.points) < 300 {
				t.Fatalf("shape %d: area %v", k, signedArea(c.points))
			}
			if a, b, bad := selfCrossing(c.points); bad {
				t.Fatalf("shape %d crosses itself at edges %d and %d", k, a, b)
			}
			for _, o := range c.openings {
				for _, p := range o.points {
					if !contains(c.points, p) {
						t.Fatalf("shape %d: its opening reaches outside", k)
					}
				}
			}
		}
	}
}

func selfCrossing(ring []mat.Point) (a, b int, bad bool) {
	es := ringEdges(ring)
	for i := range es {
		for j := i + 2; j < len(es); j++ {
			if i == 0 && j == len(es)-1 {
				continue
			}
			if es[i].crosses(es[j].ax, es[j].ay, es[j].bx, es[j].by) {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

func TestSignedDistanceOfTheIndex(t *testing.T) {
	// The index against plain geometry, all over a shape with a hole.
	outer := begin(-40, -30).bow(40, -30, 9).line(31, 30).line(4, 28).line(0, -5).line(-6, 31).line(-40, 28).close()
	hole := ellipse(-20, -12, 9, 6)
	edges := ringEdges(outer.points, hole.points)
	ix := newIndex(boundsOf(outer.points).grow(12), 2)
	ix.add(0, -1, edges, true, 4)
	rng := rand.New(rand.NewPCG(5, 6))
	for range 20000 {
		p := mat.Point{X: between(rng, -50, 50), Y: between(rng, -45, 45)}
		want := nearestDistance(edges, p)
		in := contains(outer.points, p) && !contains(hole.points, p)
		cell, cx, cy := ix.at(p.X, p.Y)
		got := math.Inf(-1)
		if len(cell) > 0 {
			got = cell[0].signed(p.X, p.Y, cx, cy)
		}
		if in != (got > 0) {
			t.Fatalf("at %v: inside is %v, distance %v", p, in, got)
		}
		if want < 4 && math.Abs(math.Abs(got)-want) > 1e-9 {
			t.Fatalf("at %v: distance %v, want %v", p, got, want)
		}
	}
}
