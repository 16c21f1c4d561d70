package pattern

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

type point3 [3]float64

func (a point3) minus(b point3) point3 { return point3{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func (a point3) plus(b point3) point3 { return point3{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

func (a point3) times(k float64) point3 { return point3{k * a[0], k * a[1], k * a[2]} }

func (a point3) dot(b point3) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func (a point3) cross(b point3) point3 {
	return point3{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func (a point3) unit() point3 { return a.times(1 / math.Sqrt(a.dot(a))) }

// icosahedron returns the twelve vertices (0, ±1, ±φ) and their cyclic
// permutations, two apart along every edge (Coxeter, Regular Polytopes, 1948,
// section 3.7; from memory).
func icosahedron() []point3 {
	phi := (1 + math.Sqrt(5)) / 2
	var v []point3
	for _, a := range []float64{-1, 1} {
		for _, b := range []float64{-phi, phi} {
			v = append(v, point3{0, a, b}, point3{a, b, 0}, point3{b, 0, a})
		}
	}
	return v
}

// truncatedIcosahedron returns its 12 pentagons and 20 hexagons, each seen
// from outside clockwise in a picture with y down.
func truncatedIcosahedron(edgeMM float64) [][]point3 {
	v := icosahedron()
	near := func(a, b point3) bool { d := a.minus(b); return math.Abs(d.dot(d)-4) < 1e-9 }
	cut := func(a, b point3) point3 { return a.times(2.0 / 3).plus(b.times(1.0 / 3)) }
	var faces [][]point3
	for _, a := range v {
		var f []point3
		for _, b := range v {
			if near(a, b) {
				f = append(f, cut(a, b))
			}
		}
		faces = append(faces, f)
	}
	for i, a := range v {
		for j, b := range v[:i] {
			for _, c := range v[:j] {
				if near(a, b) && near(b, c) && near(a, c) {
					faces = append(faces, []point3{cut(a, b), cut(b, a), cut(b, c), cut(c, b), cut(c, a), cut(a, c)})
				}
			}
		}
	}
	scale := edgeMM / (2.0 / 3)
	for _, f := range faces {
		for k := range f {
			f[k] = f[k].times(scale)
		}
		goRound(f)
	}
	return faces
}

// frameOf returns the middle of a face of a solid about the origin and its
// axes; the third points out.
func frameOf(f []point3) (o, x, y, out point3) {
	for _, q := range f {
		o = o.plus(q.times(1 / float64(len(f))))
	}
	out = f[1].minus(f[0]).cross(f[2].minus(f[0])).unit()
	if out.dot(o) < 0 {
		out = out.times(-1)
	}
	x = f[0].minus(o).unit()
	return o, x, x.cross(out), out
}

// goRound sorts a face's corners by their angle, clockwise to the eye outside.
func goRound(f []point3) {
	o, x, y, _ := frameOf(f)
	angle := func(q point3) float64 { d := q.minus(o); return math.Atan2(d.dot(y), d.dot(x)) }
	slices.SortFunc(f, func(a, b point3) int { return int(math.Copysign(1, angle(a)-angle(b))) })
}

// TestTruncatedIcosahedron takes the 32 pieces of a ball of pentagons and
// hexagons, as they would be lifted off a form with a noise of 0.3 mm, through
// pairing, bevels and findings.
func TestTruncatedIcosahedron(t *testing.T) {
	const edgeMM, thickMM = 60, 10
	r := rand.New(rand.NewPCG(5, 6))
	faces := truncatedIcosahedron(edgeMM)
	if len(faces) != 32 {
		t.Fatalf("%d faces", len(faces))
	}
	type seam [2]point3
	marks := map[seam][]float64{}
	edges := map[seam][]string{}
	var pieces []Piece
	for i, f := range faces {
		o, x, y, _ := frameOf(f)
		flat := func(q point3) mat.Point { d := q.minus(o); return pt(d.dot(x), d.dot(y)) }
		shake := func(q mat.Point) mat.Point { return pt(q.X+0.3*r.NormFloat64(), q.Y+0.3*r.NormFloat64()) }
		id := Letters(i)
		var corners []mat.Point
		for _, q := range f {
			corners = append(corners, shake(flat(q)))
		}
		p := Piece{ID: id, Outline: curve.Polygon(corners...), ThicknessMM: thickMM}
		for k := range f {
			a, b := f[k], f[(k+1)%len(f)]
			key := seam{a, b}
			if slices.Compare(a[:], b[:]) > 0 {
				key = seam{b, a}
			}
			key = rounded(key)
			if marks[key] == nil {
				for range 2 + r.IntN(3) {
					marks[key] = append(marks[key], 0.1+0.8*r.Float64())
				}
			}
			edges[key] = append(edges[key], fmt.Sprintf("%s%d", id, k+1))
			from, to := key[0], key[1]
			for _, s := range marks[key] {
				// The tracing puts a mark's end on the outline.
				at, err := p.Outline.Nearest(shake(flat(from.times(1 - s).plus(to.times(s)))))
				if err != nil {
					t.Fatal(err)
				}
				p.Marks = append(p.Marks, Mark{At: at.At, In: at.At})
			}
		}
		pieces = append(pieces, p)
	}
	p, err := New("ball", pieces...)
	if err != nil {
		t.Fatal(err)
	}
	if len(edges) != 90 {
		t.Fatalf("%d seams, want 90", len(edges))
	}
	mates := map[string]string{}
	for _, e := range edges {
		mates[e[0]], mates[e[1]] = e[1], e[0]
	}
	proposed := p.ProposeMates(MateOptions{})
	sure, right := 0, 0
	for _, m := range proposed {
		ok := mates[m.A[0].Edge] == m.B[0].Edge
		if m.Sure {
			sure++
			if !ok {
				t.Errorf("called sure: %v with %v, margin %.1f", m.A, m.B, m.Margin)
			}
		}
		if ok {
			right++
		}
	}
	t.Logf("of 90 seams %d proposed, %d right, %d called sure", len(proposed), right, sure)
	if right < 80 || sure < 55 {
		t.Errorf("of 90 seams %d proposed rightly, %d called sure", right, sure)
	}
	// The maker pairs the rest by eye.
	for _, e := range edges {
		if _, err := p.Pair(Facing(e[0], e[1])); err != nil {
			t.Fatal(err)
		}
	}
	checkBall(t, p)
}

// rounded makes keys of corners that were computed along different ways.
func rounded(s [2]point3) [2]point3 {
	for i := range s {
		for k := range s[i] {
			s[i][k] = math.Round(s[i][k]*1e6) / 1e6
		}
	}
	return s
}

// checkBall gives every seam the bevels that follow from the corners meeting
// at a vertex: 120, 120 and 108°. 138.1897° between hexagons, 142.6226°
// between hexagon and pentagon (figures from the project's collection).
func checkBall(t *testing.T, p Pattern) {
	t.Helper()
	angles, err := PointAnglesDeg(108, 120, 120)
	if err != nil {
		t.Fatal(err)
	}
	between := map[string]int{}
	for _, s := range slices.Clone(p.Seams) {
		a, _, _ := p.FindEdge(s.A[0].Edge)
		b, _, _ := p.FindEdge(s.B[0].Edge)
		want := angles[0]
		if len(a.Edges) == 5 || len(b.Edges) == 5 {
			want = angles[1]
		}
		between[fmt.Sprintf("%.4f", want)]++
		if err := p.ShareTurn(s.ID, want); err != nil {
			t.Fatal(err)
		}
		if a, k, _ := p.FindEdge(s.A[0].Edge); math.Abs(a.Edges[k].Cut.AngleDeg-(180-want)/2) > 1e-9 {
			t.Errorf("seam %s is bevelled by %g°", s.ID, a.Edges[k].Cut.AngleDeg)
		}
	}
	if between["138.1897"] != 30 || between["142.6226"] != 60 {
		t.Errorf("angles %v", between)
	}
	counts := map[FindingKind]int{}
	worst := 0.0
	for _, f := range Check(p) {
		counts[f.Kind]++
		if f.Kind == SeamLength {
			worst = max(worst, math.Abs(f.AmountMM))
		}
	}
	t.Logf("findings: %v, worst length %.2f mm", counts, worst)
	if counts[Faulty]+counts[BackFace]+counts[SeamAngle]+counts[Unpaired]+counts[BareSeam] > 0 {
		t.Errorf("findings %v", counts)
	}
	for _, f := range Check(p) {
		if f.Kind != SeamLength {
			continue
		}
		if err := p.Apply(f.Mend); err != nil {
			t.Errorf("seam %s: %v", f.Seam, err)
		}
	}
	for i := range p.Pieces {
		faces, faults := OtherFace(p.Pieces[i])
		if len(faults) > 0 || len(faces) != 1 {
			t.Errorf("piece %s: %v", p.Pieces[i].ID, faults)
		}
	}
}
