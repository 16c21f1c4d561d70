package photo

import "errors"

// Why a photograph was not taken in. Test with errors.Is.
var (
	// ErrUnreadable: the file could not be read at all (missing, a folder, no
	// permission).
	ErrUnreadable = errors.New("photograph cannot be read")
	// ErrFormat: the file is no picture, or of a kind that is not read here.
	ErrFormat = errors.New("not a kind of picture that can be read")
	// ErrTooLarge: the file or the picture is beyond the Limits.
	ErrTooLarge = errors.New("picture is too large")
	// ErrDamaged: the file breaks off or is corrupt.
	ErrDamaged = errors.New("picture file is damaged")
)

// Error is a photograph that was refused, said so that a maker can act on it.
type Error struct {
	// Name is the file's base name.
	Name string
	// What happened and what to Do: plain phrases without a full stop.
	What, Do string
	// Kind is one of the Err values above.
	Kind error
	// Cause is the technical reason; nil when there is none to add.
	Cause error
}

// Error returns the two sentences.
func (e *Error) Error() string { return e.Name + ": " + e.What + ". " + e.Do + "." }

// Unwrap gives errors.Is and errors.As both the kind and the cause.
func (e *Error) Unwrap() []error {
	if e.Cause == nil {
		return []error{e.Kind}
	}
	return []error{e.Kind, e.Cause}
}
