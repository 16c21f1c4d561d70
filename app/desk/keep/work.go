package keep

import (
	"encoding/json"
	"errors"
	"fmt"

	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
)

// work is what a state of a project holds beside the pattern. Lengths are in
// mm, places in the photograph in px, places on the mat in mm. It says nothing
// of what the window happens to show: looking is no edit.
type work struct {
	// Edit is what led to this state.
	Edit  editWork   `json:"edit"`
	Shots []shotWork `json:"photographs"`
	// From tells where pieces came from that are not simply of the first
	// photograph.
	From map[string]originWork `json:"from,omitempty"`
	Seen []string              `json:"seen,omitempty"`
	// Smooth holds how closely outlines follow what was measured, by piece.
	Smooth map[string]float64 `json:"smoothness_mm,omitempty"`
	// Paper is how the pattern is printed; nil where nothing is known of it.
	Paper *paperWork `json:"paper,omitempty"`
}

type editWork struct {
	Action string `json:"action"`
	Target string `json:"target,omitempty"`
}

type originWork struct {
	Shots     []int `json:"photographs"`
	Elsewhere bool  `json:"elsewhere,omitempty"`
}

// shotWork is the work on one photograph.
type shotWork struct {
	// Photo is the checksum of its file, SHA-256 in hexadecimal digits.
	Photo    string       `json:"sha256"`
	Settings settingsWork `json:"settings"`
	Corners  []cornerWork `json:"corners,omitempty"`
	Sheet    *sheetWork   `json:"sheet,omitempty"`
	Checks   []checkWork  `json:"checks,omitempty"`
	Solved   *solvedWork  `json:"solved,omitempty"`
	Traced   *tracedWork  `json:"traced,omitempty"`
	Place    *[6]float64  `json:"place,omitempty"`
}

// The types below have the fields of those that they are converted from and
// to, so that a field that is added there cannot be forgotten here.
type (
	spanWork struct {
		Squares  float64 `json:"squares"`
		LengthMM float64 `json:"length_mm"`
	}
	scaleWork struct {
		X      float64             `json:"x,omitempty"`
		Y      float64             `json:"y,omitempty"`
		SigmaX float64             `json:"sigma_x,omitempty"`
		SigmaY float64             `json:"sigma_y,omitempty"`
		Source rectify.ScaleSource `json:"source,omitempty"`
		Name   string              `json:"name,omitempty"`
	}
	raisedWork struct {
		ThicknessMM    float64 `json:"thickness_mm"`
		CameraHeightMM float64 `json:"camera_height_mm,omitempty"`
	}
	placeWork struct {
		X float64 `json:"x"`
		Y float64 `json:"y"`
	}
)

type paperWork struct {
	Paper       string  `json:"name"`
	Orientation string  `json:"orientation"`
	MarginMM    float64 `json:"margin_mm"`
	OverlapMM   float64 `json:"overlap_mm"`
	Packed      bool    `json:"packed,omitempty"`
	ShiftXMM    float64 `json:"shift_x_mm,omitempty"`
	ShiftYMM    float64 `json:"shift_y_mm,omitempty"`
	ShortMM     float64 `json:"square_short_mm,omitempty"`
	LongMM      float64 `json:"square_long_mm,omitempty"`
	SVG         bool    `json:"svg,omitempty"`
	DXF         bool    `json:"dxf,omitempty"`
	Bundle      bool    `json:"bundle,omitempty"`
}

type matWork struct {
	Name    string    `json:"name"`
	PitchMM float64   `json:"pitch_mm"`
	Kind    int       `json:"lines,omitempty"`
	Scale   scaleWork `json:"scale"`
}

type settingsWork struct {
	PitchMM   float64     `json:"pitch_mm,omitempty"`
	Kind      int         `json:"lines,omitempty"`
	ScaleFrom string      `json:"scale_from,omitempty"`
	Across    *spanWork   `json:"across,omitempty"`
	Down      *spanWork   `json:"down,omitempty"`
	Mat       *matWork    `json:"mat,omitempty"`
	Turned    bool        `json:"turned,omitempty"`
	Raised    *raisedWork `json:"raised,omitempty"`
}

type cornerWork struct {
	At       placeWork `json:"at_px"`
	Snapped  bool      `json:"snapped,omitempty"`
	Column   int       `json:"column"`
	Row      int       `json:"row"`
	Known    bool      `json:"known,omitempty"`
	Proposed bool      `json:"proposed,omitempty"`
}

type sheetWork struct {
	Name     string      `json:"name,omitempty"`
	WidthMM  float64     `json:"width_mm"`
	HeightMM float64     `json:"height_mm"`
	Corners  []placeWork `json:"corners_px"`
}

type checkWork struct {
	From    placeWork `json:"from_px"`
	To      placeWork `json:"to_px"`
	KnownMM float64   `json:"known_mm"`
}

// solvedWork is what a photograph was squared up with: the settings, and what
// these came to.
type solvedWork struct {
	By       string       `json:"by"`
	Settings settingsWork `json:"settings"`
	PitchMM  float64      `json:"pitch_mm,omitempty"`
	Kind     int          `json:"lines,omitempty"`
	Scale    scaleWork    `json:"scale"`
	Raised   *raisedWork  `json:"raised,omitempty"`
	Sheet    *sheetWork   `json:"sheet,omitempty"`
	Corners  []cornerWork `json:"corners,omitempty"`
}

// tracedWork is what the tracing said.
type tracedWork struct {
	Pattern  json.RawMessage `json:"pattern"`
	Problems []problemWork   `json:"problems,omitempty"`
}

type problemWork struct {
	At   placeWork `json:"at_mm"`
	Text string    `json:"text"`
}

var (
	scaleNames = []string{session.AsPrinted: "printing", session.ByRule: "rule", session.ByProfile: "mat"}
	meansNames = []string{session.ByLines: "lines", session.ByCrossings: "crossings", session.BySheet: "sheet"}
)

// numberOf is the place of a name in a table. Errors: ErrWork.
func numberOf(names []string, name string) (int, error) {
	for i, n := range names {
		if n == name {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%w: %q is none of %q", ErrWork, name, names)
}

// ErrWork tells that what a project holds beside the pattern cannot be read.
var ErrWork = errors.New("what the project says of squaring up cannot be read")

// Encode writes a document as a project keeps it, together with the edit that
// led to it. Only is the photograph of a document that has no Shots; sum
// returns the checksum of a photograph's file.
func Encode(d session.Document, only *photo.Photo, e session.Edit, sum func(*photo.Photo) string) (project.State, error) {
	w := work{Edit: editWork{e.Action.Key(), e.Target}, Shots: []shotWork{}, Seen: d.Seen, Paper: paperOf(d.Print)}
	if only != nil {
		for _, x := range d.All(only) {
			s, err := shotOf(x, sum)
			if err != nil {
				return project.State{}, err
			}
			w.Shots = append(w.Shots, s)
		}
	}
	for id, o := range d.From {
		if w.From == nil {
			w.From = map[string]originWork{}
		}
		w.From[id] = originWork(o)
	}
	for id, m := range d.Measured {
		if m.ToleranceMM > 0 {
			if w.Smooth == nil {
				w.Smooth = map[string]float64{}
			}
			w.Smooth[id] = m.ToleranceMM
		}
	}
	b, err := json.Marshal(w)
	if err != nil {
		return project.State{}, fmt.Errorf("keeping the work: %w", err)
	}
	return project.State{Pattern: d.Pattern, Work: b}, nil
}

// Decode reads what Encode wrote. Byte sums find the photographs; one that is
// not found is nil. What is looked at is the photograph active, from 0.
// Errors: ErrWork.
func Decode(s project.State, active int, find func(sum string) *photo.Photo) (session.Document, session.Edit, error) {
	var w work
	if len(s.Work) > 0 {
		if err := json.Unmarshal(s.Work, &w); err != nil {
			return session.Document{}, session.Edit{}, fmt.Errorf("%w: %w", ErrWork, err)
		}
	}
	shots := make([]session.Shot, 0, len(w.Shots))
	for _, x := range w.Shots {
		shot, err := x.shot(find)
		if err != nil {
			return session.Document{}, session.Edit{}, err
		}
		shots = append(shots, shot)
	}
	from, err := originsOf(w.From, len(shots))
	if err != nil {
		return session.Document{}, session.Edit{}, err
	}
	d := session.Assembled(shots, active, s.Pattern, from, w.Seen)
	d.Print = paperFrom(w.Paper)
	for id, mm := range w.Smooth {
		if d.Measured == nil {
			d.Measured = map[string]session.Measured{}
		}
		d.Measured[id] = session.Measured{ToleranceMM: mm}
	}
	// An edit of a kind that this program does not know is still an edit.
	action, ok := session.ActionOf(w.Edit.Action)
	if !ok && w.Edit.Action != "" {
		action = session.ActionMend
	}
	return d, session.Edit{Action: action, Target: w.Edit.Target}, nil
}

func originsOf(in map[string]originWork, shots int) (map[string]session.Origin, error) {
	if len(in) == 0 {
		return nil, nil
	}
	out := map[string]session.Origin{}
	for id, o := range in {
		for _, k := range o.Shots {
			if k < 0 || k >= max(shots, 1) {
				return nil, fmt.Errorf("%w: piece %q is said to come from photograph %d of %d", ErrWork, id, k+1, shots)
			}
		}
		out[id] = session.Origin(o)
	}
	return out, nil
}

// Sums returns the checksums of the photographs that a state speaks of.
func Sums(s project.State) []string {
	var w work
	if json.Unmarshal(s.Work, &w) != nil {
		return nil
	}
	var out []string
	for _, x := range w.Shots {
		out = append(out, x.Photo)
	}
	return out
}

func shotOf(x session.Shot, sum func(*photo.Photo) string) (shotWork, error) {
	s := shotWork{Photo: sum(x.Photo), Settings: settingsOf(x.Settings), Corners: cornersOf(x.Corners)}
	if x.Sheet.Name != "" || x.Sheet.WidthMM != 0 || len(x.Sheet.Corners) > 0 {
		s.Sheet = &sheetWork{x.Sheet.Name, x.Sheet.WidthMM, x.Sheet.HeightMM, pointsOf(x.Sheet.Corners)}
	}
	for _, c := range x.Checks {
		s.Checks = append(s.Checks, checkWork{placeWork(c.From), placeWork(c.To), c.KnownMM})
	}
	if m := x.Place; m != (curve.Transform{}) {
		s.Place = &[6]float64{m.A, m.B, m.C, m.D, m.E, m.F}
	}
	if x.SolvedWith.PitchMM > 0 || x.SolvedWith.Rectangle != nil {
		s.Solved = solvedOf(x)
	}
	if x.Traced == nil {
		return s, nil
	}
	b, err := pattern.Encode(x.Traced.Pattern)
	if err != nil {
		return s, fmt.Errorf("keeping what was traced: %w", err)
	}
	s.Traced = &tracedWork{Pattern: b}
	for _, p := range x.Traced.Problems {
		s.Traced.Problems = append(s.Traced.Problems, problemWork{placeWork(p.At), p.Text})
	}
	return s, nil
}

func (s shotWork) shot(find func(sum string) *photo.Photo) (x session.Shot, err error) {
	x.Photo, x.Corners = find(s.Photo), cornersFrom(s.Corners)
	if x.Settings, err = s.Settings.settings(); err != nil {
		return x, err
	}
	if s.Sheet != nil {
		x.Sheet = session.Sheet{Name: s.Sheet.Name, WidthMM: s.Sheet.WidthMM, HeightMM: s.Sheet.HeightMM, Corners: pointsFrom(s.Sheet.Corners)}
	}
	for _, c := range s.Checks {
		x.Checks = append(x.Checks, session.LengthCheck{From: photo.Point(c.From), To: photo.Point(c.To), KnownMM: c.KnownMM})
	}
	if m := s.Place; m != nil {
		x.Place = curve.Transform{A: m[0], B: m[1], C: m[2], D: m[3], E: m[4], F: m[5]}
	}
	if s.Solved != nil {
		if err := s.Solved.into(&x); err != nil {
			return x, err
		}
	}
	if s.Traced != nil {
		x.Traced, err = s.Traced.traced()
	}
	return x, err
}

func (t tracedWork) traced() (*trace.Traced, error) {
	p, err := pattern.Decode(t.Pattern)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrWork, err)
	}
	out := &trace.Traced{Pattern: p}
	for _, x := range t.Problems {
		out.Problems = append(out.Problems, find.Problem{At: mat.Point(x.At), Text: x.Text})
	}
	return out, nil
}
