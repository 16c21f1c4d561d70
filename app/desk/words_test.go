package desk

import (
	"image/color"
	"math"
	"reflect"
	"strings"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

func TestEveryTextIsThere(t *testing.T) {
	everyText(t, reflect.ValueOf(*english()))
	for a := session.ActionPitch; a <= session.LastAction; a++ {
		if editTitle(session.Edit{Action: a, Target: "X"}) == "" {
			t.Errorf("action %d has no name", a)
		}
	}
}

func everyText(t *testing.T, v reflect.Value) {
	for i := range v.NumField() {
		name, f := v.Type().Field(i).Name, v.Field(i)
		switch f.Kind() {
		case reflect.String:
			if f.String() == "" {
				t.Errorf("%s is empty", name)
			}
		case reflect.Slice, reflect.Map:
			if f.Len() == 0 {
				t.Errorf("%s is empty", name)
			}
		case reflect.Struct:
			everyText(t, f)
		case reflect.Array:
			for k := range f.Len() {
				if f.Index(k).String() == "" {
					t.Errorf("%s[%d] is empty", name, k)
				}
			}
		}
	}
}

// contrast is the ratio of WCAG 2.2, 1.4.3 (from memory).
func contrast(a, b color.NRGBA) float64 {
	x, y := luminance(a)+0.05, luminance(b)+0.05
	return math.Max(x, y) / math.Min(x, y)
}

func luminance(c color.NRGBA) float64 {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
}

func TestContrast(t *testing.T) {
	for name, p := range map[string]palette{"light": lightPalette(), "dark": darkPalette()} {
		for what, pair := range map[string][2]color.NRGBA{
			"ink on panel": {p.ink, p.panel}, "ink on bench": {p.ink, p.bench}, "ink on field": {p.ink, p.field},
			"faint on panel": {p.faint, p.panel}, "faint on field": {p.faint, p.field}, "accent on panel": {p.accent, p.panel},
			"text on accent": {p.onAccent, p.accent}, "needs on panel": {p.needs, p.panel}, "wrong on panel": {p.wrong, p.panel},
			"white on bevel":    {hex(0xFFFFFF), darker(styleOf(pattern.Bevel).colour)},
			"white on undercut": {hex(0xFFFFFF), darker(styleOf(pattern.Undercut).colour)},
		} {
			if c := contrast(pair[0], pair[1]); c < 4.5 {
				t.Errorf("%s, %s: %.2f : 1", name, what, c)
			}
		}
		for what, pair := range map[string][2]color.NRGBA{"done": {p.done, p.panel}, "outline over halo": {p.ink, p.halo}, "accent over halo": {p.accent, p.halo}} {
			if c := contrast(pair[0], pair[1]); c < 3 {
				t.Errorf("%s, %s: %.2f : 1", name, what, c)
			}
		}
	}
}

func TestCutsDifferWithoutColour(t *testing.T) {
	b, u := styleOf(pattern.Bevel), styleOf(pattern.Undercut)
	if reflect.DeepEqual(b.dash, u.dash) || b.letter == u.letter || b.dash == nil || u.dash == nil {
		t.Error("bevel and undercut are told by colour alone")
	}
}

func TestTheSheetOfKeysNamesEveryKey(t *testing.T) {
	d := newBench(t, Options{}, &practice.Job{})
	var all strings.Builder
	for _, k := range tr.helpKeys {
		all.WriteString(" " + strings.NewReplacer(",", " , ").Replace(k[0]) + " ")
	}
	for r := range d.letters() {
		want := strings.ToUpper(string(r))
		switch r {
		case '-':
			want = "−"
		case '=':
			continue // + without Shift
		}
		if !strings.Contains(all.String(), " "+want+" ") {
			t.Errorf("the sheet does not name %q", want)
		}
	}
}

func TestAccuracyIsRoundedUp(t *testing.T) {
	for mm, want := range map[float64]string{0.0021: "± 0.01 mm", 0.06: "± 0.06 mm", 0.0601: "± 0.07 mm", 200: "± ? mm"} {
		if got := plusMinus(mm, units.Millimetres); got != want {
			t.Errorf("%v: %q, want %q", mm, got, want)
		}
	}
	if got := plusMinus(math.Inf(1), units.Millimetres); got != "± ? mm" {
		t.Error(got)
	}
}
