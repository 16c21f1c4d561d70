package main

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
)

// The targets of the whole sheet's geometry.
const (
	targetRMSMM   = 0.05
	targetWorstMM = 0.2
)

// quantile is the value below which the part q of the values lies, between
// neighbours in proportion; NaN for none.
func quantile(values []float64, q float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	v := slices.Sorted(slices.Values(values))
	at := q * float64(len(v)-1)
	i := int(at)
	if i+1 >= len(v) {
		return v[len(v)-1]
	}
	if at == float64(i) {
		return v[i] // no weight for a neighbour that may be infinite
	}
	return v[i] + (v[i+1]-v[i])*(at-float64(i))
}

// group is a line of the table.
type group struct {
	factor, level string
	scenes        int
	refused       int
	onTarget      int
	rms, worst    []float64
	within        []float64
}

func (g *group) add(r *result) {
	g.scenes++
	if r.refused != nil {
		g.refused++
		return
	}
	g.rms, g.worst, g.within = append(g.rms, r.rmsMM), append(g.worst, r.worstMM), append(g.within, r.within)
	if r.rmsMM <= targetRMSMM && r.worstMM <= targetWorstMM {
		g.onTarget++
	}
}

// grouped sums the results up by level, and all in the last line.
func grouped(results []result) []*group {
	index := map[[2]string]*group{}
	order := map[string]int{}
	var out []*group
	all := &group{factor: "all"}
	for i := range results {
		r := &results[i]
		for k, name := range r.groups() {
			order[name[0]] = k
			if index[name] == nil {
				index[name] = &group{factor: name[0], level: name[1]}
				out = append(out, index[name])
			}
			index[name].add(r)
		}
		all.add(r)
	}
	slices.SortStableFunc(out, func(a, b *group) int {
		return cmp.Or(cmp.Compare(order[a.factor], order[b.factor]), cmp.Compare(number(a.level), number(b.level)), cmp.Compare(a.level, b.level))
	})
	return append(out, all)
}

// number is the number that a level begins with, 0 when there is none.
func number(level string) float64 {
	end := 0
	for end < len(level) && (level[end] == '-' || level[end] == '+' || level[end] == '.' || level[end] >= '0' && level[end] <= '9') {
		end++
	}
	v, err := strconv.ParseFloat(level[:end], 64)
	if err != nil {
		return 0
	}
	return v
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// writeTable prints the errors by level, the worst scenes and what was
// refused.
func writeTable(w io.Writer, results []result) {
	fmt.Fprintf(w, "Error of the sheet's geometry in mm, by level of each factor. On target: RMS at most %g and worst at most %g.\n", targetRMSMM, targetWorstMM)
	fmt.Fprintf(w, "Within ±: the part of the places whose error is not above the solver's own ±.\n\n")
	fmt.Fprintf(w, "%-10s %-16s %6s %7s %9s | %8s %8s %8s | %8s %8s %8s | %8s\n",
		"factor", "level", "scenes", "refused", "on target", "RMS 50%", "90%", "max", "worst50%", "90%", "max", "within ±")
	last := ""
	for _, g := range grouped(results) {
		name := g.factor
		if name == last {
			name = ""
		} else if last != "" {
			fmt.Fprintln(w)
		}
		last = g.factor
		fmt.Fprintf(w, "%-10s %-16s %6d %7d %8.0f%% | ", name, g.level, g.scenes, g.refused, 100*float64(g.onTarget)/float64(g.scenes))
		if len(g.rms) == 0 {
			fmt.Fprintf(w, "%8s\n", "-")
			continue
		}
		fmt.Fprintf(w, "%8.4f %8.4f %8.4f | %8.4f %8.4f %8.4f | %7.1f%%\n",
			quantile(g.rms, 0.5), quantile(g.rms, 0.9), quantile(g.rms, 1),
			quantile(g.worst, 0.5), quantile(g.worst, 0.9), quantile(g.worst, 1), 100*mean(g.within))
	}
	writeWorst(w, results)
}

// worstShown is how many of the worst scenes are listed.
const worstShown = 10

func writeWorst(w io.Writer, results []result) {
	var solved []*result
	for i := range results {
		if results[i].refused == nil {
			solved = append(solved, &results[i])
		}
	}
	slices.SortStableFunc(solved, func(a, b *result) int { return cmp.Compare(b.worstMM, a.worstMM) })
	fmt.Fprintln(w, "\nThe worst scenes:")
	for _, r := range solved[:min(worstShown, len(solved))] {
		fmt.Fprintf(w, "  %s\n    RMS %.4f mm, worst %.4f mm, claimed ± %.4f mm (most %.4f), %.0f%% within, scale %.5f, %d points\n",
			r.describe(), r.rmsMM, r.worstMM, r.medianMM, r.mostMM, 100*r.within, r.scale, r.points)
	}
	for i := range results {
		if r := &results[i]; r.refused != nil {
			fmt.Fprintf(w, "  refused: %s\n    %v\n", r.describe(), r.refused)
		}
	}
}

// describe names a scene so that it can be drawn again.
func (r *result) describe() string {
	if r.sheet != nil {
		return fmt.Sprintf("scene %d, seed %d: tilt %g, %g mm, bend %+.2f, noise %g, sheet %g x %g mm, %.2f mm/px",
			r.number, r.seed, r.levels[tilt], r.levels[lens], r.levels[bend], r.levels[noise],
			r.sheet.WidthMM, r.sheet.HeightMM, r.mmPerPx)
	}
	trouble := ""
	if r.trouble != "" {
		trouble = ", " + r.trouble
	}
	return fmt.Sprintf("scene %d, seed %d: tilt %g, %g mm, bend %+.2f, %.0f%% covered (%s), noise %g, %s mat, %s, roll any %v, sides out %d, %.2f mm/px%s",
		r.number, r.seed, r.levels[tilt], r.levels[lens], r.levels[bend], 100*r.hidden, r.layout(), r.levels[noise],
		r.colour, r.pitchName(), r.anyRoll, r.sidesOut, r.mmPerPx, trouble)
}

// writeCSV writes a line a scene.
func writeCSV(path string, results []result) error {
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("the numbers cannot be written: %w", err)
	}
	defer f.Close()
	w := csv.NewWriter(f)
	rows := [][]string{{
		"scene", "seed", "tilt_deg", "lens_mm", "k1_bend", "covered", "noise", "mat", "pitch_mm", "minors",
		"any_roll", "sides_out", "packed", "trouble", "hidden", "mm_per_px", "refused", "points", "rms_mm", "worst_mm",
		"plus_minus_median_mm", "plus_minus_most_mm", "within_plus_minus", "scale",
	}}
	for i := range results {
		rows = append(rows, results[i].row())
	}
	if err := w.WriteAll(rows); err != nil {
		return fmt.Errorf("the numbers cannot be written: %w", err)
	}
	return f.Close()
}

func (r *result) row() []string {
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	out := []string{fmt.Sprint(r.number), fmt.Sprint(r.seed)}
	for _, l := range r.levels {
		out = append(out, num(l))
	}
	out = append(out, r.colour, num(r.pitchMM), fmt.Sprint(r.minors), fmt.Sprint(r.anyRoll), fmt.Sprint(r.sidesOut), fmt.Sprint(r.packed), r.trouble, num(r.hidden), num(r.mmPerPx))
	if r.refused != nil {
		return append(out, r.refused.Error(), "0", "", "", "", "", "", "")
	}
	return append(out, "", fmt.Sprint(r.points), num(r.rmsMM), num(r.worstMM), num(r.medianMM), num(r.mostMM), num(r.within), num(r.scale))
}
