package heif

// The numbers with which libheif tells how a picture is laid out
// (libheif/heif.h).
const (
	spaceYCbCr, spaceRGB, spaceGrey             = 0, 1, 2
	chromaNone, chroma420, chroma422, chroma444 = 0, 1, 2, 3
)

// layout is how the decoder lays a picture's planes one after the other.
type layout struct {
	width, height int
	space, chroma uint32
}

// valid tells whether this is a layout that is known here; a lone luminance
// is made grey.
func (l *layout) valid() bool {
	if l.space == spaceYCbCr && l.chroma == chromaNone {
		l.space = spaceGrey
	}
	return l.space == spaceRGB || l.space == spaceGrey || l.space == spaceYCbCr && l.chroma <= chroma444
}

// stride is the length of a row: libheif rounds widths up to even ones, at
// least 64, and rows to 16 bytes.
func stride(width, bytes int) int {
	return (max(64, width+width&1)*bytes + 15) &^ 15
}

// differences is the size of a plane of colour differences.
func (l layout) differences() (width, height int) {
	width, height = l.width, l.height
	if l.chroma != chroma444 {
		width = (width + 1) / 2
	}
	if l.chroma == chroma420 {
		height = (height + 1) / 2
	}
	return width, height
}

func (l layout) bytes() int {
	switch l.space {
	case spaceRGB:
		return l.height * stride(l.width, 4)
	case spaceGrey:
		return l.height * stride(l.width, 1)
	}
	w, h := l.differences()
	return l.height*stride(l.width, 1) + 2*h*stride(w, 1)
}

// row makes RGB and luminance of one row.
func (l layout) row(t *tables, pix []byte, y int, rgb, luma []byte) {
	switch l.space {
	case spaceRGB:
		rgbRow(pix[y*stride(l.width, 4):], rgb, luma)
	case spaceGrey:
		t.greyRow(pix[y*stride(l.width, 1):], rgb, luma)
	default:
		l.colourRow(t, pix, y, rgb, luma)
	}
}

func rgbRow(rgba, rgb, luma []byte) {
	for x := range luma {
		copy(rgb[3*x:3*x+3], rgba[4*x:4*x+3])
		luma[x] = jpegLuma(rgb[3*x], rgb[3*x+1], rgb[3*x+2])
	}
}

func (t *tables) greyRow(grey, rgb, luma []byte) {
	for x := range luma {
		v := level(t.luma[grey[x]])
		luma[x], rgb[3*x], rgb[3*x+1], rgb[3*x+2] = v, v, v, v
	}
}

func (l layout) colourRow(t *tables, pix []byte, y int, rgb, luma []byte) {
	w, _ := l.differences()
	row := pix[y*stride(l.width, 1):]
	cbs, crs := make([]byte, w), make([]byte, w)
	l.differenceRow(pix, 0, y, cbs)
	l.differenceRow(pix, 1, y, crs)
	halved := l.chroma != chroma444
	for x := range luma {
		cb, cr := cbs[min(x, w-1)], crs[min(x, w-1)]
		if halved {
			cb, cr = between(cbs, x), between(crs, x)
		}
		v := t.luma[row[x]]
		to := rgb[3*x : 3*x+3 : 3*x+3]
		to[0] = level(v + t.redOfCr[cr])
		to[1] = level(v + t.greenOfCb[cb] + t.greenOfCr[cr])
		to[2] = level(v + t.blueOfCb[cb])
		luma[x] = level(v)
		if !t.jpegLuma {
			luma[x] = jpegLuma(to[0], to[1], to[2])
		}
	}
}

// differenceRow makes row y of the first or second plane of colour
// differences. Where they have half the rows it weighs the two nearest 3 to 1,
// as is done in JPEG.
func (l layout) differenceRow(pix []byte, plane, y int, out []byte) {
	w, h := l.differences()
	step := stride(w, 1)
	first := pix[l.height*stride(l.width, 1)+plane*h*step:]
	if l.chroma != chroma420 {
		copy(out, first[y*step:])
		return
	}
	other := min(max(y/2+y&1*2-1, 0), h-1)
	near, far := first[y/2*step:], first[other*step:]
	for x := range out {
		out[x] = byte((3*int(near[x]) + int(far[x]) + 2) / 4)
	}
}

// between returns the value at x of a row of half the sampling, weighing
// likewise.
func between(row []byte, x int) byte {
	other := min(max(x/2+x&1*2-1, 0), len(row)-1)
	return byte((3*int(row[x/2]) + int(row[other]) + 2) / 4)
}

// jpegLuma weighs by ITU-R BT.601.
func jpegLuma(r, g, b byte) byte {
	return byte((19595*uint32(r) + 38470*uint32(g) + 7471*uint32(b) + 1<<15) >> 16)
}
