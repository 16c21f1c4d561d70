// Package trace turns a squared-up photograph into a pattern: it finds the
// pieces, fits their outlines, and gives them edges, letters and marks.
package trace

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
	"flatwright/trace/writing"
)

// Options bound the tracing.
type Options struct {
	// ToleranceMM bounds the distance between the measured outline and the
	// curve, both ways. 0 means UsualToleranceMM.
	ToleranceMM float64
	// ThicknessMM is given to every piece; 0 means the height at which the
	// pieces' upper face was taken to lie, where there is one.
	ThicknessMM float64
	// Progress, when set, is told how far the work is, 0 to 1.
	Progress func(part float64)
}

// UsualToleranceMM is about half a pixel of a photograph of 12 megapixels that a
// mat fills: closer, a curve follows the pixels' noise and what is left of
// printed lines, with more nodes and no smaller an error.
const UsualToleranceMM = 0.15

// Traced is a pattern and what the maker should hear about it.
type Traced struct {
	Pattern  pattern.Pattern
	Problems []find.Problem
	// Fits belong to the pattern's pieces one by one.
	Fits []curve.FitReport
	// Writing is the handwriting on the pieces, for the maker to read; its Piece
	// counts the pattern's pieces.
	Writing []writing.Block
}

// ErrNoPieces is returned when nothing that looks like a piece lies on the
// mat.
var ErrNoPieces = errors.New("no pieces found on the mat: lay them flat, whole and apart, in a colour that differs from the mat's, and photograph again")

// ErrNoneOnSheet is returned when nothing that looks like a piece lies on a
// plain sheet or beside it.
var ErrNoneOnSheet = errors.New("no pieces could be told from the sheet or the table: pieces of the sheet's own colour, like white tape on white paper, cannot be seen on it; lay them on a ground of another colour and photograph again")

// cornerGapPx is how many photograph pixels from a corner an outline is
// rounded over by the lens and the phone's sharpening.
const cornerGapPx = 3

// Trace finds the pieces of a squared-up photograph and makes the pattern.
// Errors: ErrNoPieces, or the context's.
func Trace(ctx context.Context, s *rectify.Squared, o Options) (*Traced, error) {
	if o.ToleranceMM <= 0 {
		o.ToleranceMM = UsualToleranceMM
	}
	if o.ThicknessMM == 0 {
		o.ThicknessMM = s.Raised.ThicknessMM
	}
	found, err := find.Pieces(ctx, inputOf(s, func(part float64) { o.tell(0.8 * part) }))
	if err != nil {
		return nil, fmt.Errorf("tracing %s: %w", s.Photo.Name, err)
	}
	if len(found.Pieces) == 0 {
		return nil, noPieces(s, found.Problems)
	}
	t := &Traced{Problems: found.Problems}
	t.Pattern.Name = s.Photo.Name
	t.Problems = append(t.Problems, uncertain(s, found.Pieces)...)
	fitted := fitAll(found.Pieces, s, o)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for k, f := range fitted {
		if f.err != nil {
			t.Problems = append(t.Problems, find.Problem{
				At:   found.Pieces[k].Outline[0].At,
				Text: fmt.Sprintf("A piece was left out because its outline could not be followed (%v). Trace it again from a sharper photograph.", f.err),
			})
			continue
		}
		piece := f.piece
		piece.ID = pattern.Letters(len(t.Pattern.Pieces))
		if err := pattern.EdgesFromCorners(&piece); err != nil {
			return nil, fmt.Errorf("tracing %s: %w", s.Photo.Name, err)
		}
		t.Pattern.Pieces = append(t.Pattern.Pieces, piece)
		t.Fits = append(t.Fits, f.report)
		t.Problems = append(t.Problems, f.problems...)
	}
	if len(t.Pattern.Pieces) == 0 {
		return nil, fmt.Errorf("tracing %s: %w", s.Photo.Name, ErrNoPieces)
	}
	if err := t.dress(ctx, s); err != nil {
		return nil, err
	}
	o.tell(1)
	return t, nil
}

// inputOf is what the finder is told of a squared-up photograph.
func inputOf(s *rectify.Squared, progress func(part float64)) find.Input {
	in := find.Input{
		Photo: s.Photo, View: s.Fit, Pitch: s.Pitch, Grid: s.Grid, Progress: progress,
		Sheet: s.Scale.Source == rectify.FromRectangle,
	}
	if upper, ok := s.Upper(); ok {
		in.Raised = &find.Raised{View: upper, FootMM: s.Pose.FootMM}
	}
	return in
}

// noPieces is the error of a photograph without pieces. Where something was
// seen that hardly differs from a plain sheet, that is the likely reason.
func noPieces(s *rectify.Squared, problems []find.Problem) error {
	if s.Scale.Source != rectify.FromRectangle {
		return fmt.Errorf("tracing %s: %w", s.Photo.Name, ErrNoPieces)
	}
	if len(problems) > 0 {
		return fmt.Errorf("tracing %s: %w (%s)", s.Photo.Name, ErrNoneOnSheet, problems[0].Text)
	}
	return fmt.Errorf("tracing %s: %w", s.Photo.Name, ErrNoneOnSheet)
}

// tellPlusMinusMM is the error of the map beyond which a piece is worth a
// word.
const tellPlusMinusMM = 0.3

// uncertain tells of pieces that lie where squaring up is not good to
// tellPlusMinusMM: beyond the lines or far off the sheet, or raised pieces far
// from below a camera whose height is not well known.
func uncertain(s *rectify.Squared, pieces []find.Piece) (out []find.Problem) {
	for _, p := range pieces {
		worst, at := 0.0, mat.Point{}
		const every = 40 // the map's error changes slowly
		for k := 0; k < len(p.Outline); k += every {
			if v := s.PlusMinusMM(p.Outline[k].At); v > worst {
				worst, at = v, p.Outline[k].At
			}
		}
		if worst > tellPlusMinusMM {
			out = append(out, find.Problem{At: at, Text: uncertainText(s, worst)})
		}
	}
	return out
}

func uncertainText(s *rectify.Squared, worst float64) string {
	text := fmt.Sprintf("This piece's size is uncertain by ± %.1f mm here", worst)
	if math.IsInf(worst, 1) {
		text = "This piece's size cannot be vouched for here"
	}
	switch {
	case s.Pose != nil:
		return text + ", for its thickness and the camera's height. Measure the height of the lens above the mat and enter it, or lay the piece nearer to the middle."
	case s.Scale.Source == rectify.FromRectangle:
		return text + ": it lies too far from the sheet. Lay it on the sheet or close beside it."
	}
	return text + ": it lies too far from the lines that were measured. Lay it nearer to the middle of the mat and photograph again."
}

func (o Options) tell(part float64) {
	if o.Progress != nil {
		o.Progress(part)
	}
}

// fittedPiece is one piece's outcome.
type fittedPiece struct {
	piece    pattern.Piece
	report   curve.FitReport
	problems []find.Problem
	err      error
}

// fitAll fits every piece, on all processors; the order is that of the pieces.
func fitAll(pieces []find.Piece, s *rectify.Squared, o Options) []fittedPiece {
	out := make([]fittedPiece, len(pieces))
	var wg sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for k := range pieces {
		wg.Add(1)
		go func() {
			defer wg.Done()
			slots <- struct{}{}
			out[k] = fitPiece(pieces[k], s, o)
			<-slots
		}()
	}
	wg.Wait()
	return out
}

// fitPiece turns one found piece into a pattern piece without letter and
// edges.
func fitPiece(p find.Piece, s *rectify.Squared, o Options) (f fittedPiece) {
	fo := fitOptions(p.Outline, s, o)
	f.piece = pattern.Piece{Quantity: 1, ThicknessMM: o.ThicknessMM, Face: pattern.Front}
	if f.piece.Outline, f.report, f.err = curve.FitClosed(p.Outline, fo); f.err != nil {
		return f
	}
	for _, hole := range p.Openings {
		path, report, err := curve.FitClosed(hole, fo)
		if err != nil {
			f.problems = append(f.problems, find.Problem{
				At:   hole[0].At,
				Text: fmt.Sprintf("An opening was left out because its outline could not be followed (%v). Draw it by hand or photograph again.", err),
			})
			continue
		}
		f.report.Nodes += report.Nodes
		f.piece.Openings = append(f.piece.Openings, path)
	}
	for _, m := range p.Marks {
		f.piece.Marks = append(f.piece.Marks, markOn(f.piece.Outline, m))
	}
	for _, l := range p.Lines {
		if path, ok := fitLine(l, o); ok {
			f.piece.Lines = append(f.piece.Lines, pattern.InsideLine{Path: path})
		}
	}
	return f
}

// fitOptions adapts the fit to the photograph's scale at the piece.
func fitOptions(outline []curve.Sample, s *rectify.Squared, o Options) curve.FitOptions {
	fo := curve.FitOptions{ToleranceMM: o.ToleranceMM}
	if len(outline) == 0 {
		return fo
	}
	scale := s.Fit.ScaleMMPerPx(outline[len(outline)/2].At)
	if scale > 0 && !math.IsInf(scale, 0) {
		fo.CornerGapMM = cornerGapPx * scale
	}
	return fo
}

// markOn puts a mark's outer end on the fitted outline.
func markOn(outline curve.Path, m find.Stroke) pattern.Mark {
	at, err := outline.Nearest(m.At)
	if err != nil {
		return pattern.Mark{At: m.At, In: m.In}
	}
	return pattern.Mark{At: at.At, In: m.In}
}

// lineSigmaMM is the standard error given to the points of a pen line: a
// stroke about 0.8 mm wide wanders by a fraction of its width.
const lineSigmaMM = 0.1

// fitLine turns an inside line's points into a path.
func fitLine(points []mat.Point, o Options) (curve.Path, bool) {
	samples := make([]curve.Sample, len(points))
	for k, p := range points {
		samples[k] = curve.Sample{At: p, SigmaMM: lineSigmaMM}
	}
	path, _, err := curve.FitOpen(samples, curve.FitOptions{ToleranceMM: 2 * o.ToleranceMM})
	if err == nil {
		return path, true
	}
	if len(points) < 2 {
		return curve.Path{}, false
	}
	return curve.Polyline(points...), true
}
