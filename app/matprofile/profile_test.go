package matprofile

import (
	"errors"
	"math"
	"strings"
	"testing"

	"flatwright/rectify"
	"flatwright/rectify/mat"
)

func TestCheckName(t *testing.T) {
	for name, want := range map[string]string{
		"  green big ":          "green big",
		"Schneidematte №2":      "Schneidematte №2",
		strings.Repeat("ä", 60): strings.Repeat("ä", 60),
		"":                      "", " \t": "", strings.Repeat("a", 61): "",
		"two\nlines": "", "red\x1b[31m": "", "a\u202eb": "", "a\u2028b": "", "a\x00": "", "\xff": "",
		"a\u2066b": "", "a\u200eb": "", "a\u0085b": "",
	} {
		got, err := CheckName(name)
		if got != want || (err == nil) != (want != "") {
			t.Errorf("%q: %q, %v; want %q", name, got, err, want)
		}
		if err != nil && strings.ContainsAny(err.Error(), "\x1b\u202e\n") {
			t.Errorf("%q: the message passes the character on", name)
		}
	}
}

func TestScale(t *testing.T) {
	p := sample("m")
	s := p.Scale(false)
	if s.X != p.XFactor || s.SigmaY != p.SigmaY || s.Source != rectify.FromProfile || s.Name != "m" {
		t.Errorf("%+v", s)
	}
	q := p.Scale(true)
	if q.X != p.YFactor || q.Y != p.XFactor || q.SigmaX != p.SigmaY || q.SigmaY != p.SigmaX || q.Source != rectify.FromProfile {
		t.Errorf("turned: %+v", q)
	}
}

func TestTurn(t *testing.T) {
	grid := func(columns, rows int) mat.Grid {
		return mat.Grid{MinColumn: -3, MaxColumn: columns - 3, MinRow: 2, MaxRow: rows + 2}
	}
	p := Profile{Columns: 24, Rows: 18}
	for _, tc := range []struct {
		p             Profile
		columns, rows int
		want          Turn
	}{
		{p, 24, 18, AsMeasured},
		{p, 18, 24, ByAQuarter},
		{p, 19, 12, AsMeasured},
		{p, 12, 19, ByAQuarter},
		{p, 18, 18, TurnUnknown},
		{p, 10, 8, TurnUnknown},
		{p, 25, 18, AnotherMat},
		{p, 19, 19, AnotherMat},
		{Profile{Columns: 18, Rows: 24}, 24, 18, ByAQuarter},
		{Profile{Columns: 18, Rows: 18}, 18, 18, TurnUnknown},
		{Profile{}, 24, 18, TurnUnknown},
	} {
		if got := tc.p.Turn(grid(tc.columns, tc.rows)); got != tc.want {
			t.Errorf("%d x %d squares of a mat of %d x %d: %d, want %d", tc.columns, tc.rows, tc.p.Columns, tc.p.Rows, got, tc.want)
		}
	}
}

func TestFind(t *testing.T) {
	all := []Profile{sample("Green"), sample("blue")}
	if p, err := Find(all, " gREEN "); err != nil || p.Name != "Green" {
		t.Errorf("%q, %v", p.Name, err)
	}
	var e *NotKnownError
	if _, err := Find(all, "pink"); !errors.As(err, &e) || !strings.Contains(err.Error(), `"Green", "blue"`) {
		t.Errorf("%v", err)
	}
	if _, err := Find(nil, "pink"); err == nil || !strings.Contains(err.Error(), "--save-mat") {
		t.Errorf("%v", err)
	}
}

// The primaries of sRGB in L*a*b*, D65, as tables of the colour space give
// them (from memory).
func TestLab(t *testing.T) {
	for c, want := range map[Colour]lab{
		{255, 255, 255}: {100, 0, 0},
		{255, 0, 0}:     {53.24, 80.09, 67.20},
		{0, 255, 0}:     {87.73, -86.18, 83.18},
		{0, 0, 255}:     {32.30, 79.19, -107.86},
		{0, 0, 0}:       {0, 0, 0},
	} {
		g := c.lab()
		if d := math.Sqrt((g.l-want.l)*(g.l-want.l) + (g.a-want.a)*(g.a-want.a) + (g.b-want.b)*(g.b-want.b)); d > 0.05 {
			t.Errorf("%v: %.2f, want %.2f", c, g, want)
		}
	}
	// Half the light is a step of about 24 in L* from white, and none in hue.
	if d := DeltaE(Colour{255, 255, 255}, Colour{188, 188, 188}); math.Abs(d-23.9) > 0.5 {
		t.Errorf("half the light differs by %.2f", d)
	}
}

func TestColourText(t *testing.T) {
	c, err := ParseColour("#2f6D55")
	if err != nil || c != (Colour{0x2f, 0x6d, 0x55}) || c.String() != "#2f6d55" {
		t.Errorf("%v, %v", c, err)
	}
	for _, bad := range []string{"", "2f6d55", "#2f6d5", "#2f6d555", "#2f6d5g", "# f6d55", "#-16d55", "#2f 6d5"} {
		if c, err := ParseColour(bad); err == nil {
			t.Errorf("%q was read as %v", bad, c)
		}
	}
}

func TestSuggest(t *testing.T) {
	of := func(name string, pitchMM float64, c Colour) Profile {
		return Profile{Name: name, PitchMM: pitchMM, XFactor: 1, YFactor: 1, Ground: &c}
	}
	green, blue, black := of("green", 25.4, Colour{0x2c, 0x69, 0x52}), of("blue", 25.4, Colour{0x27, 0x48, 0x82}), of("black", 25.4, Colour{0x2a, 0x2c, 0x2f})
	dim := Colour{0x1f, 0x4c, 0x38} // the green one in less, warmer light
	for name, tc := range map[string]struct {
		profiles []Profile
		pitchMM  float64
		ground   Colour
		first    string
		matches  int
		clear    bool
	}{
		"the same":               {[]Profile{blue, green, black}, 25.4, Colour{0x2c, 0x69, 0x52}, "green", 3, true},
		"in other light":         {[]Profile{blue, green, black}, 25.4, dim, "green", 3, true},
		"pitch not known":        {[]Profile{blue, green}, 0, dim, "green", 2, true},
		"another pitch":          {[]Profile{blue, green}, 10, dim, "", 0, false},
		"a colour like none":     {[]Profile{blue, green}, 25.4, Colour{0xd0, 0x82, 0x9c}, "blue", 2, false},
		"two alike":              {[]Profile{green, of("green 2", 25.4, Colour{0x2e, 0x67, 0x52})}, 25.4, Colour{0x2c, 0x69, 0x52}, "green", 2, false},
		"two alike, other pitch": {[]Profile{green, of("green cm", 10, Colour{0x2e, 0x67, 0x52})}, 25.4, dim, "green", 1, true},
		"no colour known":        {[]Profile{{Name: "x", PitchMM: 25.4}}, 25.4, dim, "", 0, false},
	} {
		got := Suggest(tc.profiles, tc.pitchMM, tc.ground)
		if len(got) != tc.matches || (tc.first != "" && (got[0].Profile.Name != tc.first || got[0].Clear != tc.clear)) {
			t.Errorf("%s: %+v", name, got)
		}
		for _, m := range got[min(1, len(got)):] {
			if m.Clear {
				t.Errorf("%s: more than one is clear", name)
			}
		}
	}
}
