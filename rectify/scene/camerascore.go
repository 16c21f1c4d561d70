package scene

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Mapping is a two-way map between the mat and a photograph, as a solved
// camera offers it (the method set of lens.Mapping, kept apart so that this
// package does not lean on the solver's).
type Mapping interface {
	ToPhoto(mat.Point) photo.Point
	ToMat(photo.Point) (mat.Point, bool)
}

// PointError is the geometry error of a solved camera at one place.
type PointError struct {
	// At is the place in the truth's frame, Got where the solved camera puts
	// it in its own, in mm.
	At, Got mat.Point
	// OffMM is the error in the truth's frame with the best turn and shift of
	// the whole taken out (any turn, any shift, neither scale nor mirror).
	OffMM mat.Point
	// OffLinesMM is the error against the printed lines: only quarter turns and
	// shifts by whole pitches are taken out. It is OffMM where there is no mat.
	OffLinesMM mat.Point
}

// CameraError is the geometry error of a solved camera over what CameraErrors
// looks at, in mm. Both are +Inf when that cannot be mapped.
func CameraError(truth Truth, m Mapping) (rmsMM, worstMM float64) {
	errs := CameraErrors(truth, m)
	if len(errs) == 0 {
		return math.Inf(1), math.Inf(1)
	}
	var t tally
	for _, e := range errs {
		t.add(e.At, math.Hypot(e.OffMM.X, e.OffMM.Y))
	}
	d := t.deviation()
	return d.RMSMM, d.WorstMM
}

// CameraErrors sends points of the mat's grid (of the sheet, in a scene
// without a mat) through the true camera and back through the solved one:
// every 5 mm, as far as they are in the frame. It returns nil when a place
// cannot be mapped or nothing is in the frame.
func CameraErrors(truth Truth, m Mapping) []PointError { return CameraErrorsAt(truth, m, 0) }

// CameraErrorsAt is CameraErrors for the plane heightMM above the mat and a
// map of that plane, such as the top faces of foam lie in.
func CameraErrorsAt(truth Truth, m Mapping, heightMM float64) []PointError {
	var out []PointError
	v := truth.Camera.View()
	for _, p := range truth.places() {
		q := v.ToPhotoAt(p, heightMM)
		if !inFrame(q, truth.Width, truth.Height, 0) {
			continue
		}
		back, ok := m.ToMat(q)
		if !ok {
			return nil
		}
		out = append(out, PointError{At: p, Got: back})
	}
	if len(out) < 3 {
		return nil
	}
	truth.compare(out)
	return out
}

// compare fills in the errors.
func (t *Truth) compare(errs []PointError) {
	want, got := make([]mat.Point, len(errs)), make([]mat.Point, len(errs))
	for i, e := range errs {
		want[i], got[i] = e.At, e.Got
	}
	move := rigidBetween(got, want)
	lines := t.alongLines(move, got, want)
	for i := range errs {
		e := &errs[i]
		e.OffMM, e.OffLinesMM = sub(move.apply(e.Got), e.At), sub(lines.apply(e.Got), e.At)
	}
}

// alongLines is the motion nearest to a rigid one that takes printed lines to
// printed lines.
func (t *Truth) alongLines(move motion, got, want []mat.Point) motion {
	x, y := t.pitchXY()
	if !(x > 0) || !(y > 0) {
		return move
	}
	quarters := math.Round(math.Atan2(move.sin, move.cos) / (math.Pi / 2))
	m := motion{cos: math.Round(math.Cos(quarters * math.Pi / 2)), sin: math.Round(math.Sin(quarters * math.Pi / 2))}
	var shift mat.Point
	for i := range got {
		shift = add(shift, scale(sub(want[i], m.apply(got[i])), 1/float64(len(got))))
	}
	m.dx, m.dy = x*math.Round(shift.X/x), y*math.Round(shift.Y/y)
	return m
}

// pitchXY are the true distances of columns and rows, 0 without a mat.
func (t *Truth) pitchXY() (x, y float64) {
	return Mat{PitchMM: t.PitchMM, StretchX: t.StretchX, StretchY: t.StretchY}.PitchXY()
}

// places are the points of the mat's grid, or of the sheet, every 5 mm.
func (t *Truth) places() []mat.Point {
	const stepMM = 5
	x, y := t.pitchXY()
	w, h := float64(t.Columns)*x, float64(t.Rows)*y
	place := motion{cos: 1}
	if s := t.Sheet; s != nil {
		w, h = s.WidthMM, s.HeightMM
		u := scale(sub(s.CornersMM[1], s.CornersMM[0]), 1/w)
		place = motion{cos: u.X, sin: u.Y, dx: s.CornersMM[0].X, dy: s.CornersMM[0].Y}
	}
	var out []mat.Point
	for y := 0.0; y <= h; y += stepMM {
		for x := 0.0; x <= w; x += stepMM {
			out = append(out, place.apply(mat.Point{X: x, Y: y}))
		}
	}
	return out
}

// rigidBetween is the least-squares turn and shift from one list of points to
// another (Arun, Huang and Blostein, PAMI 9(5), 1987, in the plane).
func rigidBetween(from, to []mat.Point) motion {
	var a, b mat.Point
	for i := range from {
		a, b = add(a, from[i]), add(b, to[i])
	}
	k := 1 / float64(len(from))
	a, b = scale(a, k), scale(b, k)
	var c, s float64
	for i := range from {
		p, q := sub(from[i], a), sub(to[i], b)
		c += dot(p, q)
		s += cross(p, q)
	}
	angle := math.Atan2(s, c)
	m := motion{cos: math.Cos(angle), sin: math.Sin(angle)}
	shift := sub(b, m.apply(a))
	m.dx, m.dy = shift.X, shift.Y
	return m
}
