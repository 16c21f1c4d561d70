package heif

// colour is how luminance and colour differences were made of red, green and
// blue.
type colour struct {
	// red and blue are their weights in the luminance.
	red, blue float64
	// limited tells that luminance lies in 16 to 235 and differences in 16 to
	// 240 instead of 0 to 255.
	limited bool
}

// JPEG's weights (ITU-R BT.601).
const jpegRed, jpegBlue = 0.299, 0.114

// colourOf returns what an nclx colour property says (ISO/IEC 14496-12,
// section 12.1.5; the numbers in ITU-T H.273, table 4); without one what
// phones do, JPEG's colours.
func (c *container) colourOf(main *item) colour {
	out := colour{red: jpegRed, blue: jpegBlue}
	items := []*item{main}
	for _, id := range main.parts[:min(1, len(main.parts))] {
		items = append(items, c.items[id])
	}
	for _, it := range items {
		for _, n := range it.properties {
			if n < 1 || n > len(c.properties) || c.properties[n-1].kind != "colr" {
				continue
			}
			if said, ok := nclx(c.properties[n-1].body); ok {
				return said
			}
		}
	}
	return out
}

func nclx(body []byte) (colour, bool) {
	cur := cursor{data: body}
	if string(cur.take(4)) != "nclx" {
		return colour{}, false
	}
	cur.take(4) // primaries and transfer
	matrix, flags := cur.u16(), cur.u8()
	out := colour{jpegRed, jpegBlue, flags&0x80 == 0}
	switch matrix {
	case 1:
		out.red, out.blue = 0.2126, 0.0722
	case 9, 10:
		out.red, out.blue = 0.2627, 0.0593
	}
	return out, !cur.bad
}

// tables turn samples into levels of 0 to 255 by additions.
type tables struct {
	luma                [256]float32
	redOfCr, greenOfCr  [256]float32
	greenOfCb, blueOfCb [256]float32
	// jpegLuma tells that the coded luminance is weighted as JPEG's is.
	jpegLuma bool
}

func (c colour) tables() *tables {
	t := &tables{jpegLuma: c.red == jpegRed}
	green := 1 - c.red - c.blue
	scaleY, scaleC, black := 1.0, 1.0, 0.0
	if c.limited {
		scaleY, scaleC, black = 255.0/219, 255.0/224, 16
	}
	for i := range 256 {
		d := (float64(i) - 128) * scaleC
		t.luma[i] = float32((float64(i) - black) * scaleY)
		t.redOfCr[i] = float32(2 * (1 - c.red) * d)
		t.greenOfCr[i] = float32(-2 * (1 - c.red) * c.red / green * d)
		t.greenOfCb[i] = float32(-2 * (1 - c.blue) * c.blue / green * d)
		t.blueOfCb[i] = float32(2 * (1 - c.blue) * d)
	}
	return t
}

// level rounds to 0 to 255.
func level(v float32) byte {
	if v <= 0 {
		return 0
	}
	if v >= 255 {
		return 255
	}
	return byte(v + 0.5)
}
