package main

import (
	"encoding/hex"
	"slices"

	kept "flatwright/app/desk/keep"
	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// shot is the work on a photograph as the window would have done it, so that
// the window can go on with a project that a command made. From is the first of
// its pieces in the pattern, place where its mat was laid.
func (q *squaring) shot(s *solved, tr *trace.Traced, all pattern.Pattern, from int, place curve.Transform) session.Shot {
	set := q.settings(s.Squared)
	own := all
	own.Pieces, own.Seams = slices.Clone(all.Pieces[from:]), nil
	x := session.Shot{Photo: &photo.Photo{Name: s.Photo.Name}, Work: session.Work{
		Settings: set, Solved: set, SolvedBy: q.means(),
		SolvedWith: q.options, Place: place, Traced: &trace.Traced{Pattern: own},
	}}
	x.SolvedWith.Progress, x.SolvedWith.Scale = nil, s.Scale
	if q.options.Rectangle != nil {
		x.SolvedWith.Scale = rectify.Scale{}
	}
	for _, c := range q.options.Corners {
		x.Corners = append(x.Corners, session.Corner{At: c.At, Column: c.Column, Row: c.Row, Known: true})
	}
	if r := q.options.Rectangle; r != nil {
		x.Sheet = session.Sheet{Name: r.Name, WidthMM: r.WidthMM, HeightMM: r.HeightMM, Corners: r.Corners[:]}
	}
	for _, p := range tr.Problems {
		if place != (curve.Transform{}) {
			p.At = place.Apply(p.At)
		}
		x.Traced.Problems = append(x.Traced.Problems, p)
	}
	return x
}

// means is the way in which the options square a photograph up.
func (q *squaring) means() session.Means {
	switch {
	case q.options.Rectangle != nil:
		return session.BySheet
	case len(q.options.Corners) > 0:
		return session.ByCrossings
	}
	return session.ByLines
}

// settings are the options as the window says them.
func (q *squaring) settings(s *rectify.Squared) session.Settings {
	set := session.Settings{PitchMM: q.options.PitchMM, Kind: q.options.Kind, Raised: q.options.Raised}
	switch p := q.profile; {
	case p != nil:
		set.ScaleFrom = session.ByProfile
		set.Mat = session.Mat{Name: p.Name, PitchMM: p.PitchMM, Kind: p.Kind, Scale: p.Scale(false)}
		set.Turned = q.turned || p.XFactor != p.YFactor && s.Scale.X == p.Scale(true).X
	case q.spans != [2]rectify.Span{}:
		set.ScaleFrom, set.Across, set.Down = session.ByRule, q.spans[0], q.spans[1]
	}
	return set
}

// state is pattern and work as the window keeps them. Sums are the checksums of
// the photographs' files, in their order.
func (j *job) state(sums [][32]byte) (project.State, error) {
	from := map[string]session.Origin{}
	for k, x := range j.shots[1:] {
		for _, p := range x.Traced.Pattern.Pieces {
			from[p.ID] = session.Origin{Shots: []int{k + 1}}
		}
	}
	sum := func(p *photo.Photo) string {
		k := slices.IndexFunc(j.shots, func(x session.Shot) bool { return x.Photo == p })
		return hex.EncodeToString(sums[k][:])
	}
	doc := session.Assembled(j.shots, 0, j.pattern, from, nil)
	return kept.Encode(doc, j.shots[0].Photo, session.Edit{Action: session.ActionTrace}, sum)
}
