package intake

import (
	"bytes"
	"context"
	"fmt"
	"strings"

	"flatwright/rectify/photo"
)

// format is a kind of picture file, told by its first bytes.
type format struct {
	name    string
	matches func(data []byte) bool
	// decode is nil for kinds that are known but not read; then do says how
	// to get something that is.
	decode func(context.Context, source) (*photo.Photo, error)
	do     string
}

const exportAsJPEG = "Export the picture as JPEG and open that"

func formats() []format {
	return []format{
		{name: "JPEG", matches: begins("\xff\xd8"), decode: decodeJPEG},
		{name: "PNG", matches: begins("\x89PNG\r\n\x1a\n"), decode: decodePNG},
		{name: "WebP", matches: func(d []byte) bool { return begins("RIFF")(d) && at(d, 8, "WEBP") }, decode: decodeWebP},
		{name: "raw camera", matches: isRaw, do: exportAsJPEG},
		{name: "TIFF", matches: isTIFF, decode: decodeTIFF},
		{name: "BMP", matches: begins("BM"), decode: decodeBMP},
		{name: "AVIF", matches: isBrand("avif", "avis"), do: exportAsJPEG},
		{name: "moving HEIC", matches: isBrand("hevc", "hevx", "msf1"), do: "Save one of its pictures as JPEG and open that"},
		{name: "HEIC", matches: isBrand("heic", "heix", "heim", "heis", "mif1", "mif2"), decode: decodeHEIC},
		{name: "raw camera", matches: isBrand("crx "), do: exportAsJPEG},
		{name: "film", matches: func(d []byte) bool { return at(d, 4, "ftyp") }, do: "Take a photograph instead of a film"},
		{name: "GIF", matches: begins("GIF8"), do: "Open the photograph itself: a GIF picture has too few colours to measure in"},
		{name: "JPEG XL", matches: func(d []byte) bool { return begins("\xff\x0a")(d) || at(d, 4, "JXL ") }, do: exportAsJPEG},
		{name: "JPEG 2000", matches: func(d []byte) bool { return begins("\xff\x4f\xff\x51")(d) || at(d, 4, "jP  ") }, do: exportAsJPEG},
		{name: "PDF", matches: begins("%PDF"), do: "Open the photograph itself"},
	}
}

// recognise returns the format of a file, or a *photo.Error that says why
// the file cannot be read.
func recognise(name string, data []byte) (format, error) {
	if len(data) == 0 {
		return format{}, &photo.Error{
			Name: name, Kind: photo.ErrDamaged, What: "the file is empty",
			Do: "Copy it from the phone or camera again",
		}
	}
	for _, f := range formats() {
		if !f.matches(data) {
			continue
		}
		if f.decode != nil {
			return f, nil
		}
		return format{}, &photo.Error{
			Name: name, Kind: photo.ErrFormat,
			What: fmt.Sprintf("this is a %s file, which cannot be read here", f.name), Do: f.do,
		}
	}
	return format{}, &photo.Error{
		Name: name, Kind: photo.ErrFormat,
		What: "this is not a picture, or of a kind that is not known here",
		Do:   "Choose a photograph saved as JPEG, HEIC, PNG, TIFF, WebP or BMP",
	}
}

func begins(magic string) func([]byte) bool {
	return func(data []byte) bool { return bytes.HasPrefix(data, []byte(magic)) }
}

func at(data []byte, offset int, text string) bool {
	return len(data) >= offset+len(text) && string(data[offset:offset+len(text)]) == text
}

// isBrand tells ISO media files (ISO/IEC 14496-12, section 4.3) by the major
// brand.
func isBrand(brands ...string) func([]byte) bool {
	list := strings.Join(brands, "|")
	return func(data []byte) bool {
		return at(data, 4, "ftyp") && len(data) >= 12 && strings.Contains(list, string(data[8:12]))
	}
}

func isTIFF(data []byte) bool { return begins("II*\x00")(data) || begins("MM\x00*")(data) }

// isRaw tells raw camera files, most of which are TIFF files whose first
// picture is only a small preview that must not be measured in.
func isRaw(data []byte) bool {
	if begins("IIRO")(data) || begins("IIRS")(data) || begins("IIU\x00")(data) || begins("FUJIFILMCCD-RAW")(data) {
		return true
	}
	if !isTIFF(data) {
		return false
	}
	if at(data, 8, "CR") {
		return true
	}
	tags, err := photo.ParseTags(data)
	return err == nil && tags.Raw
}
