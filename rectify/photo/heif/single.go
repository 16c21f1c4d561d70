package heif

import (
	"bytes"
	"encoding/binary"
)

// single makes a file of one coded picture for the decoder: all that a
// container says beyond it is followed here, not there. The order of boxes
// and fields is that of ISO/IEC 23008-12 and ISO/IEC 14496-12.
//
// The picture is wrapped in a grid of one tile: the decoder hands a bare one
// over with colours of halved sampling that it has resampled, badly at the
// upper and lower side, and a tile with the coded ones.
func single(c coded, width, height int) []byte {
	config := bytes.Clone(c.config)
	const chromaAt = 16
	if config[chromaAt]&3 == 0 {
		// Asked for luminance alone the decoder refuses; asked for colours it
		// adds grey ones.
		config[chromaAt] |= 1
	}
	grid := append([]byte{0, 1, 0, 0}, u32(width, height)...)
	head := pack("ftyp", []byte("heic"), u32(0), []byte("mif1heic"))
	meta := func(at int) []byte {
		return pack("meta", u32(0),
			pack("hdlr", u32(0, 0), []byte("pict"), u32(0, 0, 0), []byte{0}),
			pack("pitm", u32(0), u16(1)),
			pack("iloc", u32(0), []byte{0x44, 0}, u16(2),
				u16(1, 0, 1), u32(at, len(grid)),
				u16(2, 0, 1), u32(at+len(grid), len(c.data))),
			pack("iinf", u32(0), u16(2),
				pack("infe", u32(2<<24), u16(1, 0), []byte("grid"), []byte{0}),
				pack("infe", u32(2<<24|1), u16(2, 0), []byte("hvc1"), []byte{0})),
			pack("iref", u32(0), pack("dimg", u16(1, 1, 2))),
			pack("iprp",
				pack("ipco", pack("hvcC", config), pack("ispe", u32(0, width, height))),
				pack("ipma", u32(0, 2), u16(1), []byte{1, 2}, u16(2), []byte{2, 0x81, 2})))
	}
	const boxHead = 8
	at := len(head) + len(meta(0)) + boxHead
	return append(append(head, meta(at)...), pack("mdat", grid, c.data)...)
}

// pack makes a box.
func pack(kind string, parts ...[]byte) []byte {
	out := append(make([]byte, 4), kind...)
	for _, p := range parts {
		out = append(out, p...)
	}
	binary.BigEndian.PutUint32(out, uint32(len(out)))
	return out
}

func u16(values ...int) (out []byte) {
	for _, v := range values {
		out = binary.BigEndian.AppendUint16(out, uint16(v))
	}
	return out
}

func u32(values ...int) (out []byte) {
	for _, v := range values {
		out = binary.BigEndian.AppendUint32(out, uint32(v))
	}
	return out
}
