package desk

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"flatwright/rectify/photo"
	"flatwright/trace"
)

// takes is what a field takes.
type takes uint8

const (
	takesLength takes = iota + 1
	takesPaper
	takesAngle
	takesCount
	takesRatio
	takesWords
)

// fieldsTake is what every field of the window takes; rows that are made as
// they are needed stand under [].
var fieldsTake = map[string]takes{
	"squarePanel.pitch.other":               takesLength,
	"squarePanel.corners.rows[].column":     takesCount,
	"squarePanel.corners.rows[].row":        takesCount,
	"squarePanel.sheet.width":               takesLength,
	"squarePanel.sheet.height":              takesLength,
	"squarePanel.size.spans[].squares":      takesCount,
	"squarePanel.size.spans[].length":       takesLength,
	"squarePanel.size.keepName":             takesWords,
	"squarePanel.raised.thickness":          takesLength,
	"squarePanel.raised.camera":             takesLength,
	"squarePanel.check.known":               takesLength,
	"markPanel.angle":                       takesAngle,
	"markPanel.name":                        takesWords,
	"markPanel.quantity":                    takesCount,
	"markPanel.thickness":                   takesLength,
	"markPanel.thick.all":                   takesLength,
	"markPanel.line.depth":                  takesLength,
	"markPanel.line.bend":                   takesAngle,
	"markPanel.line.gap":                    takesLength,
	"markPanel.seam.want":                   takesAngle,
	"markPanel.seam.spacing":                takesLength,
	"markPanel.tapes.rows[].name":           takesWords,
	"markPanel.tapes.rows[].angle":          takesAngle,
	"markPanel.grooves.radius":              takesLength,
	"markPanel.grooves.bend":                takesAngle,
	"markPanel.grooves.over":                takesLength,
	"markPanel.grooves.web":                 takesLength,
	"markPanel.grooves.stray":               takesLength,
	"markPanel.edgeMore.toEnd":              takesAngle,
	"markPanel.edgeMore.width":              takesLength,
	"markPanel.pieceMore.material":          takesWords,
	"markPanel.pieceMore.note":              takesWords,
	"markPanel.size.size":                   takesLength,
	"checkPanel.limits.limits[SeamMM]":      takesLength,
	"checkPanel.limits.limits[SeamPart]":    takesRatio,
	"checkPanel.limits.limits[MarkMM]":      takesLength,
	"checkPanel.limits.limits[BareSeamMM]":  takesLength,
	"checkPanel.limits.limits[LeastDeg]":    takesAngle,
	"checkPanel.limits.limits[MostDeg]":     takesAngle,
	"checkPanel.limits.limits[AngleDeg]":    takesAngle,
	"checkPanel.limits.limits[Radius]":      takesRatio,
	"checkPanel.limits.limits[DartMM]":      takesLength,
	"checkPanel.limits.limits[SpikeMM]":     takesLength,
	"checkPanel.limits.limits[SliverMM]":    takesLength,
	"checkPanel.limits.limits[SheetWidth]":  takesLength,
	"checkPanel.limits.limits[SheetHeight]": takesLength,
	"printPanel.own":                        takesPaper,
	"printPanel.margin":                     takesLength,
	"printPanel.overlap":                    takesLength,
	"printPanel.short":                      takesLength,
	"printPanel.long":                       takesLength,
}

// limitNames are the limits in their order.
var limitNames = []string{
	"SeamMM", "SeamPart", "MarkMM", "BareSeamMM", "LeastDeg", "MostDeg", "AngleDeg", "Radius", "DartMM", "SpikeMM", "SliverMM", "SheetWidth", "SheetHeight",
}

// madeIn is in which files fields are made, and how many calls make them.
var madeIn = map[string]int{
	"lengths.go": 1, "paper_own.go": 1, // what makes those for lengths and papers
	"panel.go": 1, "panel_check.go": 1, "panel_corners.go": 2, "panel_findings.go": 2, "panel_groove.go": 2, "panel_line.go": 3,
	"panel_mark.go": 4, "panel_more.go": 5, "panel_print.go": 5, "panel_raised.go": 2, "panel_seam.go": 2, "panel_sheet.go": 2,
	"panel_size.go": 3, "panel_tape.go": 2, "panel_thick.go": 1,
}

// allFields returns every field that can be reached from the panels, by where
// it stands.
func (b *bench) allFields() map[string]*field {
	all, _ := b.held()
	return all
}

// held returns the fields and the groups of all panels.
func (b *bench) held() (map[string]*field, []*fold) {
	w := &fieldWalk{seen: map[uintptr]bool{}, found: map[string]*field{}}
	for _, p := range b.panels {
		v := reflect.ValueOf(p)
		w.walk(v.Elem().Type().Name(), v)
	}
	return w.found, w.folds
}

// fieldWalk follows what this package's values hold.
type fieldWalk struct {
	seen  map[uintptr]bool
	found map[string]*field
	folds []*fold
}

func (w *fieldWalk) walk(at string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Interface:
		if !v.IsNil() {
			w.walk(at, v.Elem())
		}
	case reflect.Pointer:
		w.follow(at, v)
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			w.walk(fmt.Sprintf("%s[%d]", at, i), v.Index(i))
		}
	case reflect.Struct:
		if v.Type().PkgPath() != reflect.TypeOf(field{}).PkgPath() {
			return
		}
		for i := range v.NumField() {
			w.walk(at+"."+v.Type().Field(i).Name, v.Field(i))
		}
	}
}

func (w *fieldWalk) follow(at string, v reflect.Value) {
	if v.IsNil() || w.seen[v.Pointer()] || v.Type() == reflect.TypeOf((*desk)(nil)) {
		return
	}
	w.seen[v.Pointer()] = true
	switch v.Type() {
	case reflect.TypeOf((*field)(nil)):
		w.found[at] = (*field)(v.UnsafePointer())
	case reflect.TypeOf((*widget.Entry)(nil)):
		w.found[at] = &field{} // taken for one to be named in the table
	case reflect.TypeOf((*fold)(nil)):
		w.folds = append(w.folds, (*fold)(v.UnsafePointer()))
	default:
		w.walk(at, v.Elem())
	}
}

var (
	limitAt  = regexp.MustCompile(`^checkPanel\.limits\.limits\[(\d+)\]\.input$`)
	numberAt = regexp.MustCompile(`\[\d+\]`)
)

// fieldName is a field's name in the table.
func fieldName(at string) string {
	if m := limitAt.FindStringSubmatch(at); m != nil {
		var i int
		_, _ = fmt.Sscan(m[1], &i)
		return "checkPanel.limits.limits[" + limitNames[i] + "]"
	}
	return numberAt.ReplaceAllString(at, "[]")
}

// everyRow is a bench on which every kind of row has been made.
func everyRow(t *testing.T) *bench {
	t.Helper()
	b := ready(t)
	b.s.SetTraced(&trace.Traced{Pattern: tapedPattern(t)})
	b.s.AddCorner(photo.Point{X: 100, Y: 100}, false)
	b.editor.setTool(toolCorners)
	b.goTo(1)
	b.editor.setTool(toolSelect)
	for st := range b.panels {
		b.goTo(st1(st))
	}
	return b
}

// TestEveryFieldIsKnown fails when a field is not in the table above, so that
// none is forgotten in the test of lengths.
func TestEveryFieldIsKnown(t *testing.T) {
	b := everyRow(t)
	found := b.allFields()
	names := map[string]bool{}
	var lengths []*field
	for at, f := range found {
		name := fieldName(at)
		names[name] = true
		what, ok := fieldsTake[name]
		if !ok {
			t.Errorf("%s is a new field: say in fieldsTake what it takes", at)
		}
		if what == takesLength || what == takesPaper {
			lengths = append(lengths, f)
			if !slices.Contains(b.lengths, f) || f.paper != (what == takesPaper) {
				t.Errorf("%s takes lengths and was not made by lengthField or paperField", at)
			}
		}
	}
	for name := range fieldsTake {
		if !names[name] {
			t.Errorf("%s was not found", name)
		}
	}
	if len(lengths) != len(b.lengths) {
		t.Errorf("%d fields for lengths found, %d made", len(lengths), len(b.lengths))
	}
	b.inPanels(t, slices.Collect(maps.Values(found)))
}

// inPanels: no line to type in stands in a panel that its struct does not hold.
func (b *bench) inPanels(t *testing.T, held []*field) {
	entries := 0
	var walk func(o fyne.CanvasObject)
	walk = func(o fyne.CanvasObject) {
		switch x := o.(type) {
		case *fyne.Container:
			for _, y := range x.Objects {
				walk(y)
			}
		case *field:
			if !slices.Contains(held, x) {
				t.Errorf("a field with the hint %q stands in no panel's struct", x.PlaceHolder)
			}
		case *widget.Entry:
			entries++
		}
	}
	for _, p := range b.panels {
		walk(p.object())
	}
	if entries != 1 {
		t.Errorf("%d bare entries stand in the panels, 1 is known", entries)
	}
}

// Fields made anywhere else than is known, in a dialog say, have to be looked
// at: what they take is not found by walking the panels. And nothing reads or
// states lengths in a way of its own.
func TestFieldsAreMadeWhereItIsKnown(t *testing.T) {
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	made := map[string]int{}
	for _, f := range files {
		name := f.Name()
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			if id, ok := n.(*ast.Ident); ok {
				switch id.Name {
				case "ParseLength":
					if name != "paper_own.go" {
						t.Errorf("%s reads lengths by itself: use readLength", name)
					}
				case "FormatMM", "FormatTyped", "FormatInches":
					t.Errorf("%s states lengths by itself: use length, residual or typedLength", name)
				}
			}
			if l, ok := n.(*ast.BasicLit); ok && inOneSystem.MatchString(l.Value) && name != "strings_print.go" {
				t.Errorf("%s states a length in one system: %s", name, l.Value)
			}
			if c, ok := n.(*ast.CallExpr); ok && makesField(c) {
				made[name]++
			}
			return true
		})
	}
	if !maps.Equal(made, madeIn) {
		t.Errorf("fields are made in\n%v, known are\n%v", made, madeIn)
	}
}

// inOneSystem is a text that states a number of millimetres or inches.
var inOneSystem = regexp.MustCompile(`%[+.0-9]*[dfg] ?(mm|in)\b`)

func makesField(c *ast.CallExpr) bool {
	name := ""
	switch f := c.Fun.(type) {
	case *ast.Ident:
		name = f.Name
	case *ast.SelectorExpr:
		name = f.Sel.Name
	}
	switch name {
	case "newField", "lengthField", "paperField", "NewEntry", "NewMultiLineEntry", "NewPasswordEntry", "NewSelectEntry", "ShowEntryDialog", "NewEntryDialog":
		return true
	}
	return false
}
