package main

import (
	"context"
	"errors"

	"flatwright/app/desk"
	"flatwright/app/desk/session"
	"flatwright/app/matprofile"
	"flatwright/rectify"
	"flatwright/rectify/photo"
)

// cupboard is where the window keeps its mats: the same list as the commands'.
type cupboard struct{}

var (
	_ desk.MatStore    = cupboard{}
	_ desk.SheetFinder = bench{}
)

// Mats returns the mats that are kept, those first that the photograph looks
// like. Errors: the list cannot be read.
func (cupboard) Mats(q *rectify.Squared) ([]desk.KnownMat, error) {
	all, err := keptMats()
	if err != nil {
		return nil, err
	}
	known := make([]desk.KnownMat, 0, len(all))
	for _, m := range matched(all, q) {
		known = append(known, knownMat(m, q))
	}
	return known, nil
}

// matched are all mats, those that a photograph may show before the others.
func matched(all []matprofile.Profile, q *rectify.Squared) []matprofile.Match {
	var first []matprofile.Match
	if q != nil && q.Scale.Source != rectify.FromRectangle {
		if ground, _, ok := matprofile.Colours(q); ok {
			first = matprofile.Suggest(all, q.PitchMM, ground)
		}
	}
	there := map[string]bool{}
	for _, m := range first {
		there[m.Profile.Name] = true
	}
	for _, p := range all {
		if !there[p.Name] {
			first = append(first, matprofile.Match{Profile: p})
		}
	}
	return first
}

func knownMat(m matprofile.Match, q *rectify.Squared) desk.KnownMat {
	p := m.Profile
	k := desk.KnownMat{
		Mat:    session.Mat{Name: p.Name, PitchMM: p.PitchMM, Kind: p.Kind, Scale: p.Scale(false)},
		Likely: m.Clear,
	}
	if q == nil || q.Scale.Source == rectify.FromRectangle {
		return k
	}
	switch p.Turn(q.Grid) {
	case matprofile.AsMeasured:
		k.Lies = desk.MatLiesStraight
	case matprofile.ByAQuarter:
		k.Lies = desk.MatLiesTurned
	case matprofile.AnotherMat:
		k.Lies = desk.MatIsAnother
	}
	return k
}

// Keep keeps the mat of a photograph whose scale was measured with a rule, in
// the place of the one of that name if there is one. Errors: a sentence for a
// name that cannot be, a scale that was not measured on this photograph, and a
// list that cannot be changed.
func (cupboard) Keep(name string, kind int, q *rectify.Squared) error {
	if q.Scale.Source != rectify.FromRule {
		return errors.New("there is nothing to keep yet: lay a steel rule on the mat and type in what it reads across and down")
	}
	path, err := matprofile.DefaultPath()
	if err != nil {
		return err
	}
	return matprofile.Save(path, matprofile.Of(q, name, kind, now()))
}

// FindSheet proposes the corners of the sheet that stands out of a photograph.
func (bench) FindSheet(ctx context.Context, p *photo.Photo) ([4]photo.Point, bool) {
	return rectify.FindRectangle(ctx, p)
}
