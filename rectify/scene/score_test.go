package scene

import (
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// perfect is what a program without error would find.
func perfect(truth Truth) []Outline {
	var out []Outline
	for _, p := range truth.Pieces {
		out = append(out, Outline{Polygon: p.Outline, Openings: p.Openings, Marks: p.Marks})
	}
	return out
}

// carried is a list of outlines under a motion of the sheet.
func carried(found []Outline, m motion) []Outline {
	var out []Outline
	for _, f := range found {
		g := Outline{Polygon: m.applyAll(f.Polygon)}
		for _, o := range f.Openings {
			g.Openings = append(g.Openings, m.applyAll(o))
		}
		for _, k := range f.Marks {
			g.Marks = append(g.Marks, Mark{m.apply(k.At), m.apply(k.In)})
		}
		out = append(out, g)
	}
	return out
}

func TestScoreOfThePerfectAnswer(t *testing.T) {
	truth := Demo().Truth()
	// Quarter turns, whole pitches, and the small turn and shift that a solved
	// camera may have: none of it is an error.
	for q := range 4 {
		m := quarterTurn(q)
		m.dx, m.dy = float64(7*q-9)*truth.PitchMM, float64(4-3*q)*truth.PitchMM
		small := turn(0.08)
		small.dx, small.dy = 0.4, -0.7
		r := Score(truth, carried(perfect(truth), m.then(small)))
		if r.FoundToTruth.WorstMM > 1e-5 || r.TruthToFound.WorstMM > 1e-5 {
			t.Errorf("quarter turn %d: worst %g and %g mm", q, r.FoundToTruth.WorstMM, r.TruthToFound.WorstMM)
		}
		if len(r.Pieces) != len(truth.Pieces) || len(r.Missing)+len(r.Invented)+r.OpeningsMissing+r.OpeningsInvented > 0 {
			t.Errorf("quarter turn %d: %v", q, r)
		}
		if r.MarksFoundPart() != 1 || r.MarksInvented != 0 {
			t.Errorf("quarter turn %d: marks %d of %d, invented %d", q, r.MarksFound, r.Marks, r.MarksInvented)
		}
	}
}

func TestScoreOfOneMovedPiece(t *testing.T) {
	truth := Demo().Truth()
	found := perfect(truth)
	shift := motion{cos: 1, dx: 0.3}
	found[4] = carried(found[4:5], shift)[0]
	r := Score(truth, found)
	// The sheet gives way by a few hundredths; what is left on the sides of
	// the moved piece is close to its shift.
	if w := r.Pieces[4].FoundToTruth.WorstMM; w < 0.25 || w > 0.3 {
		t.Errorf("a piece moved by 0.3 mm is %v mm off", w)
	}
	if r.FoundToTruth.WorstMM != r.Pieces[4].FoundToTruth.WorstMM {
		t.Error("the worst of the sheet is not on the moved piece")
	}
	if d := dist(r.FoundToTruth.WorstAt, centroid(truth.Pieces[4].Outline)); d > 130 {
		t.Errorf("the place of the worst is %v mm from the moved piece", d)
	}
	if r.Pieces[0].FoundToTruth.WorstMM > 0.06 {
		t.Errorf("an unmoved piece is %v mm off", r.Pieces[0].FoundToTruth.WorstMM)
	}
}

func TestScoreOfAGrownPiece(t *testing.T) {
	// A square grown by 0.2 mm all round: every point of it is 0.2 mm out but
	// those beyond the corners, which are 0.2 √2.
	truth := Truth{PitchMM: 10, Pieces: []TruthPiece{square("A", 0, 0, 60), square("B", 100, 0, 50)}}
	found := []Outline{
		{Polygon: square("", -0.2, -0.2, 60.4).Outline},
		{Polygon: square("", 99.8, -0.2, 50.4).Outline},
	}
	r := Score(truth, found)
	if math.Abs(r.FoundToTruth.WorstMM-0.2*math.Sqrt2) > 1e-6 || math.Abs(r.FoundToTruth.RMSMM-0.2) > 0.002 {
		t.Errorf("grown by 0.2 mm: RMS %v, worst %v", r.FoundToTruth.RMSMM, r.FoundToTruth.WorstMM)
	}
	if math.Abs(r.TruthToFound.WorstMM-0.2) > 1e-6 {
		t.Errorf("back: worst %v mm, want 0.2", r.TruthToFound.WorstMM)
	}
	want := 60.4*60.4/3600 - 1
	if math.Abs(r.Pieces[0].AreaErrorPart-want) > 1e-9 {
		t.Errorf("area error %v, want %v", r.Pieces[0].AreaErrorPart, want)
	}
}

func square(id string, x, y, side float64) TruthPiece {
	ring := []mat.Point{{X: x, Y: y}, {X: x + side, Y: y}, {X: x + side, Y: y + side}, {X: x, Y: y + side}}
	return TruthPiece{ID: id, Outline: ring, Corners: ring, AreaMM2: side * side}
}

func TestScoreSeesWhatIsLeftOut(t *testing.T) {
	truth := Demo().Truth()
	found := perfect(truth)
	// A notch cut off one outline: found points all lie on the truth's line or
	// inside, only the way back shows the depth.
	f := append([]mat.Point(nil), found[6].Polygon...)
	found[6].Polygon = append(f[:3:3], f[len(f)/4:]...)
	r := Score(truth, found)
	if r.TruthToFound.WorstMM < 2 {
		t.Errorf("a corner cut off shows as %v mm", r.TruthToFound.WorstMM)
	}
	found = perfect(truth)[1:]
	found = append(found, Outline{Polygon: square("", 560, 380, 20).Outline})
	found[3].Openings = nil                                                      // the face's eye opening
	found[0].Openings = [][]mat.Point{square("", 270, 100, 12).Outline}          // and one that is not there
	found[2].Marks = append([]Mark{{pt(1, 1), pt(5, 5)}}, found[2].Marks[1:]...) // one wrong, one lost
	r = Score(truth, found)
	if len(r.Missing) != 1 || r.Missing[0] != "A" || len(r.Invented) != 1 || r.Invented[0] != len(found)-1 {
		t.Errorf("missing %v, invented %v", r.Missing, r.Invented)
	}
	if r.OpeningsMissing != 1 || r.OpeningsInvented != 1 {
		t.Errorf("openings missing %d, invented %d", r.OpeningsMissing, r.OpeningsInvented)
	}
	lost := len(truth.Pieces[0].Marks) + 1
	if r.MarksInvented != 1 || r.MarksFound != r.Marks-lost {
		t.Errorf("marks %d of %d, invented %d", r.MarksFound, r.Marks, r.MarksInvented)
	}
}

func TestScoreForgivesNeitherMirrorNorScale(t *testing.T) {
	truth := Demo().Truth()
	var flipped, grown []Outline
	for _, f := range perfect(truth) {
		flipped = append(flipped, Outline{Polygon: flipAll(f.Polygon)})
		var ring []mat.Point
		for _, p := range f.Polygon {
			ring = append(ring, scale(p, 1.002))
		}
		grown = append(grown, Outline{Polygon: ring})
	}
	if r := Score(truth, flipped); len(r.Missing) == 0 && r.FoundToTruth.WorstMM < 2 {
		t.Errorf("a mirrored sheet passed: %v", r)
	}
	// 0.2 % over half of a 550 mm sheet is about half a millimetre.
	if r := Score(truth, grown); r.FoundToTruth.WorstMM < 0.4 || r.FoundToTruth.WorstMM > 0.8 {
		t.Errorf("a sheet 0.2 %% too large is %v mm off", r.FoundToTruth.WorstMM)
	}
}

func TestScoreOfNothing(t *testing.T) {
	truth := Demo().Truth()
	r := Score(truth, nil)
	if len(r.Missing) != len(truth.Pieces) || len(r.Pieces) != 0 || r.MarksFound != 0 {
		t.Errorf("nothing found scores %v", r)
	}
	if r := Score(truth, []Outline{{}}); len(r.Invented) != 1 {
		t.Errorf("an empty outline scores %v", r)
	}
}

func TestScoreDoesNotPairTwoPiecesWithOneOutline(t *testing.T) {
	truth := Truth{PitchMM: 10, Pieces: []TruthPiece{square("A", 0, 0, 50), square("B", 52, 0, 50), square("C", 0, 70, 40)}}
	both := []mat.Point{pt(0, 0), pt(102, 0), pt(102, 50), pt(0, 50)}
	r := Score(truth, []Outline{{Polygon: both}, {Polygon: truth.Pieces[2].Outline}})
	if len(r.Missing) == 0 {
		t.Error("one outline over two pieces counted for both")
	}
}

// shifted is a solved camera whose mat frame is moved, turned and bent.
type shifted struct {
	Camera
	m     motion
	scale float64
}

func (s shifted) ToMat(p photo.Point) (mat.Point, bool) {
	q, ok := s.Camera.ToMat(p)
	return s.m.apply(scale(q, s.scale)), ok
}

func TestCameraError(t *testing.T) {
	s := Demo()
	truth := s.Truth()
	m := turn(91)
	m.dx, m.dy = 300, -20
	if rms, worst := CameraError(truth, shifted{s.Camera, m, 1}); worst > 1e-8 || rms > worst {
		t.Errorf("a moved frame counts as an error of %g mm", worst)
	}
	// 0.1 % too large: the corner of the sheet, 381 mm from its middle, is
	// 0.381 mm off.
	_, worst := CameraError(truth, shifted{s.Camera, m, 1.001})
	if want := 0.001 * math.Hypot(609.6, 457.2) / 2; math.Abs(worst-want) > 0.01 {
		t.Errorf("a scale of 1.001 counts as %v mm, want about %v", worst, want)
	}
	away := s.Camera
	away.TiltDeg = 75
	if _, worst := CameraError(truth, away); !math.IsInf(worst, 1) {
		t.Errorf("a camera that sees past the horizon is only %v mm off", worst)
	}
}
