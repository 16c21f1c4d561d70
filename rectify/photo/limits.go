package photo

import "fmt"

// Limits bound what is decoded. They are held against the header, before any
// memory for pixels is asked for.
type Limits struct {
	// MaxPixels bounds width times height.
	MaxPixels int
	// MaxSide bounds width and height, in pixels. Filters address rows and
	// columns with 16-bit signed numbers, hence 32767.
	MaxSide int
	// MaxBytes bounds the file.
	MaxBytes int64
}

// DefaultLimits takes every phone and camera made for the hand: 120
// megapixels, 32767 pixels a side, 512 MiB.
func DefaultLimits() Limits {
	return Limits{MaxPixels: 120e6, MaxSide: 32767, MaxBytes: 512 << 20}
}

// CheckSize returns nil when a picture of so many pixels is within the
// limits, else an *Error of kind ErrTooLarge (or ErrDamaged for a size that
// no picture has).
func (l Limits) CheckSize(name string, width, height int) error {
	if width <= 0 || height <= 0 {
		return &Error{
			Name: name, Kind: ErrDamaged,
			What: fmt.Sprintf("the file says the picture is %d × %d pixels, which is no picture", width, height),
			Do:   "Copy the file from the phone again, or take the photograph again",
		}
	}
	if width > l.MaxSide || height > l.MaxSide {
		return &Error{
			Name: name, Kind: ErrTooLarge,
			What: fmt.Sprintf("the picture is %d × %d pixels, and at most %d pixels a side can be read", width, height, l.MaxSide),
			Do:   "Make it smaller in a picture editor, or take the photograph at a lower resolution",
		}
	}
	if int64(width)*int64(height) > int64(l.MaxPixels) {
		return &Error{
			Name: name, Kind: ErrTooLarge,
			What: fmt.Sprintf("the picture is %d × %d pixels, which makes %.0f megapixels, and at most %.0f can be read",
				width, height, float64(width)*float64(height)/1e6, float64(l.MaxPixels)/1e6),
			Do: "Make it smaller in a picture editor, or take the photograph at a lower resolution",
		}
	}
	return nil
}

// CheckBytes returns nil when a file of so many bytes is within the limits,
// else an *Error of kind ErrTooLarge.
func (l Limits) CheckBytes(name string, bytes int64) error {
	if bytes <= l.MaxBytes {
		return nil
	}
	return &Error{
		Name: name, Kind: ErrTooLarge,
		What: fmt.Sprintf("the file is %.0f MB long, and at most %.0f MB can be read", float64(bytes)/1e6, float64(l.MaxBytes)/1e6),
		Do:   "Save the photograph as JPEG and open that",
	}
}
