package heif

import "encoding/binary"

// cursor reads big-endian fields. Past the end it reads zeros and is bad from
// then on.
type cursor struct {
	data []byte
	bad  bool
}

func (c *cursor) take(n int) []byte {
	if n < 0 || n > len(c.data) {
		c.bad, c.data = true, nil
		return nil
	}
	out := c.data[:n]
	c.data = c.data[n:]
	return out
}

// uint reads a number of 0 to 8 bytes.
func (c *cursor) uint(bytes int) uint64 {
	v := uint64(0)
	for _, b := range c.take(bytes) {
		v = v<<8 | uint64(b)
	}
	return v
}

func (c *cursor) u8() uint8   { return uint8(c.uint(1)) }
func (c *cursor) u16() uint16 { return uint16(c.uint(2)) }
func (c *cursor) u32() uint32 { return uint32(c.uint(4)) }

// version reads the head of a full box.
func (c *cursor) version() (version uint8, flags uint32) {
	v := c.u32()
	return uint8(v >> 24), v & 0xffffff
}

// box is one box of an ISO media file (ISO/IEC 14496-12, section 4.2).
type box struct {
	kind string
	body []byte
}

// next splits the first box off; false when there is none or it does not fit.
func next(data []byte) (b box, rest []byte, ok bool) {
	if len(data) < 8 {
		return box{}, nil, false
	}
	size, head := uint64(binary.BigEndian.Uint32(data)), uint64(8)
	switch size {
	case 0: // to the end of the file
		size = uint64(len(data))
	case 1:
		if len(data) < 16 {
			return box{}, nil, false
		}
		size, head = binary.BigEndian.Uint64(data[8:]), 16
	}
	if size < head || size > uint64(len(data)) {
		return box{}, nil, false
	}
	return box{string(data[4:8]), data[head:size]}, data[size:], true
}

// each hands the boxes of a list to read, in order. It is false when read is,
// or when bytes are left that are no box.
func each(data []byte, read func(box) bool) bool {
	for len(data) > 0 {
		b, rest, ok := next(data)
		if !ok || !read(b) {
			return false
		}
		data = rest
	}
	return true
}
