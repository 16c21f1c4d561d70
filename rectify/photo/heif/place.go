package heif

import "math"

// placement says where stored pixels go: the stored pixel (x, y) to
// (x0 + xx·x + xy·y, y0 + yx·x + yy·y) of a picture of width × height px,
// outside of which lies what is cropped.
type placement struct {
	width, height int
	x0, xx, xy    int
	y0, yx, yy    int
	cropped       bool
}

// place follows an item's transformations in their order (ISO/IEC
// 23008-12:2022, sections 6.5.9, 6.5.10 and 6.5.12).
func (c *container) place(it *item, w, h int) placement {
	p := placement{width: w, height: h, xx: 1, yy: 1}
	for _, n := range it.properties {
		if n < 1 || n > len(c.properties) {
			continue
		}
		cur := cursor{data: c.properties[n-1].body}
		switch c.properties[n-1].kind {
		case "irot":
			for quarters := cur.u8() & 3; quarters > 0; quarters-- {
				p = p.turned()
			}
		case "imir":
			p = p.mirrored(cur.u8()&1 == 1)
		case "clap":
			p = p.clipped(ratio(&cur), ratio(&cur), ratio(&cur), ratio(&cur))
		}
	}
	return p
}

// turned turns by a quarter anticlockwise.
func (p placement) turned() placement {
	p.x0, p.xx, p.xy, p.y0, p.yx, p.yy = p.y0, p.yx, p.yy, p.width-1-p.x0, -p.xx, -p.xy
	p.width, p.height = p.height, p.width
	return p
}

// mirrored exchanges left and right, or else top and bottom.
func (p placement) mirrored(leftRight bool) placement {
	if leftRight {
		p.x0, p.xx, p.xy = p.width-1-p.x0, -p.xx, -p.xy
	} else {
		p.y0, p.yx, p.yy = p.height-1-p.y0, -p.yx, -p.yy
	}
	return p
}

// clipped keeps w × h px about a centre that lies so far from the picture's
// (ISO/IEC 14496-12, section 12.1.4). One that makes no sense is passed over.
func (p placement) clipped(w, h, offX, offY float64) placement {
	left := math.Floor(offX + (float64(p.width)-w)/2)
	top := math.Floor(offY + (float64(p.height)-h)/2)
	w, h = math.Round(w), math.Round(h)
	if !(w >= 1 && h >= 1 && left >= 0 && top >= 0 && left+w <= float64(p.width) && top+h <= float64(p.height)) {
		return p
	}
	p.cropped = p.cropped || int(w) != p.width || int(h) != p.height
	p.x0, p.y0 = p.x0-int(left), p.y0-int(top)
	p.width, p.height = int(w), int(h)
	return p
}

// ratio reads a fraction; NaN where it is none.
func ratio(c *cursor) float64 {
	over, under := int32(c.u32()), c.u32()
	if under == 0 {
		return math.NaN()
	}
	return float64(over) / float64(under)
}
