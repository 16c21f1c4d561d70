package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
)

// lengthOption is an option that takes a length, or sides.
type lengthOption struct {
	// before stands before the option, write is how the length is written in it,
	// as it is when it is nil.
	before []string
	write  func(length string) string
	// got reads the arguments and returns the lengths of the option, in mm.
	got         func(args []string) ([]float64, error)
	least, most float64
	zero        bool
}

func one(mm float64, err error) ([]float64, error) { return []float64{mm}, err }

// onMake is an option of make, got from what it reads.
func onMake(least, most float64, of func(a makeArguments) []float64) lengthOption {
	return lengthOption{
		before: []string{"make", "nowhere.jpg", "--out", "nowhere", "--pitch", "1in"}, least: least, most: most,
		got: func(args []string) ([]float64, error) {
			a, err := parseMake(args, io.Discard)
			if err != nil {
				return nil, err
			}
			return of(a), nil
		},
	}
}

// onSquaring is an option on squaring up, of make and of square.
func onSquaring(all map[string]lengthOption, name string, o lengthOption, of func(q *squaring) []float64) {
	o.got = func(args []string) ([]float64, error) {
		a, err := parseMake(args, io.Discard)
		if err != nil {
			return nil, err
		}
		return of(a.squaring), nil
	}
	o.before = append([]string{"make", "nowhere.jpg", "--out", "nowhere"}, o.before...)
	all["make --"+name] = o
	o.got = func(args []string) ([]float64, error) {
		a, err := parseSquare(args, io.Discard)
		if err != nil {
			return nil, err
		}
		return of(a.squaring), nil
	}
	o.before = append([]string{"square", "nowhere.jpg"}, o.before[4:]...)
	all["square --"+name] = o
}

// onPaper is an option on paper, of make and of export.
func onPaper(all map[string]lengthOption, name string, o lengthOption, of func(x makeArguments) []float64) {
	m := onMake(o.least, o.most, of)
	m.zero = o.zero
	all["make --"+name] = m
	m.before = []string{"export", "nowhere.flatwright", "--out", "nowhere"}
	m.got = func(args []string) ([]float64, error) {
		a, err := parseExport(args, io.Discard)
		if err != nil {
			return nil, err
		}
		s, err := a.setup(usualExport())
		return of(makeArguments{setup: s}), err
	}
	all["export --"+name] = m
}

func behind(prefix string) func(string) string {
	return func(length string) string { return prefix + length }
}

// lengthOptions are all of them.
func lengthOptions() map[string]lengthOption {
	all := map[string]lengthOption{}
	pitch := []string{"--pitch", "1in"}
	onSquaring(all, "pitch", lengthOption{least: 1, most: 1000}, func(q *squaring) []float64 { return []float64{q.options.PitchMM} })
	onSquaring(all, "across", lengthOption{before: []string{"--pitch", "9.7mm"}, write: behind("1="), least: 9.5, most: 10}, func(q *squaring) []float64 { return []float64{q.spans[0].LengthMM} })
	onSquaring(all, "down", lengthOption{before: []string{"--pitch", "9.7mm"}, write: behind("1="), least: 9.5, most: 10}, func(q *squaring) []float64 { return []float64{q.spans[1].LengthMM} })
	onSquaring(all, "raised", lengthOption{before: pitch, most: 200, zero: true}, func(q *squaring) []float64 { return []float64{q.options.Raised.ThicknessMM} })
	onSquaring(all, "camera-height", lengthOption{before: append(pitch, "--raised", "5mm"), least: 6, most: 1e5}, func(q *squaring) []float64 { return []float64{q.options.Raised.CameraHeightMM} })
	onSquaring(all, "check", lengthOption{before: pitch, write: behind("1,1:9,9="), most: 1e5}, func(q *squaring) []float64 { return []float64{q.known[0].knownMM} })
	onSquaring(all, "sheet", lengthOption{most: 1e5}, func(q *squaring) []float64 {
		return []float64{q.options.Rectangle.WidthMM, q.options.Rectangle.HeightMM}
	})
	all["make --thickness"] = onMake(0, 200, func(a makeArguments) []float64 { return []float64{a.thicknessMM} })
	all["make --tolerance"] = onMake(0.01, 5, func(a makeArguments) []float64 { return []float64{a.toleranceMM} })
	onPaper(all, "margin", lengthOption{least: 5, most: 50}, func(a makeArguments) []float64 { return []float64{a.setup.MarginMM} })
	onPaper(all, "overlap", lengthOption{most: 40, zero: true}, func(a makeArguments) []float64 { return []float64{a.setup.OverlapMM} })
	onPaper(all, "paper", lengthOption{least: 180, most: 5000}, func(a makeArguments) []float64 {
		return []float64{a.setup.Paper.WidthMM, a.setup.Paper.HeightMM}
	})
	onPaper(all, "printed", lengthOption{least: 97.1, most: 102.9}, func(a makeArguments) []float64 {
		return []float64{a.setup.Printer.Short * 100, a.setup.Printer.Long * 100}
	})
	sheet := func(name string, most float64, of func(a sheetArguments) []float64) {
		all["sheet --"+name] = lengthOption{
			before: []string{"sheet", "nowhere.json", "--out", "nowhere"}, most: most, zero: name != "stock",
			got: func(args []string) ([]float64, error) {
				if name != "stock" {
					args = append(args, "--stock", "24x60in")
				}
				a, err := parseSheets(args, io.Discard)
				if err != nil {
					return nil, err
				}
				return of(a), nil
			},
		}
	}
	sheet("gap", 200, func(a sheetArguments) []float64 { return []float64{a.options.GapMM} })
	sheet("margin", 500, func(a sheetArguments) []float64 { return []float64{a.options.MarginMM} })
	sheet("stock", 1e5, func(a sheetArguments) []float64 {
		return []float64{a.options.Stock[0].WidthMM, a.options.Stock[0].LengthMM}
	})
	all["window --pitch"] = lengthOption{least: 1, most: 1000, got: func(args []string) ([]float64, error) {
		o, err := parseWindow(args)
		return one(o.PitchMM, err)
	}}
	all["window --thickness"] = lengthOption{before: []string{"--picture", "nowhere.png"}, most: 200, got: func(args []string) ([]float64, error) {
		o, err := parseWindow(args)
		return one(o.Screenshot.ThicknessMM, err)
	}}
	return all
}

// optionTexts are lengths as they are typed, of every size that options take.
var optionTexts = map[string]float64{
	"3/8in": 9.525, "1 1/2in": 38.1, "1-1/2in": 38.1, "1½in": 38.1, "3/8\"": 9.525, "3/8": 9.525, "1 1/2": 38.1, "1/32in": 0.79375, "25/64 in": 9.921875,
	"9.5mm": 9.5, "9,5mm": 9.5, "9.5 MM": 9.5, "9.5": 9.5, "9,5": 9.5, "0.95cm": 9.5, "0,95 cm": 9.5, "0.375in": 9.525, "0,375 in": 9.525,
	"0.8mm": 0.8, "0,8": 0.8, "10mm": 10, "1cm": 10, "40mm": 40, "4 cm": 40, "1,5in": 38.1, "1500mm": 1500, "1,5m": 1500, "24 1/2in": 622.3, "100mm": 100, "2ft": 609.6,
}

// optionPairs are sides as they are typed; those of a printed square are the
// last.
var optionPairs = map[string][2]float64{
	"24x60in": {609.6, 1524}, "24x60": {24, 60}, "610x914mm": {610, 914}, "610x914": {610, 914}, "61,0x91,4cm": {610, 914}, "61.0x91.4 cm": {610, 914},
	"24 1/2x60in": {622.3, 1524}, "24½ × 60 in": {622.3, 1524}, "24 1/2x60": {622.3, 1524}, "24in x 914mm": {609.6, 914}, "24inx60": {609.6, 1524},
	"2x4ft": {609.6, 1219.2}, "215,9x279,4": {215.9, 279.4}, "8 1/2x11\"": {215.9, 279.4}, "0.5x1m": {500, 1000},
	"99.6x100.1mm": {99.6, 100.1}, "99,6x100,1": {99.6, 100.1}, "9,96 × 10,01cm": {99.6, 100.1}, "3 15/16x3 15/16in": {100.0125, 100.0125},
}

// unclearOptions have two readings, where decimals stand behind a point and where
// they stand behind a comma.
var unclearOptions = [2]map[string]string{
	{
		"1,500mm": "1500mm or 1.5mm", "1,500": "1500mm or 1.5mm", "1,500in": "1500in or 1.5in", "12,345": "12345mm or 12.345mm", "1 000": "1000mm or 1mm",
		"1'500mm": "1500mm or 1.5mm", "2,375\"": "2375in or 2.375in",
	},
	{"1.500": "1500mm or 1.5mm", "1,500mm": "1500mm or 1.5mm", "12,345": "12345mm or 12.3450mm", "1 000": "1000mm or 1mm", "9.525mm": "9525mm or 9.5250mm", "2.375 in": "2375in or 2.3750in"},
}

var rubbishOptions = []string{"abc", "-3mm", "0x10", "1e1mm", "mm", "1/0", "1.2.3", "nan", "inf", "999999999mm", "1,000,000mm", " ", "-0"}

// place pins where decimals stand.
func place(t *testing.T, locale string) {
	t.Helper()
	t.Setenv("LC_ALL", locale)
}

// Every option that takes a length takes it in every way of writing that the
// window's fields take, wherever the maker lives, and refuses what is none.
func TestLengthsInEveryOption(t *testing.T) {
	known := optionsTake()
	for at, o := range lengthOptions() {
		for i, locale := range []string{"en_GB.UTF-8", "de_DE.UTF-8"} {
			place(t, locale)
			if known[at] == optionSides {
				o.trySides(t, at)
			} else {
				o.tryLengths(t, at)
			}
			for text, ways := range unclearOptions[i] {
				o.refuses(t, at, text, "write "+ways, known[at] == optionSides)
			}
		}
		for _, text := range rubbishOptions {
			o.refuses(t, at, text, "", known[at] == optionSides)
		}
		if !o.zero {
			o.refuses(t, at, "0", "", known[at] == optionSides)
			o.refuses(t, at, "0mm", "", known[at] == optionSides)
		}
	}
}

// args are the arguments that give an option a length, without the command.
func (o lengthOption) args(at, text string) []string {
	command, option, _ := strings.Cut(at, " ")
	if o.write != nil {
		text = o.write(text)
	}
	args := o.before
	if command != "window" {
		args = args[1:]
	}
	return append(slices.Clone(args), option+"="+text)
}

func (o lengthOption) tryLengths(t *testing.T, at string) {
	t.Helper()
	n := 0
	for text, want := range optionTexts {
		if want < o.least || want > o.most {
			continue
		}
		n++
		got, err := o.got(o.args(at, text))
		if err != nil || math.Abs(got[0]-want) > 1e-6 {
			t.Errorf("%s: %q is %v, %v; want %v", at, text, got, err, want)
		}
	}
	if o.zero {
		if got, err := o.got(o.args(at, "0")); err != nil || got[0] != 0 {
			t.Errorf("%s: nothing is %v, %v", at, got, err)
		}
	}
	if n < 2 {
		t.Errorf("%s: only %d lengths were tried", at, n)
	}
}

func (o lengthOption) trySides(t *testing.T, at string) {
	t.Helper()
	n := 0
	for text, want := range optionPairs {
		if min(want[0], want[1]) < o.least || max(want[0], want[1]) > o.most {
			continue
		}
		n++
		got, err := o.got(o.args(at, text))
		if err != nil || math.Abs(got[0]-want[0]) > 1e-6 || math.Abs(got[1]-want[1]) > 1e-6 {
			t.Errorf("%s: %q is %v, %v; want %v", at, text, got, err, want)
		}
	}
	if n < 4 {
		t.Errorf("%s: only %d pairs were tried", at, n)
	}
}

// refuses: the whole program refuses a length, as the first side and as the
// second, in one sentence that names the option, and says what is to be said.
func (o lengthOption) refuses(t *testing.T, at, text, says string, sides bool) {
	t.Helper()
	texts := []string{text}
	if sides {
		texts = []string{text + "x500mm", "500mmx" + text, text}
		if says != "" {
			texts = texts[:2]
			if !strings.ContainsAny(text, "mi\"") {
				texts[0] = text + "x500" // a unit behind it would be that of both
			}
		}
	}
	command, option, _ := strings.Cut(at, " ")
	for _, text := range texts {
		args := o.args(at, text)
		if command != "window" {
			args = append([]string{command}, args...)
		}
		if command == "sheet" && option != "--stock" {
			args = append(args, "--stock", "24x60in")
		}
		var out, errs bytes.Buffer
		status := run(context.Background(), args, &out, &errs)
		said := errs.String()
		if status != statusUsage || !strings.HasPrefix(said, "flatwright: "+option+" ") || strings.Count(said, "\n") != 1 || !strings.Contains(said, says) || out.Len() > 0 {
			t.Errorf("%q: status %d, said %q", args, status, said)
		}
	}
}

// A number of squares with two readings is asked about too, and may have decimals.
func TestSquaresOfASpan(t *testing.T) {
	refused(t, []string{"square", "nowhere.jpg", "--pitch", "1in", "--across", "1,500=508mm"}, statusUsage, `--across "1,500" may be 1500 or 1.5: write`)
	refused(t, []string{"square", "nowhere.jpg", "--pitch", "1in", "--down", "0=508mm"}, statusUsage, "number of squares")
	s, err := parseSpan("--across", "20,5=520,7mm")
	if err != nil || s.Squares != 20.5 || s.LengthMM != 520.7 {
		t.Errorf("%+v, %v", s, err)
	}
}

// FuzzSides: whatever is typed for a paper, a printed square or a stock is read
// or refused in one sentence that names the option, and what is read can be used.
func FuzzSides(f *testing.F) {
	for text := range optionPairs {
		f.Add(text)
	}
	for _, text := range []string{"a4", "Letter", "roll610", "roll 24 1/2in", "24x60x1/2in:3", "roll 24in x 5mm:2", "1,500x2", "1e9x1e9", "infxnan", "x:", ":3", "rollroll", "0x1p-2x5"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := readPaper(text)
		refusedBy(t, "--paper", err)
		if err == nil && !(p.WidthMM > 0 && p.HeightMM >= p.WidthMM && p.HeightMM <= longestMM) {
			t.Errorf("%q is the paper %+v", text, p)
		}
		q, err := readPrinted(text)
		refusedBy(t, "--printed", err)
		if err == nil && !(math.Abs(q.Short-1) < 0.03 && math.Abs(q.Long-1) < 0.03) {
			t.Errorf("%q is the printer %+v", text, q)
		}
		s, err := readStock(text)
		refusedBy(t, "--stock", err)
		if err == nil && !(s.WidthMM > 0 && s.LengthMM >= 0 && s.ThicknessMM >= 0 && s.Number >= 0 && max(s.WidthMM, s.LengthMM) <= longestMM) {
			t.Errorf("%q is the stock %+v", text, s)
		}
		r, err := parseSheet(text)
		refusedBy(t, "--sheet", err)
		if err == nil && !(r.WidthMM > 0 && r.HeightMM > 0) {
			t.Errorf("%q is the sheet %+v", text, r)
		}
	})
}

func refusedBy(t *testing.T, option string, err error) {
	t.Helper()
	if err == nil {
		return
	}
	if u := fmt.Sprintf("%T", err); u != "*main.usageError" || !strings.HasPrefix(err.Error(), option) || strings.ContainsAny(err.Error(), "\n\r\x1b") {
		t.Errorf("%s: %T, %q", option, err, err)
	}
}
