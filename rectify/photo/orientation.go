package photo

// Orientation is the value of the orientation tag, 1 to 8 (TIFF 6.0, section
// 8; CIPA DC-008, tag 274). Every other value means 1, upright.
type Orientation int

// Valid returns o, or 1 when o is none of the eight values.
func (o Orientation) Valid() Orientation {
	if o < 1 || o > 8 {
		return 1
	}
	return o
}

// Swaps reports whether width and height change places.
func (o Orientation) Swaps() bool { return o.Valid() >= 5 }

// Placement says where stored pixels go in the upright picture: the stored
// pixel (x, y) goes to index Base + x*StepX + y*StepY of its pixels.
type Placement struct {
	// Width and Height of the upright picture, px.
	Width, Height int
	// Base, StepX and StepY count pixels.
	Base, StepX, StepY int
}

// Place returns the placement for a stored picture of the given size.
func (o Orientation) Place(storedWidth, storedHeight int) Placement {
	w, h := storedWidth, storedHeight
	switch o.Valid() {
	case 2: // mirrored left to right
		return Placement{w, h, w - 1, -1, w}
	case 3: // upside down
		return Placement{w, h, w*h - 1, -1, -w}
	case 4: // mirrored top to bottom
		return Placement{w, h, (h - 1) * w, 1, -w}
	case 5: // columns are rows
		return Placement{h, w, 0, h, 1}
	case 6: // to be turned a quarter clockwise
		return Placement{h, w, h - 1, h, -1}
	case 7: // columns are rows, upside down
		return Placement{h, w, w*h - 1, -h, -1}
	case 8: // to be turned a quarter anticlockwise
		return Placement{h, w, (w - 1) * h, -h, 1}
	default:
		return Placement{w, h, 0, 1, w}
	}
}
