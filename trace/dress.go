package trace

import (
	"context"
	"fmt"

	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
	"flatwright/trace/tape"
	"flatwright/trace/writing"
)

// dress reads what lies on the pieces besides: coloured tape along their
// edges, which are divided where it ends, and handwriting.
func (t *Traced) dress(ctx context.Context, s *rectify.Squared) error {
	var view lens.Mapping = s.Fit
	if upper, ok := s.Upper(); ok {
		view = upper
	}
	taped, written := tape.Input{Photo: s.Photo, View: view}, writing.Input{Photo: s.Photo, View: view}
	for _, p := range t.Pattern.Pieces {
		taped.Pieces = append(taped.Pieces, tape.Piece{Outline: p.Outline, Openings: p.Openings})
		w := writing.Piece{Outline: p.Outline, Openings: p.Openings}
		for _, m := range p.Marks {
			w.Marks = append(w.Marks, [2]mat.Point{m.At, m.In})
		}
		w.Lines = linesOf(p)
		written.Pieces = append(written.Pieces, w)
	}
	var err error
	if t.Writing, err = writing.Find(ctx, written); err != nil {
		return fmt.Errorf("tracing %s: %w", s.Photo.Name, err)
	}
	r, err := tape.Find(ctx, taped, tape.Options{})
	if err != nil {
		return fmt.Errorf("tracing %s: %w", s.Photo.Name, err)
	}
	return t.layTapes(r)
}

func linesOf(p pattern.Piece) (out []curve.Path) {
	for _, l := range p.Lines {
		out = append(out, l.Path)
	}
	return out
}

// layTapes carries the strips found to the pattern's edges.
func (t *Traced) layTapes(r tape.Result) error {
	ids := make([]string, len(r.Groups))
	for i, g := range r.Groups {
		ids[i] = t.Pattern.AddTape(g.Name, g.SRGB)
	}
	for _, run := range r.Runs {
		if err := t.Pattern.Pieces[run.Piece].LayTape(run.FromMM, run.ToMM, ids[run.Group]); err != nil {
			return fmt.Errorf("laying tape: %w", err)
		}
	}
	return nil
}
