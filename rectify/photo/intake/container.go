package intake

import (
	"encoding/binary"

	"flatwright/rectify/photo"
)

func tiffTags(data []byte) photo.Tags {
	tags, _ := photo.ParseTags(data) // tags that make no sense tell nothing
	return tags
}

// pngChunk returns the body of the first chunk of a kind (PNG, third edition,
// section 5.3) before one of the kind until.
func pngChunk(data []byte, kind, until string) ([]byte, bool) {
	const signature, frame = 8, 12
	for rest := data[min(signature, len(data)):]; len(rest) >= frame; {
		length := int64(binary.BigEndian.Uint32(rest))
		name := string(rest[4:8])
		if length+frame > int64(len(rest)) || name == until {
			break
		}
		if name == kind {
			return rest[8 : 8+length], true
		}
		rest = rest[frame+length:]
	}
	return nil, false
}

// pngTags returns the tags of the eXIf chunk (section 11.3.4.5).
func pngTags(data []byte) photo.Tags {
	body, _ := pngChunk(data, "eXIf", "")
	return tiffTags(body)
}

// isAnimatedPNG tells an animated PNG by the acTL chunk before its picture
// (section 11.3.6.1).
func isAnimatedPNG(data []byte) bool {
	_, is := pngChunk(data, "acTL", "IDAT")
	return is
}

// webpTags returns the tags of the EXIF chunk (RFC 9649, section 2.7.1.5).
func webpTags(data []byte) photo.Tags {
	const header, frame = 12, 8
	for rest := data[min(header, len(data)):]; len(rest) >= frame; {
		length := int64(binary.LittleEndian.Uint32(rest[4:]))
		if length+frame > int64(len(rest)) {
			break
		}
		body := rest[frame : frame+length]
		if string(rest[:4]) == "EXIF" {
			if len(body) > 6 && string(body[:6]) == "Exif\x00\x00" {
				body = body[6:] // some writers keep JPEG's prefix
			}
			return tiffTags(body)
		}
		rest = rest[min(frame+length+length&1, int64(len(rest))):]
	}
	return photo.Tags{}
}

// isAnimated tells an animated WebP by its VP8X flags (RFC 9649, section
// 2.7).
func isAnimated(data []byte) bool {
	return at(data, 12, "VP8X") && len(data) > 20 && data[20]&2 != 0
}
