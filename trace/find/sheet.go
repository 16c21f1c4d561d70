package find

import (
	"errors"
	"math"
	"runtime"
	"sync"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// sheet is the mat seen straight from above, for finding only: outlines are
// measured in the photograph itself. Pixel (i, j) lies at
// (x0 + i·res, y0 + j·res) mm of the mat.
type sheet struct {
	res, x0, y0 float64 // mm
	w, h        int
	// ch holds the natural logarithm of (8-bit value + logFloor) for red,
	// green, blue: light multiplies coded values by nearly one factor, so that
	// a change of light is one and the same shift of all three.
	ch [3][]float32
	// seen is 1 where the photograph shows this part of the plane.
	seen []uint8
	// minX.. bound the printed grid, in sheet pixels.
	minX, minY, maxX, maxY float64
}

// logFloor keeps the noise of black from blowing up in the logarithm; it is
// about the step between black and noise of an 8-bit phone picture.
const logFloor = 8

// maxSheetPixels bounds the work: at 24 x 18 in it leaves 0.4 mm a pixel.
const maxSheetPixels = 2_000_000

var errNoSheet = errors.New("the mat's lines cover no area of the photograph")

func (s *sheet) toMM(x, y float64) mat.Point {
	return mat.Point{X: s.x0 + x*s.res, Y: s.y0 + y*s.res}
}

// px converts a length in mm to sheet pixels.
func (s *sheet) px(mm float64) float64 { return mm / s.res }

func (s *sheet) index(x, y int) int { return y*s.w + x }

// onGrid reports whether a sheet pixel lies within the printed grid.
func (s *sheet) onGrid(x, y float64) bool {
	return x >= s.minX && x <= s.maxX && y >= s.minY && y <= s.maxY
}

// newSheet lays the raster over the printed grid and a margin round it, and
// fills it from the photograph.
func newSheet(in *Input) (*sheet, error) {
	g := in.Grid
	if g.MaxColumn <= g.MinColumn || g.MaxRow <= g.MinRow || !in.hasPitch() {
		return nil, errNoSheet
	}
	first := in.Pitch.At(float64(g.MinColumn), float64(g.MinRow))
	last := in.Pitch.At(float64(g.MaxColumn), float64(g.MaxRow))
	left, right, top, bottom := first.X, last.X, first.Y, last.Y
	x0, y0, x1, y1 := around(in, left, top, right, bottom)
	w, h := x1-x0, y1-y0
	res := math.Max(math.Sqrt(w*h/maxSheetPixels), 0.9*photoPixelMM(in, (left+right)/2, (top+bottom)/2))
	res = math.Min(res, math.Min(w, h)/64)
	s := &sheet{res: res, x0: x0, y0: y0, w: int(w/res) + 1, h: int(h/res) + 1}
	s.minX, s.maxX = (left-x0)/res, (right-x0)/res
	s.minY, s.maxY = (top-y0)/res, (bottom-y0)/res
	for c := range s.ch {
		s.ch[c] = make([]float32, s.w*s.h)
	}
	s.seen = make([]uint8, s.w*s.h)
	s.fill(in)
	return s, nil
}

// around is the stretch of the plane that the raster covers, mm: the printed
// grid and a margin, or all that is shown near a sheet or near crossings
// clicked by hand, whose lines are not known to end.
func around(in *Input, left, top, right, bottom float64) (x0, y0, x1, y1 float64) {
	if in.Sheet || in.Grid.LineWidthPitch == 0 {
		return surroundings(in, left, top, right, bottom)
	}
	margin := math.Min(math.Max(1.6*max(in.Pitch.XMM, in.Pitch.YMM), 20), 45)
	return left - margin, top - margin, right + margin, bottom + margin
}

// photoPixelMM returns the size of a photograph pixel on the mat about a
// point, in mm.
func photoPixelMM(in *Input, x, y float64) float64 {
	a := in.View.ToPhoto(mat.Point{X: x, Y: y})
	b := in.View.ToPhoto(mat.Point{X: x + 1, Y: y})
	c := in.View.ToPhoto(mat.Point{X: x, Y: y + 1})
	area := math.Abs((b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X))
	if !(area > 1e-6) {
		return 1
	}
	return 1 / math.Sqrt(area)
}

// fill samples the photograph, averaged down to the sheet's resolution.
func (s *sheet) fill(in *Input) {
	k := int(s.res / photoPixelMM(in, s.x0+s.res*float64(s.w)/2, s.y0+s.res*float64(s.h)/2))
	if k < 1 {
		k = 1
	}
	small := shrink(in.Photo, k)
	nodes := s.photoNodes(in, k)
	inParallel(s.h, func(lo, hi int) {
		row := make([]photo.Point, nodes.w)
		for y := lo; y < hi; y++ {
			nodes.rowAt(y, row)
			s.fillRow(y, row, small)
		}
	})
}

const nodeStep = 16

// nodeNet holds where every nodeStep-th sheet pixel is seen in the reduced
// photograph; between nodes the map is linear to well under 0.1 px.
type nodeNet struct {
	w, h int
	at   []photo.Point
}

func (s *sheet) photoNodes(in *Input, k int) nodeNet {
	n := nodeNet{w: (s.w-1)/nodeStep + 2, h: (s.h-1)/nodeStep + 2}
	n.at = make([]photo.Point, n.w*n.h)
	inv := 1 / float64(k)
	for j := 0; j < n.h; j++ {
		for i := 0; i < n.w; i++ {
			p := in.View.ToPhoto(s.toMM(float64(i*nodeStep), float64(j*nodeStep)))
			n.at[j*n.w+i] = photo.Point{X: (p.X+0.5)*inv - 0.5, Y: (p.Y+0.5)*inv - 0.5}
		}
	}
	return n
}

func (n nodeNet) rowAt(y int, row []photo.Point) {
	j, t := y/nodeStep, float64(y%nodeStep)/nodeStep
	for i := range row {
		a, b := n.at[j*n.w+i], n.at[(j+1)*n.w+i]
		row[i] = photo.Point{X: a.X + (b.X-a.X)*t, Y: a.Y + (b.Y-a.Y)*t}
	}
}

func (s *sheet) fillRow(y int, row []photo.Point, small *reduced) {
	for x := 0; x < s.w; x++ {
		a, b := row[x/nodeStep], row[x/nodeStep+1]
		t := float64(x%nodeStep) / nodeStep
		u, v := a.X+(b.X-a.X)*t, a.Y+(b.Y-a.Y)*t
		i := y*s.w + x
		if !(u >= 0.5 && v >= 0.5 && u <= float64(small.w)-1.5 && v <= float64(small.h)-1.5) {
			s.ch[0][i], s.ch[1][i], s.ch[2][i] = logOf[0], logOf[0], logOf[0]
			continue
		}
		s.seen[i] = 1
		s.ch[0][i], s.ch[1][i], s.ch[2][i] = small.logAt(u, v)
	}
}

// reduced is a photograph averaged over k x k blocks.
type reduced struct {
	w, h int
	rgb  []byte
}

func shrink(p *photo.Photo, k int) *reduced {
	if k <= 1 {
		return &reduced{w: p.Width, h: p.Height, rgb: p.RGB}
	}
	r := &reduced{w: p.Width / k, h: p.Height / k}
	r.rgb = make([]byte, 3*r.w*r.h)
	inParallel(r.h, func(lo, hi int) {
		sum := make([]uint32, 3*r.w)
		for y := lo; y < hi; y++ {
			clear(sum)
			for d := 0; d < k; d++ {
				addRow(sum, p.RGB[3*(y*k+d)*p.Width:], k)
			}
			half, div := uint32(k*k/2), uint32(k*k)
			for i, v := range sum {
				r.rgb[3*r.w*y+i] = byte((v + half) / div)
			}
		}
	})
	return r
}

// addRow adds k-pixel runs of an RGB row to sum.
func addRow(sum []uint32, row []byte, k int) {
	j := 0
	for i := 0; i+2 < len(sum); i += 3 {
		var r, g, b uint32
		for d := 0; d < k; d++ {
			q := row[j : j+3 : j+3]
			r, g, b = r+uint32(q[0]), g+uint32(q[1]), b+uint32(q[2])
			j += 3
		}
		sum[i], sum[i+1], sum[i+2] = sum[i]+r, sum[i+1]+g, sum[i+2]+b
	}
}

// logOf is log(v/16 + logFloor) for v = 16·value.
var logOf = func() (t [256*16 + 1]float32) {
	for i := range t {
		t[i] = float32(math.Log(float64(i)/16 + logFloor))
	}
	return t
}()

func (r *reduced) logAt(u, v float64) (float32, float32, float32) {
	x, y := int(u), int(v)
	fx, fy := int32((u-float64(x))*64), int32((v-float64(y))*64)
	i := 3 * (y*r.w + x)
	a, b := r.rgb[i:i+6:i+6], r.rgb[i+3*r.w:i+3*r.w+6:i+3*r.w+6]
	w11 := fx * fy
	w10 := fx*64 - w11
	w01 := fy*64 - w11
	w00 := 4096 - w10 - w01 - w11
	mix := func(c int) float32 {
		q := w00*int32(a[c]) + w10*int32(a[c+3]) + w01*int32(b[c]) + w11*int32(b[c+3])
		return logOf[q>>8]
	}
	return mix(0), mix(1), mix(2)
}

// inParallel runs work over [0, n) in as many stretches as there are cores.
func inParallel(n int, work func(lo, hi int)) {
	cores := runtime.GOMAXPROCS(0)
	if cores > 8 {
		cores = 8
	}
	if cores < 2 || n < 2*cores {
		work(0, n)
		return
	}
	var wg sync.WaitGroup
	for i := 0; i < cores; i++ {
		wg.Add(1)
		go func() {
			defer wg.Done()
			work(i*n/cores, (i+1)*n/cores)
		}()
	}
	wg.Wait()
}

// smooth averages every pixel with its eight neighbours.
func (s *sheet) smooth() {
	tmp := make([]float32, len(s.seen))
	for _, v := range s.ch {
		inParallel(s.h, func(lo, hi int) {
			for y := lo; y < hi; y++ {
				row := v[y*s.w : (y+1)*s.w]
				for x := range row {
					tmp[y*s.w+x] = (row[max(x-1, 0)] + row[x] + row[min(x+1, s.w-1)]) / 3
				}
			}
		})
		inParallel(s.h, func(lo, hi int) {
			for y := lo; y < hi; y++ {
				a, b, c := tmp[max(y-1, 0)*s.w:], tmp[y*s.w:], tmp[min(y+1, s.h-1)*s.w:]
				for x := 0; x < s.w; x++ {
					v[y*s.w+x] = (a[x] + b[x] + c[x]) / 3
				}
			}
		})
	}
}
