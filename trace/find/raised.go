package find

import (
	"math"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Raised is the camera over the upper face of pieces that stand up from the
// mat with upright walls: slabs of foam of one thickness.
type Raised struct {
	// View maps the plane of the upper face, in the mat's frame, to the
	// photograph.
	View lens.Mapping
	// FootMM is the point of the mat straight below the camera.
	FootMM mat.Point
}

// upper is the map of the plane in which the pieces' upper faces lie.
func (in *Input) upper() lens.Mapping {
	if in.Raised != nil {
		return in.Raised.View
	}
	return in.View
}

// onTop carries a place that was taken for one of the mat to the upper face:
// the place there that is seen at the same pixel.
func (in *Input) onTop(p mat.Point) mat.Point {
	if in.Raised == nil {
		return p
	}
	if q, ok := in.Raised.View.ToMat(in.View.ToPhoto(p)); ok {
		return q
	}
	return p
}

// lean tells how a wall stands to the camera whose outline is seen at a place
// of the photograph with the normal out: wallPx is how wide it is seen
// between the outline and the upper face, measured against the normal,
// negative where the wall faces away from the camera and the upper edge hides
// it; risePx is how far the picture of an upright edge reaches there.
func (in *Input) lean(at, out photo.Point) (wallPx, risePx float64) {
	if in.Raised == nil {
		return 0, 0
	}
	low, ok := in.View.ToMat(at)
	if !ok {
		return 0, 0
	}
	top := in.Raised.View.ToPhoto(low)
	x, y := at.X-top.X, at.Y-top.Y
	d := math.Hypot(x, y)
	if !(d < 1e6) { // NaN: the upper face is not seen there
		return 0, 0
	}
	return x*out.X + y*out.Y, d
}
