package scene

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"

	"pgregory.net/rapid"
)

// slabScene is the plain scene with its piece 12 mm thick and no shadow.
func slabScene() Spec {
	s := plainScene()
	s.Pieces[0].ThicknessMM = 12
	return s
}

// projected is a point heightMM above the mat in the photograph by a 3 x 4
// matrix built apart from the camera's own code: K [R | -R C] with R = Rz(roll)
// times the turn by the tilt about the horizontal axis across the azimuth, then
// Zhang 2000, section 3.3.
func projected(c Camera, p mat.Point, heightMM float64) photo.Point {
	a, t, r := radians(c.AzimuthDeg), radians(c.TiltDeg), radians(c.RollDeg)
	// In axes turned by the azimuth the camera stands off along the first one.
	along := math.Cos(a)*(p.X-c.TargetX) + math.Sin(a)*(p.Y-c.TargetY)
	across := -math.Sin(a)*(p.X-c.TargetX) + math.Cos(a)*(p.Y-c.TargetY)
	// Leaning by the tilt: the axis runs down and away from the stand-off.
	depth := c.DistanceMM - along*math.Sin(t) - heightMM*math.Cos(t)
	lean := along*math.Cos(t) - heightMM*math.Sin(t)
	// Back to the photograph's axes by the azimuth, then the roll.
	x := (math.Cos(a)*lean - math.Sin(a)*across) / depth
	y := (math.Sin(a)*lean + math.Cos(a)*across) / depth
	x, y = math.Cos(r)*x+math.Sin(r)*y, -math.Sin(r)*x+math.Cos(r)*y
	r2 := x*x + y*y
	k := 1 + c.K1*r2 + c.K2*r2*r2 + c.K3*r2*r2*r2
	return photo.Point{
		X: c.CentreX + c.FocalPx*(x*k+2*c.P1*x*y+c.P2*(r2+2*x*x)),
		Y: c.CentreY + c.FocalPx*(y*k+c.P1*(r2+2*y*y)+2*c.P2*x*y),
	}
}

func TestCameraSeesHeight(t *testing.T) {
	// Straight down: px = focal * mm / (distance - height).
	c := Camera{FocalPx: 3000, CentreX: 2000, CentreY: 1500, TargetX: 300, TargetY: 200, DistanceMM: 600}
	if got := c.ToPhotoAt(mat.Point{X: 400, Y: 200}, 100); math.Hypot(got.X-2600, got.Y-1500) > 1e-9 {
		t.Errorf("100 mm up and 100 mm aside is seen at %v, want (2600, 1500)", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		c := Random(rapid.Uint64().Draw(t, "seed"), RandomOptions{MaxPieces: 1, Megapixels: 3}).Camera
		p := mat.Point{X: rapid.Float64Range(50, 400).Draw(t, "x"), Y: rapid.Float64Range(50, 250).Draw(t, "y")}
		h := rapid.Float64Range(-5, 60).Draw(t, "height")
		got, want := c.ToPhotoAt(p, h), projected(c, p, h)
		if !(math.Hypot(got.X-want.X, got.Y-want.Y) < 1e-7) {
			t.Fatalf("%v, %g mm up, is seen at %v, want %v", p, h, got, want)
		}
	})
}

func TestCameraFootAndHeight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Random(rapid.Uint64().Draw(t, "seed"), RandomOptions{MaxPieces: 1, Megapixels: 3}).Camera
		// By the right triangle of axis, height and foot.
		foot := add(mat.Point{X: c.TargetX, Y: c.TargetY},
			scale(turn(c.AzimuthDeg).apply(mat.Point{X: 1}), c.DistanceMM*math.Sin(radians(c.TiltDeg))))
		if dist(foot, c.FootMM()) > 1e-9 || math.Abs(c.HeightMM()-c.DistanceMM*math.Cos(radians(c.TiltDeg))) > 1e-9 {
			t.Fatalf("foot %v, height %v of %+v", c.FootMM(), c.HeightMM(), c)
		}
		// A point z up hides the mat at C + (X - C) / (1 - z / C_z).
		p := mat.Point{X: rapid.Float64Range(0, 450).Draw(t, "x"), Y: rapid.Float64Range(0, 300).Draw(t, "y")}
		z := rapid.Float64Range(0, 40).Draw(t, "z")
		behind := add(foot, scale(sub(p, foot), 1/(1-z/c.HeightMM())))
		a, b := c.ToPhotoAt(p, z), c.ToPhoto(behind)
		if !math.IsNaN(b.X) && !(math.Hypot(a.X-b.X, a.Y-b.Y) < 1e-7) {
			t.Fatalf("%v, %g mm up, is seen at %v, the mat behind it at %v", p, z, a, b)
		}
	})
}

// hull is the convex hull of points in the photograph (monotone chain, Andrew
// 1979).
func hull(ps []mat.Point) []mat.Point {
	var out []mat.Point
	for _, flip := range []float64{1, -1} {
		var half []mat.Point
		rest := append([]mat.Point(nil), ps...)
		for range ps {
			low := 0
			for i, p := range rest {
				if q := rest[low]; flip*p.X < flip*q.X || (p.X == q.X && flip*p.Y < flip*q.Y) {
					low = i
				}
			}
			p := rest[low]
			rest = append(rest[:low], rest[low+1:]...)
			for n := len(half); n > 1 && cross(sub(half[n-1], half[n-2]), sub(p, half[n-1])) <= 0; n-- {
				half = half[:n-1]
			}
			half = append(half, p)
		}
		out = append(out, half[:len(half)-1]...)
	}
	return out
}

func TestSlabSilhouette(t *testing.T) {
	// The silhouette of a convex slab is the hull of its corners, the edges
	// bent by the lens; every pixel 2 px clear of it must be of its side.
	s := slabScene()
	s.Mat.MajorMM, s.Mat.MinorMM = 0, 0
	p, err := Render(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	var seen []mat.Point
	for _, q := range resample(s.Pieces[0].Outline, 4) {
		for _, z := range []float64{0, 4, 8, 12} {
			seen = append(seen, mat.Point(projected(s.Camera, q, z)))
		}
	}
	outline := hull(seen)
	foam, ground := 0, 0
	for y := 0; y < p.Height; y += 2 {
		for x := 0; x < p.Width; x += 2 {
			at := mat.Point{X: float64(x), Y: float64(y)}
			if dist(at, nearestOnRing(outline, at)) < 2 {
				continue
			}
			red, green := p.RGB[3*(y*p.Width+x)], p.RGB[3*(y*p.Width+x)+1]
			isFoam := red > green // the mat is green, the table grey
			if m, _ := s.Camera.ToMat(photo.Point(at)); m.X < 0 || m.Y < 0 || m.X > 127 || m.Y > 101.6 {
				continue
			}
			if isFoam {
				foam++
			} else {
				ground++
			}
			if isFoam != contains(outline, at) {
				t.Fatalf("pixel (%d, %d) is foam: %v", x, y, isFoam)
			}
		}
	}
	if foam < 5000 || ground < 5000 {
		t.Fatalf("only %d px of foam and %d of mat were looked at", foam, ground)
	}
}

// edgesSeen are the edges of a slab's outline whose wall faces the camera, and
// those whose wall is hidden behind the top face.
func edgesSeen(s *Spec) (facing, hidden [][2]mat.Point) {
	ring := s.Truth().Pieces[0].Outline
	foot := s.Camera.FootMM()
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if cross(sub(b, a), sub(foot, a)) < 0 {
			facing = append(facing, [2]mat.Point{a, b})
		} else {
			hidden = append(hidden, [2]mat.Point{a, b})
		}
	}
	return facing, hidden
}

// edgeOffMM is by how much an edge heightMM up is drawn outside its truth.
func edgeOffMM(p *photo.Photo, s *Spec, e [2]mat.Point, heightMM, farMM float64) float64 {
	along := scale(sub(e[1], e[0]), 1/dist(e[0], e[1]))
	normal := mat.Point{X: along.Y, Y: -along.X}
	v := s.Camera.View()
	var sum float64
	n := 0
	for d := 8.0; d < dist(e[0], e[1])-8; d += 0.13 {
		at := add(e[0], scale(along, d))
		var profile []float64
		for q := -farMM; q <= farMM+1e-9; q += 0.02 {
			profile = append(profile, lightAt(p, v.ToPhotoAt(add(at, scale(normal, q)), heightMM)))
		}
		sum += stepAt(profile, farMM, 0.02)
		n++
	}
	return sum / float64(n)
}

// stepAt is where a step lies in a profile from -far to far whose two sides
// slope: where two straight lines, laid through the outer parts, must meet for
// the same area.
func stepAt(profile []float64, farMM, stepMM float64) float64 {
	n := len(profile)
	end := n / 4
	left, right := lineThrough(profile[:end], 0), lineThrough(profile[n-end:], n-end)
	sum := 0.0
	for i, v := range profile {
		sum += v - right(float64(i))
	}
	best, at := math.Inf(1), 0.0
	area := 0.0
	for x := 0.0; x < float64(n-1); x += 0.05 {
		if miss := math.Abs(area - sum); miss < best {
			best, at = miss, x-0.5
		}
		area += 0.05 * (left(x-0.5) - right(x-0.5))
	}
	return -farMM + at*stepMM
}

// lineThrough is the least-squares line through values at from, from+1...
func lineThrough(v []float64, from int) func(float64) float64 {
	mx, my := float64(from)+float64(len(v)-1)/2, 0.0
	for _, y := range v {
		my += y / float64(len(v))
	}
	var xy, xx float64
	for i, y := range v {
		x := float64(from+i) - mx
		xy, xx = xy+x*(y-my), xx+x*x
	}
	return func(x float64) float64 { return my + xy/xx*(x-mx) }
}

func TestSlabEdgesLieWhereTheTruthSays(t *testing.T) {
	s := slabScene()
	s.Mat.MajorMM, s.Mat.MinorMM = 0, 0
	s.Width, s.Height = 2*s.Width, 2*s.Height // the wall is to be wide enough
	s.Camera.FocalPx, s.Camera.CentreX, s.Camera.CentreY = 2*s.Camera.FocalPx, 2*s.Camera.CentreX, 2*s.Camera.CentreY
	p, err := Render(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	facing, hidden := edgesSeen(&s)
	if len(facing) == 0 || len(hidden) == 0 {
		t.Fatalf("%d walls face the camera, %d do not", len(facing), len(hidden))
	}
	for _, e := range hidden {
		if off := edgeOffMM(p, &s, e, 12, 1.5); math.Abs(off) > 0.01 {
			t.Errorf("a top edge over the mat is drawn %.4f mm outside its truth", off)
		}
	}
	for _, e := range facing {
		top, foot := edgeOffMM(p, &s, e, 12, 1), edgeOffMM(p, &s, e, 0, 1)
		t.Logf("top %.4f mm, foot %.4f mm", top, foot)
		if math.Abs(top) > 0.015 || math.Abs(foot) > 0.015 {
			t.Errorf("a wall is drawn %.4f mm (top), %.4f mm (foot) outside its truth", top, foot)
		}
	}
}

func TestSlabTonesAndShadow(t *testing.T) {
	s := slabScene()
	s.Mat.MajorMM, s.Mat.MinorMM = 0, 0
	s.Light.Contact, s.Light.ContactMM, s.Light.ContactDeg = 0.4, 1.5, 140
	p, err := Render(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	facing, _ := edgesSeen(&s)
	e := facing[0]
	mid := lerp(e[0], e[1], 0.5)
	u := scale(sub(e[1], e[0]), 1/dist(e[0], e[1]))
	out := mat.Point{X: u.Y, Y: -u.X}
	v := s.Camera.View()
	top := lightAt(p, v.ToPhotoAt(add(mid, scale(out, -5)), 12))
	wall := lightAt(p, v.ToPhotoAt(mid, 6))
	ground := lightAt(p, v.ToPhoto(add(mid, scale(out, 25))))
	if !(top > wall && wall > ground && top-wall < top-ground) {
		t.Errorf("top %.3f, wall %.3f, mat %.3f: the edge top to wall must be weaker than top to mat", top, wall, ground)
	}
	// On the lamp's far side the foot lies in shadow: 12 mm high at 50 degrees
	// throws 10 mm.
	dir := turn(140).apply(mat.Point{X: 1})
	c := centroid(s.Pieces[0].Outline)
	in := add(c, scale(dir, exitOf(s.Pieces[0].Outline, c, dir)))
	dark, clear := st(s).shadow.at(add(in, scale(dir, 4))), st(s).shadow.at(add(in, scale(dir, 16)))
	if dark < 0.35 || clear > 0.01 {
		t.Errorf("shadow %.2f at 4 mm, %.2f at 16 mm", dark, clear)
	}
	if lit := st(s).shadow.at(add(c, scale(dir, -exitOf(s.Pieces[0].Outline, c, scale(dir, -1))-4))); lit > 0.01 {
		t.Errorf("shadow %.2f on the lamp's side", lit)
	}
}

func st(s Spec) *slabs { return newSlabs(&s, s.Camera.View()) }

// exitOf is how far one can go from p until the ring is left.
func exitOf(ring []mat.Point, p, dir mat.Point) float64 {
	d := 0.0
	for contains(ring, add(p, scale(dir, d))) {
		d += 0.05
	}
	return d
}

func TestSlabHoles(t *testing.T) {
	// Through an opening one sees the mat, or the wall on the far side.
	s := slabScene()
	s.Pieces[0].Openings = [][]mat.Point{turned(ellipse(60, 50, 12, 12).points, -1)}
	b, hit := st(s).meets(mat.Point{X: 60, Y: 50})
	if b != nil {
		t.Errorf("the opening's middle is %+v", hit)
	}
	k := st(s)
	walls := 0
	for _, deg := range []float64{0, 45, 90, 135, 180, 225, 270, 315} {
		at := add(mat.Point{X: 60, Y: 50}, turn(deg).apply(mat.Point{X: 11.7}))
		_, hit := k.meets(at)
		// Beyond the middle as seen from the camera the mat shows, this side of
		// it the wall does not.
		if hit.hit {
			walls++
		}
	}
	if walls == 0 || walls == 8 {
		t.Errorf("the slab hides %d of 8 places just inside the opening", walls)
	}
}

func TestFlatPiecesAreDrawnAsEver(t *testing.T) {
	// A slab somewhere else in the frame must not change the pixels away from
	// it, nor a thickness of 0 anything.
	flat := smallScene(4)
	a, _ := mustRender(t, flat, defaultStripRows)
	mixed := flat
	mixed.Pieces = append([]Piece(nil), flat.Pieces...)
	mixed.Pieces[0].ThicknessMM = 10
	b, _ := mustRender(t, mixed, defaultStripRows)
	if bytes.Equal(a, b) {
		t.Fatal("a thick piece looks like a flat one")
	}
	v := flat.Camera.View()
	far := boundsOf(flat.Pieces[0].Outline).grow(60)
	same := 0
	for y := range flat.Height {
		for x := range flat.Width {
			m, ok := v.ToMat(photo.Point{X: float64(x), Y: float64(y)})
			if !ok || (m.X > far.minX && m.X < far.maxX && m.Y > far.minY && m.Y < far.maxY) {
				continue
			}
			i := 3 * (y*flat.Width + x)
			if !bytes.Equal(a[i:i+3], b[i:i+3]) {
				t.Fatalf("pixel (%d, %d) changed", x, y)
			}
			same++
		}
	}
	if same < 1000 {
		t.Fatalf("only %d px were compared", same)
	}
}

func TestThickRandomScene(t *testing.T) {
	s := Random(5, RandomOptions{Megapixels: 0.25, ThicknessMM: 10})
	v := s.Camera.View()
	for _, p := range s.Pieces {
		if p.ThicknessMM != 10 || !s.visible(v, p.Outline, 10, 0) {
			t.Errorf("piece %s is %g mm thick, wholly in the frame: %v", p.ID, p.ThicknessMM, s.visible(v, p.Outline, 10, 0))
		}
	}
	var buf bytes.Buffer
	if err := s.Truth().WriteJSON(&buf); err != nil {
		t.Fatal(err)
	}
	back, err := ReadTruth(&buf)
	if err != nil {
		t.Fatal(err)
	}
	if back.Pieces[0].ThicknessMM != 10 || back.HeightMM != s.Camera.HeightMM() || back.FootMM != s.Camera.FootMM() {
		t.Errorf("thickness %g, height %g, foot %v came back", back.Pieces[0].ThicknessMM, back.HeightMM, back.FootMM)
	}
	s.Pieces[0].ThicknessMM = s.Camera.HeightMM()
	if _, err := Render(context.Background(), s); err == nil {
		t.Error("a piece as high as the camera was drawn")
	}
}

func TestRaysMeetSlabsAsStepByStep(t *testing.T) {
	// Against rays followed in 200 steps by the even-odd rule alone, near the
	// outlines and openings of many pieces.
	s := Random(6, RandomOptions{Megapixels: 0.3, ThicknessMM: 20})
	k := st(s)
	at := func(ground mat.Point, part float64) mat.Point {
		return add(k.foot, scale(sub(ground, k.foot), 1-20*(1-part)/k.heightMM))
	}
	rng := rand.New(rand.NewPCG(1, 2))
	tops, walls, misses := 0, 0, 0
	for range 300 {
		rings := ringsOf(&s.Pieces[rng.IntN(len(s.Pieces))])
		ring := rings[rng.IntN(len(rings))]
		ground := add(ring[rng.IntN(len(ring))], mat.Point{X: 12 * rng.NormFloat64(), Y: 12 * rng.NormFloat64()})
		const steps = 200
		want, piece := 0.0, pieceAt(&s, at(ground, 0))
		for i := 1; i <= steps && piece < 0; i++ {
			want = float64(i) / steps
			piece = pieceAt(&s, at(ground, want))
		}
		b, got := k.meets(ground)
		switch {
		case !got.hit && piece < 0:
			misses++
		case got.hit && piece < 0:
			// A corner grazed between two steps.
			if pieceAt(&s, at(ground, got.part+1e-6)) < 0 {
				t.Fatalf("at %v the ray is met at %.4f, step by step nowhere", ground, got.part)
			}
		case !got.hit || b != k.all[piece] || got.part > want+1e-9 || got.part < want-1.5/steps:
			t.Fatalf("at %v the ray is met: %v, at %.4f; step by step at %.4f by piece %d", ground, got.hit, got.part, want, piece)
		case got.edge == nil:
			tops++
		default:
			walls++
		}
	}
	if tops < 30 || walls < 30 || misses < 30 {
		t.Errorf("%d rays met a top, %d a wall, %d nothing", tops, walls, misses)
	}
}

func ringsOf(p *Piece) [][]mat.Point { return append([][]mat.Point{p.Outline}, p.Openings...) }

// pieceAt is the piece whose material lies over a place of the plan, -1 for
// none.
func pieceAt(s *Spec, p mat.Point) int {
	for i := range s.Pieces {
		in := false
		for _, ring := range ringsOf(&s.Pieces[i]) {
			if contains(ring, p) {
				in = !in
			}
		}
		if in {
			return i
		}
	}
	return -1
}
