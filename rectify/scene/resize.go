package scene

import "math"

// Resized is the same scene on a sensor of another number of megapixels; the
// blur and the noise, which belong to pixels, stay.
func (s Spec) Resized(megapixels float64) Spec {
	k := math.Sqrt(megapixels * 1e6 / float64(s.Width*s.Height))
	w, h := int(math.Round(float64(s.Width)*k)), int(math.Round(float64(s.Height)*k))
	kx := float64(w) / float64(s.Width)
	s.Camera.FocalPx *= kx
	s.Camera.CentreX = (s.Camera.CentreX+0.5)*kx - 0.5
	s.Camera.CentreY = (s.Camera.CentreY+0.5)*kx - 0.5
	s.Width, s.Height = w, h
	return s
}
