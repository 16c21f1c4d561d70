package intake

import (
	"encoding/binary"

	"flatwright/rectify/photo"
)

func tiffTags(data []byte) photo.Tags {
	tags, _ := photo.ParseTags(data) // tags that make no sense tell nothing
	return tags
}

// pngTags returns the tags of the eXIf chunk (PNG, third edition, section
// 11.3.4.5).
func pngTags(data []byte) photo.Tags {
	const signature, frame = 8, 12
	for rest := data[min(signature, len(data)):]; len(rest) >= frame; {
		length := int64(binary.BigEndian.Uint32(rest))
		if length+frame > int64(len(rest)) {
			break
		}
		if string(rest[4:8]) == "eXIf" {
			return tiffTags(rest[8 : 8+length])
		}
		rest = rest[frame+length:]
	}
	return photo.Tags{}
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
