package rectify

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// Advice is one thing about a photograph that costs accuracy.
type Advice struct {
	// Text says what is wrong, with place and number, then what to do.
	Text string
	// At is the place on the mat it speaks of.
	At mat.Point
	// MM is what it costs there, in mm, as far as it is known.
	MM float64
}

// What is worth a word. A photograph within all of these is a good one.
const (
	// adviseMM is the error at a place, ± in mm, worth speaking of: the width of
	// a pencil line, and the worst that squaring up is meant to leave.
	adviseMM = 0.2
	// adviseCostMM is what an uncertain height, or a sheet at one side, may
	// cost in mm before it is worth another photograph: half of what a glued
	// seam hides (common practice, no source).
	adviseCostMM = 0.5
	// fewLines of a family leave none to spare when some are wrongly read.
	fewLines = 5
	// coarseMMPerPx is the size of a pixel on the mat above which the edges of
	// pieces, read to a fifth of a pixel or so, are no better than 0.1 mm.
	coarseMMPerPx = 0.5
	// steepDeg of tilt foreshortens the far half of a mat to less than two
	// thirds of the near one's scale at usual distances, and makes a piece's own
	// thickness count.
	steepDeg = 35
	// roughPx is the scatter of single samples on the lines above which a
	// photograph is blurred, shaken or badly compressed; sharp ones stay below
	// 0.15 px (measured on drawn photographs of 12 to 48 megapixels).
	roughPx = 0.35
	// leftOutTimes what was to be expected, a left-out test has failed; it says
	// nothing below leftOutMM.
	leftOutTimes = 3
	leftOutMM    = 0.1
	// printedPart is how far mats are often off their nominal size, in parts
	// (common practice, no source).
	printedPart = 0.002
)

// Advice returns what would make the result better, most serious first;
// nothing on a good photograph of a mat whose scale was measured. A scale
// taken as printed comes last: it is not the photograph's fault.
func (s *Squared) Advice() []Advice {
	var list []Advice
	add := func(a Advice, ok bool) {
		if ok {
			list = append(list, a)
		}
	}
	list = append(list, s.uncovered()...)
	add(s.fewLines())
	add(s.clickedOnly())
	add(s.unseenSides())
	add(s.sheetAside())
	add(s.coarse())
	add(s.steep())
	add(s.rough())
	add(s.leftOutFails())
	add(s.heightCosts())
	add(s.bent())
	slices.SortStableFunc(list, func(a, b Advice) int { return cmp.Compare(b.MM, a.MM) })
	if a, ok := s.asPrinted(); ok {
		list = append(list, a)
	}
	return list
}

// fewLines speaks when lines were found, but too few of a direction.
func (s *Squared) fewLines() (Advice, bool) {
	if s.fromSheet() || len(s.Fit.Crossings) > 0 {
		return Advice{}, false
	}
	var n [2]int
	for _, l := range s.Fit.Lines {
		if l.Count > 0 {
			n[l.Family]++
		}
	}
	least, way := n[mat.Columns], "columns"
	if n[mat.Rows] < least {
		least, way = n[mat.Rows], "rows"
	}
	if least >= fewLines {
		return Advice{}, false
	}
	at, mm := s.worstInside()
	return Advice{
		Text: fmt.Sprintf("Only %d %s of the mat's lines were found; the error is up to %s mm, at %s. Leave more of the mat uncovered, or take it from higher up.",
			least, way, millimetres(mm), s.placeOf(at)),
		At: at, MM: mm,
	}, true
}

// clickedOnly speaks when no line was read and the clicks alone decide.
func (s *Squared) clickedOnly() (Advice, bool) {
	if s.fromSheet() || len(s.Fit.Crossings) == 0 {
		return Advice{}, false
	}
	at, mm := s.worstInside()
	return Advice{
		Text: fmt.Sprintf("No printed lines could be read, so the %d clicked crossings alone decide; the error is up to %s mm, at %s. Click more crossings, far apart and through the magnifier, or photograph the mat in even light.",
			len(s.Fit.Crossings), millimetres(mm), s.placeOf(at)),
		At: at, MM: mm,
	}, true
}

// coarse speaks when a pixel covers much of the mat.
func (s *Squared) coarse() (Advice, bool) {
	at := s.middle()
	mm := s.Fit.ScaleMMPerPx(at)
	if !(mm > coarseMMPerPx) {
		return Advice{}, false
	}
	return Advice{
		Text: fmt.Sprintf("A pixel covers %.2f mm of the mat; edges will be read to about %s mm. Photograph from nearer, or send the camera's full-size file.",
			mm, millimetres(mm/5)),
		At: at, MM: mm / 5,
	}, true
}

// steep speaks of a strong tilt.
func (s *Squared) steep() (Advice, bool) {
	pose, err := s.poseGuess()
	if err != nil || !(pose.TiltDeg > steepDeg) {
		return Advice{}, false
	}
	at, mm := s.worstInside()
	return Advice{
		Text: fmt.Sprintf("The camera was tilted by %.0f degrees; the error is up to %s mm, at %s. Hold the phone more nearly over the middle, tilted by 30 degrees at most.",
			pose.TiltDeg, millimetres(mm), s.placeOf(at)),
		At: at, MM: mm,
	}, true
}

// rough speaks of lines that scatter.
func (s *Squared) rough() (Advice, bool) {
	if !(s.Fit.NoisePx > roughPx) || len(s.Fit.Crossings) > 0 {
		return Advice{}, false
	}
	at := s.middle()
	mm := s.Fit.NoisePx * s.Fit.ScaleMMPerPx(at)
	return Advice{
		Text: fmt.Sprintf("The lines are unsharp: readings of them scatter by %.2f px, which is %s mm. Hold the camera still, tap to focus on the mat, and give more light.",
			s.Fit.NoisePx, millimetres(mm)),
		At: at, MM: mm,
	}, true
}

// leftOutFails speaks when every other line is missed by the rest.
func (s *Squared) leftOutFails() (Advice, bool) {
	at := s.middle()
	expected := math.Hypot(s.Fit.MedianInsideMM/2, s.Fit.NoisePx*s.Fit.ScaleMMPerPx(at))
	mm := s.Fit.LeftOutRMSMM
	if !(mm > leftOutMM && mm > leftOutTimes*expected) {
		return Advice{}, false
	}
	return Advice{
		Text: fmt.Sprintf("Squared up by every other line, the rest are missed by %s mm, where %s mm was to be expected. Look at the lines drawn over the photograph for one that is none of the mat's, and check the pitch.",
			millimetres(mm), millimetres(expected)),
		At: at, MM: mm,
	}, true
}

// heightCosts speaks when the pieces' height costs more than the map.
func (s *Squared) heightCosts() (Advice, bool) {
	if s.Pose == nil {
		return Advice{}, false
	}
	var at mat.Point
	mm := 0.0
	for _, c := range s.Fit.Hull {
		if v := s.heightPlusMinusMM(c); v > mm {
			at, mm = c, v
		}
	}
	if mm < adviseCostMM {
		return Advice{}, false
	}
	return Advice{
		Text: fmt.Sprintf("The camera stood %.0f ± %.0f mm above the mat; with pieces %g mm thick that makes up to %s mm, at %s. Measure the lens's height above the mat and type it in, or photograph at a tilt of 15 to 30 degrees.",
			s.Pose.HeightMM, 2*s.Pose.HeightSigmaMM, s.Raised.ThicknessMM, millimetres(mm), s.placeOf(at)),
		At: at, MM: mm,
	}, true
}

// asPrinted speaks when the mat's print is taken as true.
func (s *Squared) asPrinted() (Advice, bool) {
	if s.Scale.Source != FromPitch {
		return Advice{}, false
	}
	w := float64(s.Grid.MaxColumn-s.Grid.MinColumn) * s.Pitch.XMM
	h := float64(s.Grid.MaxRow-s.Grid.MinRow) * s.Pitch.YMM
	wide := max(w, h)
	return Advice{
		Text: fmt.Sprintf("The mat is taken to be printed true; mats are often off by %.1f %%, which is %s mm over %.0f mm. Measure the mat once with a steel rule, across and down, and enter both lengths.",
			100*printedPart, millimetres(printedPart*wide), wide),
		At: s.middle(), MM: printedPart * wide,
	}, true
}

func (s *Squared) fromSheet() bool { return s.Scale.Source == FromRectangle }

// middle is the middle of the hull of what was used.
func (s *Squared) middle() (c mat.Point) {
	n := float64(len(s.Fit.Hull))
	for _, h := range s.Fit.Hull {
		c.X, c.Y = c.X+h.X/n, c.Y+h.Y/n
	}
	return c
}

// worstInside is the corner of the hull with the largest ±.
func (s *Squared) worstInside() (at mat.Point, mm float64) {
	for _, c := range s.Fit.Hull {
		if v := s.PlusMinusMM(c); v > mm {
			at, mm = c, v
		}
	}
	return at, mm
}

// poseGuess is where the camera stood as far as the photograph says.
func (s *Squared) poseGuess() (lens.Pose, error) {
	if s.Pose != nil {
		return *s.Pose, nil
	}
	return s.Fit.Pose()
}

// millimetres writes a length with as many places as mean something.
func millimetres(mm float64) string {
	switch {
	case math.IsInf(mm, 0) || math.IsNaN(mm) || mm > 999:
		return "many"
	case mm < 0.095:
		return fmt.Sprintf("%.2f", mm)
	case mm < 9.95:
		return fmt.Sprintf("%.1f", mm)
	default:
		return fmt.Sprintf("%.0f", mm)
	}
}
