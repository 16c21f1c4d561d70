package grid

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// print is a mat's print in its own unit, the pitch.
type print struct {
	// minors divide the pitch; every stress-th line of the pitch is heavier.
	minors, stress int
	// ground and line are luminances; minor lines have half the ink.
	ground, line float64
	noise        float64
	// cover is the part of the mat hidden under discs of 1.5 pitches.
	cover float64
	// rowsOnly leaves one family out.
	rowsOnly bool
}

const printMM = 10

// widths of the lines, in mm of a pitch of 10.
const (
	majorMM  = 0.5
	minorMM  = 0.3
	stressMM = 0.9
)

// paint draws a mat of 24 by 18 pitches seen through a camera, every pixel
// the mean of 3 x 3 samples.
func paint(m lens.Model, w, h int, pr print, seed uint64) *photo.Photo {
	rng := rand.New(rand.NewPCG(seed, 7))
	var discs [][3]float64
	for hidden := 0.0; hidden < pr.cover*24*18; hidden += math.Pi * 1.5 * 1.5 {
		discs = append(discs, [3]float64{24 * rng.Float64(), 18 * rng.Float64(), 150 + 80*rng.Float64()})
	}
	return paintPlane(m, w, h, pr.noise, rng, func(x, y float64) float64 { return pr.at(x, y, discs) })
}

// paintPlane draws a plane whose luminance at a place in pitches is at.
func paintPlane(m lens.Model, w, h int, noise float64, rng *rand.Rand, at func(x, y float64) float64) *photo.Photo {
	p := &photo.Photo{Name: "painted.png", Width: w, Height: h, Luma: make([]byte, w*h), RGB: make([]byte, 3*w*h)}
	eachRowBand(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range w {
				sum := 0.0
				for k := range 9 {
					q, ok := m.ToMat(photo.Point{X: float64(x) + float64(k%3-1)/3, Y: float64(y) + float64(k/3-1)/3})
					if ok {
						sum += at(q.X/printMM, q.Y/printMM) / 9
					}
				}
				p.Luma[y*w+x] = byte(sum + 0.5)
			}
		}
	})
	for i := range p.Luma {
		v := float64(p.Luma[i]) + noise*rng.NormFloat64()
		p.Luma[i] = byte(min(max(v, 0), 255) + 0.5)
	}
	return p
}

// at is the luminance at a place given in pitches.
func (pr print) at(x, y float64, discs [][3]float64) float64 {
	const edge = 0.02
	if x < -edge*3 || y < -edge*3 || x > 24+edge*3 || y > 18+edge*3 {
		return 0.6 * pr.ground
	}
	for _, d := range discs {
		if math.Hypot(x-d[0], y-d[1]) < 1.5 {
			return d[2]
		}
	}
	v := pr.ground
	if pr.onLine(y) || !pr.rowsOnly && pr.onLine(x) {
		v = pr.line
	} else if pr.onMinor(y) || !pr.rowsOnly && pr.onMinor(x) {
		v = 0.5 * (pr.ground + pr.line)
	}
	return v
}

func (pr print) onLine(x float64) bool {
	i := math.Round(x)
	width := majorMM
	if pr.stress > 0 && int(i)%pr.stress == 0 {
		width = stressMM
	}
	return math.Abs(x-i)*printMM < width/2
}

func (pr print) onMinor(x float64) bool {
	if pr.minors < 2 {
		return false
	}
	f := x * float64(pr.minors)
	return math.Abs(f-math.Round(f))/float64(pr.minors)*printMM < minorMM/2
}

// over is a camera over the middle of the painted mat, in mm: pxPerPitch at
// the middle, turned by turn, tilted by tilt, with radial term k1.
func over(w, h int, pxPerPitch, turnDeg, tiltDeg, k1 float64) lens.Model {
	f := 0.8 * float64(w)
	c, s := math.Cos(turnDeg*math.Pi/180), math.Sin(turnDeg*math.Pi/180)
	ct, st := math.Cos(tiltDeg*math.Pi/180), math.Sin(tiltDeg*math.Pi/180)
	z := f / pxPerPitch * printMM
	cx, cy := 12.0*printMM, 9.0*printMM
	// Turn about the mat's normal, then tilt about the picture's x axis.
	hm := [9]float64{c, -s, 0, s * ct, c * ct, 0, s * st, c * st, z}
	for k := range 3 {
		hm[3*k+2] -= hm[3*k]*cx + hm[3*k+1]*cy
	}
	return lens.Model{H: hm, ScalePx: f, CentreX: float64(w)/2 + 7, CentreY: float64(h)/2 - 5, K1: k1}
}

// offLattice returns how far a found model's crossing (column, row) lies from
// a crossing of the print, in pitches.
func offLattice(truth, found lens.Model, column, row int) float64 {
	at, ok := truth.ToMat(found.ToPhoto(mat.Point{X: float64(column), Y: float64(row)}))
	if !ok {
		return math.Inf(1)
	}
	x, y := at.X/printMM, at.Y/printMM
	return math.Hypot(x-math.Round(x), y-math.Round(y))
}
