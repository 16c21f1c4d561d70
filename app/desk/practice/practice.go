// Package practice is a made-up bench: a drawn photograph of pieces on a mat
// and a job that answers from its known truth. The window is tried on it
// without any picture analysis.
package practice

import (
	"context"
	"errors"
	"math"
	"os"
	"time"

	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/find"
)

// PitchMM is the distance between the practice mat's lines.
const PitchMM = 25.4

const columns, rows = 13, 10

// Job answers every step from the truth. Its fields make it misbehave.
type Job struct {
	// WidthPx is the photograph's width, three quarters as high; 0 means 1600.
	WidthPx int
	// Drawn is handed out instead of drawing the photograph again.
	Drawn *photo.Photo
	// FailAlone makes squaring up from the lines alone fail.
	FailAlone bool
	// SnapReachPx is how far Snap looks; 0 means 30.
	SnapReachPx float64
	// FailTrace makes tracing fail.
	FailTrace bool
	// FailExport makes the export fail before it writes.
	FailExport bool
	// StepDelay is how long each of the ten progress steps takes.
	StepDelay time.Duration
}

// ErrDiskFull is what the export fails with.
var ErrDiskFull = errors.New("no room left on the disk")

// ErrNoLines is what squaring up fails with.
var ErrNoLines = errors.New("only 3 lines found, all in the left half")

func (j *Job) width() int {
	if j.WidthPx == 0 {
		return 1600
	}
	return j.WidthPx
}

// Model returns the true camera of the practice photograph.
func (j *Job) Model() lens.Model {
	w := float64(j.width())
	const s = 1.0 / 390
	mx, my := PitchMM*(columns-1)/2, PitchMM*(rows-1)/2
	return lens.Model{
		H:       [9]float64{s, 0.04 * s, -s * (mx + 0.04*my), -0.03 * s, s, -s * (my - 0.03*mx), 2.5e-4, 4e-4, 1},
		ScalePx: w, CentreX: w / 2, CentreY: w * 3 / 8, K1: -0.05,
	}
}

// Open draws the photograph; the path is only looked at for its existence.
func (j *Job) Open(ctx context.Context, path string) (*photo.Photo, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, err
	}
	return j.Photo(), ctx.Err()
}

// Decode draws the photograph under a name.
func (j *Job) Decode(ctx context.Context, name string, _ []byte) (*photo.Photo, error) {
	p := *j.Photo()
	p.Name = name
	return &p, ctx.Err()
}

// Photo draws the practice photograph.
func (j *Job) Photo() *photo.Photo {
	if j.Drawn != nil {
		return j.Drawn
	}
	w := j.width()
	h := w * 3 / 4
	p := &photo.Photo{Name: "practice.jpg", Width: w, Height: h, RGB: make([]byte, 3*w*h), Luma: make([]byte, w*h)}
	m := j.Model()
	loops := loopsOf(Pattern())
	for y := range h {
		for x := range w {
			c := [3]byte{70, 62, 58}
			if at, ok := m.ToMat(photo.Point{X: float64(x), Y: float64(y)}); ok {
				c = colourAt(at, loops)
			}
			copy(p.RGB[3*(y*w+x):], c[:])
			p.Luma[y*w+x] = byte((299*int(c[0]) + 587*int(c[1]) + 114*int(c[2])) / 1000)
		}
	}
	return p
}

func colourAt(at mat.Point, loops [][]mat.Point) [3]byte {
	inPiece := false
	for _, l := range loops {
		inPiece = inPiece != insideLoop(l, at)
	}
	u, v := at.X/PitchMM, at.Y/PitchMM
	lineU, lineV := math.Abs(u-math.Round(u))*PitchMM < 0.5, math.Abs(v-math.Round(v))*PitchMM < 0.5
	onGrid := u > -0.03 && v > -0.03 && u < columns-1+0.03 && v < rows-1+0.03
	switch {
	case inPiece:
		return [3]byte{226, 220, 204}
	case onGrid && (lineU || lineV):
		return [3]byte{196, 208, 196}
	case u > -0.7 && v > -0.7 && u < columns-0.3 && v < rows-0.3:
		return [3]byte{38, 92, 74}
	}
	return [3]byte{120, 104, 88}
}

func insideLoop(loop []mat.Point, at mat.Point) bool {
	in := false
	for i, a := range loop {
		b := loop[(i+1)%len(loop)]
		if (a.Y > at.Y) != (b.Y > at.Y) && at.X < a.X+(at.Y-a.Y)*(b.X-a.X)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// steps lets ten progress steps pass.
func (j *Job) steps(ctx context.Context, told func(float64)) error {
	for i := range 10 {
		if told != nil {
			told(float64(i) / 10)
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(j.StepDelay):
		}
	}
	return ctx.Err()
}

// SquareUp returns the true camera with made-up residuals.
func (j *Job) SquareUp(ctx context.Context, p *photo.Photo, o rectify.Options) (*rectify.Squared, error) {
	err := j.steps(ctx, func(f float64) {
		if o.Progress != nil {
			o.Progress("lines", f)
		}
	})
	if err != nil {
		return nil, err
	}
	if j.FailAlone && len(o.Corners) == 0 && o.Rectangle == nil {
		return nil, ErrNoLines
	}
	if o.Raised.ThicknessMM > 0 && o.Raised.CameraHeightMM == 0 {
		return nil, &rectify.HeightError{Photo: p.Name, ThicknessMM: o.Raised.ThicknessMM, CameraMM: 600, SigmaMM: 90, WorstMM: 2}
	}
	if o.Rectangle != nil {
		return j.fromSheet(ctx, p, o)
	}
	return j.fromLines(ctx, p, o)
}

// fromLines solves with the pitch and scale that are asked for.
func (j *Job) fromLines(ctx context.Context, p *photo.Photo, o rectify.Options) (*rectify.Squared, error) {
	pitch := mat.Square(o.PitchMM)
	if o.Scale.X > 0 && o.Scale.Y > 0 {
		pitch = mat.Pitch{XMM: o.PitchMM * o.Scale.X, YMM: o.PitchMM * o.Scale.Y}
	}
	start := j.Model().Stretch(PitchMM/pitch.XMM, PitchMM/pitch.YMM)
	fit, err := lens.SolveFrom(ctx, start, samples(j.Model()), lens.SolveOptions{
		PitchMM: pitch.XMM, RowPitchMM: pitch.YMM, Width: p.Width, Height: p.Height,
	})
	if err != nil {
		return nil, err
	}
	g := mat.Grid{Points: fit.Points, MaxColumn: columns - 1, MaxRow: rows - 1, MinorPerPitch: 1, LineWidthPitch: 0.04}
	return j.raised(&rectify.Squared{Photo: p, PitchMM: o.PitchMM, Pitch: pitch, Scale: o.Scale, Grid: g, Fit: fit}, o)
}

// fromSheet solves from the corners of a sheet.
func (j *Job) fromSheet(ctx context.Context, p *photo.Photo, o rectify.Options) (*rectify.Squared, error) {
	r := o.Rectangle
	var corners []lens.Crossing
	for k, at := range [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
		corners = append(corners, lens.Crossing{At: r.Corners[k], Column: at[0], Row: at[1]})
	}
	fit, err := lens.SolveCorners(ctx, corners, lens.SolveOptions{
		PitchMM: r.WidthMM, RowPitchMM: r.HeightMM, Width: p.Width, Height: p.Height,
	})
	if err != nil {
		return nil, err
	}
	pitch := mat.Pitch{XMM: r.WidthMM, YMM: r.HeightMM}
	g := mat.Grid{MaxColumn: 1, MaxRow: 1, MinorPerPitch: 1}
	scale := rectify.Scale{X: 1, Y: 1, Source: rectify.FromRectangle, Name: r.Name}
	return j.raised(&rectify.Squared{Photo: p, PitchMM: r.WidthMM, Pitch: pitch, Scale: scale, Grid: g, Fit: fit}, o)
}

// raised adds where the camera stood.
func (j *Job) raised(q *rectify.Squared, o rectify.Options) (*rectify.Squared, error) {
	if q.Raised = o.Raised; q.Raised.ThicknessMM == 0 {
		return q, nil
	}
	pose, err := q.Fit.Pose()
	if err != nil {
		return nil, err
	}
	pose.HeightMM, pose.HeightSigmaMM = o.Raised.CameraHeightMM, 10
	q.Pose = &pose
	return q, nil
}

// MissPx is how far the last column's samples lie off at its end: a mat that
// curls up there.
const MissPx = 1.6

// samples makes line samples eight to a pitch that miss by a fifth of a pixel,
// and by MissPx at the end of the last column.
func samples(m lens.Model) []mat.LinePoint {
	var pts []mat.LinePoint
	add := func(family mat.Family, index int, along float64) {
		at := mat.Point{X: float64(index) * PitchMM, Y: along * PitchMM}
		if family == mat.Rows {
			at.X, at.Y = at.Y, at.X
		}
		seen := m.ToPhoto(at)
		r := 0.2 * math.Sin(float64(7*len(pts)))
		if family == mat.Columns && index == columns-1 && along > rows-3 {
			r = MissPx
		}
		if family == mat.Columns {
			seen.X += r
		} else {
			seen.Y += r
		}
		pts = append(pts, mat.LinePoint{Family: family, Index: index, Along: along, At: seen, SigmaPx: 0.1})
	}
	for i := range columns {
		for k := range 8*(rows-1) + 1 {
			add(mat.Columns, i, float64(k)/8)
		}
	}
	for i := range rows {
		for k := range 8*(columns-1) + 1 {
			add(mat.Rows, i, float64(k)/8)
		}
	}
	return pts
}

// Snap moves a click to the crossing within reach.
func (j *Job) Snap(_ *photo.Photo, near photo.Point) (photo.Point, bool) {
	m := j.Model()
	at, ok := m.ToMat(near)
	if !ok {
		return near, false
	}
	c := m.ToPhoto(mat.Point{X: math.Round(at.X/PitchMM) * PitchMM, Y: math.Round(at.Y/PitchMM) * PitchMM})
	reach := j.SnapReachPx
	if reach == 0 {
		reach = 30
	}
	if math.Hypot(c.X-near.X, c.Y-near.Y) > reach {
		return near, false
	}
	return c, true
}

// Trace returns the true pattern as the solution sees it.
func (j *Job) Trace(ctx context.Context, q *rectify.Squared, o trace.Options) (*trace.Traced, error) {
	if err := j.steps(ctx, o.Progress); err != nil {
		return nil, err
	}
	if j.FailTrace {
		return nil, trace.ErrNoPieces
	}
	return &trace.Traced{
		Pattern:  moved(Pattern(), j.seenBy(q)),
		Problems: []find.Problem{{At: mat.Point{X: 250, Y: 200}, Text: "Something dark lies across the border here."}},
	}, nil
}

// Export writes a short text in place of a PDF.
func (j *Job) Export(_ context.Context, path string, x session.Printout) error {
	if j.FailExport {
		return ErrDiskFull
	}
	return os.WriteFile(path, []byte("practice "+x.Print.Paper+" "+x.Pattern.Name+"\n"), 0o644)
}

// seenBy returns where a solution puts a point of the truth.
func (j *Job) seenBy(q *rectify.Squared) func(mat.Point) mat.Point {
	truth := j.Model()
	var to lens.Mapping = q.Fit
	if m, ok := q.Upper(); ok {
		to = m
	}
	return func(at mat.Point) mat.Point {
		if m, ok := to.ToMat(truth.ToPhoto(at)); ok {
			return m
		}
		return at
	}
}
