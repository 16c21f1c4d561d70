package find

import (
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// paint fills a rectangle of millimetres under the flat camera.
func paint(p *photo.Photo, x0, y0, x1, y1 float64, v byte) {
	for y := int(4*y0 + 40); y < int(4*y1+40); y++ {
		for x := int(4*x0 + 40); x < int(4*x1+40); x++ {
			if x < 0 || y < 0 || x >= p.Width || y >= p.Height {
				continue
			}
			i := y*p.Width + x
			p.Luma[i], p.RGB[3*i], p.RGB[3*i+1], p.RGB[3*i+2] = v, v, v, v
		}
	}
}

// printed paints lines every 10 mm over columns 0 to 20 and rows 0 to 12.
func printed() *photo.Photo {
	p := greyPhoto(1000, 600, 60)
	for i := range 21 {
		x := float64(10 * i)
		paint(p, x-0.25, 0, x+0.25, 120, 140)
	}
	for i := range 13 {
		y := float64(10 * i)
		paint(p, 0, y-0.25, 200, y+0.25, 140)
	}
	return p
}

// A grid numbered on one side of a large piece only is carried on to the
// mat's other side, and no further than its last line.
func TestBeyondALargePiece(t *testing.T) {
	p := printed()
	paint(p, 63, 12, 137, 118, 230)
	in := &Input{Photo: p, View: flat{}, Pitch: mat.Square(10), Grid: mat.Grid{
		MinColumn: 14, MaxColumn: 20, MinRow: 1, MaxRow: 12, MinorPerPitch: 1, LineWidthPitch: 0.05,
	}}
	g := beyond(in)
	if g.MinColumn != 0 || g.MaxColumn != 20 || g.MinRow != 0 || g.MaxRow != 12 {
		t.Errorf("columns %d to %d, rows %d to %d, want 0 to 20 and 0 to 12", g.MinColumn, g.MaxColumn, g.MinRow, g.MaxRow)
	}
}

// Where nothing is printed nothing is added.
func TestBeyondAddsNothing(t *testing.T) {
	whole := mat.Grid{MaxColumn: 20, MaxRow: 12, MinorPerPitch: 1, LineWidthPitch: 0.05}
	for name, p := range map[string]*photo.Photo{"a whole grid": printed(), "a plain mat": greyPhoto(1000, 600, 60)} {
		g := beyond(&Input{Photo: p, View: flat{}, Pitch: mat.Square(10), Grid: whole})
		if g.MinColumn != 0 || g.MaxColumn != 20 || g.MinRow != 0 || g.MaxRow != 12 {
			t.Errorf("%s: columns %d to %d, rows %d to %d", name, g.MinColumn, g.MaxColumn, g.MinRow, g.MaxRow)
		}
	}
}

// A mark in dark ink on a dark mat is filled, a slot that shows the mat stays.
func TestFillSlitsTellsInk(t *testing.T) {
	for _, c := range []struct {
		name string
		dark float32
		want uint8
	}{{"ink", -0.5, 1}, {"mat", -0.05, 0}} {
		const w, h = 80, 60
		s := &sheet{res: 0.5, w: w, h: h}
		for k := range s.ch {
			s.ch[k] = make([]float32, w*h)
		}
		seen := make([]uint8, w*h)
		r := &region{patch: &patch{w: w, h: h, in: make([]uint8, w*h)}, seen: seen}
		for y := 5; y < 40; y++ {
			for x := 5; x < 75; x++ {
				if i := y*w + x; x < 38 || x >= 43 || y < 25 { // a slot 2.5 mm wide
					r.in[i], seen[i], s.ch[0][i] = 1, 1, 0.8
				} else {
					s.ch[0][i] = c.dark
				}
			}
		}
		r.fillSlits(s, 1.45, true)
		if got := r.in[32*w+40]; got != c.want {
			t.Errorf("%s: the slot is %d, want %d", c.name, got, c.want)
		}
	}
}
