package draw

import "flatwright/trace/curve"

// NewPage returns a page of a size that a function draws.
func NewPage(name string, widthMM, heightMM float64, draw func(Canvas)) *Page {
	return &Page{Name: name, WidthMM: widthMM, HeightMM: heightMM, draw: draw}
}

// PathOf returns a curve on a page: scaled, then shifted.
func PathOf(c curve.Path, scale, dxMM, dyMM float64) Path {
	return frame{scale, dxMM, dyMM}.path(c)
}
