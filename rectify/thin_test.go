package rectify

import (
	"errors"
	"strings"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// What the lines leave unknown is refused where clicks would know it better.
func TestThinLinesAreRefused(t *testing.T) {
	s := &Squared{Photo: &photo.Photo{Name: "thin.jpg"}, Fit: &lens.Fit{
		MedianInsideMM: thinMM - 0.01, Lines: make([]lens.LineResidual, 7),
		Hull: []mat.Point{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 20, Y: 10}, {X: 0, Y: 10}},
	}}
	if err := s.checkThin(); err != nil {
		t.Errorf("just good enough: %v", err)
	}
	s.Fit.MedianInsideMM = 2.57
	var thin *ThinError
	if err := s.checkThin(); !errors.As(err, &thin) || thin.Lines != 7 || thin.At != (mat.Point{X: 10, Y: 5}) {
		t.Fatalf("got %+v", err)
	}
	for _, want := range []string{"7 lines", "thin.jpg", "± 2.6 mm", "click crossings"} {
		if !strings.Contains(thin.Error(), want) {
			t.Errorf("%q lacks %q", thin.Error(), want)
		}
	}
}
