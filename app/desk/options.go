// Package desk is the window: the bench on which a photograph is squared up,
// traced, marked up and printed.
package desk

import (
	"context"
	"encoding/json"

	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// Job is the work behind the window. Its methods are called from goroutines
// of their own, never two of one step at a time; Snap is called from the
// window's goroutine and must be quick.
type Job interface {
	// Open reads a photograph.
	Open(ctx context.Context, path string) (*photo.Photo, error)
	// SquareUp solves the camera, by itself or from placed corners.
	SquareUp(ctx context.Context, p *photo.Photo, o rectify.Options) (*rectify.Squared, error)
	// Snap returns the crossing next to a click in px, false when there is none.
	Snap(p *photo.Photo, near photo.Point) (photo.Point, bool)
	// Trace makes the pattern.
	Trace(ctx context.Context, s *rectify.Squared, o trace.Options) (*trace.Traced, error)
	// Export writes a true-scale PDF, and beside it what else was asked for.
	Export(ctx context.Context, path string, x session.Printout) error
}

// PageCounter is a Job that can tell how many pages an export will have.
type PageCounter interface {
	// Pages ends with the context's error when that is done.
	Pages(ctx context.Context, x session.Printout) (int, error)
}

// PaperChecker is a Job that can tell whether a paper can be printed on.
type PaperChecker interface {
	// CheckPaper returns why the pattern cannot be laid out as it is on the
	// print's paper, nil when it can. The window waits for it: it must neither
	// take long nor wait for other work.
	CheckPaper(p pattern.Pattern, print session.Print) error
}

// PhotoDecoder is a Job that can read a photograph from its file's bytes, as a
// project holds them. Name is for messages.
type PhotoDecoder interface {
	Decode(ctx context.Context, name string, file []byte) (*photo.Photo, error)
}

// Reporter is a Job that can put into JSON what is known of the photographs of
// a pattern, as a project keeps it for printing without the window.
type Reporter interface {
	Report(parts []session.Part) (json.RawMessage, error)
}

// Keeping says where work is kept.
type Keeping struct {
	// Folder takes the projects that the maker has given no place of their own.
	Folder string
	// Preferences is the file of what the window remembers.
	Preferences string
}

// SheetFinder is a Job that can propose the corners of a bright sheet in a
// photograph; false when none stands out.
type SheetFinder interface {
	FindSheet(ctx context.Context, p *photo.Photo) ([4]photo.Point, bool)
}

// KindReader is a Job that can tell which spacings of lines a mat is printed
// with, the widest first; fewer than two leave nothing to choose. It must be
// quick.
type KindReader interface {
	Kinds(q *rectify.Squared) []LineKind
}

// LineKind is one spacing of printed lines: how many of its squares the read
// part of the mat has, across and down the photograph.
type LineKind struct{ Across, Down int }

// MatStore keeps known mats. It is called from the window's goroutine and must
// be quick.
type MatStore interface {
	// Mats returns the known mats, the likeliest in a photograph first; q is
	// nil before squaring up.
	Mats(q *rectify.Squared) ([]KnownMat, error)
	// Keep keeps the mat of a photograph that was squared up with a scale
	// measured on it. Kind is the option it was squared up with.
	Keep(name string, kind int, q *rectify.Squared) error
}

// KnownMat is a mat that was measured before.
type KnownMat struct {
	session.Mat
	// Likely is set on a mat that the photograph very likely shows.
	Likely bool
	Lies   MatLies
}

// MatLies says how a known mat lies in a photograph, as far as its count of
// squares tells.
type MatLies uint8

const (
	// MatLiesUnknown: it may lie either way.
	MatLiesUnknown MatLies = iota
	// MatLiesStraight: as it was measured.
	MatLiesStraight
	// MatLiesTurned: turned by a quarter.
	MatLiesTurned
	// MatIsAnother: the photograph shows more squares than this mat has.
	MatIsAnother
)

// Options open the window.
type Options struct {
	// Job does the work. Required.
	Job Job
	// StartFile is opened at the start when not empty.
	StartFile string
	// PitchMM is the distance between the mat's lines; 0 leaves the choice to
	// the maker.
	PitchMM float64
	// DemoPath and DemoPitchMM are the photograph the empty bench offers; an
	// empty path offers none.
	DemoPath    string
	DemoPitchMM float64
	// Papers are the names of the papers to choose from in lower case, the first
	// one chosen at the start; empty means A4. A roll and a size of one's own can
	// be had besides.
	Papers []string
	// DecimalComma tells that decimals stand behind a comma where the maker
	// lives, so that a point may stand between thousands.
	DecimalComma bool
	// Appearance is "light", "dark", or empty for the system's.
	Appearance string
	// Changed, when set, is told every new state of the pattern, from the
	// window's goroutine, for keeping it safe.
	Changed func(pattern.Pattern)
	// Painted, when set, is told of every picture of the work that was painted,
	// from the window's goroutine, for counting them.
	Painted func()
	// Mats, when set, keeps known mats.
	Mats MatStore
	// Keep, when set, says where work is kept; without it only exports hold it.
	Keep *Keeping
	// Screenshot, when its Path is set, takes a picture of the window and quits.
	Screenshot Screenshot
}

// Screenshot tells what to show before a picture of the window is saved.
type Screenshot struct {
	// Path is the PNG to write.
	Path string
	// Edge is selected when not empty, given Cut when that has a kind, and
	// its piece ThicknessMM when that is above 0.
	Edge        string
	Cut         pattern.Cut
	ThicknessMM float64
	// Flat shows the flat view instead of the photograph.
	Flat bool
	// Stage is the rung to show, 1 (photograph) to 6 (print); 0 follows the
	// work.
	Stage int
	// Corners shows placing corners by hand.
	Corners bool
	// Keys are typed one by one once the work is done.
	Keys string
	// Folds are the groups of the square-up panel that are opened, from 1.
	Folds []int
	// WidthPx and HeightPx are the window's size; 0 means 1280 by 800.
	WidthPx, HeightPx int
}

func (o Options) papers() []string {
	if len(o.Papers) > 0 {
		return o.Papers
	}
	return []string{"a4"}
}
