package cv

// #include "shim.h"
import "C"

import (
	"bytes"
	"errors"
	"fmt"
	"math"
)

// ToLab returns the sRGB picture in CIE L*a*b*, coarse as 8 bits are: one
// step is 0.39 in L*, 1 in a* and b*.
func ToLab(src RGB) (Lab, error) {
	if err := src.layout().check(); err != nil {
		return Lab{}, fmt.Errorf("to lab: %w", err)
	}
	dst := blank(Lab{}, src.W, src.H)
	err := call("to lab", func(m []C.fw_mat, out *C.fw_failure) { C.fw_to_lab(m[0], m[1], out) }, src, dst)
	if err != nil {
		return Lab{}, err
	}
	return dst, nil
}

// Clusters are the result of KMeans.
type Clusters struct {
	// Label is each point's cluster.
	Label []int32
	// Centre holds each cluster's centre, dimension by dimension.
	Centre [][]float32
	// Compactness is the sum of the squared distances to the centres.
	Compactness float64
}

// KMeans parts points of equal dimension into k clusters, best of attempts
// with k-means++ starts drawn by seed: the same seed gives the same result.
// (Arthur and Vassilvitskii, SODA 2007.)
func KMeans(points [][]float32, k, attempts int, seed uint64) (Clusters, error) {
	values, dims, err := rowsOf(points)
	if err != nil {
		return Clusters{}, fmt.Errorf("k-means: %w", err)
	}
	if k < 1 || k > len(points) || attempts < 1 || attempts > 1000 {
		return Clusters{}, fmt.Errorf("k-means: %d clusters of %d points in %d attempts cannot be made", k, len(points), attempts)
	}
	label := make([]int32, len(points))
	centre := make([]float32, k*dims)
	var compactness C.double
	var failure C.fw_failure
	C.fw_kmeans((*C.float)(&values[0]), C.int(len(points)), C.int(dims), C.int(k), C.int(attempts), C.uint64_t(seed),
		(*C.int32_t)(&label[0]), (*C.float)(&centre[0]), &compactness, &failure)
	if err := failed("k-means", &failure); err != nil {
		return Clusters{}, err
	}
	c := Clusters{Label: label, Compactness: float64(compactness)}
	for i := range k {
		c.Centre = append(c.Centre, centre[i*dims:(i+1)*dims:(i+1)*dims])
	}
	return c, nil
}

func rowsOf(points [][]float32) (values []float32, dims int, err error) {
	if len(points) == 0 || len(points[0]) == 0 {
		return nil, 0, errors.New("no points")
	}
	dims = len(points[0])
	if len(points) > math.MaxInt32/dims {
		return nil, 0, fmt.Errorf("%d points are too many", len(points))
	}
	for i, p := range points {
		if len(p) != dims {
			return nil, 0, fmt.Errorf("point %d has %d dimensions instead of %d", i, len(p), dims)
		}
		for _, v := range p {
			if !isFinite(float64(v)) {
				return nil, 0, fmt.Errorf("point %d is not finite", i)
			}
		}
		values = append(values, p...)
	}
	return values, dims, nil
}

// The values of GrabCut's mask.
const (
	CutGround byte = iota
	CutPiece
	CutLikelyGround
	CutLikelyPiece
)

// MaxCutPixels bounds the picture of GrabCut.
const MaxCutPixels = 300_000

const maxCutIterations = 20

// GrabCut returns the mask with its likely values decided anew by colour and
// edges: certain ones stay. Both ground and piece must occur in the mask,
// likely or certain. It cannot be stopped and is slow: one iteration over 0.76
// megapixels of noise took 35 s, so that larger pictures than MaxCutPixels are
// refused. (Rother, Kolmogorov and Blake, SIGGRAPH 2004.)
func GrabCut(src RGB, mask Gray, iterations int, seed uint64) (Gray, error) {
	const name = "grab cut"
	if err := checkCut(src, mask, iterations); err != nil {
		return Gray{}, fmt.Errorf("%s: %w", name, err)
	}
	dst := Gray{mask.W, mask.H, bytes.Clone(mask.Pix)}
	err := call(name, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_grab_cut(m[0], m[1], C.int(iterations), C.uint64_t(seed), out)
	}, src, dst)
	if err != nil {
		return Gray{}, err
	}
	return dst, nil
}

func checkCut(src RGB, mask Gray, iterations int) error {
	if src.W != mask.W || src.H != mask.H {
		return fmt.Errorf("picture of %d × %d and mask of %d × %d pixels differ", src.W, src.H, mask.W, mask.H)
	}
	if src.W*src.H > MaxCutPixels {
		return fmt.Errorf("picture of %d × %d pixels: there must be at most %d", src.W, src.H, MaxCutPixels)
	}
	if iterations < 1 || iterations > maxCutIterations {
		return fmt.Errorf("%d iterations are not 1 to %d", iterations, maxCutIterations)
	}
	for i, v := range mask.Pix {
		if v > CutLikelyPiece {
			return fmt.Errorf("value %d of the mask is %d, not 0 to 3", i, v)
		}
	}
	ground := contains(mask.Pix, CutGround) || contains(mask.Pix, CutLikelyGround)
	piece := contains(mask.Pix, CutPiece) || contains(mask.Pix, CutLikelyPiece)
	if !ground || !piece {
		return errors.New("the mask must hold both ground and piece")
	}
	return nil
}

func contains(values []byte, v byte) bool { return bytes.IndexByte(values, v) >= 0 }
