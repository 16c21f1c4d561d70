package main

import (
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"flatwright/app/desk"
	"flatwright/app/desk/session"
	"flatwright/export"
	"flatwright/export/bundle"
	"flatwright/export/dxf"
	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/pdf"
	"flatwright/export/picture"
	"flatwright/export/svg"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

var (
	_ desk.PageShower   = bench{}
	_ desk.SheetPlacer  = bench{}
	_ desk.PaperChecker = bench{}
)

// Export writes the PDF and what else was asked for, all or nothing.
// Its pages are those that the window shows.
func (b bench) Export(ctx context.Context, path string, x session.Printout) error {
	set, doc, err := b.pages.of(ctx, x)
	if err != nil {
		return err
	}
	writers := map[string]func(io.Writer) error{
		".svg": func(w io.Writer) error { return svg.Write(w, x.Pattern) },
		".dxf": func(w io.Writer) error { return dxf.Write(w, x.Pattern, dxf.Splines) },
		".zip": func(w io.Writer) error { return bundle.Write(ctx, w, doc) },
	}
	files := []export.File{{Name: filepath.Base(path), Write: func(w io.Writer) error { return pdf.WriteSet(w, set, doc) }}}
	for _, f := range x.Print.Beside(path) {
		files = append(files, export.File{Name: filepath.Base(f), Write: writers[filepath.Ext(f)]})
	}
	return export.ReplaceContext(ctx, filepath.Dir(path), files)
}

// windowPapers are the names of the papers to choose from in the window: those
// that --paper knows by name.
func windowPapers() []string {
	var names []string
	for _, p := range page.Papers() {
		names = append(names, strings.ToLower(p.Name))
	}
	return names
}

// Pages counts the pages that an export will have.
func (b bench) Pages(ctx context.Context, x session.Printout) (int, error) {
	set, _, err := b.pages.of(ctx, x)
	if err != nil {
		return 0, err
	}
	return len(set.Pages), nil
}

// Sheets tells where the sheets lie over the pattern.
func (bench) Sheets(p pattern.Pattern, print session.Print) ([]desk.SheetPlace, error) {
	if print.Packed {
		return nil, nil
	}
	l, err := asLaid(p, print)
	if err != nil {
		return nil, err
	}
	out := make([]desk.SheetPlace, len(l.Tiles))
	for i := range out {
		out[i] = sheetPlace(l, i)
	}
	return out, nil
}

// CheckPaper tells why the pattern cannot be laid out on a paper. It stays clear
// of the store of pages, which an export may hold for long.
func (bench) CheckPaper(p pattern.Pattern, print session.Print) error {
	print.Packed = false
	_, err := asLaid(p, print)
	return err
}

// asLaid lays a pattern out without packing it, which takes no time.
func asLaid(p pattern.Pattern, print session.Print) (*page.Layout, error) {
	doc, err := printed(p, print)
	if err != nil {
		return nil, err
	}
	doc.Setup.Paper = doc.Setup.Printer.Sheet(doc.Setup.Paper) // as the pages are laid out
	return page.AsLaid(p, doc.Setup)
}

// pageStore keeps the pages that were laid out last: packing them takes
// seconds, and the window asks for them page by page.
type pageStore struct {
	// turn is held by the one who lays out or looks.
	turn chan struct{}
	// key is that of the pattern and of how it is laid out; doc is the document
	// whose pages were made.
	key  [sha256.Size]byte
	doc  draw.Document
	made *draw.Set
}

func newPageStore() *pageStore { return &pageStore{turn: make(chan struct{}, 1)} }

// of returns a print's pages and the document that they are of. What was laid out
// before is not laid out again, even when the cover says something else by now.
// It ends with the context's error when that is done.
func (s *pageStore) of(ctx context.Context, x session.Printout) (*draw.Set, draw.Document, error) {
	doc, err := documentOf(x)
	if err != nil {
		return nil, doc, err
	}
	raw, err := pattern.Encode(x.Pattern)
	if err != nil {
		return nil, doc, err
	}
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-ctx.Done():
		return nil, doc, ctx.Err()
	}
	key, made := sha256.Sum256(fmt.Appendf(raw, "%+v", x.Print.Laid())), s.made
	switch {
	case made == nil || key != s.key:
		if made, err = draw.PagesContext(ctx, doc); err != nil {
			return nil, doc, err
		}
	case !sameCover(doc, s.doc):
		made = draw.PagesAs(doc, made)
	}
	s.key, s.doc, s.made = key, doc, made
	return made, doc, nil
}

// sameCover reports whether the covers of two documents of one pattern say the
// same: their notes, and the day.
func sameCover(a, b draw.Document) bool {
	const day = "2006-01-02"
	return slices.Equal(a.Notes, b.Notes) && a.Date.Format(day) == b.Date.Format(day)
}

// documentOf is the document of a print: the pattern's, with what the cover says
// of the photographs.
func documentOf(x session.Printout) (draw.Document, error) {
	doc, err := printed(x.Pattern, x.Print)
	if err == nil && len(x.Parts) > 0 {
		doc.Notes = notesOf(reportOf(x.Parts))
	}
	return doc, err
}

// ShowPage draws a page as it will be printed.
func (b bench) ShowPage(ctx context.Context, x session.Printout, at, widthPx int) (image.Image, string, int, error) {
	set, _, err := b.pages.of(ctx, x)
	if err != nil {
		return nil, "", 0, err
	}
	shown := &set.Pages[max(0, min(at, len(set.Pages)-1))]
	const mmPerInch = 25.4
	im, err := picture.Render(shown, float64(widthPx)/shown.WidthMM*mmPerInch)
	return im, shown.Name, len(set.Pages), err
}

// printed is the document that the window exports.
func printed(p pattern.Pattern, print session.Print) (draw.Document, error) {
	setup := page.DefaultSetup()
	var err error
	if setup.Paper, err = page.PaperByName(print.Paper); err != nil {
		return draw.Document{}, err
	}
	setup.Orientation = page.Orientation(print.Orientation)
	setup.MarginMM, setup.OverlapMM, setup.Packed = print.MarginMM, print.OverlapMM, print.Packed
	if !print.Packed {
		setup.ShiftMM = mat.Point{X: print.ShiftXMM, Y: print.ShiftYMM}
	}
	setup.Printer = page.Printer{Short: print.ShortMM / session.SquareMM, Long: print.LongMM / session.SquareMM}
	if err := setup.Check(); err != nil {
		return draw.Document{}, err
	}
	return draw.Document{Title: nameOf(p.Name), Date: now(), Pattern: p, Setup: setup}, nil
}
