// Package export turns a pattern into the files a maker prints, cuts from and
// keeps: a tiled PDF, an SVG, a DXF and a report. All or none of them are written.
package export

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"flatwright/export/bundle"
	"flatwright/export/dxf"
	"flatwright/export/page/draw"
	"flatwright/export/pdf"
	"flatwright/export/report"
	"flatwright/export/svg"
)

// Names of the files that WriteAll writes.
const (
	PDFName    = "pattern.pdf"
	SVGName    = "pattern.svg"
	DXFName    = "pattern.dxf"
	BundleName = "pattern.zip"
	ReportName = "report.json"
)

// Options say what WriteAll writes besides PDF, SVG and report.
type Options struct {
	// DXF is the form of pattern.dxf; none is written without one.
	DXF dxf.Form
	// Bundle asks for pattern.zip, with all that another maker needs.
	Bundle bool
}

// WriteAll writes pattern.pdf, pattern.svg, what the options ask for, and
// report.json to a folder, which is made if need be. Pieces, sheets, files and the time taken are filled
// into the report, which is returned as written.
//
// Each file is first written whole under a passing name in the same folder;
// only when all are there do they take their places. On an error nothing is
// left behind and files that were there before are as they were. A program
// that is killed leaves each file whole, old or new, and perhaps files under
// passing names, which the next export into the folder removes. A context that
// is done before the files take their places is such an error.
func WriteAll(ctx context.Context, dir string, doc draw.Document, o Options, r report.Report) (report.Report, error) {
	start := time.Now()
	set, err := draw.PagesContext(ctx, doc)
	if err != nil {
		return r, err
	}
	fill(&r, doc, set)
	files := []File{
		{PDFName, func(w io.Writer) error { return pdf.WriteSet(w, set, doc) }},
		{SVGName, func(w io.Writer) error { return svg.Write(w, doc.Pattern) }},
	}
	if o.DXF != "" {
		files = append(files, File{DXFName, func(w io.Writer) error { return dxf.Write(w, doc.Pattern, o.DXF) }})
	}
	if o.Bundle {
		files = append(files, File{BundleName, func(w io.Writer) error { return bundle.Write(ctx, w, doc) }})
	}
	files = append(files, File{ReportName, func(w io.Writer) error {
		r.Timings = append(r.Timings, report.Timing{Stage: "export", MS: float64(time.Since(start).Microseconds()) / 1000})
		return report.Write(w, r)
	}})
	r.Files = nil
	for _, f := range files {
		r.Files = append(r.Files, f.Name)
	}
	return r, ReplaceContext(ctx, dir, files)
}

func fill(r *report.Report, doc draw.Document, set *draw.Set) {
	r.Title = set.Title
	r.Pieces = report.PiecesOf(doc.Pattern)
	r.Seams = report.SeamsOf(doc.Pattern)
	r.Findings = report.FindingsOf(doc.Pattern)
	l := set.Layout
	r.Sheets = report.Sheets{
		Paper: l.Setup.Paper.Name, Tiles: len(l.Tiles), Pages: len(set.Pages),
		Blank: l.Rows*l.Cols - len(l.Tiles), Layout: "as laid",
	}
	if l.Packed {
		r.Sheets.Blank, r.Sheets.Layout = 0, "packed"
	}
}

// File is a file to be written: its name in the folder, and what writes it.
type File struct {
	Name  string
	Write func(io.Writer) error
}

// Replace writes files to a folder so that all or none of them take effect.
func Replace(dir string, files []File) error {
	return ReplaceContext(context.Background(), dir, files)
}

// ReplaceContext is Replace, which leaves all as it was and ends with the
// context's error when that is done before the files take their places. Once
// they begin to, it goes on to the end: that takes no time.
func ReplaceContext(ctx context.Context, dir string, files []File) (err error) {
	made, err := makeDir(dir)
	if err != nil {
		return err
	}
	s := &swap{dir: dir}
	here, err := enter(dir)
	if err != nil {
		return errors.Join(err, removeDirs(made))
	}
	defer func() {
		if err == nil {
			here.leave()
			return
		}
		if failed := s.undo(); failed != nil {
			here.abandon()
			err = errors.Join(err, failed)
			return
		}
		here.leave()
		err = errors.Join(err, removeDirs(made))
	}()
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := s.prepare(f); err != nil {
			return err
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	for i := range s.items {
		if err := s.items[i].take(); err != nil {
			return err
		}
	}
	s.clear()
	return nil
}

// makeDir makes a folder and returns those that were missing, deepest first.
func makeDir(dir string) (made []string, err error) {
	for d := filepath.Clean(dir); ; d = filepath.Dir(d) {
		if _, err := os.Stat(d); !errors.Is(err, os.ErrNotExist) {
			break
		}
		made = append(made, d)
		if d == filepath.Dir(d) {
			break
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, errors.Join(fmt.Errorf("the folder %s could not be made; choose another: %w", dir, err), removeDirs(made))
	}
	return made, nil
}

// removeDirs removes folders that are empty.
func removeDirs(dirs []string) error {
	for _, d := range dirs {
		if err := os.Remove(d); err != nil && !errors.Is(err, os.ErrNotExist) {
			return err
		}
	}
	return nil
}
