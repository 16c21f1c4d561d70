package photo

import (
	"encoding/binary"
	"math"
	"testing"
)

// TestFocalDoubts: a main camera of 26 mm on 4032 × 3024 px is 3028.7 px (see
// TestFocalPx); what later hands did to the picture must show.
func TestFocalDoubts(t *testing.T) {
	const whole = 3028.7
	phone := Tags{Focal35MM: 26, FocalLengthMM: 4.25, PixelWidth: 4032, PixelHeight: 3024}
	with := func(change func(*Tags)) Tags {
		out := phone
		change(&out)
		return out
	}
	sensor := func(pxPerMM float64) func(*Tags) { return func(t *Tags) { t.SensorPxPerMM = pxPerMM } }
	for _, c := range []struct {
		name   string
		tags   Tags
		w, h   int
		want   float64
		unsure bool
	}{
		{"as taken", phone, 4032, 3024, whole, false},
		{"held upright", phone, 3024, 4032, whole, false},
		{"no stated size", with(func(t *Tags) { t.PixelWidth, t.PixelHeight = 0, 0 }), 4032, 3024, whole, false},
		{"half size", phone, 2016, 1512, whole / 2, true},
		{"a third, rounded", phone, 1344, 1008, whole / 3, true},
		{"cut square", phone, 3024, 3024, 0, true},
		{"cut a little", phone, 4032, 2900, 0, true},
		{"nonsense size", with(func(t *Tags) { t.PixelWidth, t.PixelHeight = 1, math.MaxInt32 }), 4032, 3024, 0, true},
		{"width alone agrees", with(func(t *Tags) { t.PixelHeight = 0 }), 4032, 3024, whole, false},
		{"width alone differs", with(func(t *Tags) { t.PixelHeight = 0 }), 2016, 1512, whole / 2, true},
		{"zoomed", with(func(t *Tags) { t.DigitalZoom = 2 }), 4032, 3024, whole, true},
		{"zoom of one", with(func(t *Tags) { t.DigitalZoom = 1 }), 4032, 3024, whole, false},
		{"sensor agrees", with(sensor(3000 / 4.25)), 4032, 3024, whole, false},
		{"sensor contradicts", with(sensor(2000 / 4.25)), 4032, 3024, whole, true},
		{"zoom in the equivalent", with(func(t *Tags) { t.DigitalZoom, t.Focal35MM, t.SensorPxPerMM = 2, 52, 3000/4.25 }), 4032, 3024, 2 * whole, true},
		{"zoom beside the equivalent", with(func(t *Tags) { t.DigitalZoom, t.SensorPxPerMM = 2, 3000/4.25 }), 4032, 3024, 2 * whole, true},
		{"zoom and sensor alone", with(func(t *Tags) { t.DigitalZoom, t.Focal35MM, t.SensorPxPerMM = 2, 0, 700 }), 4032, 3024, 2 * 4.25 * 700, true},
		{"sensor alone, half size", with(func(t *Tags) { t.Focal35MM, t.SensorPxPerMM = 0, 700 }), 1512, 2016, 4.25 * 700 / 2, true},
		{"no tags", Tags{}, 4032, 3024, 0, false},
		{"no picture", phone, 0, 0, 0, false},
	} {
		if got, unsure := c.tags.Focal(c.w, c.h); math.Abs(got-c.want) > 0.1 || unsure != c.unsure {
			t.Errorf("%s: %.1f px, unsure %v, want %.1f, %v", c.name, got, unsure, c.want, c.unsure)
		}
	}
}

// TestParseZoom: the digital zoom is a fraction, and one without a
// denominator is none.
func TestParseZoom(t *testing.T) {
	data := tiffFile(binary.BigEndian, nil, [][3]uint32{
		{tagPixelWidth, 3, 4032}, {tagPixelHeight, 3, 3024}, {tagDigitalZoom, 5, 1750}, {tagPlaneResX, 5, 700_000}, {tagPlaneResUnit, 3, 4},
	})
	got, err := ParseTags(data)
	if want := (Tags{PixelWidth: 4032, PixelHeight: 3024, DigitalZoom: 1.75, SensorPxPerMM: 700}); err != nil || got != want {
		t.Errorf("%+v, error %v", got, err)
	}
	clear(data[len(data)-12 : len(data)-8]) // the first denominator
	if got, _ := ParseTags(data); got.DigitalZoom != 0 {
		t.Errorf("zoom %g", got.DigitalZoom)
	}
}

// pages is a TIFF file of empty pages with the given kinds, the last of which
// points to the page numbered back.
func pages(back int, kinds ...uint32) []byte {
	le := binary.LittleEndian
	const each = 2 + 12 + 4
	out := le.AppendUint32([]byte("II*\x00"), 8)
	for i, kind := range kinds {
		out = le.AppendUint16(out, 1)
		out = le.AppendUint16(le.AppendUint16(out, tagSubfileType), 4)
		out = le.AppendUint32(le.AppendUint32(out, 1), kind)
		next := uint32(8 + each*(i+1))
		if i == len(kinds)-1 {
			next = uint32(8 + each*back)
		}
		out = le.AppendUint32(out, next)
	}
	return out
}

func TestCountTIFFPages(t *testing.T) {
	end := pages(0, 0, 0, 0)
	clear(end[len(end)-4:])
	for name, c := range map[string]struct {
		data []byte
		want int
	}{
		"three":              {end, 3},
		"one and its copies": {pages(0, 0, 1, 1, 4), 1},
		"itself":             {pages(0, 0), 1},
		"a circle":           {pages(0, 0, 0, 0), 3},
		"beyond the end":     {pages(99, 0, 0), 2},
		"cut":                {end[:len(end)-20], 2},
		"nothing":            {nil, 0},
		"no TIFF":            {[]byte("II*\x01 and so on"), 0},
	} {
		if got := CountTIFFPages(c.data); got != c.want {
			t.Errorf("%s: %d pages, want %d", name, got, c.want)
		}
	}
}
