package rectify

import (
	"fmt"
	"math"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

const (
	// mostHeightSigma is the standard error of the camera's height, in parts
	// of it, beyond which pieces that rise above the mat are refused: at a
	// tenth, ± 20 %, a 10 mm piece is off by 2 mm half a metre from the middle
	// of a photograph taken from half a metre.
	mostHeightSigma = 0.1
	// cameraSigmaMM is the standard error of a camera's height measured with a
	// rule or tape: the lens's centre lies hidden somewhere in the phone
	// (common practice, no source).
	cameraSigmaMM = 10
	// thicknessSigmaMM is the standard error of a piece's thickness: foam is
	// sold to a few tenths of a millimetre (common practice, no source).
	thicknessSigmaMM = 0.15
	// mostThicknessMM bounds what is believed of a slab.
	mostThicknessMM = 200
)

// HeightError reports that the height of the pieces above the mat cannot be
// allowed for.
type HeightError struct {
	Photo string
	// ThicknessMM is the pieces', CameraMM the camera's height above the mat,
	// 0 when it is not known, and SigmaMM its standard error.
	ThicknessMM, CameraMM, SigmaMM float64
	// WorstMM is how far off the pieces farthest from the camera's foot would
	// be, 0 when it was not worked out.
	WorstMM float64
}

// Error says what is not known, and how to come by it.
func (e *HeightError) Error() string {
	switch {
	case !(e.ThicknessMM >= 0) || e.ThicknessMM > mostThicknessMM:
		return fmt.Sprintf("a thickness of %g mm is not one that pieces have: give it in millimetres, from 0 to %d", e.ThicknessMM, mostThicknessMM)
	case e.SigmaMM > 0:
		return fmt.Sprintf("the camera's height above the mat is not known well enough from %s (%.0f ± %.0f mm) to allow for pieces %g mm thick, which could come out %.1f mm off: measure the height of the lens above the mat and type it in, or photograph at a tilt of 15 to 30 degrees",
			e.Photo, e.CameraMM, 2*e.SigmaMM, e.ThicknessMM, e.WorstMM)
	case e.CameraMM > 0 && e.ThicknessMM >= e.CameraMM:
		return fmt.Sprintf("pieces %g mm thick cannot lie below a camera %.0f mm above the mat in %s: check both heights", e.ThicknessMM, e.CameraMM, e.Photo)
	default:
		return fmt.Sprintf("a camera %g mm above the mat in %s cannot be: measure from the mat to the lens, in millimetres", e.CameraMM, e.Photo)
	}
}

// check refuses heights that cannot be.
func (r Raised) check(name string) error {
	thick := r.ThicknessMM >= 0 && r.ThicknessMM <= mostThicknessMM
	camera := r.CameraHeightMM >= 0 && !math.IsInf(r.CameraHeightMM, 0)
	if !thick || !camera || r.CameraHeightMM > 0 && r.ThicknessMM >= r.CameraHeightMM {
		return &HeightError{Photo: name, ThicknessMM: r.ThicknessMM, CameraMM: r.CameraHeightMM}
	}
	return nil
}

// raise works out where the camera stood, for pieces that rise above the mat.
// Errors: *HeightError.
func (s *Squared) raise(r Raised) error {
	if err := r.check(s.Photo.Name); err != nil {
		return err
	}
	s.Raised = r
	if r.ThicknessMM == 0 {
		return nil
	}
	pose, err := s.pose(r.CameraHeightMM)
	if err != nil {
		return fmt.Errorf("allowing for the pieces' thickness in %s: %w", s.Photo.Name, err)
	}
	e := &HeightError{Photo: s.Photo.Name, ThicknessMM: r.ThicknessMM, CameraMM: pose.HeightMM}
	if !(pose.HeightMM > r.ThicknessMM) {
		return e
	}
	s.Pose = &pose
	if pose.HeightSigmaMM <= mostHeightSigma*pose.HeightMM {
		return nil
	}
	e.SigmaMM = pose.HeightSigmaMM
	for _, c := range s.Fit.Hull {
		e.WorstMM = max(e.WorstMM, s.heightPlusMinusMM(c))
	}
	return e
}

// pose is where the camera stood, by its measured height where there is one.
func (s *Squared) pose(cameraHeightMM float64) (lens.Pose, error) {
	if cameraHeightMM > 0 {
		return s.Fit.PoseAtHeight(cameraHeightMM, cameraSigmaMM)
	}
	return s.Fit.Pose()
}

// onMat returns the point of the mat that is hidden behind a point of the
// pieces' upper face.
func (s *Squared) onMat(at mat.Point) mat.Point {
	k := s.Pose.HeightMM / (s.Pose.HeightMM - s.Raised.ThicknessMM)
	c := s.Pose.FootMM
	return mat.Point{X: c.X + k*(at.X-c.X), Y: c.Y + k*(at.Y-c.Y)}
}

// heightPlusMinusMM is what the heights add to the ± of the map at a point of
// the upper face.
func (s *Squared) heightPlusMinusMM(at mat.Point) float64 {
	all := s.Fit.PlusMinusAtHeightMM(*s.Pose, at, s.Raised.ThicknessMM, thicknessSigmaMM)
	onMat := s.Fit.PlusMinusMM(s.onMat(at))
	if math.IsInf(all, 1) {
		return all
	}
	return math.Sqrt(max(all*all-onMat*onMat, 0))
}
