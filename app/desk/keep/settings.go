package keep

import (
	"fmt"

	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/photo"
)

func settingsOf(s session.Settings) settingsWork {
	w := settingsWork{PitchMM: s.PitchMM, Kind: s.Kind, Turned: s.Turned, Raised: raisedOf(s.Raised)}
	if s.ScaleFrom != session.AsPrinted {
		w.ScaleFrom = scaleNames[s.ScaleFrom]
	}
	w.Across, w.Down = spanOf(s.Across), spanOf(s.Down)
	if m := s.Mat; m != (session.Mat{}) {
		w.Mat = &matWork{m.Name, m.PitchMM, m.Kind, scaleWork(m.Scale)}
	}
	return w
}

func (w settingsWork) settings() (session.Settings, error) {
	s := session.Settings{PitchMM: w.PitchMM, Kind: w.Kind, Turned: w.Turned, Raised: raisedFrom(w.Raised)}
	if w.ScaleFrom != "" {
		n, err := numberOf(scaleNames, w.ScaleFrom)
		if err != nil {
			return s, err
		}
		s.ScaleFrom = session.ScaleFrom(n)
	}
	s.Across, s.Down = spanFrom(w.Across), spanFrom(w.Down)
	if m := w.Mat; m != nil {
		s.Mat = session.Mat{Name: m.Name, PitchMM: m.PitchMM, Kind: m.Kind, Scale: rectify.Scale(m.Scale)}
	}
	return s, nil
}

func spanOf(s rectify.Span) *spanWork {
	if s == (rectify.Span{}) {
		return nil
	}
	w := spanWork(s)
	return &w
}

func spanFrom(w *spanWork) rectify.Span {
	if w == nil {
		return rectify.Span{}
	}
	return rectify.Span(*w)
}

func raisedOf(r rectify.Raised) *raisedWork {
	if r == (rectify.Raised{}) {
		return nil
	}
	w := raisedWork(r)
	return &w
}

func raisedFrom(w *raisedWork) rectify.Raised {
	if w == nil {
		return rectify.Raised{}
	}
	return rectify.Raised(*w)
}

func cornersOf(in []session.Corner) []cornerWork {
	var out []cornerWork
	for _, c := range in {
		out = append(out, cornerWork{placeWork(c.At), c.Snapped, c.Column, c.Row, c.Known, c.Proposed})
	}
	return out
}

func cornersFrom(in []cornerWork) []session.Corner {
	var out []session.Corner
	for _, c := range in {
		out = append(out, session.Corner{
			At: photo.Point(c.At), Snapped: c.Snapped, Column: c.Column, Row: c.Row, Known: c.Known, Proposed: c.Proposed,
		})
	}
	return out
}

func pointsOf(in []photo.Point) []placeWork {
	out := []placeWork{}
	for _, p := range in {
		out = append(out, placeWork(p))
	}
	return out
}

func pointsFrom(in []placeWork) []photo.Point {
	var out []photo.Point
	for _, p := range in {
		out = append(out, photo.Point(p))
	}
	return out
}

// solvedOf is how a photograph was squared up.
func solvedOf(x session.Shot) *solvedWork {
	o := x.SolvedWith
	w := &solvedWork{
		By: meansNames[x.SolvedBy], Settings: settingsOf(x.Solved),
		PitchMM: o.PitchMM, Kind: o.Kind, Scale: scaleWork(o.Scale), Raised: raisedOf(o.Raised),
	}
	for _, c := range o.Corners {
		w.Corners = append(w.Corners, cornerWork{At: placeWork(c.At), Column: c.Column, Row: c.Row})
	}
	if r := o.Rectangle; r != nil {
		w.Sheet = &sheetWork{r.Name, r.WidthMM, r.HeightMM, pointsOf(r.Corners[:])}
	}
	return w
}

// into puts how a photograph was squared up into the work on it.
func (w *solvedWork) into(x *session.Shot) error {
	by, err := numberOf(meansNames, w.By)
	if err != nil {
		return err
	}
	x.SolvedBy = session.Means(by)
	if x.Solved, err = w.Settings.settings(); err != nil {
		return err
	}
	x.SolvedWith = rectify.Options{PitchMM: w.PitchMM, Kind: w.Kind, Scale: rectify.Scale(w.Scale), Raised: raisedFrom(w.Raised)}
	for _, c := range w.Corners {
		x.SolvedWith.Corners = append(x.SolvedWith.Corners, rectify.Corner{At: photo.Point(c.At), Column: c.Column, Row: c.Row})
	}
	if r := w.Sheet; r != nil {
		if len(r.Corners) != session.SheetCorners {
			return fmt.Errorf("%w: a sheet with %d corners", ErrWork, len(r.Corners))
		}
		x.SolvedWith.Rectangle = &rectify.Rectangle{
			Name: r.Name, WidthMM: r.WidthMM, HeightMM: r.HeightMM, Corners: [4]photo.Point(pointsFrom(r.Corners)),
		}
	}
	return nil
}

func paperOf(p session.Print) *paperWork {
	if p == (session.Print{}) {
		return nil
	}
	w := paperWork(p)
	return &w
}

func paperFrom(w *paperWork) session.Print {
	if w == nil {
		return session.Print{}
	}
	return session.Print(*w)
}
