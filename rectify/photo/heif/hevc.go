package heif

import (
	"bytes"
	"fmt"
)

// addTile checks and adds one coded picture: all its bytes are in the file,
// they split up into NAL units without a rest, none of which holds a run of
// zeros that HEVC does not write (ITU-T H.265, section 7.4.2), as a file does
// that was copied in part; the coded size is the one that the container says;
// and all tiles have one size.
func (c *container) addTile(it *item, p *Picture) error {
	config, ok := c.property(it, "hvcC")
	if !ok || len(config) < 23 {
		return fmt.Errorf("%w: the decoder's settings are missing", ErrDamaged)
	}
	w, h, err := c.size(it)
	if err != nil {
		return err
	}
	s, err := readConfig(config)
	if err != nil {
		return err
	}
	if s.width != w || s.height != h || len(p.tiles) > 0 && (w != p.tileWidth || h != p.tileHeight) {
		return fmt.Errorf("%w: coded as %d × %d but described as %d × %d pixels", ErrDamaged, s.width, s.height, w, h)
	}
	data, err := c.bytes(it)
	if err != nil {
		return err
	}
	p.tiles = append(p.tiles, coded{config, data})
	p.tileWidth, p.tileHeight = w, h
	return checkUnits(data, int(config[21]&3)+1)
}

// NAL unit types (ITU-T H.265, table 7-1).
const (
	lastSlice = 31
	setOfSPS  = 33
)

func checkUnits(data []byte, lengthBytes int) error {
	cur := cursor{data: data}
	slices := 0
	for len(cur.data) > 0 {
		unit := cur.take(int(cur.uint(lengthBytes)))
		if cur.bad || len(unit) < 3 || unit[0]&0x80 != 0 {
			return fmt.Errorf("%w: the picture's data are cut or mixed up", ErrDamaged)
		}
		if bytes.Contains(unit, []byte{0, 0, 0}) {
			return fmt.Errorf("%w: a part of the picture's data is blank", ErrDamaged)
		}
		switch kind := unit[0] >> 1 & 63; {
		case kind <= lastSlice:
			slices++
		case kind == setOfSPS:
			return fmt.Errorf("%w: settings within the picture", ErrKind)
		}
	}
	if slices == 0 {
		return fmt.Errorf("%w: a part of the picture is missing", ErrDamaged)
	}
	return nil
}

// readConfig returns the sequence parameters of a decoder configuration
// record (ISO/IEC 14496-15, section 8.3.3).
func readConfig(config []byte) (sequence, error) {
	cur := cursor{data: config[22:]}
	var s sequence
	found := false
	for arrays := cur.u8(); arrays > 0 && !cur.bad; arrays-- {
		kind := cur.u8() & 63
		for n := cur.u16(); n > 0 && !cur.bad; n-- {
			unit := cur.take(int(cur.u16()))
			if kind != setOfSPS {
				continue
			}
			one, ok := readSequence(unit)
			if !ok || found && (one.width != s.width || one.height != s.height) {
				return sequence{}, fmt.Errorf("%w: the decoder's settings make no sense", ErrDamaged)
			}
			s, found = one, true
		}
	}
	if cur.bad || !found {
		return sequence{}, fmt.Errorf("%w: the decoder's settings are cut", ErrDamaged)
	}
	return s, nil
}
