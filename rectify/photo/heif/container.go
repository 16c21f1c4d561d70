package heif

import (
	"errors"
	"fmt"
)

// extent is a run of bytes of an item.
type extent struct{ offset, length uint64 }

// item is a picture, a tile of one, or tags (ISO/IEC 23008-12).
type item struct {
	kind string
	// inside tells that the extents lie in the idat box, not in the file.
	inside  bool
	extents []extent
	// properties are numbers of container.properties, from 1, in the order
	// in which they are to be applied.
	properties []int
	// parts are the items that this one is put together of (dimg).
	parts []uint32
	// describes are the items that this one holds tags of (cdsc).
	describes []uint32
}

type container struct {
	file, idat []byte
	primary    uint32
	items      map[uint32]*item
	properties []box
}

// maxExtents bounds the runs of bytes of all items together: a file could
// claim many that take no space in it.
const maxExtents = 100_000

// readContainer reads the meta box of a file and nothing that it points to.
func readContainer(file []byte) (*container, error) {
	c := &container{file: file, items: map[uint32]*item{}}
	for rest := file; ; {
		b, after, ok := next(rest)
		if !ok {
			return nil, fmt.Errorf("%w: no description of a picture in it", ErrDamaged)
		}
		if b.kind == "meta" {
			return c, c.readMeta(b.body)
		}
		rest = after
	}
}

func (c *container) readMeta(body []byte) error {
	readers := map[string]func([]byte) bool{
		"pitm": c.readPrimary, "iinf": c.readItems, "iloc": c.readLocations,
		"iref": c.readReferences, "iprp": c.readProperties,
		"idat": func(b []byte) bool { c.idat = b; return true },
	}
	cur := cursor{data: body}
	cur.version()
	broken := ""
	ok := each(cur.data, func(b box) bool {
		read := readers[b.kind]
		if read == nil || read(b.body) {
			return true
		}
		broken = b.kind
		return false
	})
	if !ok {
		return fmt.Errorf("%w: its description makes no sense (%q)", ErrDamaged, broken)
	}
	return nil
}

// item returns the item of a number, which it makes when it is new: the boxes
// may come in any order.
func (c *container) item(id uint32) *item {
	if c.items[id] == nil {
		c.items[id] = &item{}
	}
	return c.items[id]
}

// idBytes is the size of an item number: 2 bytes before the given version,
// then 4.
func idBytes(version, wideFrom uint8) int {
	if version < wideFrom {
		return 2
	}
	return 4
}

func (c *container) readPrimary(body []byte) bool {
	cur := cursor{data: body}
	version, _ := cur.version()
	c.primary = uint32(cur.uint(idBytes(version, 1)))
	return !cur.bad
}

func (c *container) readItems(body []byte) bool {
	cur := cursor{data: body}
	version, _ := cur.version()
	cur.uint(idBytes(version, 1)) // how many: the boxes tell
	return !cur.bad && each(cur.data, func(b box) bool {
		if b.kind != "infe" {
			return true
		}
		in := cursor{data: b.body}
		version, _ := in.version()
		if version < 2 {
			return true // of a time before pictures
		}
		id := uint32(in.uint(idBytes(version, 3)))
		in.u16() // protection
		kind := string(in.take(4))
		c.item(id).kind = kind
		return !in.bad
	})
}

// readLocations reads the iloc box (ISO/IEC 14496-12, section 8.11.3).
func (c *container) readLocations(body []byte) bool {
	cur := cursor{data: body}
	version, _ := cur.version()
	if version > 2 {
		return false
	}
	sizes := cur.u16()
	size := func(shift int) int { return int(sizes >> shift & 15) }
	n := cur.uint(idBytes(version, 2))
	total := 0
	for ; n > 0 && !cur.bad; n-- {
		it := c.item(uint32(cur.uint(idBytes(version, 2))))
		if version > 0 {
			method := cur.u16() & 15
			it.inside = method == 1
			if method > 1 {
				it.kind = "" // made of other items' bytes: not read
			}
		}
		cur.u16() // data reference
		base := cur.uint(size(4))
		count := int(cur.u16())
		if total += count; total > maxExtents {
			return false
		}
		for ; count > 0 && !cur.bad; count-- {
			if version > 0 {
				cur.uint(size(0)) // index
			}
			offset := cur.uint(size(12))
			it.extents = append(it.extents, extent{base + offset, cur.uint(size(8))})
		}
	}
	return !cur.bad
}

func (c *container) readReferences(body []byte) bool {
	cur := cursor{data: body}
	version, _ := cur.version()
	wide := idBytes(version, 1)
	return !cur.bad && each(cur.data, func(b box) bool {
		in := cursor{data: b.body}
		from := c.item(uint32(in.uint(wide)))
		for n := in.u16(); n > 0 && !in.bad; n-- {
			to := uint32(in.uint(wide))
			switch b.kind {
			case "dimg":
				from.parts = append(from.parts, to)
			case "cdsc":
				from.describes = append(from.describes, to)
			}
		}
		return !in.bad
	})
}

func (c *container) readProperties(body []byte) bool {
	return each(body, func(b box) bool {
		switch b.kind {
		case "ipco":
			return each(b.body, func(p box) bool {
				c.properties = append(c.properties, p)
				return true
			})
		case "ipma":
			return c.readAssociations(b.body)
		}
		return true
	})
}

// readAssociations reads which item has which properties (ISO/IEC 23008-12,
// section 9.3).
func (c *container) readAssociations(body []byte) bool {
	cur := cursor{data: body}
	version, flags := cur.version()
	for n := cur.u32(); n > 0 && !cur.bad; n-- {
		it := c.item(uint32(cur.uint(idBytes(version, 1))))
		for k := cur.u8(); k > 0 && !cur.bad; k-- {
			number := int(cur.uint(1 + int(flags&1)))
			it.properties = append(it.properties, number&(0x80<<(8*(flags&1))-1))
		}
	}
	return !cur.bad
}

// property returns the body of an item's first property of a kind.
func (c *container) property(it *item, kind string) ([]byte, bool) {
	for _, n := range it.properties {
		if n >= 1 && n <= len(c.properties) && c.properties[n-1].kind == kind {
			return c.properties[n-1].body, true
		}
	}
	return nil, false
}

// size returns the size that an item's ispe property states.
func (c *container) size(it *item) (width, height int, err error) {
	body, ok := c.property(it, "ispe")
	cur := cursor{data: body}
	cur.version()
	w, h := cur.u32(), cur.u32()
	if !ok || cur.bad {
		return 0, 0, fmt.Errorf("%w: the size of the picture is missing", ErrDamaged)
	}
	return int(w), int(h), nil
}

var errOutside = errors.New("the file ends before the picture does")

// bytes returns an item's data. One that lies in one piece is not copied.
func (c *container) bytes(it *item) ([]byte, error) {
	from := c.file
	if it.inside {
		from = c.idat
	}
	var out []byte
	for i, e := range it.extents {
		if e.offset > uint64(len(from)) || e.length > uint64(len(from))-e.offset {
			return nil, fmt.Errorf("%w: %w", ErrDamaged, errOutside)
		}
		part := from[e.offset : e.offset+e.length]
		if e.length == 0 {
			part = from[e.offset:] // all there is
		}
		if i == 0 {
			out = part[:len(part):len(part)]
			continue
		}
		if len(out)+len(part) > len(c.file) {
			return nil, fmt.Errorf("%w: the same bytes are used again and again", ErrDamaged)
		}
		out = append(out, part...)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: a part of the picture is missing", ErrDamaged)
	}
	return out, nil
}
