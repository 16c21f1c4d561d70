package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"flatwright/app/project"
	"flatwright/export"
	"flatwright/export/bundle"
	"flatwright/export/dxf"
	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/lettering"
	"flatwright/export/pdf"
	"flatwright/export/report"
	"flatwright/export/svg"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

const exportUsage = `flatwright export PROJECT --out DIR [--format pdf,svg,…]

Writes the files of a project into DIR: as make does, or only those that
--format names. What is not said is as the project was last written. The
project may be open in the window meanwhile, and is not changed.

`

// The formats that --format knows.
const (
	formatPDF     = "pdf"
	formatSVG     = "svg"
	formatDXF     = "dxf"
	formatZip     = "zip"
	formatPattern = "pattern"
	formatPhotos  = "photos"
)

// patternName is the file of the pattern as JSON.
const patternName = "pattern.json"

// exportArguments are the export command's options.
type exportArguments struct {
	project, outDir string
	formats         []string
	paper           paperTexts
	flags           *flag.FlagSet
	dxf             string
	bundle          bool
	json, quiet     bool
}

// parseExport reads the export command's arguments.
func parseExport(args []string, out io.Writer) (exportArguments, error) {
	var a exportArguments
	a.flags = flag.NewFlagSet("export", flag.ContinueOnError)
	formats := a.register(a.flags)
	words, err := parseMixed(a.flags, args, exportUsage, out)
	switch {
	case err != nil:
		return a, err
	case len(words) != 1:
		return a, &usageError{"give one project to export; see flatwright export --help"}
	case a.outDir == "":
		return a, &usageError{"say where to write, for instance --out pattern"}
	}
	a.project = words[0]
	if a.formats, err = parseFormats(*formats); err != nil {
		return a, err
	}
	if _, err := a.paper.parse(); err != nil {
		return a, err
	}
	switch dxf.Form(strings.ToLower(a.dxf)) {
	case "", dxf.Splines, dxf.Polylines, dxf.R12, "none":
		return a, nil
	}
	return a, &usageError{fmt.Sprintf("--dxf %q is none of splines, polylines, r12, none", a.dxf)}
}

// register adds the options to a command's, and returns the text of --format.
func (a *exportArguments) register(fs *flag.FlagSet) (formats *string) {
	fs.StringVar(&a.outDir, "out", "", "`folder` to write to; made when missing")
	formats = fs.String("format", "", "write only these, a `list` like pdf,svg: pdf, svg, dxf, zip (all that another maker needs), pattern (the pattern as JSON), photos (the photographs as they came)")
	a.paper.register(fs)
	fs.StringVar(&a.dxf, "dxf", "", "how pattern.dxf is written, a `form`: splines (exact), polylines, r12 (polylines for old cutters), or none")
	fs.BoolVar(&a.bundle, "bundle", false, "also write pattern.zip, with all that another maker needs")
	fs.BoolVar(&a.json, "json", false, "print the report as JSON on standard output")
	fs.BoolVar(&a.quiet, "quiet", false, "print nothing but errors")
	return formats
}

// parseFormats reads --format; none of an empty text.
func parseFormats(text string) ([]string, error) {
	if text == "" {
		return nil, nil
	}
	var list []string
	for _, f := range strings.Split(strings.ToLower(text), ",") {
		f = strings.TrimSpace(f)
		switch f {
		case formatPDF, formatSVG, formatDXF, formatZip, formatPattern, formatPhotos:
		default:
			return nil, &usageError{fmt.Sprintf("--format %q is none of pdf, svg, dxf, zip, pattern, photos", f)}
		}
		if !slices.Contains(list, f) {
			list = append(list, f)
		}
	}
	return list, nil
}

// runExport writes a project's files. On an error nothing is written.
func runExport(ctx context.Context, args []string, out, errs io.Writer) error {
	a, err := parseExport(args, out)
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	if err != nil {
		return err
	}
	p, err := project.OpenReadOnly(ctx, a.project)
	if err != nil {
		return err
	}
	defer p.Close()
	e, err := a.read(p)
	if err != nil {
		return err
	}
	if err := aside(errs, a.quiet, e.notes...); err != nil {
		return err
	}
	if len(a.formats) > 0 {
		return e.some(ctx, a, p, out)
	}
	r, err := export.WriteAll(ctx, a.outDir, e.doc, e.files, e.report)
	if err != nil {
		return notWritten(a.outDir, err)
	}
	return printReport(out, r, makeArguments{outDir: a.outDir, json: a.json, quiet: a.quiet})
}

// missingText says what a damaged project has lost; empty when it has not.
func missingText(p *project.Project) string {
	lost := p.Missing()
	if len(lost) == 0 {
		return ""
	}
	return lettering.OneLine(fmt.Sprintf("The project is damaged: %s.", strings.Join(lost, "; ")))
}

// exported is what is written.
type exported struct {
	doc    draw.Document
	files  export.Options
	report report.Report
	// notes are sentences for the maker.
	notes []string
}

// read takes pattern and settings out of a project.
func (a exportArguments) read(p *project.Project) (exported, error) {
	e := exported{notes: []string{missingText(p)}}
	s, err := p.Current()
	if err != nil {
		return e, err
	}
	if len(s.Pattern.Pieces) == 0 {
		text := "trace a photograph in the window and mark it up first"
		if e.notes[0] != "" {
			text = e.notes[0]
		}
		return e, fmt.Errorf("there are no pieces in the project %s: %s", a.project, text)
	}
	kept, err := a.kept(p, &e)
	if err != nil {
		return e, err
	}
	e.files = a.options(kept)
	title := s.Pattern.Name
	if title == "" {
		title = nameOf(a.project)
	}
	e.doc.Title, e.doc.Author, e.doc.Date, e.doc.Pattern = title, kept.Author, now(), s.Pattern
	if e.report.Photo.Name != "" {
		e.doc.Notes = notesOf(e.report)
	}
	return e, nil
}

// kept reads how the project was last written, and lays the paper out by it.
// What cannot be read or used of it is said, and the usual takes its place: it
// is the pattern that matters.
func (a exportArguments) kept(p *project.Project, e *exported) (project.Export, error) {
	kept := usualExport()
	_, err := p.Setting(project.ForExport, &kept)
	if err == nil {
		e.doc.Setup, err = a.setup(kept)
	}
	if err != nil {
		kept = usualExport()
		var again error
		if e.doc.Setup, again = a.setup(kept); again != nil {
			return kept, again // what was asked for is wrong
		}
		e.notes = append(e.notes, lettering.OneLine(fmt.Sprintf("How the project was last written cannot be used (%v); it is written the usual way.", err)))
	}
	if _, err := p.Setting(project.ForReport, &e.report); err != nil {
		e.report = report.Report{}
		e.notes = append(e.notes, lettering.OneLine(fmt.Sprintf("What is known of the photographs is left out: %v.", err)))
	}
	e.report.Timings = nil
	return kept, nil
}

// setup is how the pattern is laid out: as was said, else as it was before.
func (a exportArguments) setup(kept project.Export) (page.Setup, error) {
	s, err := a.paper.parse()
	if err != nil {
		return s, err
	}
	if !given(a.flags, "paper") && kept.Paper != "" {
		if s.Paper, err = page.PaperByName(kept.Paper); err != nil {
			return s, err
		}
	}
	if !given(a.flags, "orientation") && kept.Orientation != "" {
		s.Orientation = page.Orientation(strings.ToLower(kept.Orientation))
	}
	if !given(a.flags, "margin") {
		s.MarginMM = kept.MarginMM
	}
	if !given(a.flags, "overlap") {
		s.OverlapMM = kept.OverlapMM
	}
	if !given(a.flags, "layout") {
		s.Packed = kept.Packed
	}
	if !given(a.flags, "printed") {
		s.Printer = page.Printer{Short: kept.PrinterShort, Long: kept.PrinterLong}
	}
	if given(a.flags, "paper") || given(a.flags, "orientation") || given(a.flags, "margin") || given(a.flags, "overlap") {
		kept.ShiftXMM, kept.ShiftYMM = 0, 0 // the joins lie elsewhere then
	}
	s.ShiftMM = mat.Point{X: kept.ShiftXMM, Y: kept.ShiftYMM}
	return s, checkPaper(s)
}

// options are the files beside PDF, SVG and report.
func (a exportArguments) options(kept project.Export) export.Options {
	o := export.Options{DXF: dxf.Form(kept.DXF), Bundle: kept.Bundle || a.bundle}
	if a.dxf != "" {
		o.DXF = dxf.Form(strings.ToLower(a.dxf))
	}
	if o.DXF == "none" {
		o.DXF = ""
	}
	return o
}

// some writes the formats that were named, and says which files they are.
func (e exported) some(ctx context.Context, a exportArguments, p *project.Project, out io.Writer) error {
	files, err := e.named(ctx, a.formats, p)
	if err != nil {
		return err
	}
	if err := export.ReplaceContext(ctx, a.outDir, files); err != nil {
		return notWritten(a.outDir, err)
	}
	if a.quiet {
		return nil
	}
	for _, f := range files {
		if _, err := fmt.Fprintln(out, filepath.Join(a.outDir, f.Name)); err != nil {
			return err
		}
	}
	return nil
}

// named are the files of the formats that were named.
func (e exported) named(ctx context.Context, formats []string, p *project.Project) ([]export.File, error) {
	form := e.files.DXF
	if form == "" {
		form = dxf.Splines
	}
	var files []export.File
	for _, f := range formats {
		switch f {
		case formatPDF:
			files = append(files, export.File{Name: export.PDFName, Write: func(w io.Writer) error { return e.writePDF(ctx, w) }})
		case formatSVG:
			files = append(files, export.File{Name: export.SVGName, Write: func(w io.Writer) error { return svg.Write(w, e.doc.Pattern) }})
		case formatDXF:
			files = append(files, export.File{Name: export.DXFName, Write: func(w io.Writer) error { return dxf.Write(w, e.doc.Pattern, form) }})
		case formatZip:
			files = append(files, export.File{Name: export.BundleName, Write: func(w io.Writer) error { return bundle.Write(ctx, w, e.doc) }})
		case formatPattern:
			files = append(files, export.File{Name: patternName, Write: e.writePattern})
		case formatPhotos:
			list, err := p.Photos()
			if err != nil {
				return nil, err
			}
			for k, photo := range list {
				files = append(files, export.File{Name: photoFile(k, photo.Name), Write: func(w io.Writer) error { return p.WritePhoto(ctx, photo.ID, w) }})
			}
		}
	}
	if len(files) == 0 {
		return nil, errors.New("the project holds no photographs, so there is nothing to write")
	}
	return files, nil
}

func (e exported) writePDF(ctx context.Context, w io.Writer) error {
	set, err := draw.PagesContext(ctx, e.doc)
	if err != nil {
		return err
	}
	return pdf.WriteSet(w, set, e.doc)
}

func (e exported) writePattern(w io.Writer) error {
	b, err := pattern.Encode(e.doc.Pattern)
	if err != nil {
		return err
	}
	_, err = w.Write(append(b, '\n'))
	return err
}

// photoFile names a photograph's file. The name in a project may come from a
// stranger, so that only its end is taken, and only what every system allows
// in a name.
func photoFile(k int, name string) string {
	const most = 100
	clean := strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune(`<>:"|?*/\`, r) || r == os.PathSeparator {
			return '_'
		}
		return r
	}, name)
	for len(clean) > most {
		clean = string([]rune(clean)[1:])
	}
	return fmt.Sprintf("photograph %d %s", k+1, strings.TrimSpace(clean))
}
