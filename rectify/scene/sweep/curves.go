package main

import (
	"fmt"
	"image/color"
	"math"
	"slices"
)

// axes map values to a frame in the picture: a logarithmic length in mm to
// the right, a part 0..1 up.
type axes struct {
	left, top, right, bottom float64
	loMM, hiMM               float64
}

func (a *axes) x(mm float64) float64 {
	t := math.Log(min(max(mm, a.loMM), a.hiMM)/a.loMM) / math.Log(a.hiMM/a.loMM)
	return a.left + t*(a.right-a.left)
}

func (a *axes) y(part float64) float64 { return a.bottom - part*(a.bottom-a.top) }

// curves draws what part of the scenes stays below an error: one curve for
// the RMS, one for the worst place. Scenes that were refused are in no curve's
// reach.
func curves(results []result) (*canvas, error) {
	c, err := newCanvas(1200, 850)
	if err != nil {
		return nil, err
	}
	rms, worst := solvedErrors(results)
	a := axes{left: 90, top: 90, right: 1160, bottom: 700, loMM: 0.0005, hiMM: 5}
	for _, v := range worst {
		for v > a.hiMM && a.hiMM < 1000 {
			a.hiMM *= 10
		}
	}
	a.frame(c)
	c.text(ink, xy{a.left, 38}, 0, fmt.Sprintf("Error of the squared-up sheet over %d scenes, %d of them refused", len(results), len(results)-len(rms)))
	a.target(c, targetRMSMM, blue, "target RMS 0.05 mm", 1)
	a.target(c, targetWorstMM, amber, "target worst 0.2 mm", 0)
	a.steps(c, rms, len(results), blue, 4)
	a.steps(c, worst, len(results), amber, 3)
	a.key(c, rms, worst, len(results))
	return c, nil
}

func solvedErrors(results []result) (rms, worst []float64) {
	for i := range results {
		if r := &results[i]; r.refused == nil {
			rms, worst = append(rms, r.rmsMM), append(worst, r.worstMM)
		}
	}
	return rms, worst
}

// frame draws the axes with their labels.
func (a *axes) frame(c *canvas) {
	for part := 0.0; part < 1.01; part += 0.1 {
		y := a.y(part)
		c.line(faint, 1, xy{a.left, y}, xy{a.right, y})
		if int(math.Round(part*10))%2 == 0 {
			c.text(ink, xy{a.left - 10, y + 6}, 1, fmt.Sprintf("%.0f%%", 100*part))
		}
	}
	for decade := math.Pow(10, math.Floor(math.Log10(a.loMM))); decade < a.hiMM; decade *= 10 {
		for k := 1; k < 10; k++ {
			a.tick(c, decade*float64(k), k)
		}
	}
	a.tick(c, a.hiMM, 1)
	c.line(ink, 1.5, xy{a.left, a.top}, xy{a.left, a.bottom}, xy{a.right, a.bottom})
	c.text(ink, xy{(a.left + a.right) / 2, a.bottom + 60}, 0.5, "error in mm after the best turn and shift (logarithmic)")
	c.text(ink, xy{a.left - 70, a.top - 18}, 0, "part of the scenes with a smaller error")
}

// tick draws the k-th line of a decade.
func (a *axes) tick(c *canvas, mm float64, k int) {
	if mm < a.loMM*0.999 || mm > a.hiMM*1.001 {
		return
	}
	x := a.x(mm)
	c.line(faint, 1, xy{x, a.top}, xy{x, a.bottom})
	if k == 1 || k == 3 {
		c.text(ink, xy{x, a.bottom + 24}, 0.5, fmt.Sprintf("%.3g", mm))
	}
}

// target marks a length; side 1 writes left of the line, 0 right of it.
func (a *axes) target(c *canvas, mm float64, col color.Color, label string, side float64) {
	x := a.x(mm)
	c.dashed(col, 2, xy{x, a.top}, xy{x, a.bottom})
	c.text(col, xy{x + 8 - 16*side, a.bottom - 14}, side, label)
}

// steps is the empirical distribution of values out of all.
func (a *axes) steps(c *canvas, values []float64, all int, col color.Color, widthPx float64) {
	v := slices.Sorted(slices.Values(values))
	at := xy{a.left, a.y(0)}
	for i, mm := range v {
		x, y := a.x(mm), a.y(float64(i+1)/float64(all))
		c.line(col, widthPx, at, xy{x, at.y}, xy{x, y})
		at = xy{x, y}
	}
	c.line(col, widthPx, at, xy{a.right, at.y})
}

// key names the curves, with their figures.
func (a *axes) key(c *canvas, rms, worst []float64, all int) {
	for i, k := range []struct {
		name   string
		values []float64
		target float64
		col    color.Color
		width  float64
	}{{"RMS", rms, targetRMSMM, blue, 4}, {"worst place", worst, targetWorstMM, amber, 3}} {
		below := 0
		for _, v := range k.values {
			if v <= k.target {
				below++
			}
		}
		x, y := a.left, a.bottom+96+26*float64(i)
		c.line(k.col, k.width, xy{x, y - 6}, xy{x + 40, y - 6})
		c.text(ink, xy{x + 50, y}, 0, fmt.Sprintf("%s: median %.3f, 90%% %.3f, max %.3f mm; %d of %d on target",
			k.name, quantile(k.values, 0.5), quantile(k.values, 0.9), quantile(k.values, 1), below, all))
	}
}
