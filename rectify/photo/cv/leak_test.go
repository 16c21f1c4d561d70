//go:build matprofile

package cv

import (
	"testing"

	"gocv.io/x/gocv"
)

// TestNoMatrixStaysOpen counts gocv's open matrices after successes
// and refusals. Run with -tags matprofile.
func TestNoMatrixStaysOpen(t *testing.T) {
	before := gocv.MatProfile.Count()
	for range 10 {
		if _, err := GaussianBlur(NewGray(20, 20), 1); err != nil {
			t.Fatal(err)
		}
		if _, _, err := Components(ring(), true); err != nil {
			t.Fatal(err)
		}
		if _, err := Remap(NewGray(5, 5), blank(Float{}, 4, 4), blank(Float{}, 4, 4), Linear, 0); err != nil {
			t.Fatal(err)
		}
		if _, err := GaussianBlur(Gray{W: 1}, 1); err == nil {
			t.Fatal("no error")
		}
		if _, err := Remap(NewGray(5, 5), blank(Float{}, 4, 4), Float{W: 4, H: 4}, Linear, 0); err == nil {
			t.Fatal("no error")
		}
	}
	if n := gocv.MatProfile.Count(); n != before {
		t.Errorf("%d matrices stay open", n-before)
	}
}
