package page

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// OtherFaceLine is the line that an edge makes on the face of the sheet that
// the pattern does not show.
type OtherFaceLine struct {
	EdgeID string
	Cut    pattern.Cut
	Path   curve.Path
}

// OtherFaceLines returns the other face's lines of the edges that lean, edge
// by edge as they follow round the piece: the outline that pattern.OtherFace
// gives, cut up. Straight edges have none, for there both faces share the
// cut line. The findings say why there is no other face.
func OtherFaceLines(p pattern.Piece) ([]OtherFaceLine, []pattern.Finding) {
	insets, leans := insets(&p)
	if !leans {
		return nil, nil
	}
	faces, findings := pattern.OtherFace(p)
	if len(faces) == 0 {
		return nil, findings
	}
	loop := faces[0].Flatten(inkTolMM)
	owner := owners(&p, loop, insets)
	var lines []OtherFaceLine
	for _, r := range runs(owner) {
		e := p.Edges[r.owner]
		if insets[r.owner] == 0 {
			continue
		}
		pts := make([]mat.Point, r.count+1)
		for k := range pts {
			pts[k] = loop[(r.first+k)%len(loop)]
		}
		lines = append(lines, OtherFaceLine{e.ID, e.Cut, curve.Polyline(pts...)})
	}
	return lines, findings
}

// owners returns the edge that each step of the other face's loop belongs to.
func owners(p *pattern.Piece, loop []mat.Point, insets []float64) []int {
	edges, longer := make([][]mat.Point, len(p.Edges)), make([][]mat.Point, len(p.Edges))
	for i := range p.Edges {
		edges[i] = p.EdgePath(i).Flatten(inkTolMM)
		longer[i] = lengthened(edges[i], 10*p.ThicknessMM)
	}
	owner := make([]int, len(loop))
	for i := range loop {
		a, b := loop[i], loop[(i+1)%len(loop)]
		owner[i] = ownerOf(mat.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}, edges, longer, insets)
	}
	return owner
}

// InsetMM returns how far inside the cut line the other face's edge lies;
// negative outside. On a piece that shows its back the front is the other
// face, and a bevel's front edge lies outside.
func InsetMM(p *pattern.Piece, c pattern.Cut) float64 {
	d := pattern.InsetMM(c, p.ThicknessMM)
	if p.Face == pattern.Back {
		return -d
	}
	return d
}

func insets(p *pattern.Piece) (all []float64, leans bool) {
	for _, e := range p.Edges {
		d := InsetMM(p, e.Cut)
		all = append(all, d)
		leans = leans || d != 0
	}
	return all, leans
}

// ownerOf returns the edge whose line on the other face m lies on: the one
// from which it is away by just the inset. In the mitre of a corner no edge
// is; there the edges are thought of as running on straight.
func ownerOf(m mat.Point, edges, longer [][]mat.Point, insets []float64) int {
	const sure = 0.1
	owner, off := nearestInset(m, edges, insets)
	if off > sure {
		owner, _ = nearestInset(m, longer, insets)
	}
	return owner
}

func nearestInset(m mat.Point, edges [][]mat.Point, insets []float64) (owner int, off float64) {
	off = math.Inf(1)
	for i, e := range edges {
		if o := math.Abs(distance(m, e) - math.Abs(insets[i])); o < off {
			owner, off = i, o
		}
	}
	return owner, off
}

// lengthened returns a line with both ends running on straight for by mm.
func lengthened(pts []mat.Point, by float64) []mat.Point {
	n := len(pts)
	if n < 2 {
		return pts
	}
	out := append([]mat.Point{beyond(pts[1], pts[0], by)}, pts...)
	return append(out, beyond(pts[n-2], pts[n-1], by))
}

// beyond returns the point by mm past b on the way from a.
func beyond(a, b mat.Point, by float64) mat.Point {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l == 0 {
		return b
	}
	return mat.Point{X: b.X + by*(b.X-a.X)/l, Y: b.Y + by*(b.Y-a.Y)/l}
}

// run is a stretch of a loop that belongs to one edge: count steps from first.
type run struct{ owner, first, count int }

// runs cuts a loop where its owner changes; the first run may go round past
// the end.
func runs(owner []int) []run {
	n := len(owner)
	start := 0
	for start < n && owner[start] == owner[(start+n-1)%n] {
		start++
	}
	if start == n {
		return []run{{owner[0], 0, n}}
	}
	var all []run
	for k := range n {
		i := (start + k) % n
		if last := len(all) - 1; last >= 0 && all[last].owner == owner[i] {
			all[last].count++
			continue
		}
		all = append(all, run{owner[i], i, 1})
	}
	return all
}

// distance returns how far q lies from a line, in mm.
func distance(q mat.Point, pts []mat.Point) float64 {
	best := math.Inf(1)
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		dx, dy := b.X-a.X, b.Y-a.Y
		t := 0.0
		if l := dx*dx + dy*dy; l > 0 {
			t = min(max(((q.X-a.X)*dx+(q.Y-a.Y)*dy)/l, 0), 1)
		}
		ex, ey := a.X+t*dx-q.X, a.Y+t*dy-q.Y
		best = min(best, ex*ex+ey*ey)
	}
	return math.Sqrt(best)
}
