package main

import (
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strings"
	"testing"
)

// optionTakes is what an option takes.
type optionTakes uint8

const (
	optionLength optionTakes = iota + 1
	optionSides
	optionOther
)

// sharedOptions are the options that several commands have.
var (
	squaringOptions = map[string]optionTakes{
		"pitch": optionLength, "across": optionLength, "down": optionLength, "mat": optionOther, "mat-turned": optionOther, "save-mat": optionOther,
		"lines": optionOther, "raised": optionLength, "camera-height": optionLength, "crossing": optionOther, "sheet": optionSides,
		"corner": optionOther, "check": optionLength,
	}
	paperOptions = map[string]optionTakes{
		"paper": optionSides, "layout": optionOther, "orientation": optionOther, "margin": optionLength, "overlap": optionLength, "printed": optionSides,
	}
)

// optionsTake is what every option of every command takes.
func optionsTake() map[string]optionTakes {
	all := map[string]optionTakes{
		"make --out": optionOther, "make --dxf": optionOther, "make --thickness": optionLength, "make --tolerance": optionLength, "make --bundle": optionOther,
		"make --name": optionOther, "make --author": optionOther, "make --project": optionOther, "make --picture": optionOther,
		"make --picture-page": optionOther, "make --json": optionOther, "make --quiet": optionOther,
		"square --picture": optionOther, "square --json": optionOther, "square --quiet": optionOther,
		"sheet --stock": optionSides, "sheet --out": optionOther, "sheet --gap": optionLength, "sheet --margin": optionLength, "sheet --turns": optionOther,
		"sheet --seconds": optionOther, "sheet --moves": optionOther, "sheet --dxf": optionOther, "sheet --json": optionOther, "sheet --quiet": optionOther,
		"export --out": optionOther, "export --format": optionOther, "export --dxf": optionOther, "export --bundle": optionOther,
		"export --json": optionOther, "export --quiet": optionOther,
		"window --pitch": optionLength, "window --appearance": optionOther, "window --picture": optionOther, "window --cut": optionOther,
		"window --thickness": optionLength, "window --press": optionOther, "window --rung": optionOther,
	}
	for name, what := range squaringOptions {
		all["make --"+name], all["square --"+name] = what, what
	}
	for name, what := range paperOptions {
		all["make --"+name], all["export --"+name] = what, what
	}
	return all
}

// flagSets are the options of every command, as it reads them itself.
func flagSets() map[string]*flag.FlagSet {
	sets := map[string]*flag.FlagSet{}
	for name, register := range map[string]func(*flag.FlagSet){
		"make":   func(fs *flag.FlagSet) { (&makeArguments{}).register(fs) },
		"square": func(fs *flag.FlagSet) { (&squareArguments{}).register(fs) },
		"sheet":  func(fs *flag.FlagSet) { (&sheetArguments{}).register(fs) },
		"export": func(fs *flag.FlagSet) { (&exportArguments{}).register(fs) },
		"window": (&windowTexts{}).register,
	} {
		sets[name] = flag.NewFlagSet(name, flag.ContinueOnError)
		register(sets[name])
	}
	return sets
}

// TestEveryOptionIsKnown fails when an option is not in the table above, so that
// none is forgotten in the test of lengths, and when a command has options of
// its own that the table's are not taken from.
func TestEveryOptionIsKnown(t *testing.T) {
	known, tried := optionsTake(), lengthOptions()
	for command, fs := range flagSets() {
		fs.VisitAll(func(f *flag.Flag) {
			at := command + " --" + f.Name
			what, ok := known[at]
			if !ok {
				t.Errorf("%s is a new option: say in optionsTake what it takes", at)
			}
			if _, ok := tried[at]; ok != (what == optionLength || what == optionSides) {
				t.Errorf("%s takes a length or none, and is tried: %v", at, ok)
			}
			delete(known, at)
			delete(tried, at)
		})
	}
	for at := range known {
		t.Errorf("%s is no option", at)
	}
	for at := range tried {
		t.Errorf("%s is tried and no option", at)
	}
	if made := calls(t, "NewFlagSet"); made != len(flagSets()) {
		t.Errorf("sets of options are made in %d places, %d are known", made, len(flagSets()))
	}
	for _, name := range []string{"ParseLength", "ParseSize", "ParseStock", "PrinterOf"} {
		if want := map[string]int{"ParseStock": 1, "PrinterOf": 1}[name]; calls(t, name) != want {
			t.Errorf("%s is called in %d places, want %d: lengths are read by lengths.go", name, calls(t, name), want)
		}
	}
}

// calls counts the calls of a function in this package's files.
func calls(t *testing.T, function string) (n int) {
	t.Helper()
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), f.Name(), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(tree, func(x ast.Node) bool {
			if c, ok := x.(*ast.CallExpr); ok {
				if s, ok := c.Fun.(*ast.SelectorExpr); ok && s.Sel.Name == function {
					n++
				}
			}
			return true
		})
	}
	return n
}
