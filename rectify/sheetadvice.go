package rectify

import (
	"fmt"
	"math"
	"strings"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// sideNames are the sides of a rectangle by its corners' numbers.
var sideNames = [4]string{"1 to 2", "2 to 3", "3 to 4", "4 to 1"}

// unseenSides speaks of sides of a sheet whose edge was not found.
func (s *Squared) unseenSides() (Advice, bool) {
	if !s.fromSheet() {
		return Advice{}, false
	}
	count := map[[2]int]int{}
	for _, p := range s.Grid.Points {
		count[[2]int{int(p.Family), p.Index}]++
	}
	var names []string
	for k, name := range sideNames {
		f, index := lineOf(k)
		if count[[2]int{int(f), index}] <= 2 {
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return Advice{}, false
	}
	at, mm := s.worstInside()
	return Advice{
		Text: fmt.Sprintf("The sheet's edge was not seen between corners %s, so the clicked corners alone hold it; the error is up to %s mm, at %s. Clear the edges, and lay the sheet on something darker.",
			strings.Join(names, ", "), millimetres(mm), s.placeOf(at)),
		At: at, MM: mm,
	}, true
}

// sheetAside speaks when the error beside the sheet grows large within the
// photograph, whose outermost tenth is left out.
func (s *Squared) sheetAside() (Advice, bool) {
	if !s.fromSheet() {
		return Advice{}, false
	}
	var at mat.Point
	mm := 0.0
	for r := range placesDown {
		for c := range placesAcross {
			seen := photo.Point{
				X: (0.1 + 0.8*(float64(c)+0.5)/placesAcross) * float64(s.Photo.Width-1),
				Y: (0.1 + 0.8*(float64(r)+0.5)/placesDown) * float64(s.Photo.Height-1),
			}
			on, ok := s.Fit.ToMat(seen)
			if !ok {
				return Advice{}, false
			}
			if v := s.PlusMinusMM(on); v > mm {
				at, mm = on, v
			}
		}
	}
	if !(mm > 2*adviseCostMM) || math.IsInf(mm, 1) {
		return Advice{}, false
	}
	return Advice{
		Text: fmt.Sprintf("Beside the sheet the error grows to %s mm, at %s. Lay the pieces on the sheet or close to it, or use a larger sheet.",
			millimetres(mm), s.placeOf(at)),
		At: at, MM: mm,
	}, true
}
