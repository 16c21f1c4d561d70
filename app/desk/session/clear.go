package session

import (
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
)

// layClear lays the mat of the photograph looked at below all others when one of
// its pieces has come to lie on a piece of another photograph: a piece that is
// added, or that another scale has made larger, knows nothing of what was laid
// beside it. Two pieces on one place could not be printed.
func (d *Document) layClear() {
	if own, rest := d.apart(); liesOn(own, rest) {
		d.layElsewhere(rest.Below(own))
	}
}

// liesOn reports whether one of some pieces lies on one of others.
func liesOn(own, others pattern.Pattern) bool {
	return slices.ContainsFunc(own.Pieces, func(p pattern.Piece) bool {
		trial := pattern.Pattern{Pieces: append(slices.Clone(others.Pieces), p)}
		moved, err := trial.LayApart(p.ID)
		return err == nil && moved
	})
}

// layElsewhere moves the mat of the photograph looked at, and all that lies on it,
// in the pattern's frame.
func (d *Document) layElsewhere(by mat.Point) {
	m := curve.Translation(by)
	d.Place = motion(d.Place).Then(m)
	d.Pattern.Pieces = slices.Clone(d.Pattern.Pieces)
	for i, p := range d.Pattern.Pieces {
		if !d.shown(p.ID) {
			continue
		}
		d.Pattern.Pieces[i] = p.Moved(m)
		if x, ok := d.Measured[p.ID]; ok {
			x.Samples = movedSamples(x.Samples, m)
			d.Measured = withMeasured(d.Measured, p.ID, x)
		}
	}
	if d.Traced != nil {
		was := d.Traced.Problems
		d.Traced = movedTraced(d.Traced, m)
		d.seenElsewhere(was, d.Traced.Problems)
	}
}

// seenElsewhere lets what the tracing said of the photograph looked at, and the
// maker has seen, be seen at its new places.
func (d *Document) seenElsewhere(was, now []find.Problem) {
	to := map[string]string{}
	for i := range was {
		to[fromTracing(d.Active, was[i]).key()] = fromTracing(d.Active, now[i]).key()
	}
	d.Seen = slices.Clone(d.Seen)
	for i, key := range d.Seen {
		if k, ok := to[key]; ok {
			d.Seen[i] = k
		}
	}
}

func movedSamples(in []curve.Sample, m curve.Transform) []curve.Sample {
	out := slices.Clone(in)
	for i := range out {
		out[i].At = m.Apply(out[i].At)
	}
	return out
}

// movedTraced is what the tracing said with its places moved.
func movedTraced(t *trace.Traced, m curve.Transform) *trace.Traced {
	out := *t
	out.Pattern.Pieces = slices.Clone(t.Pattern.Pieces)
	for i, p := range out.Pattern.Pieces {
		out.Pattern.Pieces[i] = p.Moved(m)
	}
	out.Problems = slices.Clone(t.Problems)
	for i := range out.Problems {
		out.Problems[i].At = m.Apply(out.Problems[i].At)
	}
	return &out
}
