package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"flatwright/app/project"
	"flatwright/export"
	"flatwright/export/dxf"
	"flatwright/export/sheet"
	"flatwright/trace/pattern"
)

const sheetsUsage = `flatwright sheet PROJECT --stock 24x60in --out DIR

Plans which sheets the pieces of a project are cut from and how they lie on
them, and writes a picture, an SVG and a DXF of every sheet into DIR. PROJECT
is a project file, or the pattern.json of a bundle.

`

// sheetArguments are the sheet command's options, checked.
type sheetArguments struct {
	file, outDir string
	options      sheet.Options
	dxf          dxf.Form
	formats      []sheet.Format
	json, quiet  bool
}

// parseSheets reads the sheet command's arguments.
func parseSheets(args []string, out io.Writer) (sheetArguments, error) {
	var a sheetArguments
	fs := flag.NewFlagSet("sheet", flag.ContinueOnError)
	x := a.register(fs)
	words, err := parseMixed(fs, args, sheetsUsage, out)
	if err != nil {
		return a, err
	}
	switch {
	case len(words) != 1:
		return a, &usageError{"give one project to cut; see flatwright sheet --help"}
	case a.outDir == "":
		return a, &usageError{"say where to write, for instance --out sheets"}
	case len(x.stock) == 0:
		return a, &usageError{"say what there is to cut from, for instance --stock 24x60in"}
	case !(x.seconds > 0 && x.seconds <= 86400):
		return a, &usageError{fmt.Sprintf("--seconds %g is not a time; write a number of seconds above 0, up to 86400, a day", x.seconds)}
	case a.options.Moves < 0:
		return a, &usageError{"--moves counts from 1"}
	}
	a.file = words[0]
	if a.options.Time = time.Duration(x.seconds * float64(time.Second)); a.options.Moves > 0 && !given(fs, "seconds") {
		a.options.Time = 0
	}
	return a, a.read(x)
}

// sheetTexts are the sheet command's options as they were written.
type sheetTexts struct {
	stock                   list
	gap, margin, turns, dxf string
	seconds                 float64
}

// register adds the options to a command's.
func (a *sheetArguments) register(fs *flag.FlagSet) *sheetTexts {
	x := &sheetTexts{}
	fs.Var(&x.stock, "stock", "a `size` to cut from, width and length: 24x60in, 600x1000mm, with a third number for the thickness; \"roll 24in\" is a roll of that width; :3 at the end says that there are three. May be repeated; used in that order")
	fs.StringVar(&a.outDir, "out", "", "`folder` to write to; made when missing")
	fs.StringVar(&x.gap, "gap", "3mm", "`width` left between the cuts of two pieces")
	fs.StringVar(&x.margin, "margin", "5mm", "`width` left along a sheet's edges")
	fs.StringVar(&x.turns, "turns", "any", "turns that are allowed, `degrees` from how a piece lies in the pattern: any, or a list like 0,180 for stuff with a grain")
	fs.Float64Var(&x.seconds, "seconds", 20, "how many `seconds` to look for a better plan")
	fs.IntVar(&a.options.Moves, "moves", 0, "stop after this `number` of moves, which makes the plan the same on every machine")
	fs.StringVar(&x.dxf, "dxf", "splines", "how the DXF files are written, a `form`: splines, polylines, r12, or none")
	fs.BoolVar(&a.json, "json", false, "print the plan as JSON on standard output")
	fs.BoolVar(&a.quiet, "quiet", false, "print nothing but errors")
	return x
}

// given reports whether an option was written.
func given(fs *flag.FlagSet, name string) (found bool) {
	fs.Visit(func(f *flag.Flag) { found = found || f.Name == name })
	return found
}

// read reads the options that are more than text.
func (a *sheetArguments) read(x *sheetTexts) error {
	for _, text := range x.stock {
		s, err := readStock(text)
		if err != nil {
			return err
		}
		a.options.Stock = append(a.options.Stock, s)
	}
	var err error
	if a.options.GapMM, err = readFromZero(x.gap, 200); err != nil {
		return badLength(err, fmt.Sprintf("--gap %q is not a length up to 200 mm; write it like 3mm or 1/8in", x.gap))
	}
	if a.options.MarginMM, err = readFromZero(x.margin, 500); err != nil {
		return badLength(err, fmt.Sprintf("--margin %q is not a length up to 500 mm; write it like 5mm or 1/4in", x.margin))
	}
	if x.turns != "any" {
		for _, t := range strings.Split(x.turns, ",") {
			deg, err := strconv.ParseFloat(strings.TrimSpace(t), 64)
			if err != nil || !(deg >= -360 && deg <= 360) {
				return &usageError{fmt.Sprintf("--turns %q is neither any nor a list of degrees like 0,180", x.turns)}
			}
			a.options.TurnsDeg = append(a.options.TurnsDeg, deg)
		}
	}
	a.formats = []sheet.Format{sheet.PNG, sheet.SVG, sheet.DXF}
	switch a.dxf = dxf.Form(strings.ToLower(x.dxf)); a.dxf {
	case dxf.Splines, dxf.Polylines, dxf.R12:
	case "none":
		a.formats = a.formats[:2]
	default:
		return &usageError{fmt.Sprintf("--dxf %q is none of splines, polylines, r12, none", x.dxf)}
	}
	return nil
}

// runSheets plans sheets and writes them.
func runSheets(ctx context.Context, args []string, out, errs io.Writer) error {
	a, err := parseSheets(args, out)
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	if err != nil {
		return err
	}
	p, missing, err := patternIn(ctx, a.file)
	if err != nil {
		return err
	}
	if err := aside(errs, a.quiet, missing); err != nil {
		return err
	}
	ticker := newTicker(errs, a.quiet)
	defer ticker.close()
	a.options.Progress = func(at sheet.Progress) {
		ticker.tell(fmt.Sprintf("laying out the sheets, %d so far", at.Sheets), at.Share)
	}
	r, err := sheet.Plan(ctx, p, a.options)
	if err != nil {
		return err
	}
	if len(r.Sheets) == 0 {
		return fmt.Errorf("no piece of %s has room on the sheets given. %s", filepath.Base(a.file), leftText(p, r))
	}
	made, err := sheet.Files(r, a.formats, a.dxf)
	if err != nil {
		return err
	}
	files := make([]export.File, len(made))
	names := make([]string, len(made))
	for i, f := range made {
		files[i], names[i] = export.File(f), f.Name
	}
	if err := export.ReplaceContext(ctx, a.outDir, files); err != nil {
		return notWritten(a.outDir, err)
	}
	ticker.close()
	return a.print(out, p, r, names)
}

// patternIn reads the pattern of a project file, or of a JSON file as a bundle
// holds it; missing says what a damaged project has lost.
func patternIn(ctx context.Context, path string) (_ pattern.Pattern, missing string, err error) {
	if !strings.EqualFold(filepath.Ext(path), ".json") {
		p, err := project.OpenReadOnly(ctx, path)
		if err != nil {
			return pattern.Pattern{}, "", err
		}
		defer p.Close()
		state, err := p.Current()
		return state.Pattern, missingText(p), err
	}
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return pattern.Pattern{}, "", fmt.Errorf("there is no such file as %s: check its name and its folder", path)
	}
	if err != nil {
		return pattern.Pattern{}, "", fmt.Errorf("%s cannot be read: %w", path, err)
	}
	defer f.Close()
	const most = 64 << 20
	raw, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return pattern.Pattern{}, "", fmt.Errorf("%s cannot be read: %w", path, err)
	}
	if len(raw) > most {
		return pattern.Pattern{}, "", fmt.Errorf("%s is larger than %d MiB, so it is no pattern", path, most>>20)
	}
	p, err := pattern.Decode(raw)
	if err != nil {
		return p, "", fmt.Errorf("%s: %w", path, err)
	}
	return p, "", nil
}

// leftText names the pieces that found no room and says why, those with one
// reason together.
func leftText(p pattern.Pattern, r sheet.Result) string {
	var whys, parts []string
	names := map[string][]string{}
	for _, l := range r.Left {
		if names[l.Why] == nil {
			whys = append(whys, l.Why)
		}
		names[l.Why] = append(names[l.Why], pieceName(p.Pieces[l.Index]))
	}
	for _, why := range whys {
		parts = append(parts, fmt.Sprintf("%s: %s", strings.Join(names[why], ", "), why))
	}
	return strings.Join(parts, "; ")
}

// pieceName is a piece's letter, and its name where it has one.
func pieceName(p pattern.Piece) string {
	if p.Name == "" {
		return "piece " + p.ID
	}
	return fmt.Sprintf("piece %s, %q", p.ID, p.Name)
}

// sheetReport is a plan as JSON.
type sheetReport struct {
	Sheets []sheetLine `json:"sheets"`
	Yield  float64     `json:"yield"`
	Left   []string    `json:"left"`
	Notes  []string    `json:"notes"`
	Moves  int         `json:"moves"`
	Files  []string    `json:"files"`
}

// sheetLine is one sheet of a plan.
type sheetLine struct {
	Name        string   `json:"name"`
	LengthMM    float64  `json:"length_mm"`
	WidthMM     float64  `json:"width_mm"`
	ThicknessMM float64  `json:"thickness_mm"`
	Yield       float64  `json:"yield"`
	Pieces      []laidOn `json:"pieces"`
}

// laidOn is a copy of a piece on a sheet.
type laidOn struct {
	Piece    string  `json:"piece"`
	Copy     int     `json:"copy"`
	Mirrored bool    `json:"mirrored"`
	TurnDeg  float64 `json:"turn_deg"`
}

// print tells the plan, for people or for programs.
func (a *sheetArguments) print(out io.Writer, p pattern.Pattern, r sheet.Result, files []string) error {
	if a.json {
		return writeSheetReport(out, p, r, files)
	}
	if a.quiet {
		return nil
	}
	for i := range r.Sheets {
		fmt.Fprintf(out, "%s\n  %s\n", r.Title(i), r.Sheets[i].Facts())
	}
	fmt.Fprintf(out, "%.1f %% of the sheets in use are pieces.\n", 100*r.Yield)
	for _, n := range r.Notes {
		fmt.Fprintln(out, n)
	}
	if len(r.Left) > 0 {
		fmt.Fprintf(out, "Without room: %s\n", leftText(p, r))
	}
	for _, f := range files {
		fmt.Fprintln(out, filepath.Join(a.outDir, f))
	}
	return nil
}

func writeSheetReport(out io.Writer, p pattern.Pattern, r sheet.Result, files []string) error {
	v := sheetReport{Yield: r.Yield, Notes: r.Notes, Moves: r.Moves, Files: files, Left: []string{}}
	if v.Notes == nil {
		v.Notes = []string{}
	}
	for _, s := range r.Sheets {
		line := sheetLine{Name: s.Name, LengthMM: s.LengthMM, WidthMM: s.WidthMM, ThicknessMM: s.ThicknessMM, Yield: s.Yield}
		for _, q := range s.Pieces {
			line.Pieces = append(line.Pieces, laidOn{p.Pieces[q.Index].ID, q.Copy + 1, q.Mirrored, q.TurnDeg})
		}
		v.Sheets = append(v.Sheets, line)
	}
	for _, l := range r.Left {
		v.Left = append(v.Left, p.Pieces[l.Index].ID)
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}
