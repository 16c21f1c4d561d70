package rectify

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// places is the fineness at which the photograph is looked over.
const (
	placesAcross = 30
	placesDown   = 24
)

// place is a place of the photograph that shows the mat.
type place struct {
	seen   photo.Point
	at     mat.Point
	inside bool // the hull of the lines used
	known  bool // between the lines found, not only of the mat's colour
	mm     float64
}

// places looks over the part of the photograph that shows the mat: squares
// between the lines found, what has the mat's colour beyond, and what lies
// between such places, both across and down: pieces lie on it.
func (s *Squared) places() []place {
	ground := s.ground()
	var grid [placesDown][placesAcross]*place
	var shows [placesDown][placesAcross]bool
	for r := range placesDown {
		for c := range placesAcross {
			seen := photo.Point{
				X: (float64(c) + 0.5) / placesAcross * float64(s.Photo.Width-1),
				Y: (float64(r) + 0.5) / placesDown * float64(s.Photo.Height-1),
			}
			at, ok := s.Fit.ToMat(seen)
			if !ok {
				continue
			}
			p := &place{seen: seen, at: at, inside: s.Fit.InsideHull(at)}
			p.known = p.inside || s.inBounds(at)
			grid[r][c] = p
			shows[r][c] = p.known || ground.like(s.Photo, seen)
		}
	}
	var list []place
	for r := range grid {
		for c, p := range grid[r] {
			if p != nil && (shows[r][c] || between(&shows, r, c)) {
				p.mm = s.PlusMinusMM(p.at)
				list = append(list, *p)
			}
		}
	}
	return list
}

// between reports whether the mat shows on all four sides of a place.
func between(shows *[placesDown][placesAcross]bool, r, c int) bool {
	var left, right, above, below bool
	for k := range placesAcross {
		left = left || k < c && shows[r][k]
		right = right || k > c && shows[r][k]
	}
	for k := range placesDown {
		above = above || k < r && shows[k][c]
		below = below || k > r && shows[k][c]
	}
	return left && right && above && below
}

func (s *Squared) inBounds(at mat.Point) bool {
	c, r := s.Pitch.Count(at)
	g := s.Grid
	return c >= float64(g.MinColumn) && c <= float64(g.MaxColumn) && r >= float64(g.MinRow) && r <= float64(g.MaxRow)
}

// shade is a colour with the spread it has.
type shade struct {
	rgb    [3]float64
	spread float64
}

// ground is the colour of the mat between its lines: the median over the
// middles of its squares.
func (s *Squared) ground() shade {
	var v [3][]float64
	g := s.Grid
	for c := g.MinColumn; c < g.MaxColumn; c++ {
		for r := g.MinRow; r < g.MaxRow; r++ {
			seen := s.Fit.ToPhoto(s.Pitch.At(float64(c)+0.37, float64(r)+0.37))
			if !s.Photo.Inside(seen, 1) {
				continue
			}
			rgb := s.Photo.RGB[3*(int(seen.Y)*s.Photo.Width+int(seen.X)):]
			for i := range v {
				v[i] = append(v[i], float64(rgb[i]))
			}
		}
	}
	var out shade
	for i := range v {
		if len(v[i]) == 0 {
			return out
		}
		slices.Sort(v[i])
		n := len(v[i])
		out.rgb[i] = v[i][n/2]
		out.spread = max(out.spread, (v[i][n*3/4]-v[i][n/4])/1.35)
	}
	return out
}

// like reports whether most of a small patch has the ground's colour.
func (g shade) like(p *photo.Photo, at photo.Point) bool {
	if g.spread == 0 && g.rgb == [3]float64{} {
		return false
	}
	limit := min(max(3*g.spread, 14), 36)
	step := float64(max(p.Width, p.Height)) / 400
	n, same := 0, 0
	for dy := -2; dy <= 2; dy++ {
		for dx := -2; dx <= 2; dx++ {
			q := photo.Point{X: at.X + float64(dx)*step, Y: at.Y + float64(dy)*step}
			if !p.Inside(q, 0) {
				continue
			}
			n++
			rgb := p.RGB[3*(int(q.Y)*p.Width+int(q.X)):]
			off := 0.0
			for i := range g.rgb {
				off = max(off, math.Abs(float64(rgb[i])-g.rgb[i]))
			}
			if off < limit {
				same++
			}
		}
	}
	return same*3 > n*2
}

// region is a part of the photograph with a name.
type region struct {
	name           string
	x0, y0, x1, y1 float64 // parts of the photograph
}

// remedy is what to do about a region without lines.
const remedy = "Hold the phone higher, over the middle, and leave more of the mat's lines uncovered there"

// regions are looked at in this order: a third first, then a corner that is
// not part of a third spoken of.
var regions = [...]region{
	{"left third", 0, 0, 1. / 3, 1},
	{"right third", 2. / 3, 0, 1, 1},
	{"top third", 0, 0, 1, 1. / 3},
	{"bottom third", 0, 2. / 3, 1, 1},
	{"top left corner", 0, 0, 1. / 3, 1. / 3},
	{"top right corner", 2. / 3, 0, 1, 1. / 3},
	{"bottom right corner", 2. / 3, 2. / 3, 1, 1},
	{"bottom left corner", 0, 2. / 3, 1. / 3, 1},
}

const (
	// bareShare of a region that shows the mat must lie outside the hull, and
	// bareLeast of the whole mat, for the region to be spoken of.
	bareShare = 0.65
	bareLeast = 0.03
	// mostRegions without lines are one by one worth telling.
	mostRegions = 3
	// matShare of a region must show the mat at all: a shadow on the table may
	// look like it here and there.
	matShare = 0.45
)

// uncovered speaks of regions of the mat that no lines were read in.
func (s *Squared) uncovered() []Advice {
	if s.fromSheet() || len(s.Fit.Crossings) > 0 || len(s.Fit.Hull) < 3 {
		return nil
	}
	places := s.places()
	var list []Advice
	var told []region
	for _, r := range regions {
		if slices.ContainsFunc(told, r.within) {
			continue
		}
		at, mm, ok := s.bare(places, r)
		if !ok {
			continue
		}
		told = append(told, r)
		list = append(list, Advice{
			Text: fmt.Sprintf("The %s of the mat is not covered by lines; the error there is up to %s mm. %s.", r.name, millimetres(mm), remedy),
			At:   at, MM: mm,
		})
	}
	if len(list) < mostRegions {
		return list
	}
	worst := slices.MaxFunc(list, func(a, b Advice) int { return cmp.Compare(a.MM, b.MM) })
	worst.Text = fmt.Sprintf("Only a small part of the mat is covered by lines; elsewhere the error is up to %s mm, at %s. %s.", millimetres(worst.MM), s.placeOf(worst.At), remedy)
	return []Advice{worst}
}

// bare returns the worst place of a region that lies mostly outside the hull.
func (s *Squared) bare(places []place, r region) (at mat.Point, mm float64, ok bool) {
	all, bare := 0, 0
	for _, p := range places {
		// A shadow on the table may fill a corner with the mat's colour.
		if !r.holds(s.Photo, p.seen) || r.corner() && !p.known {
			continue
		}
		all++
		if p.inside {
			continue
		}
		bare++
		if p.mm > mm {
			at, mm = p.at, p.mm
		}
	}
	shown := float64(all) / ((r.x1 - r.x0) * (r.y1 - r.y0) * placesAcross * placesDown)
	ok = shown > matShare && float64(bare) > bareShare*float64(all) &&
		float64(bare) > bareLeast*float64(len(places)) && mm > adviseMM
	return at, mm, ok
}

func (r region) holds(p *photo.Photo, at photo.Point) bool {
	x, y := at.X/float64(p.Width), at.Y/float64(p.Height)
	return x >= r.x0 && x < r.x1 && y >= r.y0 && y < r.y1
}

func (r region) corner() bool { return r.x1-r.x0 < 0.5 && r.y1-r.y0 < 0.5 }

// within reports whether r lies in a region already told.
func (r region) within(told region) bool {
	return r.x0 >= told.x0 && r.x1 <= told.x1 && r.y0 >= told.y0 && r.y1 <= told.y1
}

// placeOf names a place as it lies in the photograph, like "the top left".
func (s *Squared) placeOf(at mat.Point) string {
	seen := s.Fit.ToPhoto(at)
	x, y := 3*seen.X/float64(s.Photo.Width), 3*seen.Y/float64(s.Photo.Height)
	name := ""
	switch {
	case y < 1:
		name = "top"
	case y >= 2:
		name = "bottom"
	}
	switch {
	case x < 1:
		name += " left"
	case x >= 2:
		name += " right"
	}
	if name == "" {
		return "the middle of the photograph"
	}
	if name[0] == ' ' {
		name = name[1:]
	}
	return "the " + name + " of the photograph"
}
