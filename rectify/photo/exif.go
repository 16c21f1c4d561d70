package photo

import (
	"encoding/binary"
	"errors"
)

// Tags are what the tags of a picture file tell that matters here. A zero
// value means that the tag is missing or makes no sense.
type Tags struct {
	Orientation Orientation
	// FocalLengthMM is the true focal length.
	FocalLengthMM float64
	// Focal35MM is the focal length that would give the same diagonal field
	// on 36 × 24 mm film.
	Focal35MM float64
	// SensorPxPerMM is the sampling of the sensor across the picture, of a
	// picture PixelWidth wide.
	SensorPxPerMM float64
	// PixelWidth and PixelHeight are the size the camera wrote the picture
	// with; phones give it for the sensor held upright or for the picture.
	PixelWidth, PixelHeight int
	// DigitalZoom is how many times the picture was cut out of the sensor and
	// enlarged; 0 or 1 when it was not.
	DigitalZoom float64
	// Raw is true when the tags say that the first picture of the file is a
	// preview of raw sensor data.
	Raw bool
}

// The tags that are read (TIFF 6.0; CIPA DC-008-2019, sections 4.6.4, 4.6.5).
const (
	tagSubfileType     = 0x00fe
	tagOrientation     = 0x0112
	tagExifDirectory   = 0x8769
	tagFocalLength     = 0x920a
	tagPixelWidth      = 0xa002
	tagPixelHeight     = 0xa003
	tagPlaneResX       = 0xa20e
	tagPlaneResUnit    = 0xa210
	tagDigitalZoom     = 0xa404
	tagFocalLength35   = 0xa405
	tagDNGVersion      = 0xc612
	maxDirectoryFields = 1024
)

// ParseTags reads the first directory of a TIFF stream (the body of a JPEG's
// Exif segment, or a TIFF file) and the Exif directory it points to. It
// follows no other pointer, so no file can lead it in a circle. What makes no
// sense is left zero; an error is returned only when there is no directory.
func ParseTags(tiff []byte) (Tags, error) {
	r, ok := newTIFFReader(tiff)
	if !ok {
		return Tags{}, errors.New("no TIFF header")
	}
	var t Tags
	exifAt := uint32(0)
	unitMM := 25.4 // inches unless said otherwise
	read := func(f field) {
		switch f.tag {
		case tagSubfileType:
			t.Raw = t.Raw || r.whole(f)&1 == 1
		case tagDNGVersion:
			t.Raw = true
		case tagOrientation:
			t.Orientation = Orientation(r.whole(f))
		case tagExifDirectory:
			exifAt = r.whole(f)
		case tagFocalLength:
			t.FocalLengthMM = r.rational(f)
		case tagFocalLength35:
			t.Focal35MM = float64(r.whole(f))
		case tagPixelWidth:
			t.PixelWidth = int(r.whole(f))
		case tagPixelHeight:
			t.PixelHeight = int(r.whole(f))
		case tagDigitalZoom:
			t.DigitalZoom = r.rational(f)
		case tagPlaneResX:
			t.SensorPxPerMM = r.rational(f)
		case tagPlaneResUnit:
			unitMM = planeUnitMM(r.whole(f))
		}
	}
	if !r.directory(r.order.Uint32(tiff[4:]), read) {
		return Tags{}, errors.New("no directory of tags")
	}
	if exifAt != 0 {
		r.directory(exifAt, read)
	}
	t.SensorPxPerMM /= unitMM
	if t.Orientation != t.Orientation.Valid() {
		t.Orientation = 0
	}
	return t, nil
}

// planeUnitMM is the unit of the sensor's sampling. Inches and centimetres are
// in CIPA DC-008; millimetres and micrometres some cameras write (from
// memory). What is none of them counts as the default, inches.
func planeUnitMM(unit uint32) float64 {
	switch unit {
	case 3:
		return 10
	case 4:
		return 1
	case 5:
		return 0.001
	}
	return 25.4
}

type field struct {
	tag, kind uint16
	count     uint32
	// value holds the four value bytes, which are an offset when the values
	// do not fit.
	value []byte
}

type tiffReader struct {
	data  []byte
	order binary.ByteOrder
}

func newTIFFReader(data []byte) (tiffReader, bool) {
	if len(data) < 8 {
		return tiffReader{}, false
	}
	switch string(data[:4]) {
	case "II*\x00":
		return tiffReader{data, binary.LittleEndian}, true
	case "MM\x00*":
		return tiffReader{data, binary.BigEndian}, true
	}
	return tiffReader{}, false
}

// directory hands each field of the directory at an offset to read, at most
// maxDirectoryFields of them, and stops at the end of the data.
func (r tiffReader) directory(at uint32, read func(field)) bool {
	if int64(at)+2 > int64(len(r.data)) {
		return false
	}
	n := min(int(r.order.Uint16(r.data[at:])), maxDirectoryFields)
	rest := r.data[at+2:]
	for ; n > 0 && len(rest) >= 12; n-- {
		read(field{
			tag: r.order.Uint16(rest), kind: r.order.Uint16(rest[2:]),
			count: r.order.Uint32(rest[4:]), value: rest[8:12],
		})
		rest = rest[12:]
	}
	return true
}

// CountTIFFPages counts the full pictures of a TIFF file (TIFF 6.0, section
// 2): smaller copies of another and masks do not count. It follows at most
// maxPages directories and stops where the chain goes backwards, as it does in
// a circle; a sound file may also do that, whose later pages are not counted.
func CountTIFFPages(tiff []byte) int {
	const maxPages, smallerCopy, mask = 1000, 1, 4
	r, ok := newTIFFReader(tiff)
	if !ok {
		return 0
	}
	n, last := 0, uint32(0)
	for at, seen := r.order.Uint32(tiff[4:]), 0; at > last && seen < maxPages; seen++ {
		full := uint32(1)
		read := func(f field) {
			if f.tag == tagSubfileType && r.whole(f)&(smallerCopy|mask) != 0 {
				full = 0
			}
		}
		if !r.directory(at, read) {
			break
		}
		n += int(full)
		end := int64(at) + 2 + 12*int64(r.order.Uint16(tiff[at:]))
		if end+4 > int64(len(tiff)) {
			break
		}
		last, at = at, r.order.Uint32(tiff[end:])
	}
	return n
}

// whole returns a BYTE, SHORT or LONG field's first value, else 0.
func (r tiffReader) whole(f field) uint32 {
	switch {
	case f.count == 0:
		return 0
	case f.kind == 1:
		return uint32(f.value[0])
	case f.kind == 3:
		return uint32(r.order.Uint16(f.value))
	case f.kind == 4 && f.count == 1:
		return r.order.Uint32(f.value)
	}
	return 0
}

// rational returns a RATIONAL field's first value, 0 where it is none.
func (r tiffReader) rational(f field) float64 {
	at := int64(r.order.Uint32(f.value))
	if f.kind != 5 || f.count == 0 || at+8 > int64(len(r.data)) {
		return 0
	}
	over := r.order.Uint32(r.data[at+4:])
	if over == 0 {
		return 0
	}
	return float64(r.order.Uint32(r.data[at:])) / float64(over)
}
