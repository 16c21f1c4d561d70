package scene

import "math"

// rows are a strip of the picture, in linear light or encoded values, three planes
// interleaved. Row 0 of it is picture row top.
type rows struct {
	top, height, width int
	pix                []float32
}

func (r *rows) row(y int) []float32 { return r.pix[y*r.width*3 : (y+1)*r.width*3] }

// toneTable encodes linear light 0..toneMax by the sRGB curve with a gentle
// contrast curve, as 0..255.
type toneTable struct {
	value []float32
}

const (
	toneMax   = 2.0
	toneSteps = 8192
)

// newToneTable spaces its nodes by the square root of light, where the sRGB
// curve is nearly straight.
func newToneTable(contrast float64) *toneTable {
	t := &toneTable{value: make([]float32, toneSteps+2)}
	for i := range t.value {
		root := float64(i) / toneSteps * math.Sqrt(toneMax)
		t.value[i] = float32(255 * toneCurve(root*root, contrast))
	}
	return t
}

// toneCurve is a camera's rendering of linear light: sRGB, a slight S about
// mid grey, and a shoulder in place of hard clipping.
func toneCurve(v, contrast float64) float64 {
	e := toSRGB(min(v, toneMax))
	if e > 0.9 {
		e = 0.9 + 0.1*math.Tanh((e-0.9)/0.1)
	}
	return e + contrast*0.12*math.Sin(2*math.Pi*(e-0.5))*min(e, 1)
}

func (t *toneTable) at(v float32) float32 {
	if !(v > 0) {
		return t.value[0]
	}
	if v >= toneMax {
		v = toneMax
	}
	f := float32(math.Sqrt(float64(v))) * (toneSteps / 1.41421356)
	i := int(f)
	if i > toneSteps {
		i = toneSteps
	}
	return t.value[i] + (t.value[i+1]-t.value[i])*(f-float32(i))
}

// kernel is a one-sided normalised Gaussian, centre first.
func kernel(sigma float64) []float32 {
	n := int(math.Ceil(3 * sigma))
	k := make([]float32, n+1)
	sum := 0.0
	for i := range k {
		w := math.Exp(-float64(i*i) / (2 * sigma * sigma))
		k[i] = float32(w)
		if i > 0 {
			sum += w
		}
		sum += w
	}
	for i := range k {
		k[i] = float32(float64(k[i]) / sum)
	}
	return k
}

// blur convolves by a separable kernel; border pixels repeat. n is the number
// of interleaved channels.
func blur(pix, tmp []float32, width, height, n int, k []float32) {
	stride := width * n
	for y := range height {
		blurRow(tmp[y*stride:(y+1)*stride], pix[y*stride:(y+1)*stride], width, n, k)
	}
	for y := range height {
		out := pix[y*stride : (y+1)*stride]
		mid := tmp[y*stride : (y+1)*stride]
		for i, v := range mid {
			out[i] = v * k[0]
		}
		for d := 1; d < len(k); d++ {
			a := tmp[max(y-d, 0)*stride:][:stride]
			b := tmp[min(y+d, height-1)*stride:][:stride]
			w := k[d]
			for i := range out {
				out[i] += w * (a[i] + b[i])
			}
		}
	}
}

func blurRow(out, in []float32, width, n int, k []float32) {
	r := len(k) - 1
	for x := range width {
		inner := x >= r && x+r < width
		for c := range n {
			i := x*n + c
			sum := in[i] * k[0]
			for d := 1; d <= r; d++ {
				if inner {
					sum += k[d] * (in[i-d*n] + in[i+d*n])
				} else {
					sum += k[d] * (in[max(x-d, 0)*n+c] + in[min(x+d, width-1)*n+c])
				}
			}
			out[i] = sum
		}
	}
}

// haloRows is how many rows beside its own a strip needs.
func (s *Sensor) haloRows() int {
	h := 1
	if s.BlurPx > 0 {
		h += int(math.Ceil(3 * s.BlurPx))
	}
	if s.Sharpen > 0 {
		h += int(math.Ceil(3 * s.SharpenPx))
	}
	return h
}

// develop turns a strip of light into encoded values 0..255, in place.
func (s *Sensor) develop(r *rows, tone *toneTable, tmp []float32, seed uint64) {
	if s.BlurPx > 0 {
		blur(r.pix, tmp, r.width, r.height, 3, kernel(s.BlurPx))
	}
	if s.Noise > 0 {
		s.addNoise(r, seed)
		blur(r.pix, tmp, r.width, r.height, 3, demosaic)
	}
	if !s.EncodedLight {
		for i, v := range r.pix {
			r.pix[i] = tone.at(v)
		}
	}
	if s.Sharpen > 0 {
		s.sharpen(r, tmp)
	}
}

// demosaic is the smoothing of a sensor's raw values: it makes the noise's
// grain a little wider than a pixel and leaves noiseLeft of it.
var demosaic = []float32{0.64, 0.18}

const noiseLeft = 0.64*0.64 + 2*0.18*0.18

// addNoise adds shot and read noise to the light.
func (s *Sensor) addNoise(r *rows, seed uint64) {
	if s.EncodedLight {
		s.addEncodedNoise(r, seed)
		return
	}
	// At mid grey (0.2 of full light) the sRGB curve has a slope of 1.12.
	const midStep = 1 / (255 * 1.12)
	amount := float32(s.Noise * midStep / noiseLeft)
	for y := range r.height {
		row := r.row(y)
		for x := range r.width {
			a, b, c := normals(seed, x, r.top+y)
			for k, n := range [3]float32{a, b, c} {
				v := row[3*x+k]
				row[3*x+k] = v + amount*n*float32(math.Sqrt(float64(0.05+4.75*max(v, 0))))
			}
		}
	}
}

func (s *Sensor) addEncodedNoise(r *rows, seed uint64) {
	amount := float32(s.Noise / noiseLeft)
	for y := range r.height {
		row := r.row(y)
		for x := range r.width {
			a, b, c := normals(seed, x, r.top+y)
			row[3*x] += amount * a
			row[3*x+1] += amount * b
			row[3*x+2] += amount * c
		}
	}
}

// sharpen is an unsharp mask of the luminance: phones do it, with halos.
func (s *Sensor) sharpen(r *rows, tmp []float32) {
	n := r.width * r.height
	luma, work := make([]float32, n), tmp[:n]
	for i := range luma {
		luma[i] = luma601(r.pix[3*i], r.pix[3*i+1], r.pix[3*i+2])
	}
	soft := append([]float32(nil), luma...)
	blur(soft, work, r.width, r.height, 1, kernel(s.SharpenPx))
	k := float32(s.Sharpen)
	for i, v := range luma {
		d := k * (v - soft[i])
		d /= 1 + max(d, -d)/60 // strong edges are held back
		r.pix[3*i] += d
		r.pix[3*i+1] += d
		r.pix[3*i+2] += d
	}
}

// luma601 is the luminance of ITU-R BT.601 as JPEG uses it.
func luma601(r, g, b float32) float32 { return 0.299*r + 0.587*g + 0.114*b }
