package main

import (
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"io"
	"path/filepath"
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
	"flatwright/export/report"
	"flatwright/export/svg"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

var (
	_ desk.SeveralExporter = bench{}
	_ desk.PageShower      = bench{}
	_ desk.SheetPlacer     = bench{}
	_ desk.PaperChecker    = bench{}
)

// Export writes the PDF and what else was asked for, all or nothing.
func (b bench) Export(ctx context.Context, path string, s *rectify.Squared, p pattern.Pattern, print session.Print) error {
	var r report.Report
	if s != nil {
		r.Photo, r.Calibration = report.Photo{Name: s.Photo.Name}, report.CalibrationOf(s, p.Nodes())
	}
	return b.writePrint(ctx, path, p, print, r)
}

// ExportSeveral does so for a pattern of several photographs.
func (b bench) ExportSeveral(ctx context.Context, path string, parts []session.Part, p pattern.Pattern, print session.Print) error {
	return b.writePrint(ctx, path, p, print, reportOf(parts))
}

// writePrint writes a pattern's files beside each other. What was laid out for
// the window is not laid out again.
func (b bench) writePrint(ctx context.Context, path string, p pattern.Pattern, print session.Print, r report.Report) error {
	doc, err := printed(p, print)
	if err != nil {
		return err
	}
	if r.Photo.Name != "" {
		doc.Notes = notesOf(r)
	}
	like, err := b.pages.of(ctx, p, print)
	if err != nil {
		return err
	}
	name := filepath.Base(path)
	stem := strings.TrimSuffix(name, filepath.Ext(name))
	files := []export.File{{Name: name, Write: func(w io.Writer) error { return pdf.WriteSet(w, draw.PagesAs(doc, like), doc) }}}
	if print.SVG {
		files = append(files, export.File{Name: stem + ".svg", Write: func(w io.Writer) error { return svg.Write(w, p) }})
	}
	if print.DXF {
		files = append(files, export.File{Name: stem + ".dxf", Write: func(w io.Writer) error { return dxf.Write(w, p, dxf.Splines) }})
	}
	if print.Bundle {
		files = append(files, export.File{Name: stem + ".zip", Write: func(w io.Writer) error { return bundle.Write(ctx, w, doc) }})
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
func (b bench) Pages(ctx context.Context, p pattern.Pattern, print session.Print) (int, error) {
	set, err := b.pages.of(ctx, p, print)
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
	key  [sha256.Size]byte
	made *draw.Set
}

func newPageStore() *pageStore { return &pageStore{turn: make(chan struct{}, 1)} }

// of lays a pattern out, or returns what was laid out for it before. It ends with
// the context's error when that is done.
func (s *pageStore) of(ctx context.Context, p pattern.Pattern, print session.Print) (*draw.Set, error) {
	raw, err := pattern.Encode(p)
	if err != nil {
		return nil, err
	}
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	print = print.Laid()
	key := sha256.Sum256(fmt.Appendf(raw, "%+v", print))
	if s.made != nil && key == s.key {
		return s.made, nil
	}
	doc, err := printed(p, print)
	if err != nil {
		return nil, err
	}
	set, err := draw.PagesContext(ctx, doc)
	if err != nil {
		return nil, err
	}
	s.key, s.made = key, set
	return set, nil
}

// ShowPage draws a page as it will be printed.
func (b bench) ShowPage(ctx context.Context, p pattern.Pattern, print session.Print, at, widthPx int) (image.Image, string, int, error) {
	set, err := b.pages.of(ctx, p, print)
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
