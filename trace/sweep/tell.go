package main

import (
	"fmt"
	"math"
	"os"
	"slices"

	"flatwright/rectify/mat"
)

// tell prints a photograph's line, cuts out its worst places, and lets go of
// the picture.
func (c choices) tell(r result) result {
	if r.err != nil {
		fmt.Printf("%-14s refused: %v\n", r.name, r.err)
	} else {
		s := r.score
		fmt.Printf("%-14s RMS %.3f/%.3f worst %.2f/%.2f mm | sheet %.3f | %d pieces, missing %v, invented %d, openings -%d +%d | marks %d of %d, +%d | %.1f nodes an edge | %d ms\n",
			r.name, s.FoundToTruth.RMSMM, s.TruthToFound.RMSMM, s.FoundToTruth.WorstMM, s.TruthToFound.WorstMM, r.sheetMM,
			len(s.Pieces), s.Missing, len(s.Invented), s.OpeningsMissing, s.OpeningsInvented,
			s.MarksFound, s.Marks, s.MarksInvented, r.nodesPerEdge(), r.took.Milliseconds())
		for k, w := range r.worstPlaces(c.crop) {
			if err := c.cutOut(r, w, k); err != nil {
				fmt.Fprintln(os.Stderr, err)
			}
		}
	}
	r.photo = nil
	return r
}

func (r result) nodesPerEdge() float64 { return float64(r.nodes) / float64(max(r.edges, 1)) }

// worstPlace is where an outline lies furthest off.
type worstPlace struct {
	piece string
	mm    float64
	at    mat.Point // in the truth's frame
}

// worstPlaces lists what was invented and the worst place of every piece, the
// worst first, n at most.
func (r result) worstPlaces(n int) []worstPlace {
	var out []worstPlace
	for _, i := range r.score.Invented {
		const shown = 40 // mm
		ring := r.pattern.Pieces[i].Outline.Flatten(1)
		out = append(out, worstPlace{"invented", shown, r.inTruth(ring[0])})
	}
	for _, p := range r.score.Pieces {
		w := worstPlace{p.ID, p.FoundToTruth.WorstMM, p.FoundToTruth.WorstAt}
		if p.TruthToFound.WorstMM > w.mm {
			w.mm, w.at = p.TruthToFound.WorstMM, p.TruthToFound.WorstAt
		}
		out = append(out, w)
	}
	slices.SortFunc(out, func(a, b worstPlace) int { return int(math.Copysign(1, b.mm-a.mm)) })
	return out[:min(n, len(out))]
}

// summary tells of all photographs together.
func summary(all []result) string {
	var rms, worst, perEdge []float64
	var good, missing, invented, marks, found, inventedMarks, refused int
	for _, r := range all {
		if r.err != nil {
			refused++
			continue
		}
		s := r.score
		a := max(s.FoundToTruth.RMSMM, s.TruthToFound.RMSMM)
		b := max(s.FoundToTruth.WorstMM, s.TruthToFound.WorstMM)
		rms, worst, perEdge = append(rms, a), append(worst, b), append(perEdge, r.nodesPerEdge())
		if a <= 0.1 && b <= 0.35 {
			good++
		}
		missing, invented = missing+len(s.Missing), invented+len(s.Invented)
		marks, found, inventedMarks = marks+s.Marks, found+s.MarksFound, inventedMarks+s.MarksInvented
	}
	return fmt.Sprintf("%d photographs, %d refused; RMS 0.10 and worst 0.35 mm met by %d\nRMS: median %.3f, worst %.3f mm; worst point: median %.2f, worst %.2f mm; pieces missing %d, invented %d; marks %d of %d, invented %d; %.1f nodes an edge",
		len(all), refused, good, middle(rms), most(rms), middle(worst), most(worst), missing, invented, found, marks, inventedMarks, middle(perEdge))
}

func middle(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}

func most(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	return slices.Max(v)
}
