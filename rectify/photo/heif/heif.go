// Package heif decodes a HEIC photograph as phones make them: one picture
// coded in HEVC, or a grid of such tiles, in an ISO media file (ISO/IEC
// 23008-12). What the container says is read and checked here, before
// anything is decoded; the decoder itself (libheif and libde265, see
// decoder/README.md) runs in a sandbox with a bound on its memory, so that no
// file can harm the program.
package heif

import (
	"errors"
	"fmt"
)

// Errors of Describe and Decode, wrapped with detail.
var (
	// ErrDamaged: the file breaks off or contradicts itself.
	ErrDamaged = errors.New("damaged")
	// ErrKind: a picture of a kind that is not read here.
	ErrKind = errors.New("a kind of HEIF picture that is not read")
	// ErrDecoder: the decoder gave up, or could not be started.
	ErrDecoder = errors.New("the HEIC decoder gave up")
)

// Picture is what the container tells of its main picture.
type Picture struct {
	// Width and Height are those of the upright picture, px: the container's
	// own crop, turns and mirrors are part of decoding. A tag that says the
	// same in the Exif data must not be applied again.
	Width, Height int
	// StoredWidth and StoredHeight are the size before them, px.
	StoredWidth, StoredHeight int
	// Cropped tells that the container cuts off a part of what is stored.
	Cropped bool
	// Exif is the TIFF stream of the picture's tags; nil when it has none.
	Exif []byte

	colour    colour
	placement placement
	// columns of tiles of tileWidth × tileHeight px make the stored picture.
	tiles                          []coded
	columns, tileWidth, tileHeight int
}

// coded is one coded picture: its decoder's settings and its data.
type coded struct{ config, data []byte }

// maxTiles bounds the tiles of a grid: 120 megapixels in tiles of 512 × 512
// are 458.
const maxTiles = 4096

// mostSpare bounds what tiles have beyond the picture, px: limits are held
// against the picture.
const mostSpare = 1024

// Describe reads the container alone: it decodes nothing, and its time and
// memory are bounded by the length of the file. It checks that every byte of
// the picture is there.
func Describe(file []byte) (Picture, error) {
	c, err := readContainer(file)
	if err != nil {
		return Picture{}, err
	}
	main := c.items[c.primary]
	if main == nil {
		return Picture{}, fmt.Errorf("%w: it does not say which picture is the main one", ErrDamaged)
	}
	var p Picture
	if p.StoredWidth, p.StoredHeight, err = c.size(main); err != nil {
		return Picture{}, err
	}
	switch main.kind {
	case "hvc1", "hev1":
		p.columns = 1
		err = c.addTile(main, &p)
	case "grid":
		err = c.addGrid(main, &p)
	default:
		err = fmt.Errorf("%w: %q", ErrKind, main.kind)
	}
	if err != nil {
		return Picture{}, err
	}
	p.placement = c.place(main, p.StoredWidth, p.StoredHeight)
	p.Width, p.Height, p.Cropped = p.placement.width, p.placement.height, p.placement.cropped
	p.colour = c.colourOf(main)
	p.Exif = c.exif()
	return p, nil
}

// addGrid checks and adds the tiles of a grid (ISO/IEC 23008-12, section
// 6.6.2.3).
func (c *container) addGrid(main *item, p *Picture) error {
	body, err := c.bytes(main)
	if err != nil {
		return err
	}
	cur := cursor{data: body}
	cur.u8() // version
	wide := int(cur.u8() & 1)
	rows, columns := int(cur.u8())+1, int(cur.u8())+1
	w, h := int(cur.uint(2<<wide)), int(cur.uint(2<<wide))
	if cur.bad || rows*columns != len(main.parts) || rows*columns > maxTiles {
		return fmt.Errorf("%w: a grid of %d × %d tiles of which %d are there", ErrDamaged, columns, rows, len(main.parts))
	}
	if w != p.StoredWidth || h != p.StoredHeight {
		return fmt.Errorf("%w: %d × %d and %d × %d pixels for one picture", ErrDamaged, w, h, p.StoredWidth, p.StoredHeight)
	}
	p.columns = columns
	for _, id := range main.parts {
		tile := c.items[id]
		if tile == nil || tile.kind != "hvc1" && tile.kind != "hev1" {
			return fmt.Errorf("%w: a tile is missing or no HEVC picture", ErrDamaged)
		}
		if err := c.addTile(tile, p); err != nil {
			return err
		}
	}
	tw, th := p.tileWidth, p.tileHeight
	if tw*columns > w+mostSpare || th*rows > h+mostSpare {
		return fmt.Errorf("%w: far larger than is shown", ErrKind)
	}
	if tw*columns < w || th*rows < h || tw*(columns-1) >= w || th*(rows-1) >= h {
		return fmt.Errorf("%w: tiles of %d × %d do not make up %d × %d pixels", ErrDamaged, tw, th, w, h)
	}
	return nil
}

// exif returns the tags of the main picture: its Exif item without the offset
// in front (ISO/IEC 23008-12, annex A.2.1).
func (c *container) exif() []byte {
	for _, it := range c.items {
		if it.kind != "Exif" || !contains(it.describes, c.primary) {
			continue
		}
		body, err := c.bytes(it)
		cur := cursor{data: body}
		cur.take(int(cur.u32()))
		if err == nil && !cur.bad {
			return cur.data
		}
	}
	return nil
}

func contains(list []uint32, id uint32) bool {
	for _, v := range list {
		if v == id {
			return true
		}
	}
	return false
}
