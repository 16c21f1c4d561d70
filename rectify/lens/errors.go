package lens

import "fmt"

// Stage names the step of a fit that failed.
type Stage string

// The steps of a fit.
const (
	// StageInput: what was handed in cannot determine a camera.
	StageInput Stage = "input"
	// StageStart: no first guess explains enough of the lines.
	StageStart Stage = "start"
	// StageAdjust: the adjustment broke down or did not settle.
	StageAdjust Stage = "adjust"
	// StageCheck: the result explains the lines too badly to be used.
	StageCheck Stage = "check"
)

// FitError says why no camera could be found.
type FitError struct {
	Stage Stage
	// Count is the number the reason speaks of (lines, samples, crossings),
	// or the place in the input for a single bad item.
	Count int
	// RMSPx is the residual reached, 0 where there is none.
	RMSPx float64
	// Limit is the bound that was missed, in the unit of Count or in px.
	Limit float64
	// Reason is a plain sentence: what happened, then what to do.
	Reason string
	// Err is the cause beneath, if any.
	Err error
}

// Error returns the plain sentence.
func (e *FitError) Error() string {
	if e.Err != nil {
		return fmt.Sprintf("%s (%v)", e.Reason, e.Err)
	}
	return e.Reason
}

// Unwrap returns the cause beneath.
func (e *FitError) Unwrap() error { return e.Err }
