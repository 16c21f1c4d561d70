package desk

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

func st1(i int) session.Stage { return session.Stage(i) }

// typedText is a length as it is typed, in a way of writing. It is mm in either
// system, or bare: mm in the one, so many inches in the other.
type typedText struct {
	way, text string
	mm        float64
	bare      bool
}

// typedTexts are lengths of every size that fields take.
var typedTexts = []typedText{
	{"fraction in", "3/8in", 9.525, false},
	{"fraction in", "1 1/2in", 38.1, false},
	{"fraction in", "1-1/2 in", 38.1, false},
	{"fraction in", "3 15/16in", 100.0125, false},
	{"fraction in", "1/32 in", 0.79375, false},
	{"bare fraction", "3/8", 9.525, false},
	{"bare fraction", "1 1/2", 38.1, false},
	{"bare fraction", "3 15/16", 100.0125, false},
	{"bare fraction", "1½", 38.1, false},
	{"bare fraction", "1/32", 0.79375, false},
	{"inch sign", "3/8\"", 9.525, false},
	{"inch sign", "½in", 12.7, false},
	{"inch sign", "1½″", 38.1, false},
	{"inch sign", "3 15/16”", 100.0125, false},
	{"inch sign", "1/32\"", 0.79375, false},
	{"mm", "9.5mm", 9.5, false},
	{"mm", "100.5 MM", 100.5, false},
	{"mm", "25 mm", 25, false},
	{"mm", "0.8 mm", 0.8, false},
	{"comma", "9,5 mm", 9.5, false},
	{"comma", "0,95mm", 0.95, false},
	{"comma", "100,5 mm", 100.5, false},
	{"comma", "2,37 in", 60.198, false},
	{"comma", "0,375 in", 9.525, false},
	{"comma", "100,50 mm", 100.5, false},
	{"cm", "0.95 cm", 9.5, false},
	{"cm", "10.05cm", 100.5, false},
	{"cm", "2,5 cm", 25, false},
	{"cm", "0.08 cm", 0.8, false},
	{"bare", "9.5", 9.5, true},
	{"bare", "9,5", 9.5, true},
	{"bare", "100,5", 100.5, true},
	{"bare", "0,95", 0.95, true},
	{"bare", "0.375", 0.375, true},
	{"bare", "0,4", 0.4, true},
	{"bare", "1,5", 1.5, true},
	{"bare", "3.95", 3.95, true},
	{"bare", ".03", 0.03, true},
	{"bare", "40", 40, true},
}

// lengthCase is a field that takes a length.
type lengthCase struct {
	at string
	// place brings the window to where the field stands.
	place func(b *bench)
	// got is the length that the work has now, mm; -1 when the field does not
	// give one.
	got         func(b *bench) float64
	least, most float64
	// zero tells that 0 is taken, kept that the text stays as it was typed, and
	// cleared that it is taken away.
	zero, kept, cleared bool
	// said is where the sentence stands when it is not the strip.
	said func(b *bench) string
	// late tells that what is refused replaces nothing yet.
	late bool
}

func (b *bench) square() *squarePanel { return b.squarePanel() }

func (b *bench) marks() *markPanel { return b.panels[session.StageMarkUp].(*markPanel) }

// edge selects the upper edge of the shield, 100 mm long.
func (b *bench) edge() {
	b.goTo(session.StageMarkUp)
	b.s.SelectEdge("A1")
	b.changed()
}

// lineWork selects the line of the shield and gives it work.
func lineWork(k pattern.LineWorkKind) func(b *bench) {
	return func(b *bench) {
		b.goTo(session.StageMarkUp)
		b.s.SetThicknessOfAll(60)
		b.s.SelectLine("A", 0)
		b.changed()
		b.marks().line.choose(k)
	}
}

func (b *bench) workOnLine() pattern.LineWork {
	_, l, _ := b.s.SelectedLine()
	return l.Work
}

// grooving is a case of the run of grooves.
func grooving(name string, of func(x pattern.GrooveRun) float64) lengthCase {
	return lengthCase{
		at: "markPanel.grooves." + name, place: (*bench).edge, most: 1e4, kept: true, late: true,
		got: func(b *bench) float64 {
			x, err := b.marks().grooves.want()
			if err != nil && err.Error() != tr.groove.notYet {
				return -1
			}
			return of(x)
		},
		said: func(b *bench) string { return b.marks().grooves.gives.Text },
	}
}

func onLimits(name string, i int, of func(x *pattern.Limits) float64) lengthCase {
	return lengthCase{
		at: fmt.Sprintf("checkPanel.limits.limits[%d].input", i), most: 1e4,
		place: func(b *bench) { b.goTo(session.StageCheck) },
		got:   func(b *bench) float64 { x := b.s.Document().Pattern.Limits; return of(&x) },
	}
}

func onPrint(name string, least, most float64, of func(x session.Print) float64) lengthCase {
	return lengthCase{
		at: "printPanel." + name, least: least, most: most, zero: least == 0,
		place: func(b *bench) { b.goTo(session.StagePrint) },
		got:   func(b *bench) float64 { return of(b.print()) },
	}
}

// spreading brings a seam up, whose marks are to be set anew.
func spreading(b *bench) {
	b.goTo(session.StageMarkUp)
	b.s.SelectEdge("A2")
	if _, ok := b.s.SelectedSeam(); !ok {
		if _, err := b.s.Pair("A2", "B3"); err != nil {
			b.t.Fatal(err)
		}
	}
	b.changed()
}

// withPattern are the fields that need a pattern.
func withPattern() []lengthCase {
	return []lengthCase{
		{
			at: "squarePanel.check.known", most: 1e4, cleared: true,
			place: func(b *bench) {
				b.goTo(session.StageSquareUp)
				b.editor.setTool(toolTape)
				b.click(b.seen(30, 25))
				b.click(b.seen(130, 25))
			},
			got: func(b *bench) float64 {
				all := b.s.Document().Checks
				if len(all) == 0 {
					return 0
				}
				return all[len(all)-1].KnownMM
			},
		},
		{
			at: "markPanel.thickness", most: 200, place: (*bench).edge,
			got: func(b *bench) float64 { p, _ := b.s.SelectedPiece(); return p.ThicknessMM },
		},
		{
			at: "markPanel.thick.all", most: 200, cleared: true,
			place: func(b *bench) {
				b.goTo(session.StageMarkUp)
				b.s.SelectEdge("")
				b.s.SetThicknessOfAll(0)
				b.changed()
			},
			got: func(b *bench) float64 { return b.s.Document().Pattern.Pieces[0].ThicknessMM },
		},
		{at: "markPanel.line.depth", most: 59, place: lineWork(pattern.Score), got: func(b *bench) float64 { return b.workOnLine().DepthMM }},
		{at: "markPanel.line.gap", most: 59, place: lineWork(pattern.Slit), got: func(b *bench) float64 { return b.workOnLine().GapMM }},
		{
			at: "markPanel.seam.spacing", most: 1e4, place: spreading, kept: true, late: true,
			got: func(b *bench) float64 {
				if mm, ok := b.marks().seam.spaced(); ok {
					return mm
				}
				return -1
			},
		},
		grooving("radius", func(x pattern.GrooveRun) float64 { return x.RadiusMM }),
		grooving("over", func(x pattern.GrooveRun) float64 { return x.ArcMM }),
		grooving("web", func(x pattern.GrooveRun) float64 { return x.WebMM }),
		grooving("stray", func(x pattern.GrooveRun) float64 { return x.SagittaMM }),
		{
			at: "markPanel.edgeMore.width", most: 40, place: (*bench).edge,
			got: func(b *bench) float64 { e, _ := b.s.SelectedEdge(); return e.Allowance.WidthMM },
		},
		onLimits("SeamMM", 0, func(x *pattern.Limits) float64 { return x.SeamMM }),
		onLimits("MarkMM", 2, func(x *pattern.Limits) float64 { return x.MarkMM }),
		onLimits("BareSeamMM", 3, func(x *pattern.Limits) float64 { return x.BareSeamMM }),
		onLimits("DartMM", 8, func(x *pattern.Limits) float64 { return x.DartMM }),
		onLimits("SpikeMM", 9, func(x *pattern.Limits) float64 { return x.SpikeMM }),
		onLimits("SliverMM", 10, func(x *pattern.Limits) float64 { return x.SliverMM }),
		onLimits("SheetWidthMM", 11, func(x *pattern.Limits) float64 { return x.SheetWidthMM }),
		onLimits("SheetHeightMM", 12, func(x *pattern.Limits) float64 { return x.SheetHeightMM }),
		onPrint("margin", 5, 60, func(x session.Print) float64 { return x.MarginMM }),
		onPrint("overlap", 0, 40, func(x session.Print) float64 { return x.OverlapMM }),
		onPrint("short", 97, 103, func(x session.Print) float64 { return x.ShortMM }),
		onPrint("long", 97, 103, func(x session.Print) float64 { return x.LongMM }),
		{
			at: "markPanel.size.size", least: 20, most: 150, place: (*bench).edge, cleared: true,
			got: func(b *bench) float64 { d, _ := b.s.Shapes().Edge("A1"); return d.LengthMM },
		},
	}
}

func beforeSquaring(b *bench) { b.goTo(session.StageSquareUp) }

// withoutPattern are the fields that square a photograph up again.
func withoutPattern() []lengthCase {
	sheet := func(name string, of func(x session.Sheet) float64) lengthCase {
		return lengthCase{
			at: "squarePanel.sheet." + name, most: 1e4, kept: true,
			place: func(b *bench) {
				beforeSquaring(b)
				b.enter(b.square().sheet.width, "211 mm")
				b.enter(b.square().sheet.height, "298 mm")
			},
			got: func(b *bench) float64 { return of(b.s.Document().Sheet) },
		}
	}
	span := func(i int, of func(x session.Document) float64) lengthCase {
		return lengthCase{
			at: fmt.Sprintf("squarePanel.size.spans[%d].length", i), most: 1e4, place: beforeSquaring,
			got: func(b *bench) float64 { return of(b.s.Document()) },
		}
	}
	return []lengthCase{
		{at: "squarePanel.pitch.other", least: 1, most: 1000, place: beforeSquaring, got: func(b *bench) float64 { return b.s.Document().PitchMM }},
		{at: "squarePanel.raised.thickness", most: 200, zero: true, place: beforeSquaring, got: func(b *bench) float64 { return b.s.Document().Raised.ThicknessMM }},
		{at: "squarePanel.raised.camera", most: 1e4, zero: true, place: beforeSquaring, got: func(b *bench) float64 { return b.s.Document().Raised.CameraHeightMM }},
		sheet("width", func(x session.Sheet) float64 { return x.WidthMM }),
		sheet("height", func(x session.Sheet) float64 { return x.HeightMM }),
		span(0, func(x session.Document) float64 { return x.Across.LengthMM }),
		span(1, func(x session.Document) float64 { return x.Down.LengthMM }),
	}
}

// Every field that takes a length takes it in every way of writing, in either
// system, and refuses what is none with a sentence.
func TestLengthsInEveryField(t *testing.T) {
	tried := map[string]bool{}
	for _, s := range []units.System{units.Millimetres, units.Inches} {
		b := ready(t)
		b.s.SetTraced(&trace.Traced{Pattern: practice.Pattern()})
		for _, c := range withPattern() {
			b.tryField(c, s)
			tried[c.at] = true
		}
		b = newBench(t, Options{}, &practice.Job{})
		for _, c := range withoutPattern() {
			b.tryField(c, s)
			tried[c.at] = true
		}
	}
	for at := range everyRow(t).allFields() {
		if fieldsTake[fieldName(at)] == takesLength && !tried[at] {
			t.Errorf("%s takes a length and is not tried", at)
		}
	}
}

// tryField types everything into one field.
func (b *bench) tryField(c lengthCase, s units.System) {
	b.t.Helper()
	b.showIn(s)
	c.place(b)
	f := b.allFields()[c.at]
	if f == nil {
		b.t.Fatalf("there is no field %s", c.at)
	}
	ways := map[string]int{"fraction in": 0, "bare fraction": 0, "inch sign": 0, "mm": 0, "comma": 0, "cm": 0, "bare": 0}
	for _, x := range typedTexts {
		mm := x.mm
		if x.bare {
			mm *= s.UnitMM()
		}
		if mm < c.least || mm > c.most {
			continue
		}
		ways[x.way]++
		b.strip.hide()
		b.enter(f, x.text)
		if got := c.got(b); math.Abs(got-mm) > 1e-6 {
			b.t.Errorf("%s, system %d: %q is %v mm, want %v; it says %q", c.at, s, x.text, got, mm, b.strip.text.Text)
		}
		b.shows(c, f, s, mm)
	}
	for way, n := range ways {
		if n == 0 {
			b.t.Errorf("%s, system %d: no %s was tried", c.at, s, way)
		}
	}
	b.turned(c, f, s)
	b.tryRubbish(c, f, s)
}

// shows: a field shows what it was given, in the system.
func (b *bench) shows(c lengthCase, f *field, s units.System, mm float64) {
	if c.kept || c.cleared {
		if c.cleared && f.Text != "" {
			b.t.Errorf("%s still says %q", c.at, f.Text)
		}
		return
	}
	b.changed()
	if f == b.square().pitch.other && f.Text == "" {
		return // one of the buttons says it
	}
	got, err := units.ParseLength(f.Text, 0)
	if err != nil || math.Abs(got-mm) > 0.0006 || strings.HasSuffix(f.Text, " in") != (s == units.Inches) {
		b.t.Errorf("%s, system %d: shows %q for %v mm", c.at, s, f.Text, mm)
	}
}

// turned: showing the other system changes no length and no work.
func (b *bench) turned(c lengthCase, f *field, s units.System) {
	if c.cleared {
		return
	}
	other := units.Inches - s
	before, version, text := c.got(b), b.s.Version(), f.Text
	for range 3 {
		b.showIn(other)
		if got, err := units.ParseLength(f.Text, 0); f.Text != "" && (err != nil || math.Abs(got-before) > 0.0006 || strings.HasSuffix(f.Text, " in") != (other == units.Inches)) {
			b.t.Errorf("%s: %q turned shows %q for %v mm", c.at, text, f.Text, before)
		}
		b.enter(f, f.Text)
		b.showIn(s)
		b.enter(f, f.Text)
	}
	if got := c.got(b); got != before || b.s.Version() != version {
		b.t.Errorf("%s: turned there and back, %v mm became %v, version %d is %d", c.at, before, got, version, b.s.Version())
	}
}

// unclearTexts are lengths with two readings: what is said of them in a system,
// %s for its unit. Those of the second list are so only where decimals stand
// behind a comma.
var unclearTexts = [2]map[string]string{
	{
		"1,500": `"1500 %s" or "1.5 %s"`, "12,345": `"12345 %s" or "12.345 %s"`, "1 000": `"1000 %s" or "1 %s"`, "1'250": `"1250 %s" or "1.25 %s"`,
		"1,500 mm": `"1500 mm" or "1.5 mm"`, "1,500in": `"1500 in" or "1.5 in"`, "2,375\"": `"2375 in" or "2.375 in"`, "12\u202f345 cm": `"12345 cm" or "12.345 cm"`,
	},
	{"1.500": `"1500 %s" or "1.5 %s"`, "9.525 mm": `"9525 mm" or "9.5250 mm"`, "12.345 in": `"12345 in" or "12.3450 in"`, "1,500": `"1500 %s" or "1.5 %s"`},
}
