package cv

// #include "shim.h"
import "C"

import (
	"fmt"
	"image"
	"unsafe"
)

// Region is a connected set of pixels.
type Region struct {
	// Area counts its pixels.
	Area int
	// Bounds hold all of them.
	Bounds image.Rectangle
	// CentreX and CentreY are the mean of their centres, px.
	CentreX, CentreY float64
}

// Components numbers the connected regions of a mask's pixels that are not 0,
// from 1; 0 is the ground. Pixels are connected by their sides, with diagonal
// by their corners too. Region i of the result belongs to label i.
func Components(mask Gray, diagonal bool) (Labels, []Region, error) {
	l := mask.layout()
	if err := l.check(); err != nil {
		return Labels{}, nil, fmt.Errorf("components: %w", err)
	}
	connectivity := C.int(4)
	if diagonal {
		connectivity = 8
	}
	labels := Labels{mask.W, mask.H, make([]int32, mask.W*mask.H)}
	var list C.fw_regions
	err := call("components", func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_components(m[0], m[1], connectivity, &list, out)
	}, mask, labels)
	defer C.fw_free(unsafe.Pointer(list.items))
	if err != nil {
		return Labels{}, nil, err
	}
	regions := make([]Region, int(list.count))
	for i, r := range unsafe.Slice(list.items, len(regions)) {
		regions[i] = Region{
			Area:    int(r.area),
			Bounds:  image.Rect(int(r.left), int(r.top), int(r.left+r.width), int(r.top+r.height)),
			CentreX: float64(r.x), CentreY: float64(r.y),
		}
	}
	return labels, regions, nil
}

// Nesting is which contours FindContours returns.
type Nesting int

// The nestings.
const (
	// Outermost: only the outer contours that lie in no other region.
	Outermost Nesting = iota
	// TwoLevels: outer contours of all regions, and their holes.
	TwoLevels
	// Tree: as TwoLevels, and regions within holes have the hole as parent.
	Tree
)

// Contour is a chain of a region's border pixels, each a neighbour of the one
// before, closed.
type Contour struct {
	Points []image.Point
	// Parent is the index of the contour it lies in; -1 when in none. In
	// TwoLevels every contour with a parent is a hole.
	Parent int
}

// FindContours returns the contours of the regions of a mask's pixels that
// are not 0, connected by sides and corners. Outer contours run through the
// region's own border pixels; contours of holes run through the region's
// pixels around the hole. (Suzuki and Abe, CVGIP 30(1), 1985.)
func FindContours(mask Gray, nesting Nesting) ([]Contour, error) {
	if nesting < Outermost || nesting > Tree {
		return nil, fmt.Errorf("find contours: nesting %d is unknown", nesting)
	}
	var list C.fw_contours
	err := call("find contours", func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_find_contours(m[0], C.int(nesting), &list, out)
	}, mask)
	defer C.fw_free(unsafe.Pointer(list.points))
	defer C.fw_free(unsafe.Pointer(list.items))
	if err != nil {
		return nil, err
	}
	return contoursOf(list), nil
}

func contoursOf(list C.fw_contours) []Contour {
	points := unsafe.Slice(list.points, int(list.point_count))
	contours := make([]Contour, int(list.count))
	for i, c := range unsafe.Slice(list.items, len(contours)) {
		chain := points[:c.length]
		points = points[c.length:]
		contours[i] = Contour{Points: make([]image.Point, len(chain)), Parent: int(c.parent)}
		for j, p := range chain {
			contours[i].Points[j] = image.Pt(int(p.x), int(p.y))
		}
	}
	return contours
}

// DistanceTransform returns each pixel's distance to the nearest pixel of the
// mask that is 0, in pixels, exact to rounding. (Felzenszwalb and
// Huttenlocher 2004.) A mask without such a pixel is refused.
func DistanceTransform(mask Gray) (Float, error) {
	if !contains(mask.Pix, 0) {
		return Float{}, fmt.Errorf("distance transform: no pixel of the mask is 0")
	}
	return toFloat("distance transform", mask, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_distance_transform(m[0], m[1], out)
	})
}

// FillPolygons returns a picture of w*h pixels with 255 on and inside the
// polygons, by the even-odd rule, else 0. Points may lie outside.
func FillPolygons(w, h int, polygons [][]image.Point) (Gray, error) {
	if err := checkSize(w, h); err != nil {
		return Gray{}, fmt.Errorf("fill polygons: %w", err)
	}
	flat, lengths, err := flatten(polygons)
	if err != nil {
		return Gray{}, fmt.Errorf("fill polygons: %w", err)
	}
	dst := NewGray(w, h)
	if len(lengths) == 0 {
		return dst, nil
	}
	err = call("fill polygons", func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_fill_polygons(m[0], (*C.int32_t)(unsafe.SliceData(flat)), (*C.int32_t)(unsafe.SliceData(lengths)), C.int(len(lengths)), out)
	}, dst)
	if err != nil {
		return Gray{}, err
	}
	return dst, nil
}

// flatten leaves out polygons without points.
func flatten(polygons [][]image.Point) (flat, lengths []int32, err error) {
	for _, polygon := range polygons {
		for _, p := range polygon {
			if max(p.X, -p.X, p.Y, -p.Y) > 4*MaxSide {
				return nil, nil, fmt.Errorf("point %v is further away than %d", p, 4*MaxSide)
			}
			flat = append(flat, int32(p.X), int32(p.Y))
		}
		if len(polygon) > 0 {
			lengths = append(lengths, int32(len(polygon)))
		}
	}
	return flat, lengths, nil
}
