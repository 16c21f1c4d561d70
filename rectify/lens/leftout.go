package lens

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// leastLeftOut is the number of lines of a family below which the left-out
// test says nothing.
const leastLeftOut = 4

// leftOut fits the odd-numbered lines of each family, starting from the whole
// fit, and returns the RMS error in mm of the even-numbered lines' samples
// under it; 0 when there are too few lines. Lines are numbered by their order.
func (pr *problem) leftOut(ctx context.Context, p params, points []mat.LinePoint, terms Terms, scale float64) (float64, error) {
	odd, ok := pr.oddLines(points)
	if !ok {
		return 0, nil
	}
	part := *pr
	part.norms = nil
	part.obs = slices.Clone(pr.obs)
	for i := range part.obs {
		part.obs[i].out = part.obs[i].out || !odd[lineOf(points[i])]
	}
	var failed *FitError
	if _, err := part.descend(ctx, &p, terms.places(), scale); errors.As(err, &failed) {
		return 0, nil
	} else if err != nil {
		return 0, err
	}
	m := pr.model(&p)
	sum, n := 0.0, 0
	for i, at := range points {
		if pr.obs[i].out || odd[lineOf(at)] {
			continue
		}
		on, ok := m.ToMat(at.At)
		if !ok {
			continue
		}
		d := on.X
		if at.Family != mat.Columns {
			d = on.Y
		}
		d -= at.Line() * pr.pitch.Of(at.Family)
		sum += d * d
		n++
	}
	return math.Sqrt(sum / float64(max(n, 1))), nil
}

type lineKey struct {
	family mat.Family
	index  int
}

func lineOf(p mat.LinePoint) lineKey { return lineKey{p.Family, p.Index} }

func compareLines(a, b lineKey) int {
	return cmp.Or(cmp.Compare(a.family, b.family), cmp.Compare(a.index, b.index))
}

// oddLines chooses every second line of each family among those in use.
func (pr *problem) oddLines(points []mat.LinePoint) (map[lineKey]bool, bool) {
	seen := map[lineKey]bool{}
	for i := range pr.obs {
		if !pr.obs[i].out {
			seen[lineOf(points[i])] = false
		}
	}
	var order [2]int
	list := make([]lineKey, 0, len(seen))
	for k := range seen {
		list = append(list, k)
	}
	slices.SortFunc(list, compareLines)
	for _, k := range list {
		f := familyIndex(k.family)
		seen[k] = order[f]%2 == 0
		order[f]++
	}
	return seen, min(order[0], order[1]) >= leastLeftOut
}

// lineResiduals sums residuals up by line, by family and index.
func lineResiduals(used []mat.LinePoint, residualPx []float64, rejected []mat.LinePoint) []LineResidual {
	found := map[lineKey]*LineResidual{}
	line := func(p mat.LinePoint) *LineResidual {
		k := lineOf(p)
		if found[k] == nil {
			found[k] = &LineResidual{Family: p.Family, Index: p.Index}
		}
		return found[k]
	}
	for i, p := range used {
		l := line(p)
		l.Count++
		l.MeanPx += residualPx[i]
		l.RMSPx += residualPx[i] * residualPx[i]
	}
	for _, p := range rejected {
		line(p).Rejected++
	}
	list := make([]LineResidual, 0, len(found))
	for _, l := range found {
		if n := float64(l.Count); n > 0 {
			l.MeanPx /= n
			l.RMSPx = math.Sqrt(l.RMSPx / n)
		}
		list = append(list, *l)
	}
	slices.SortFunc(list, func(a, b LineResidual) int {
		return compareLines(lineKey{a.Family, a.Index}, lineKey{b.Family, b.Index})
	})
	return list
}
