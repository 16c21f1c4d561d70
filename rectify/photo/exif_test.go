package photo

import (
	"encoding/binary"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// tiffFile writes a TIFF stream of one directory and an Exif directory, of
// fields in the form tag, kind, value.
func tiffFile(order binary.AppendByteOrder, main, exif [][3]uint32) []byte {
	magic := "II*\x00"
	if order == binary.AppendByteOrder(binary.BigEndian) {
		magic = "MM\x00*"
	}
	out := order.AppendUint32([]byte(magic), 8)
	if len(exif) > 0 {
		main = append(main, [3]uint32{tagExifDirectory, 4, uint32(8 + 2 + 12*(len(main)+1) + 4)})
	}
	extra := uint32(8 + 2 + 12*len(main) + 4 + 2 + 12*len(exif) + 4)
	var tail []byte
	for _, fields := range [][][3]uint32{main, exif} {
		out = order.AppendUint16(out, uint16(len(fields)))
		for _, f := range fields {
			out = order.AppendUint16(out, uint16(f[0]))
			out = order.AppendUint16(out, uint16(f[1]))
			out = order.AppendUint32(out, 1)
			switch f[1] {
			case 3:
				out = order.AppendUint16(order.AppendUint16(out, uint16(f[2])), 0)
			case 5: // thousandths
				out = order.AppendUint32(out, extra+uint32(len(tail)))
				tail = order.AppendUint32(order.AppendUint32(tail, f[2]), 1000)
			default:
				out = order.AppendUint32(out, f[2])
			}
		}
		out = order.AppendUint32(out, 0)
	}
	return append(out, tail...)
}

func TestParseTags(t *testing.T) {
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		got, err := ParseTags(tiffFile(order,
			[][3]uint32{{0x010f, 2, 'x'}, {tagOrientation, 3, 6}},
			[][3]uint32{
				{tagFocalLength, 5, 4250},
				{tagFocalLength35, 3, 26},
				{tagPixelWidth, 4, 4032},
				{tagPlaneResX, 5, 7200_000},
				{tagPlaneResUnit, 3, 3},
			}))
		want := Tags{Orientation: 6, FocalLengthMM: 4.25, Focal35MM: 26, PixelWidth: 4032, SensorPxPerMM: 720}
		if err != nil || got != want {
			t.Errorf("%v: %+v, error %v", order, got, err)
		}
	}
}

func TestParseTagsOddities(t *testing.T) {
	le := binary.LittleEndian
	for name, c := range map[string]struct {
		data []byte
		want Tags
	}{
		"orientation 9":        {tiffFile(le, [][3]uint32{{tagOrientation, 3, 9}}, nil), Tags{}},
		"orientation as long":  {tiffFile(le, [][3]uint32{{tagOrientation, 4, 8}}, nil), Tags{Orientation: 8}},
		"orientation as text":  {tiffFile(le, [][3]uint32{{tagOrientation, 2, 6}}, nil), Tags{}},
		"exif points at start": {tiffFile(le, [][3]uint32{{tagExifDirectory, 4, 8}, {tagOrientation, 3, 3}}, nil), Tags{Orientation: 3}},
		"exif points outside":  {tiffFile(le, [][3]uint32{{tagExifDirectory, 4, math.MaxUint32}}, nil), Tags{}},
		"inches by default":    {tiffFile(le, nil, [][3]uint32{{tagPlaneResX, 5, 25400_000}}), Tags{SensorPxPerMM: 1000}},
		"preview of raw":       {tiffFile(le, [][3]uint32{{tagSubfileType, 4, 1}}, nil), Tags{Raw: true}},
		"digital negative":     {tiffFile(le, [][3]uint32{{tagDNGVersion, 1, 1}}, nil), Tags{Raw: true}},
	} {
		if got, err := ParseTags(c.data); err != nil || got != c.want {
			t.Errorf("%s: %+v, error %v", name, got, err)
		}
	}
	for name, data := range map[string][]byte{
		"nothing": nil, "short": []byte("II*\x00"), "text": []byte("neither II nor MM"),
		"directory outside": []byte("II*\x00\xff\xff\xff\xff"),
	} {
		if _, err := ParseTags(data); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// TestFocalPx: 26 mm on film of 43.27 mm diagonal is 0.601 of the diagonal of
// 4032 × 3024 px, which is 5040 px (CIPA DCG-001, from memory).
func TestFocalPx(t *testing.T) {
	for _, c := range []struct {
		name string
		tags Tags
		want float64
	}{
		{"from film", Tags{Focal35MM: 26, FocalLengthMM: 4.25}, 3028.7},
		{"from sensor", Tags{FocalLengthMM: 50, SensorPxPerMM: 112}, 5600},
		{"from sensor, half size", Tags{FocalLengthMM: 50, SensorPxPerMM: 112, PixelWidth: 8064}, 2800},
		{"none", Tags{FocalLengthMM: 4.25}, 0},
		{"too short", Tags{Focal35MM: 5}, 0},
		{"too long", Tags{Focal35MM: 60000}, 0},
	} {
		if got := c.tags.FocalPx(4032, 3024); math.Abs(got-c.want) > 0.1 {
			t.Errorf("%s: %.2f px, want %.2f", c.name, got, c.want)
		}
	}
}

// TestFocalPxKeepsSense: turning the picture does not change its lens.
func TestFocalPxKeepsSense(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tags := Tags{Focal35MM: rapid.Float64Range(0, 1000).Draw(t, "f35")}
		w, h := rapid.IntRange(1, 30000).Draw(t, "w"), rapid.IntRange(1, 30000).Draw(t, "h")
		a, b := tags.FocalPx(w, h), tags.FocalPx(h, w)
		if math.Abs(a-b) > 1e-9*a {
			t.Fatalf("%g and %g px", a, b)
		}
	})
}

func FuzzParseTags(f *testing.F) {
	f.Add(tiffFile(binary.LittleEndian, [][3]uint32{{tagOrientation, 3, 6}}, [][3]uint32{{tagFocalLength, 5, 4250}}))
	f.Add(tiffFile(binary.BigEndian, [][3]uint32{{tagExifDirectory, 4, 8}}, nil))
	f.Add([]byte("II*\x00\x08\x00\x00\x00\xff\xff"))
	f.Fuzz(func(t *testing.T, data []byte) {
		tags, err := ParseTags(data)
		if err != nil && tags != (Tags{}) {
			t.Errorf("tags %+v beside error %v", tags, err)
		}
		if tags.Orientation < 0 || tags.Orientation > 8 {
			t.Errorf("orientation %d", tags.Orientation)
		}
		for _, f := range []float64{tags.FocalLengthMM, tags.Focal35MM, tags.SensorPxPerMM, tags.FocalPx(4000, 3000)} {
			if !(f >= 0) || math.IsInf(f, 0) {
				t.Errorf("tags %+v", tags)
			}
		}
	})
}
