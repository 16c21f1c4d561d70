package main

import (
	"errors"
	"flag"
	"fmt"
	"math"

	"flatwright/app/matprofile"
	"flatwright/rectify"
	"flatwright/rectify/photo"
)

// squaringTexts are the options on squaring up, as they were typed.
type squaringTexts struct {
	pitch, across, down, mat, saveMat  string
	raised, cameraHeight, sheet        string
	turned                             bool
	lines                              int
	crossings, corners, knownDistances list
}

// register adds the options to a command's.
func (x *squaringTexts) register(fs *flag.FlagSet) {
	fs.StringVar(&x.pitch, "pitch", "", "distance between the mat's `lines`: 1in, 1/2in, 10mm, 1cm, …")
	fs.StringVar(&x.across, "across", "", "`SQUARES=LENGTH`: what a steel rule reads over so many squares across the photograph, like 20=508.4mm")
	fs.StringVar(&x.down, "down", "", "`SQUARES=LENGTH`: the same down the photograph")
	fs.StringVar(&x.mat, "mat", "", "use what is kept of the mat of this `name`")
	fs.BoolVar(&x.turned, "mat-turned", false, "that mat lies turned by a quarter against how it was measured")
	fs.StringVar(&x.saveMat, "save-mat", "", "keep what is learnt of the mat under this `name`")
	fs.IntVar(&x.lines, "lines", 0, "which printed lines the pitch means: 1 the most widely spaced, 2 the next, …; 0 finds out")
	fs.StringVar(&x.raised, "raised", "", "the pieces on the mat are slabs of this `thickness`: 10mm, 3/8in, …")
	fs.StringVar(&x.cameraHeight, "camera-height", "", "`height` of the lens above the mat, as measured, for --raised")
	fs.Var(&x.crossings, "crossing", "`X,Y=COLUMN,ROW`: a crossing of the mat's lines at this pixel; four or more")
	fs.StringVar(&x.sheet, "sheet", "", "square up from a `sheet` instead of a mat: a4, letter, a4-landscape, 300x200mm, …; its first side lies between the first two corners")
	fs.Var(&x.corners, "corner", "`X,Y`: pixel of a corner of that sheet; four, clockwise; without them the program says where they seem to be")
	fs.Var(&x.knownDistances, "check", "`X,Y:X,Y=LENGTH`: measure between two pixels where the distance is known")
}

// squaring is how photographs are to be squared up, checked.
type squaring struct {
	options rectify.Options
	// profile is the mat that was named, nil when none was; turned says that it
	// lies turned by a quarter.
	profile *matprofile.Profile
	turned  bool
	// spans were measured with a rule, across and down.
	spans   [2]rectify.Span
	saveMat string
	known   []distance
	// corners says that the corners of the sheet were given.
	corners bool
}

// read checks the options. The mat's profile is looked up in the user's file.
func (x *squaringTexts) read(photos int) (*squaring, error) {
	if err := x.contradiction(photos); err != nil {
		return nil, err
	}
	q := &squaring{turned: x.turned}
	for _, step := range []func(*squaring) error{x.readHeights, x.readPlaces, x.readMat, x.readScale, x.readSave} {
		if err := step(q); err != nil {
			return nil, err
		}
	}
	return q, nil
}

// contradiction refuses options that do not go together.
func (x *squaringTexts) contradiction(photos int) error {
	given := func(texts ...string) bool {
		for _, t := range texts {
			if t != "" {
				return true
			}
		}
		return false
	}
	text := ""
	switch {
	case x.sheet != "" && (given(x.pitch, x.across, x.down, x.mat, x.saveMat) || x.turned || x.lines != 0 || len(x.crossings) > 0):
		text = "with --sheet the scale comes from the sheet's sides: leave out --pitch, --across, --down, --mat, --mat-turned, --save-mat, --lines and --crossing, or leave out --sheet"
	case x.sheet == "" && len(x.corners) > 0:
		text = "--corner is a corner of a sheet: say which with --sheet, for instance --sheet a4; for crossings of a mat's lines use --crossing"
	case len(x.corners) > 0 && len(x.corners) != 4:
		text = fmt.Sprintf("--sheet needs --corner four times, once for each corner, clockwise; it is there %d times", len(x.corners))
	case len(x.crossings) > 0 && len(x.crossings) < 4:
		text = fmt.Sprintf("--crossing is needed four times or more; it is there %d times", len(x.crossings))
	case x.mat != "" && given(x.across, x.down):
		text = "--mat and --across or --down both give the scale: leave one of them out; to measure the mat anew use --save-mat with its name"
	case x.mat != "" && x.saveMat != "":
		text = "--mat uses a mat that is kept, and --save-mat keeps one: leave one of them out"
	case x.mat == "" && x.turned:
		text = "--mat-turned goes with --mat: say which mat lies turned"
	case x.cameraHeight != "" && x.raised == "":
		text = "--camera-height goes with --raised: the height of the lens matters only for pieces that rise above the mat"
	case x.lines < 0 || x.lines > 16:
		text = "--lines counts the printed spacings from 1, the widest, to 16"
	case photos > 1 && (len(x.crossings) > 0 || x.sheet != "" || len(x.knownDistances) > 0 || given(x.saveMat, x.cameraHeight)):
		text = "--crossing, --sheet, --check, --save-mat and --camera-height belong to one photograph: give one photograph only"
	case x.sheet == "" && x.pitch == "" && x.mat == "":
		text = "say how far apart the mat's lines are, for instance --pitch 1in or --pitch 10mm, or which mat it is with --mat"
	default:
		return nil
	}
	return &usageError{text}
}

func (x *squaringTexts) readHeights(q *squaring) error {
	if x.raised == "" {
		return nil
	}
	var err error
	r := &q.options.Raised
	if r.ThicknessMM, err = readFromZero(x.raised, maxThicknessMM); err != nil {
		return badLength(err, fmt.Sprintf("--raised %q is not a thickness up to %d mm; write it like 10mm or 3/8in, or 0 for tape", x.raised, maxThicknessMM))
	}
	if x.cameraHeight == "" {
		return nil
	}
	if r.CameraHeightMM, err = readLength(x.cameraHeight, longestMM); err != nil || r.CameraHeightMM <= r.ThicknessMM {
		return badLength(err, fmt.Sprintf("--camera-height %q is not a height greater than the pieces' thickness; write it like 620mm or 24in", x.cameraHeight))
	}
	return nil
}

// readPlaces reads what is given in pixels.
func (x *squaringTexts) readPlaces(q *squaring) error {
	for _, text := range x.crossings {
		c, err := parseCrossing(text)
		if err != nil {
			return err
		}
		q.options.Corners = append(q.options.Corners, c)
	}
	for _, text := range x.knownDistances {
		d, err := parseDistance(text)
		if err != nil {
			return err
		}
		q.known = append(q.known, d)
	}
	if x.sheet == "" {
		return nil
	}
	sheet, err := parseSheet(x.sheet)
	if err != nil {
		return err
	}
	for k, text := range x.corners {
		at, ok := parsePlace(text)
		if !ok {
			return &usageError{fmt.Sprintf("--corner %q is not a place in pixels; write it like 1012.5,733", text)}
		}
		sheet.Corners[k] = at
	}
	q.corners = len(x.corners) > 0
	q.options.Rectangle = &sheet
	return nil
}

// readMat looks the mat up that was named.
func (x *squaringTexts) readMat(q *squaring) error {
	q.options.Kind = x.lines
	if x.mat == "" {
		return nil
	}
	all, err := keptMats()
	if err != nil {
		return err
	}
	p, err := matprofile.Find(all, x.mat)
	if err != nil {
		return &usageError{fmt.Sprintf("--mat: %v", err)}
	}
	if x.lines != 0 && p.Kind != 0 && x.lines != p.Kind {
		return &usageError{fmt.Sprintf("--lines %d is not what the mat %q was measured by, %d: leave --lines out", x.lines, p.Name, p.Kind)}
	}
	q.profile, q.options.PitchMM, q.options.Scale = &p, p.PitchMM, p.Scale(x.turned)
	if q.options.Kind == 0 {
		q.options.Kind = p.Kind
	}
	return nil
}

// readPitch reads the distance between a mat's lines.
func readPitch(text string) (float64, error) {
	mm, err := readLength(text, rectify.MaxPitchMM)
	if err != nil || mm < rectify.MinPitchMM {
		return 0, badLength(err, fmt.Sprintf("--pitch %q is not a length from %d mm to %d mm; write it like 1in or 10mm", text, rectify.MinPitchMM, rectify.MaxPitchMM))
	}
	return mm, nil
}

// samePitchPart is how far a pitch that is typed may lie from a mat's own.
const samePitchPart = 0.001

// readScale reads the pitch and what was measured.
func (x *squaringTexts) readScale(q *squaring) error {
	if x.pitch != "" {
		mm, err := readPitch(x.pitch)
		if err != nil {
			return err
		}
		if q.profile != nil && math.Abs(mm/q.profile.PitchMM-1) > samePitchPart {
			return &usageError{fmt.Sprintf("--pitch %s is not the pitch of the mat %q, %g mm: leave --pitch out", x.pitch, q.profile.Name, q.profile.PitchMM)}
		}
		if q.profile == nil {
			q.options.PitchMM = mm
		}
	}
	if x.across == "" && x.down == "" {
		return nil
	}
	var spans [2]rectify.Span
	for k, o := range [2]struct{ option, text string }{{"--across", x.across}, {"--down", x.down}} {
		if o.text == "" {
			continue
		}
		var err error
		if spans[k], err = parseSpan(o.option, o.text); err != nil {
			return err
		}
	}
	scale, err := rectify.ScaleFromSpans(q.options.PitchMM, spans[0], spans[1])
	if err != nil {
		return &usageError{err.Error()}
	}
	q.options.Scale, q.spans = scale, spans
	return nil
}

// readSave checks that the mat can be kept, before any work is done. What was
// measured of a mat before is not given up for a photograph without a rule.
func (x *squaringTexts) readSave(q *squaring) error {
	if x.saveMat == "" {
		return nil
	}
	name, err := matprofile.CheckName(x.saveMat)
	if err != nil {
		return &usageError{fmt.Sprintf("--save-mat: %v", err)}
	}
	q.saveMat = name
	all, err := keptMats()
	if err != nil {
		return err
	}
	old, err := matprofile.Find(all, name)
	var unknown *matprofile.NotKnownError
	if errors.As(err, &unknown) {
		return nil
	}
	if old.Measured() && x.across == "" && x.down == "" {
		return &usageError{fmt.Sprintf("--save-mat %q would lose the lengths measured of that mat on %s: give --across and --down, or another name", old.Name, old.MeasuredOn)}
	}
	return err
}

// keptMats reads the user's mats.
func keptMats() ([]matprofile.Profile, error) {
	path, err := matprofile.DefaultPath()
	if err != nil {
		return nil, err
	}
	return matprofile.Load(path)
}

// outside returns what lies outside the photograph, as it was given.
func (q *squaring) outside(p *photo.Photo) error {
	refuse := func(option string, at photo.Point) error {
		if p.Inside(at, 0) {
			return nil
		}
		return &usageError{fmt.Sprintf("%s at %g,%g lies outside %s, which has %d × %d pixels", option, at.X, at.Y, p.Name, p.Width, p.Height)}
	}
	var all []error
	if r := q.options.Rectangle; r != nil {
		for _, at := range r.Corners {
			all = append(all, refuse("--corner", at))
		}
	}
	for _, c := range q.options.Corners {
		all = append(all, refuse("--crossing", c.At))
	}
	for _, d := range q.known {
		all = append(all, refuse("--check", d.from), refuse("--check", d.to))
	}
	for _, err := range all {
		if err != nil {
			return err
		}
	}
	return nil
}
