package main

import (
	"context"
	"fmt"
	"math"

	"flatwright/app/matprofile"
	"flatwright/export/report"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// solved is a photograph squared up, and what there is to say about it.
type solved struct {
	*rectify.Squared
	checks []report.Check
	// doubts are what the maker should look into.
	doubts []report.Finding
}

// squareUp squares a photograph up, and measures what is known in it.
func (q *squaring) squareUp(ctx context.Context, p *photo.Photo, progress func(stage string, part float64)) (*solved, error) {
	if q.options.Rectangle != nil && !q.corners {
		return nil, proposed(ctx, p)
	}
	if err := q.outside(p); err != nil {
		return nil, err
	}
	o := q.options
	o.Progress = progress
	s, err := rectify.SquareUp(ctx, p, o)
	if err != nil {
		return nil, err
	}
	r := &solved{Squared: s}
	if q.profile != nil {
		if err := q.turn(ctx, r, o); err != nil {
			return nil, err
		}
	}
	for k, d := range q.known {
		c, err := r.CheckDistance(d.from, d.to, d.knownMM)
		if err != nil {
			return nil, fmt.Errorf("--check %d: %w", k+1, err)
		}
		r.checks = append(r.checks, report.CheckOf(c))
	}
	return r, nil
}

// proposed says where the corners of the sheet seem to be, for the maker to
// look at: squaring up from another sheet would go unnoticed.
func proposed(ctx context.Context, p *photo.Photo) error {
	corners, ok := rectify.FindRectangle(ctx, p)
	if err := ctx.Err(); err != nil {
		return err
	}
	if !ok {
		return &usageError{fmt.Sprintf("--sheet needs --corner four times, once for each corner, clockwise; in %s no sheet stands out of which they could be told", p.Name)}
	}
	text := ""
	for _, c := range corners {
		text += fmt.Sprintf(" --corner %.1f,%.1f", c.X, c.Y)
	}
	return &usageError{fmt.Sprintf("--sheet needs its corners; in %s they seem to be%s: look at these places, then add them", p.Name, text)}
}

// turn sees to it that a mat's correction is laid on the right way round: the
// number of squares in view may prove how the mat lies.
func (q *squaring) turn(ctx context.Context, r *solved, o rectify.Options) error {
	m, seen := q.profile, size(r.Grid)
	switch m.Turn(r.Grid) {
	case matprofile.AsMeasured:
		if q.turned {
			return &usageError{fmt.Sprintf("%s shows %s squares, so the mat %q (%d × %d) does not lie turned: leave out --mat-turned", r.Photo.Name, seen, m.Name, m.Columns, m.Rows)}
		}
	case matprofile.ByAQuarter:
		if q.turned || m.XFactor == m.YFactor {
			return nil
		}
		o.Scale = m.Scale(true)
		s, err := rectify.SquareUp(ctx, r.Photo, o)
		if err != nil {
			return err
		}
		r.Squared = s
	case matprofile.AnotherMat:
		r.doubt("The photograph shows %s squares and the mat %q has %d × %d: see whether it is that mat.", seen, m.Name, m.Columns, m.Rows)
	case matprofile.TurnUnknown:
		if differ := math.Abs(m.XFactor - m.YFactor); differ > 0 && !q.turned {
			r.doubt("The mat %q is taken to lie as it was measured; if it lies turned by a quarter give --mat-turned, for its two directions differ by %.2f %%.", m.Name, 100*differ)
		}
	}
	return nil
}

func (r *solved) doubt(format string, args ...any) {
	r.doubts = append(r.doubts, report.Finding{Text: fmt.Sprintf(format, args...)})
}

// size is the number of squares in view.
func size(g mat.Grid) string {
	return fmt.Sprintf("%d × %d", g.MaxColumn-g.MinColumn, g.MaxRow-g.MinRow)
}

// calibration is what the report says of it; the ± is taken at the places.
func (r *solved) calibration(places []mat.Point) report.Calibration {
	c := report.CalibrationOf(r.Squared, places)
	c.Checks = r.checks
	return c
}

// hint says which of the mats that are kept the photographed one looks like,
// when it was not said and nothing was measured; else empty. A file of mats
// that cannot be read is no reason to speak up: no mat was asked for.
func (q *squaring) hint(s *rectify.Squared) string {
	if q.profile != nil || q.saveMat != "" || s.Scale.Source != rectify.FromPitch {
		return ""
	}
	all, err := keptMats()
	if err != nil || len(all) == 0 {
		return ""
	}
	ground, _, ok := matprofile.Colours(s)
	if !ok {
		return ""
	}
	first := matprofile.Suggest(all, s.PitchMM, ground)
	if len(first) == 0 || !first[0].Clear || !first[0].Profile.Measured() || first[0].Profile.Turn(s.Grid) == matprofile.AnotherMat {
		return ""
	}
	name := first[0].Profile.Name
	return fmt.Sprintf("This looks like your mat %q: --mat %q uses what was measured of it.", name, name)
}

// learn is what can be kept of a photographed mat; nil when it was not asked
// for.
func (q *squaring) learn(s *rectify.Squared) *matprofile.Profile {
	if q.saveMat == "" {
		return nil
	}
	p := matprofile.Of(s, q.saveMat, q.options.Kind, now())
	return &p
}

// keep saves a mat, and says what is known of it; nothing of nil.
func keep(p *matprofile.Profile) (string, error) {
	if p == nil {
		return "", nil
	}
	path, err := matprofile.DefaultPath()
	if err != nil {
		return "", err
	}
	if err := matprofile.Save(path, *p); err != nil {
		return "", err
	}
	return fmt.Sprintf("Kept as the mat %q: %s.", p.Name, described(*p)), nil
}
