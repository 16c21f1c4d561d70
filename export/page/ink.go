package page

import (
	"fmt"
	"iter"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// ink is all that is printed of a pattern, as polygons.
type ink struct {
	pieces []inkPiece
	bounds Rect
	// other are the pieces' other-face lines, findings why some have none.
	other    [][]OtherFaceLine
	findings []pattern.Finding
}

// inkPiece is one piece: its filled outline and the lines that may lie
// outside of it (an undercut's other face).
type inkPiece struct {
	loop   []mat.Point
	strays [][]mat.Point
	bounds Rect
}

const (
	// inkTolMM is fine enough for deciding about whole sheets.
	inkTolMM = 0.05
	// inkPadMM keeps half a line's width and a little more clear of the
	// content area's border.
	inkPadMM = 0.5
)

func inkOf(p pattern.Pattern) (*ink, error) {
	if len(p.Pieces) == 0 {
		return nil, ErrEmpty
	}
	k := &ink{bounds: EmptyRect()}
	for _, piece := range p.Pieces {
		ip := inkPiece{loop: piece.Outline.Flatten(inkTolMM), bounds: EmptyRect()}
		if len(ip.loop) < 3 || !piece.Outline.Closed {
			return nil, fmt.Errorf("piece %s has no closed outline, so it cannot be printed; trace it again or remove it", piece.ID)
		}
		if err := cuttable(&piece); err != nil {
			return nil, err
		}
		other, findings := OtherFaceLines(piece)
		k.other, k.findings = append(k.other, other), append(k.findings, findings...)
		for _, line := range other {
			ip.strays = append(ip.strays, flat(line.Path))
		}
		for _, m := range piece.Marks {
			for _, s := range m.Strokes() {
				ip.strays = append(ip.strays, []mat.Point{s.At, s.In})
			}
		}
		strips, unmade := Strips(piece)
		k.findings = append(k.findings, unmade...)
		for _, s := range strips {
			ip.strays = append(ip.strays, flat(s.Cut))
		}
		for _, o := range piece.Openings {
			ip.strays = append(ip.strays, flat(o))
		}
		for _, l := range piece.Lines {
			ip.strays = append(ip.strays, flat(l.Path))
		}
		ip.bounds = boundsOf(append([][]mat.Point{ip.loop}, ip.strays...))
		if !finite(ip.bounds) {
			return nil, fmt.Errorf("piece %s has a coordinate that is not a number, so it cannot be printed; trace it again or remove it", piece.ID)
		}
		k.pieces = append(k.pieces, ip)
		k.bounds = k.bounds.Union(ip.bounds)
	}
	k.bounds = k.bounds.Grown(inkPadMM)
	return k, nil
}

// leastAreaMM2 is the least area of a piece that can be cut out at all: that of
// a speck of a tenth of a millimetre.
const leastAreaMM2 = 0.01

// cuttable refuses pieces with nothing in them and edges in the wrong place.
func cuttable(p *pattern.Piece) error {
	if math.Abs(p.Outline.Area()) < leastAreaMM2 {
		return fmt.Errorf("piece %s has no area, so there is nothing to cut out; trace it again or remove it", p.ID)
	}
	return edgesFit(p)
}

// edgesFit refuses edges that are not on the outline.
func edgesFit(p *pattern.Piece) error {
	n := len(p.Outline.Segments)
	for _, e := range p.Edges {
		if e.First < 0 || e.First >= n || e.Count < 1 || e.Count > n {
			return fmt.Errorf("edge %s of piece %s is not on its outline, so the piece cannot be printed; give the piece its edges anew", e.ID, p.ID)
		}
	}
	return nil
}

// flat is a path as points; a closed one ends where it begins.
func flat(p curve.Path) []mat.Point {
	line := p.Flatten(inkTolMM)
	if p.Closed && len(line) > 0 {
		line = append(line, line[0])
	}
	return line
}

// chords goes along all lines of a piece: its outline, round to where it begins,
// and its strays.
func (ip *inkPiece) chords() iter.Seq2[mat.Point, mat.Point] {
	return func(yield func(a, b mat.Point) bool) {
		last := ip.loop[len(ip.loop)-1]
		for _, p := range ip.loop {
			if !yield(last, p) {
				return
			}
			last = p
		}
		for _, s := range ip.strays {
			for i := 1; i < len(s); i++ {
				if !yield(s[i-1], s[i]) {
					return
				}
			}
		}
	}
}

func boundsOf(lines [][]mat.Point) Rect {
	r := EmptyRect()
	for _, line := range lines {
		for _, p := range line {
			r.MinX, r.MaxX = math.Min(r.MinX, p.X), math.Max(r.MaxX, p.X)
			r.MinY, r.MaxY = math.Min(r.MinY, p.Y), math.Max(r.MaxY, p.Y)
		}
	}
	return r
}

// finite reports whether the rectangle is made of ordinary numbers; a NaN
// anywhere survives math.Min and math.Max.
func finite(r Rect) bool {
	sum := r.MinX + r.MinY + r.MaxX + r.MaxY
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// meets reports whether any piece shows in the rectangle.
func (k *ink) meets(r Rect) bool { return len(k.piecesIn(r)) > 0 }

// piecesIn returns the indices of the pieces that show in the rectangle.
func (k *ink) piecesIn(r Rect) []int {
	var in []int
	for i := range k.pieces {
		if k.pieces[i].meets(r.Grown(inkPadMM)) {
			in = append(in, i)
		}
	}
	return in
}

// hasLineIn reports whether a line of any piece runs through the rectangle.
func (k *ink) hasLineIn(r Rect) bool {
	for i := range k.pieces {
		ip := &k.pieces[i]
		if r.Meets(ip.bounds) && ip.hasLineIn(r) {
			return true
		}
	}
	return false
}

func (ip *inkPiece) hasLineIn(r Rect) bool {
	for a, b := range ip.chords() {
		if r.meetsSegment(a, b) {
			return true
		}
	}
	return false
}

func (ip *inkPiece) meets(r Rect) bool {
	if !r.Meets(ip.bounds) {
		return false
	}
	return ip.hasLineIn(r) || Inside(mat.Point{X: r.MinX, Y: r.MinY}, ip.loop)
}

// Bounds returns the box of all that is printed of a pattern, the width of
// its lines included, in the pattern's frame. It fails when there is nothing
// to print or a piece cannot be.
func Bounds(p pattern.Pattern) (Rect, error) {
	k, err := inkOf(p)
	if err != nil {
		return Rect{}, err
	}
	return k.bounds, nil
}
