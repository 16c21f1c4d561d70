package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strconv"
	"time"

	"flatwright/app/desk/session"
	"flatwright/app/matprofile"
	"flatwright/export"
	"flatwright/export/page/draw"
	"flatwright/export/page/lettering"
	"flatwright/export/report"
	"flatwright/rectify/photo"
	"flatwright/rectify/photo/intake"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// runMake is the whole job in one go: photographs in, files out. On an error
// nothing is written.
func runMake(ctx context.Context, args []string, out, errs io.Writer) error {
	a, err := parseMake(args, out)
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	if err != nil {
		return err
	}
	if err := projectIsFree(a.project); err != nil {
		return err
	}
	ticker := newTicker(errs, a.quiet)
	defer ticker.close()
	job, err := readAll(ctx, a, ticker)
	if err != nil {
		return err
	}
	ticker.tell("writing", 0.95)
	if err := ctx.Err(); err != nil {
		return err
	}
	doc := job.document(a, now())
	shown, err := pagePicture(doc, a)
	if err != nil {
		return err
	}
	if err := saveProject(ctx, a, job); err != nil {
		return err
	}
	r, err := export.WriteAll(ctx, a.outDir, doc, a.files, job.report)
	if err != nil {
		return errors.Join(notWritten(a.outDir, err), removeProject(a.project))
	}
	if shown != nil {
		if err := writePicture(a.picture, shown); err != nil {
			return fmt.Errorf("the pattern was written to %s, but not the picture %s: %w", a.outDir, a.picture, err)
		}
	}
	kept, err := keep(job.learnt)
	if err != nil {
		return fmt.Errorf("the pattern was written to %s, but the mat was not kept: %w", a.outDir, err)
	}
	ticker.close()
	if err := printReport(out, r, a); err != nil {
		return err
	}
	return aside(errs, a.quiet, kept, job.hint)
}

// notWritten says that files could not be written to a folder, and what to do when
// it is the folder that is to blame.
func notWritten(dir string, err error) error {
	var file *fs.PathError
	var files *os.LinkError
	if errors.As(err, &file) || errors.As(err, &files) {
		return fmt.Errorf("writing to %s: %w; choose another folder with --out", dir, err)
	}
	return fmt.Errorf("nothing was written to %s: %w", dir, err)
}

// printReport prints what was done, for people or for programs.
func printReport(out io.Writer, r report.Report, a makeArguments) error {
	if a.json {
		return report.Write(out, r)
	}
	if a.quiet {
		return nil
	}
	for i, f := range r.Files {
		r.Files[i] = filepath.Join(a.outDir, f)
	}
	r.Photo.Name = lettering.OneLine(r.Photo.Name)
	r.FurtherPhotos = slices.Clone(r.FurtherPhotos)
	for i := range r.FurtherPhotos {
		f := &r.FurtherPhotos[i].Photo
		f.Name = lettering.OneLine(f.Name)
	}
	return report.Text(out, r)
}

// now is the time that files are dated with: SOURCE_DATE_EPOCH when set
// (reproducible-builds.org), so that the same photograph gives the same bytes.
func now() time.Time {
	if s, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil {
		return time.Unix(s, 0).UTC()
	}
	return time.Now()
}

// job is what has been read so far.
type job struct {
	pattern pattern.Pattern
	report  report.Report
	// learnt is what will be kept of the first photograph's mat, and hint which
	// of the mats that are kept it looks like.
	learnt *matprofile.Profile
	hint   string
	// shots are the photographs as a project keeps the work on them, without
	// their pictures.
	shots []session.Shot
}

// readAll squares up and traces every photograph.
func readAll(ctx context.Context, a makeArguments, t *ticker) (*job, error) {
	j := &job{pattern: pattern.Pattern{Name: a.name}}
	for k, path := range a.photos {
		t.photo(k, len(a.photos), filepath.Base(path))
		if err := j.read(ctx, path, a, t); err != nil {
			return nil, err
		}
	}
	return j, nil
}

// read squares one photograph up, traces it, and adds its pieces.
func (j *job) read(ctx context.Context, path string, a makeArguments, t *ticker) error {
	clock := stopwatch{last: time.Now()}
	t.tell("opening", 0)
	p, err := intake.Open(ctx, path)
	if err != nil {
		return err
	}
	clock.lap("open")
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(memoryFor(p)))
	s, err := a.squaring.squareUp(ctx, p, func(stage string, part float64) { t.tell(stage, 0.1+0.4*part) })
	if err != nil {
		return err
	}
	clock.lap("square up")
	tr, err := trace.Trace(ctx, s.Squared, trace.Options{
		ToleranceMM: a.toleranceMM, ThicknessMM: a.thicknessMM,
		Progress: func(part float64) { t.tell("tracing the pieces", 0.5+0.4*part) },
	})
	if err != nil {
		return err
	}
	clock.lap("trace")
	if j.report.Photo.Name == "" {
		j.learnt, j.hint = a.squaring.learn(s.Squared), a.squaring.hint(s.Squared)
	}
	j.add(s, tr, a.squaring)
	j.note(s, tr, clock.laps, len(a.photos) > 1)
	return nil
}

// memoryFor is how many bytes the work on a photograph is asked to stay within.
// The collector lets garbage grow to the size of what is in use, which the
// photograph itself dominates; bounded, the whole process stays near four
// times the decoded picture, for a twentieth more processor time. It is a wish:
// what needs more gets more.
func memoryFor(p *photo.Photo) int64 {
	const program, least = 20 << 20, 100 << 20
	return max(least, program+int64(3*p.Width*p.Height)*9/4)
}

// note adds what was learnt of the photograph that was added last to the report.
func (j *job) note(s *solved, tr *trace.Traced, laps []report.Timing, several bool) {
	seen, cal := photoOf(s.Photo), s.calibration(tr.Pattern.Nodes())
	if j.report.Photo.Name == "" {
		j.report.Photo, j.report.Calibration = seen, cal
	} else {
		j.report.FurtherPhotos = append(j.report.FurtherPhotos, report.FurtherPhoto{Photo: seen, Calibration: cal})
	}
	j.report.Problems = append(j.report.Problems, problems(s, j.shots[len(j.shots)-1].Traced, several)...)
	j.report.Timings = append(j.report.Timings, laps...)
}

// problems are what is doubtful of a photograph, at its places in the pattern. Of
// several photographs each is named.
func problems(s *solved, tr *trace.Traced, several bool) []report.Finding {
	out := slices.Clone(s.doubts)
	for _, p := range tr.Problems {
		at := report.At(p.At)
		out = append(out, report.Finding{Text: p.Text, At: &at})
	}
	for i := range out {
		if several {
			out[i].Text = lettering.OneLine(s.Photo.Name) + ": " + out[i].Text
		}
	}
	return out
}

// photoOf is a photograph as the report names it.
func photoOf(p *photo.Photo) report.Photo {
	return report.Photo{Name: p.Name, WidthPx: p.Width, HeightPx: p.Height}
}

// add puts a photograph's pieces below those there are, lettered on, and notes
// for the project how they came about.
func (j *job) add(s *solved, tr *trace.Traced, q *squaring) {
	before, place := len(j.pattern.Pieces), curve.Transform{}
	if before == 0 {
		name := j.pattern.Name
		j.pattern = tr.Pattern
		j.pattern.Name = name
	} else {
		place = curve.Translation(j.pattern.Below(tr.Pattern))
		j.pattern.Append(tr.Pattern, place)
	}
	j.shots = append(j.shots, q.shot(s, tr, j.pattern, before, place))
}

// document is the printed pattern.
func (j *job) document(a makeArguments, date time.Time) draw.Document {
	return draw.Document{
		Title: a.name, Author: a.author, Date: date, Pattern: j.pattern, Setup: a.setup,
		Notes: notesOf(j.report),
	}
}

// notesOf says on the cover how well each photograph was squared up, and where
// its scale came from.
func notesOf(r report.Report) []string {
	note := func(p report.Photo, c report.Calibration) string {
		text := fmt.Sprintf("%s: squared up on %s; good to ± %s mm on the pieces, ± %s mm at worst. %s",
			p.Name, report.Basis(c), report.Within(c.PlusMinus.MedianMM), report.Within(c.PlusMinus.WorstMM), c.Scale.Note)
		if c.Height != nil {
			text += " " + c.Height.Sentence()
		}
		return text
	}
	notes := []string{note(r.Photo, r.Calibration)}
	for _, f := range r.FurtherPhotos {
		notes = append(notes, note(f.Photo, f.Calibration))
	}
	return notes
}

// stopwatch times the stages.
type stopwatch struct {
	last time.Time
	laps []report.Timing
}

// lap records the time since the lap before.
func (s *stopwatch) lap(stage string) {
	t := time.Now()
	s.laps = append(s.laps, report.Timing{Stage: stage, MS: float64(t.Sub(s.last).Microseconds()) / 1000})
	s.last = t
}
