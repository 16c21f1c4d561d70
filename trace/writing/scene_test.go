package writing_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
	"flatwright/trace/curve"
	"flatwright/trace/writing"
)

func shoot(t testing.TB, s scene.Spec) *photo.Photo {
	t.Helper()
	p, err := scene.Shoot(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// inputOf is a scene's photograph with the true outlines, and the true marks
// and lines or none.
func inputOf(s scene.Spec, p *photo.Photo, marked bool) writing.Input {
	in := writing.Input{Photo: p, View: s.Camera.View()}
	for _, q := range s.Truth().Pieces {
		piece := writing.Piece{Outline: curve.Polygon(q.Outline...)}
		for _, o := range q.Openings {
			piece.Openings = append(piece.Openings, curve.Polygon(o...))
		}
		if marked {
			for _, m := range q.Marks {
				piece.Marks = append(piece.Marks, [2]mat.Point{m.At, m.In})
			}
			for _, l := range q.Lines {
				piece.Lines = append(piece.Lines, curve.Polyline(l.Points...))
			}
		}
		in.Pieces = append(in.Pieces, piece)
	}
	return in
}

// textBox is the rectangle of a text of the scene: letters are 4 parts wide
// and 6 high, 5.6 parts from one to the next.
func textBox(x scene.Text) (centre mat.Point, w, h, angleRad float64) {
	w, h = (5.6*float64(len([]rune(x.Text)))-1.6)*x.HeightMM/6, x.HeightMM
	a := x.AngleDeg * math.Pi / 180
	c, s := math.Cos(a), math.Sin(a)
	return mat.Point{X: x.At.X + w/2*c - h/2*s, Y: x.At.Y + w/2*s + h/2*c}, w, h, a
}

// margin is what a picture shows about its block, mm.
const margin = 2.0

// covered is the part of a text's rectangle that a block's picture shows.
func covered(x scene.Text, b writing.Block) float64 {
	centre, w, h, a := textBox(x)
	in, all := 0, 0
	for i := range 40 {
		for j := range 12 {
			u, v := (float64(i)+0.5)/40*w-w/2, (float64(j)+0.5)/12*h-h/2
			p := mat.Point{X: centre.X + u*math.Cos(a) - v*math.Sin(a), Y: centre.Y + u*math.Sin(a) + v*math.Cos(a)}
			dx, dy := p.X-b.Centre.X, p.Y-b.Centre.Y
			c, s := math.Cos(b.AngleRad), math.Sin(b.AngleRad)
			all++
			if math.Abs(dx*c+dy*s) <= b.WidthMM/2+margin && math.Abs(-dx*s+dy*c) <= b.HeightMM/2+margin {
				in++
			}
		}
	}
	return float64(in) / float64(all)
}

type tally struct {
	texts, found, invented, upsideDown int
	worstDeg, sumCovered, tooLarge     float64
	notes                              []string
}

func (y tally) String() string {
	return fmt.Sprintf("texts %d found %d invented %d other way up %d covered %.2f worst angle %.0f° area ratio up to %.1f  %s",
		y.texts, y.found, y.invented, y.upsideDown, y.sumCovered/float64(max(1, y.found)), y.worstDeg, y.tooLarge, strings.Join(y.notes, "; "))
}

func compare(s scene.Spec, bs []writing.Block) tally {
	var y tally
	used := make([]bool, len(bs))
	for i, p := range s.Pieces {
		for _, x := range p.Texts {
			y.texts++
			best, part := -1, 0.0
			for k, b := range bs {
				if c := covered(x, b); b.Piece == i && !used[k] && c > part {
					best, part = k, c
				}
			}
			if part < 0.8 {
				y.notes = append(y.notes, fmt.Sprintf("%s %q covered %.2f", p.ID, x.Text, part))
			}
			if best < 0 {
				continue
			}
			used[best] = true
			if part >= 0.8 {
				y.found++
				y.sumCovered += part
			}
			_, w, h, a := textBox(x)
			b := bs[best]
			off := math.Remainder(b.AngleRad-a, 2*math.Pi)
			if math.Abs(off) > math.Pi/2 {
				y.upsideDown++
				off = math.Remainder(off+math.Pi, 2*math.Pi)
			}
			y.worstDeg = max(y.worstDeg, math.Abs(off)*180/math.Pi)
			y.tooLarge = max(y.tooLarge, b.WidthMM*b.HeightMM/(w*h))
		}
	}
	for k, b := range bs {
		if !used[k] {
			y.invented++
			y.notes = append(y.notes, fmt.Sprintf("invented on %s %.0fx%.0f at %.0f,%.0f", s.Pieces[b.Piece].ID, b.WidthMM, b.HeightMM, b.Centre.X, b.Centre.Y))
		}
	}
	return y
}
