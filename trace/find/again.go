package find

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Looker looks at a squared-up photograph again, for repairs by hand. It keeps
// the mat's own colours, so that each look is quick. One goroutine at a time
// may use it.
type Looker struct {
	f *finder
}

// Errors of looking again.
var (
	ErrOffMat    = errors.New("this lies off the part of the mat that was read")
	ErrBareMat   = errors.New("this place looks like bare mat")
	ErrRunsOff   = errors.New("what lies here runs off the mat or off the picture, so its outline is not whole: photograph it lying whole on the mat")
	ErrTooSmall  = errors.New("what lies here is too small or too faint to be followed: photograph it nearer, or in more even light")
	ErrNotSeen   = errors.New("no edge could be followed here: it differs too little from what lies beside it")
	ErrSamePlace = errors.New("these two points are one place: choose two that lie apart")
)

// NewLooker learns what the bare mat looks like. It fails as Pieces does when
// the photograph cannot be used.
func NewLooker(ctx context.Context, in Input) (*Looker, error) {
	if in.Photo == nil || in.View == nil || len(in.Photo.RGB) < 3*in.Photo.Width*in.Photo.Height ||
		len(in.Photo.Luma) < in.Photo.Width*in.Photo.Height {
		return nil, errNoPhoto
	}
	if !in.Sheet {
		in.Grid = beyond(&in)
	}
	f := &finder{in: &in, linear: powerTone(blurPower), coded: powerTone(1)}
	f.lookForThings()
	if f.err != nil {
		return nil, fmt.Errorf("looking again: %w", f.err)
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("looking again: %w", err)
	}
	return &Looker{f}, nil
}

// onSheet returns where a point of the pieces' face lies on the sheet, in its
// pixels.
func (l *Looker) onSheet(p mat.Point) (x, y float64, ok bool) {
	m, ok := l.f.in.View.ToMat(l.f.in.upper().ToPhoto(p))
	s := l.f.sheet
	x, y = (m.X-s.x0)/s.res, (m.Y-s.y0)/s.res
	return x, y, ok && x >= 1 && y >= 1 && x < float64(s.w-1) && y < float64(s.h-1)
}

// offSheet is the way back.
func (l *Looker) offSheet(x, y float64) (mat.Point, bool) {
	return l.f.in.upper().ToMat(l.f.in.View.ToPhoto(l.f.sheet.toMM(x, y)))
}

// PieceAt returns the piece that lies at a point, in mm of the pieces' face:
// what was told apart from the mat there, whatever it looks like, or else what
// grows from the point's own colour. Errors: ErrOffMat, ErrBareMat, ErrRunsOff,
// ErrTooSmall.
func (l *Looker) PieceAt(at mat.Point) (Piece, error) {
	x, y, ok := l.onSheet(at)
	if !ok {
		return Piece{}, ErrOffMat
	}
	r, err := l.regionAt(int(x+0.5), int(y+0.5))
	if err != nil {
		return Piece{}, err
	}
	return l.trace(r)
}

// PartAt returns the part of a piece at a point that lies on the printed mat and
// in the picture, for one too large for one photograph: where it runs off, its
// outline follows the border of what is seen, and is none of its own. Errors as
// PieceAt.
func (l *Looker) PartAt(at mat.Point) (Piece, error) {
	x, y, ok := l.onSheet(at)
	if !ok {
		return Piece{}, ErrOffMat
	}
	s := l.f.sheet
	if len(l.f.regions) == 0 {
		return Piece{}, ErrBareMat
	}
	r, ok := holding(s.regions(l.seenMask()), s, int(x+0.5), int(y+0.5))
	switch {
	case !ok:
		return Piece{}, ErrBareMat
	case r.cut:
		return Piece{}, ErrRunsOff
	}
	return l.trace(r)
}

// seenMask marks what is not bare mat, a little inside of the printed lines'
// end and of the picture's.
func (l *Looker) seenMask() []uint8 {
	const marginMM = 1.5
	s := l.f.sheet
	far := chamfer(s.seen, 1, s.w, s.h)
	margin := s.px(marginMM)
	mask := slices.Clone(l.f.regions[0].seen)
	for y := range s.h {
		for x := range s.w {
			i := s.index(x, y)
			fx, fy := float64(x), float64(y)
			if float64(far[i])/3 < margin || !s.onGrid(fx-margin, fy-margin) || !s.onGrid(fx+margin, fy+margin) {
				mask[i] = 0
			}
		}
	}
	return mask
}

// trace measures the borders of a region and reads what is drawn on it.
func (l *Looker) trace(r *region) (Piece, error) {
	g := *l.f
	g.problems, g.found = nil, []*traced{{region: r}}
	g.locateBorders()
	g.readPen()
	p := g.found[0].piece
	if len(p.Outline) < leastLoop || unmeasuredPart(p.Outline) > 0.6 {
		return Piece{}, ErrTooSmall
	}
	return p, nil
}

// regionAt returns the thing at a sheet pixel with its borders.
func (l *Looker) regionAt(x, y int) (*region, error) {
	s := l.f.sheet
	if r, ok := holding(l.f.regions, s, x, y); ok {
		if r.cut {
			return nil, ErrRunsOff
		}
		return r, nil
	}
	mask, err := l.grow(x, y)
	if err != nil {
		return nil, err
	}
	r, ok := holding(s.regions(mask), s, x, y)
	switch {
	case !ok:
		return nil, ErrTooSmall
	case r.cut:
		return nil, ErrRunsOff
	}
	return r, nil
}

// holding returns the region that covers a sheet pixel, openings and pen
// strokes excepted; a copy, with its borders.
func holding(all []region, s *sheet, x, y int) (*region, bool) {
	for i := range all {
		r := all[i]
		px, py := x-r.x0, y-r.y0
		if px < 0 || py < 0 || px >= r.w || py >= r.h {
			continue
		}
		p := *r.patch
		p.in = slices.Clone(p.in)
		r.patch, r.outline, r.openings = &p, nil, nil
		// What runs off, the table above all, may go round all the mat: its holes
		// are no part of it.
		if !r.cut && !r.outlineOf(s) || p.in[py*p.w+px] == 0 {
			continue
		}
		return &r, true
	}
	return nil, false
}

// Bounds of growing, natural logarithms of light: less than leastApart from
// the bare mat is taken for it; a pixel may differ from the clicked colour by
// mostOff of what that differs from the mat.
const (
	leastApart = 0.06
	mostOff    = 0.75
)

// grow marks what is of the clicked pixel's colour and joined to it, and what
// was told from the mat beside that: a strip of tape in another colour. Once the
// pieces have been looked for the sheet holds how each pixel differs from the
// bare mat there, so that the colour goes along with the light.
func (l *Looker) grow(x, y int) ([]uint8, error) {
	s := l.f.sheet
	d := s.meanAt(x, y, 2)
	apart := dot(d, d)
	if apart < leastApart*leastApart {
		return nil, ErrBareMat
	}
	mask := make([]uint8, s.w*s.h)
	queue := []int{s.index(x, y)}
	mask[queue[0]] = 1
	for len(queue) > 0 {
		i := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		px, py := i%s.w, i/s.w
		for _, n := range [4][2]int{{px - 1, py}, {px + 1, py}, {px, py - 1}, {px, py + 1}} {
			if n[0] < 0 || n[1] < 0 || n[0] >= s.w || n[1] >= s.h {
				continue
			}
			j := s.index(n[0], n[1])
			if mask[j] == 0 && s.seen[j] == 1 && (l.told(j) || s.alike(j, d, apart)) {
				mask[j] = 1
				queue = append(queue, j)
			}
		}
	}
	return mask, nil
}

// told reports whether a pixel was told from the bare mat.
func (l *Looker) told(i int) bool { return l.f.mask != nil && l.f.mask[i] == 1 }

// alike reports whether a pixel lies nearer to the clicked colour, d away from
// the bare mat, than to the mat's.
func (s *sheet) alike(i int, d [3]float32, apart float32) bool {
	var off, up float32
	for k, v := range d {
		c := s.ch[k][i]
		off += (c - v) * (c - v)
		up += c * c
	}
	return off < up && off < mostOff*mostOff*apart
}

// meanAt averages the sheet's colour over a square.
func (s *sheet) meanAt(x, y, half int) (c [3]float32) {
	n := float32(0)
	for j := max(0, y-half); j <= min(s.h-1, y+half); j++ {
		for i := max(0, x-half); i <= min(s.w-1, x+half); i++ {
			for k := range c {
				c[k] += s.ch[k][s.index(i, j)]
			}
			n++
		}
	}
	for k := range c {
		c[k] /= max(n, 1)
	}
	return c
}

// Measure measures a closed border again that runs within about a millimetre
// of a loop of points, in mm of the pieces' face: outlines clockwise to the
// eye, openings the other way round. Stretches that could not be measured are
// bridged and carry a SigmaMM of 1 or more. Errors: ErrOffMat, ErrNotSeen.
func (l *Looker) Measure(loopMM []mat.Point) ([]curve.Sample, error) {
	in := make(loop, len(loopMM))
	for i, p := range loopMM {
		if in[i] = l.f.in.upper().ToPhoto(p); !l.f.in.Photo.Inside(in[i], 0) {
			return nil, ErrOffMat
		}
	}
	if in = in.resample(1); len(in) < leastLoop {
		return nil, ErrNotSeen
	}
	g := *l.f
	reach := math.Max(5, 2*g.sheet.res/g.scale()+2)
	t := &traced{borders: []*border{g.roughly(in, reach)}}
	g.locatePiece(t, newCrowd(t.borders), reach)
	if len(t.piece.Outline) < leastLoop {
		return nil, ErrNotSeen
	}
	return t.piece.Outline, nil
}
