package session

import (
	"math"

	"flatwright/app/desk/view"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Field holds "±" on a lattice over a rectangle of a space. Between the nodes
// it is interpolated along both axes.
type Field struct {
	Bounds        view.Rect
	Columns, Rows int
	// MM is "±" in mm, row by row; NaN where the mat is not seen.
	MM []float64
}

// fieldColumns and fieldRows are the nodes of the lattice: "±" changes over
// the whole mat, not from square to square.
const (
	fieldColumns = 81
	fieldRows    = 61
)

// fieldMarginPart is how far the field reaches beyond the lines and pieces on
// the mat, in parts of their size.
const fieldMarginPart = 0.25

// Sureness returns "±" over the photograph, or over the mat around its lines
// and pieces; nil before squaring up. It is worked out once for every
// solution.
func (s *Session) Sureness(in Space) *Field {
	return s.sure[in].of(s.work, func() *Field {
		v, ok := s.View()
		if !ok || s.photo == nil {
			return nil
		}
		f := &Field{Columns: fieldColumns, Rows: fieldRows}
		if in == InPhoto {
			f.Bounds = view.Rect{Max: view.Point{X: float64(s.photo.Width), Y: float64(s.photo.Height)}}
		} else {
			b := s.GridBounds().Union(s.Shapes().Bounds(OnMat))
			f.Bounds = b.Grown(fieldMarginPart * math.Max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y))
		}
		f.fill(func(p view.Point) float64 { return s.sureAt(in, v, p) })
		return f
	})
}

// sureAt is "±" at a place of a space; NaN where the mat is not seen.
func (s *Session) sureAt(in Space, v lens.Mapping, p view.Point) float64 {
	if in == InPhoto {
		m, ok := toMat(v, p)
		if !ok {
			return math.NaN()
		}
		p = m
	}
	mm, _ := s.PlusMinusAt(mat.Point(p))
	return mm
}

func toMat(v lens.Mapping, p view.Point) (view.Point, bool) {
	m, ok := v.ToMat(photo.Point(p))
	return view.Point(m), ok
}

func (f *Field) fill(mm func(view.Point) float64) {
	f.MM = make([]float64, f.Columns*f.Rows)
	for r := range f.Rows {
		for c := range f.Columns {
			f.MM[r*f.Columns+c] = math.Min(mm(f.Node(c, r)), mostFieldMM)
		}
	}
}

// mostFieldMM stands for "±" beyond measure, so that it can be interpolated.
const mostFieldMM = 99

// Node returns the place of a node of the lattice.
func (f *Field) Node(c, r int) view.Point {
	return view.Point{
		X: f.Bounds.Min.X + (f.Bounds.Max.X-f.Bounds.Min.X)*float64(c)/float64(f.Columns-1),
		Y: f.Bounds.Min.Y + (f.Bounds.Max.Y-f.Bounds.Min.Y)*float64(r)/float64(f.Rows-1),
	}
}

// Contour is a line of equal "±"; Closed when its ends meet.
type Contour struct {
	LevelMM float64
	Points  []view.Point
}

// Contours returns the lines along which the field has given values, by
// marching squares (Lorensen and Cline, SIGGRAPH 1987, in the plane; from
// memory): a square whose corners alternate is divided by the mean of the
// four.
func (f *Field) Contours(levelsMM []float64) []Contour {
	var out []Contour
	for _, level := range levelsMM {
		for _, pts := range joined(f.pieces(level)) {
			out = append(out, Contour{LevelMM: level, Points: pts})
		}
	}
	return out
}

// cut is a crossing of a contour with a side of the lattice, so that pieces of
// it are joined by side and not by rounding. Sides are numbered from their
// upper or left node, twice the node's number, one more when upright.
type cut struct {
	side int
	at   view.Point
}

// pieces returns the contour's piece in every square.
func (f *Field) pieces(level float64) [][2]cut {
	var out [][2]cut
	for r := range f.Rows - 1 {
		for c := range f.Columns - 1 {
			out = append(out, f.square(c, r, level)...)
		}
	}
	return out
}

// square returns the pieces in one square: none, one or two.
func (f *Field) square(c, r int, level float64) [][2]cut {
	ring := [4][2]int{{c, r}, {c + 1, r}, {c + 1, r + 1}, {c, r + 1}}
	var cuts []cut
	mean := 0.0
	for i, a := range ring {
		b := ring[(i+1)%4]
		va, vb := f.MM[a[1]*f.Columns+a[0]], f.MM[b[1]*f.Columns+b[0]]
		mean += va / 4
		if math.IsNaN(va) || math.IsNaN(vb) {
			return nil
		}
		if (va < level) != (vb < level) {
			cuts = append(cuts, f.cut(a, b, (level-va)/(vb-va)))
		}
	}
	switch {
	case len(cuts) == 2:
		return [][2]cut{{cuts[0], cuts[1]}}
	case len(cuts) < 4:
		return nil
	case (f.MM[r*f.Columns+c] < level) == (mean < level):
		return [][2]cut{{cuts[0], cuts[1]}, {cuts[2], cuts[3]}}
	}
	return [][2]cut{{cuts[3], cuts[0]}, {cuts[1], cuts[2]}}
}

func (f *Field) cut(a, b [2]int, t float64) cut {
	p, q := f.Node(a[0], a[1]), f.Node(b[0], b[1])
	side := 2 * (min(a[1], b[1])*f.Columns + min(a[0], b[0]))
	if a[0] == b[0] {
		side++
	}
	return cut{side, view.Point{X: p.X + t*(q.X-p.X), Y: p.Y + t*(q.Y-p.Y)}}
}

// joined strings pieces together to lines as long as can be.
func joined(pieces [][2]cut) [][]view.Point {
	at := map[int][]int{}
	for i, p := range pieces {
		at[p[0].side] = append(at[p[0].side], i)
		at[p[1].side] = append(at[p[1].side], i)
	}
	used := make([]bool, len(pieces))
	// follow walks from a side to the end of the line.
	follow := func(from int) (out []view.Point) {
		for {
			next := -1
			for _, i := range at[from] {
				if !used[i] {
					next = i
				}
			}
			if next < 0 {
				return out
			}
			used[next] = true
			to := pieces[next][0]
			if to.side == from {
				to = pieces[next][1]
			}
			out, from = append(out, to.at), to.side
		}
	}
	var lines [][]view.Point
	for i, p := range pieces {
		if used[i] {
			continue
		}
		used[i] = true
		line := []view.Point{p[0].at, p[1].at}
		line = append(line, follow(p[1].side)...)
		back := follow(p[0].side)
		for a, b := 0, len(back)-1; a < b; a, b = a+1, b-1 {
			back[a], back[b] = back[b], back[a]
		}
		lines = append(lines, append(back, line...))
	}
	return lines
}

// Hull returns the outline of the lines that the solution rests on, closed; it
// is empty before squaring up.
func (s *Session) Hull() Track {
	return s.hull.of(s.work, func() Track {
		q := s.doc.Squared
		if q == nil || q.Fit == nil || len(q.Fit.Hull) < 3 {
			return Track{}
		}
		var pts []mat.Point
		for i, a := range q.Fit.Hull {
			b := q.Fit.Hull[(i+1)%len(q.Fit.Hull)]
			// Straight on the mat, bent by the lens.
			const steps = 12
			for k := range steps {
				t := float64(k) / steps
				pts = append(pts, mat.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)})
			}
		}
		pts = append(pts, pts[0])
		return builder{view: q.Fit}.track(pts)
	})
}
