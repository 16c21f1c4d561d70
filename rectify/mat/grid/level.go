package grid

import (
	"math"
	"runtime"
	"sync"

	"flatwright/rectify/photo"
)

// searchSidePx is the long side, in pixels, of the reduced picture in which
// lines are looked for. Measuring happens in the photograph itself.
const searchSidePx = 2016

// level is a reduced luminance picture: each of its pixels is the mean of
// factor x factor pixels of the photograph, in sixteenths of a grey level.
type level struct {
	w, h   int
	factor int
	pix    []int32
	// faint asks for crests that hardly stand out from the noise.
	faint bool
	// least is the least response looked at, in sixteenths of a grey level;
	// 0 means leastResponse.
	least int32
	// crests are those that were found, floor the least height of a line;
	// empty before findCrests.
	crests crests
	floor  float64
}

// newLevel averages the photograph down until its long side is about
// searchSidePx.
func newLevel(p *photo.Photo) *level { return levelOf(p, searchFactor(p)) }

// searchFactor is by how much a photograph is reduced for the search.
func searchFactor(p *photo.Photo) int {
	return max(1, int(math.Round(float64(max(p.Width, p.Height))/searchSidePx)))
}

// tintLevel is levelOf for a plane of colour. Phones blur and round colour
// until it stands in steps of a grey level, whose edges noise no longer hides:
// what is lower than two of them is not looked at.
func tintLevel(q *photo.Photo, f int) *level {
	l := levelOf(q, f)
	l.least = 2 * tintGain * 32
	return l
}

// levelOf averages the photograph down by a factor.
func levelOf(p *photo.Photo, f int) *level {
	l := &level{w: p.Width / f, h: p.Height / f, factor: f}
	l.pix = make([]int32, l.w*l.h)
	area := int32(f * f)
	eachRowBand(l.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			out := l.pix[y*l.w : (y+1)*l.w]
			for dy := range f {
				row := p.Luma[(y*f+dy)*p.Width:]
				for x := range out {
					var sum int32
					for _, v := range row[x*f : x*f+f] {
						sum += int32(v)
					}
					out[x] += sum
				}
			}
			for x := range out {
				out[x] = (out[x]*16 + area/2) / area
			}
		}
	})
	return l
}

// toPhoto maps a position in the level to the photograph; both put (0, 0) at
// the centre of their top-left pixel.
func (l *level) toPhoto(x, y float64) photo.Point {
	f := float64(l.factor)
	return photo.Point{X: f*(x+0.5) - 0.5, Y: f*(y+0.5) - 0.5}
}

// fromPhoto is the inverse of toPhoto.
func (l *level) fromPhoto(p photo.Point) (x, y float64) {
	f := float64(l.factor)
	return (p.X+0.5)/f - 0.5, (p.Y+0.5)/f - 0.5
}

// at returns the grey level at a sub-pixel position that lies at least one
// pixel inside the level.
func (l *level) at(x, y float64) float64 {
	x0, y0 := int(x), int(y)
	fx, fy := x-float64(x0), y-float64(y0)
	i := y0*l.w + x0
	a, b := float64(l.pix[i]), float64(l.pix[i+1])
	c, d := float64(l.pix[i+l.w]), float64(l.pix[i+l.w+1])
	top := a + (b-a)*fx
	return (top + (c+(d-c)*fx-top)*fy) / 16
}

// inside reports whether a position lies at least margin pixels inside.
func (l *level) inside(x, y, margin float64) bool {
	return x >= margin && y >= margin &&
		x < float64(l.w-1)-margin && y < float64(l.h-1)-margin
}

// eachRowBand runs work over bands of rows on all processors.
func eachRowBand(rows int, work func(y0, y1 int)) {
	n := min(runtime.GOMAXPROCS(0), rows)
	if n <= 1 {
		work(0, rows)
		return
	}
	var wg sync.WaitGroup
	for k := range n {
		wg.Add(1)
		go func() {
			defer wg.Done()
			work(rows*k/n, rows*(k+1)/n)
		}()
	}
	wg.Wait()
}
