package main

import (
	"strings"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/export/report"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/find"
)

// What is doubtful of one photograph of several is told with its name, at its
// place in the pattern; of a single one as it is.
func TestProblemsAreThoseOfAPhotograph(t *testing.T) {
	worker := &practice.Job{}
	drawn := worker.Photo()
	for _, names := range [][]string{{"one.jpg"}, {"one.jpg", "two.jpg"}} {
		j, several := &job{}, len(names) > 1
		for _, name := range names {
			p := *drawn
			p.Name = name
			sq, err := worker.SquareUp(t.Context(), &p, rectify.Options{PitchMM: practice.PitchMM})
			if err != nil {
				t.Fatal(err)
			}
			s := &solved{Squared: sq, doubts: []report.Finding{{Text: "Doubtful."}}}
			tr := &trace.Traced{Pattern: practice.Pattern(), Problems: []find.Problem{{At: mat.Point{X: 30, Y: 25}, Text: "Dark."}}}
			j.add(s, tr, &squaring{options: rectify.Options{PitchMM: practice.PitchMM}})
			j.note(s, tr, nil, several)
		}
		if len(j.report.Problems) != 2*len(names) {
			t.Fatalf("%d problems of %d photographs", len(j.report.Problems), len(names))
		}
		for i, p := range j.report.Problems {
			if named := strings.HasPrefix(p.Text, names[i/2]+": "); named != several {
				t.Errorf("of %d photographs, number %d: %q", len(names), i/2+1, p.Text)
			}
			if p.At == nil {
				continue
			}
			// The place is the first corner of the photograph's first piece.
			if want := j.pattern.Pieces[4*(i/2)].Outline.Segments[0].P0; *p.At != report.At(want) {
				t.Errorf("of %d photographs, number %d: found at %v, lies at %v", len(names), i/2+1, *p.At, want)
			}
		}
	}
}
