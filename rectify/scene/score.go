package scene

import (
	"fmt"
	"math"
	"strings"

	"flatwright/rectify/mat"
)

// Outline is one piece as a program found it, mm in the program's own mat
// frame: that may differ from the truth's by quarter turns and any shift, but
// may not be mirrored or scaled.
type Outline struct {
	Polygon  []mat.Point
	Openings [][]mat.Point
	Marks    []Mark
}

// Deviation is how far one set of outlines lies from another.
type Deviation struct {
	RMSMM   float64   `json:"rms_mm"`
	WorstMM float64   `json:"worst_mm"`
	WorstAt mat.Point `json:"worst_at_mm"`
}

// PieceReport is the score of one piece; places are in the truth's frame.
type PieceReport struct {
	ID string `json:"id"`
	// Found is the index in the list of outlines that was scored.
	Found         int       `json:"found"`
	FoundToTruth  Deviation `json:"found_to_truth"`
	TruthToFound  Deviation `json:"truth_to_found"`
	AreaErrorPart float64   `json:"area_error_part"`
	// OpeningsMissing are truth openings not found, OpeningsInvented the other
	// way round.
	OpeningsMissing  int `json:"openings_missing"`
	OpeningsInvented int `json:"openings_invented"`
}

// Report is the score of a whole photograph after one rigid motion of the
// sheet, the least-squares one over all outlines.
type Report struct {
	Pieces       []PieceReport `json:"pieces"`
	FoundToTruth Deviation     `json:"found_to_truth"`
	TruthToFound Deviation     `json:"truth_to_found"`
	// Missing are the IDs of truth pieces not found; Invented the indices of
	// found outlines that are no piece.
	Missing          []string `json:"missing"`
	Invented         []int    `json:"invented"`
	OpeningsMissing  int      `json:"openings_missing"`
	OpeningsInvented int      `json:"openings_invented"`
	// Marks is the number of marks in truth; MarksFound of them were found
	// within the tolerance; MarksInvented were found where there is none.
	Marks         int `json:"marks"`
	MarksFound    int `json:"marks_found"`
	MarksInvented int `json:"marks_invented"`
	// TurnDeg and Shift are the motion from the found frame to the truth's.
	TurnDeg float64   `json:"turn_deg"`
	Shift   mat.Point `json:"shift_mm"`
}

// MarksFoundPart is the part of the truth's marks that were found, 1 when
// there are none.
func (r Report) MarksFoundPart() float64 {
	if r.Marks == 0 {
		return 1
	}
	return float64(r.MarksFound) / float64(r.Marks)
}

// The tolerances of the score.
const (
	// MarkToleranceMM is how near the outer end of a mark must be found.
	MarkToleranceMM = 0.5
	// markInnerMM is the same for the inner end, where the pen trails off.
	markInnerMM = 2
	// stepMM is the distance of the points by which outlines are compared.
	stepMM = 0.25
	// matchOverlap is the least overlap (area of intersection over union) at
	// which a found piece is taken for a true one.
	matchOverlap = 0.5
)

// Score compares found outlines with the truth. Pieces are paired one to one
// by overlap; then one rigid motion of the whole sheet (a turn and a shift,
// neither scale nor mirror) brings the found outlines onto the true ones by
// least squares of their distance, and what is left is the error.
func Score(truth Truth, found []Outline) Report {
	start, pairs := pairUp(truth, found)
	r := Report{TurnDeg: math.NaN()}
	var matched []pairing
	seen := make([]bool, len(found))
	for j, t := range truth.Pieces {
		i, ok := pairs[j]
		if !ok {
			r.Missing = append(r.Missing, t.ID)
			continue
		}
		seen[i] = true
		matched = append(matched, newPairing(t, found[i], i, start))
	}
	for i, s := range seen {
		if !s {
			r.Invented = append(r.Invented, i)
		}
	}
	if len(matched) > 0 {
		m := refine(matched, start)
		r.TurnDeg = math.Atan2(m.sin, m.cos) * 180 / math.Pi
		r.Shift = mat.Point{X: m.dx, Y: m.dy}
		start = m
		r.measure(matched, m)
	}
	r.scoreMarks(truth, found, start)
	return r
}

// pairing is one piece in truth and as found, rings matched one to one.
type pairing struct {
	truth            TruthPiece
	found            Outline
	foundIndex       int
	rings            []ringPair
	missing, invents int
}

// ringPair is an outline or opening in truth and as found.
type ringPair struct {
	truth, found []mat.Point // as given
	truthDense   []mat.Point // about every stepMM
	foundDense   []mat.Point
	truthSeg     []edge
}

func newRingPair(t, f []mat.Point) ringPair {
	return ringPair{
		truth: t, found: f, truthDense: resample(t, stepMM), foundDense: resample(f, stepMM),
		truthSeg: ringEdges(t),
	}
}

// newPairing pairs a piece's openings by overlap under the coarse motion.
func newPairing(t TruthPiece, f Outline, index int, m motion) pairing {
	p := pairing{truth: t, found: f, foundIndex: index}
	p.rings = append(p.rings, newRingPair(t.Outline, f.Polygon))
	used := make([]bool, len(f.Openings))
	for _, o := range t.Openings {
		best, at := matchOverlap, -1
		for i, q := range f.Openings {
			if v := overlap(o, m.applyAll(q)); !used[i] && v > best {
				best, at = v, i
			}
		}
		if at < 0 {
			p.missing++
			continue
		}
		used[at] = true
		p.rings = append(p.rings, newRingPair(o, f.Openings[at]))
	}
	for _, u := range used {
		if !u {
			p.invents++
		}
	}
	return p
}

// measure fills in deviations under the final motion.
func (r *Report) measure(pairs []pairing, m motion) {
	var toTruth, toFound tally
	for _, p := range pairs {
		a, b := p.deviations(m)
		toTruth.merge(a)
		toFound.merge(b)
		r.Pieces = append(r.Pieces, PieceReport{
			ID: p.truth.ID, Found: p.foundIndex, FoundToTruth: a.deviation(), TruthToFound: b.deviation(),
			AreaErrorPart:   p.areaError(),
			OpeningsMissing: p.missing, OpeningsInvented: p.invents,
		})
		r.OpeningsMissing += p.missing
		r.OpeningsInvented += p.invents
	}
	r.FoundToTruth, r.TruthToFound = toTruth.deviation(), toFound.deviation()
}

// areaError is the found area over the true one, less 1.
func (p *pairing) areaError() float64 {
	area := math.Abs(signedArea(p.found.Polygon))
	for _, o := range p.found.Openings {
		area -= math.Abs(signedArea(o))
	}
	return area/p.truth.AreaMM2 - 1
}

// deviations are both ways of one piece.
func (p *pairing) deviations(m motion) (toTruth, toFound tally) {
	for _, r := range p.rings {
		moved := ringEdges(m.applyAll(r.found))
		for _, q := range r.foundDense {
			q = m.apply(q)
			toTruth.add(q, nearestDistance(r.truthSeg, q))
		}
		for _, q := range r.truthDense {
			toFound.add(q, nearestDistance(moved, q))
		}
	}
	return toTruth, toFound
}

func nearestDistance(edges []edge, p mat.Point) float64 {
	best := math.Inf(1)
	for i := range edges {
		best = min(best, edges[i].dist2(p.X, p.Y))
	}
	return math.Sqrt(best)
}

// tally sums up distances.
type tally struct {
	n       int
	squares float64
	worst   float64
	at      mat.Point
}

func (t *tally) add(at mat.Point, d float64) {
	t.n++
	t.squares += d * d
	if d > t.worst {
		t.worst, t.at = d, at
	}
}

func (t *tally) merge(o tally) {
	t.n += o.n
	t.squares += o.squares
	if o.worst > t.worst {
		t.worst, t.at = o.worst, o.at
	}
}

func (t *tally) deviation() Deviation {
	return Deviation{RMSMM: math.Sqrt(t.squares / float64(max(t.n, 1))), WorstMM: t.worst, WorstAt: t.at}
}

// scoreMarks pairs marks of the whole sheet, nearest first.
func (r *Report) scoreMarks(truth Truth, found []Outline, m motion) {
	var want, got []Mark
	for _, p := range truth.Pieces {
		want = append(want, p.Marks...)
	}
	for _, f := range found {
		for _, k := range f.Marks {
			got = append(got, Mark{m.apply(k.At), m.apply(k.In)})
		}
	}
	r.Marks = len(want)
	used := make([]bool, len(got))
	for _, w := range want {
		best, at := MarkToleranceMM, -1
		for i, g := range got {
			if d := dist(w.At, g.At); !used[i] && d <= best && dist(w.In, g.In) <= markInnerMM {
				best, at = d, i
			}
		}
		if at >= 0 {
			used[at] = true
			r.MarksFound++
		}
	}
	r.MarksInvented = len(got) - r.MarksFound
}

// String is the report in a few lines, for test logs.
func (r Report) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d pieces matched, missing %v, invented %v; RMS %.3f mm, worst %.3f mm at (%.1f, %.1f); back RMS %.3f mm, worst %.3f mm at (%.1f, %.1f)\n",
		len(r.Pieces), r.Missing, r.Invented, r.FoundToTruth.RMSMM, r.FoundToTruth.WorstMM,
		r.FoundToTruth.WorstAt.X, r.FoundToTruth.WorstAt.Y, r.TruthToFound.RMSMM, r.TruthToFound.WorstMM,
		r.TruthToFound.WorstAt.X, r.TruthToFound.WorstAt.Y)
	fmt.Fprintf(&b, "openings missing %d, invented %d; marks %d of %d within %.1f mm, invented %d\n",
		r.OpeningsMissing, r.OpeningsInvented, r.MarksFound, r.Marks, MarkToleranceMM, r.MarksInvented)
	for _, p := range r.Pieces {
		fmt.Fprintf(&b, "  %s: RMS %.3f worst %.3f at (%.1f, %.1f); back %.3f worst %.3f at (%.1f, %.1f); area %+.3f %%\n",
			p.ID, p.FoundToTruth.RMSMM, p.FoundToTruth.WorstMM, p.FoundToTruth.WorstAt.X, p.FoundToTruth.WorstAt.Y,
			p.TruthToFound.RMSMM, p.TruthToFound.WorstMM, p.TruthToFound.WorstAt.X, p.TruthToFound.WorstAt.Y, 100*p.AreaErrorPart)
	}
	return b.String()
}
