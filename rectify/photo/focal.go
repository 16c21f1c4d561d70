package photo

import "math"

// filmDiagonalMM is the diagonal of 36 × 24 mm film, to which the 35 mm
// equivalent refers (CIPA DCG-001, section 3).
const filmDiagonalMM = 43.26661530556787

// Bounds of what the tags are believed.
const (
	// sameShape is by how much the sides' ratios of one picture may differ:
	// scaling rounds.
	sameShape = 0.01
	// zoomed is the digital zoom from which it matters.
	zoomed = 1.02
	// agree is by how much two ways to the focal length may differ: the
	// equivalent is rounded to whole millimetres.
	agree = 0.06
)

// FocalPx is Focal without its doubt.
func (t Tags) FocalPx(storedWidth, storedHeight int) float64 {
	f, _ := t.Focal(storedWidth, storedHeight)
	return f
}

// Focal returns the focal length in pixels that the tags claim for a picture
// of the given stored size; 0 when they claim none or one that no lens has
// (less than a quarter of the diagonal or more than 20 diagonals), or when
// the size that the tags state has other proportions: then the picture was
// cropped, by how much is not known.
//
// It is unsure when the picture was cropped, resized or zoomed digitally, or
// when the equivalent on film and the sensor's sampling contradict each
// other. A crop that keeps the proportions cannot be told from resizing.
func (t Tags) Focal(storedWidth, storedHeight int) (px float64, unsure bool) {
	w, h := float64(storedWidth), float64(storedHeight)
	diagonal := math.Hypot(w, h)
	if t.cropped(w, h) {
		return 0, true
	}
	fromFilm := t.Focal35MM / filmDiagonalMM * diagonal
	fromSensor := t.fromSensor(w, h)
	f := fromFilm
	if f == 0 {
		f = fromSensor
	}
	zoom := t.zoom()
	if fromFilm > 0 && fromSensor > 0 {
		unsure = differs(fromFilm, fromSensor)
		// Makers do not agree whether the equivalent has the digital zoom in
		// it; the sensor tells.
		if zoom > zoomed && !differs(fromFilm*zoom, fromSensor) {
			f, unsure = fromFilm*zoom, false
		}
	}
	if !(f > diagonal/4 && f < diagonal*20) {
		return 0, unsure
	}
	return f, unsure || zoom > zoomed || t.resized(w, h)
}

// fromSensor is the focal length by the sampling of the sensor, which does
// not know of digital zoom.
func (t Tags) fromSensor(w, h float64) float64 {
	f := t.FocalLengthMM * t.SensorPxPerMM * t.zoom()
	switch {
	case t.PixelWidth > 0 && t.PixelHeight > 0:
		f *= max(w, h) / float64(max(t.PixelWidth, t.PixelHeight))
	case t.PixelWidth > 0:
		f *= w / float64(t.PixelWidth)
	}
	return f
}

func (t Tags) zoom() float64 {
	if t.DigitalZoom > 1 {
		return t.DigitalZoom
	}
	return 1
}

func differs(a, b float64) bool { return math.Abs(a-b) > agree*math.Max(a, b) }

// cropped tells that the stated size has other proportions than the picture,
// however either is held.
func (t Tags) cropped(w, h float64) bool {
	if t.PixelWidth <= 0 || t.PixelHeight <= 0 || w <= 0 || h <= 0 {
		return false
	}
	stated := ratioOfSides(float64(t.PixelWidth), float64(t.PixelHeight))
	return math.Abs(stated/ratioOfSides(w, h)-1) > sameShape
}

func ratioOfSides(a, b float64) float64 { return math.Max(a, b) / math.Min(a, b) }

// resized tells that the stated size is another than the picture's.
func (t Tags) resized(w, h float64) bool {
	if t.PixelWidth <= 0 {
		return false
	}
	stated := float64(t.PixelWidth)
	return stated != w && stated != h
}
