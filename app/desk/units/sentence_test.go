package units

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestSentence(t *testing.T) {
	for _, c := range []struct{ mm, want string }{
		{"Edges D3 and D4 of piece D make a dart 20.1 mm wide that no seam closes.", "Edges D3 and D4 of piece D make a dart 0.791 in wide that no seam closes."},
		{"Left out: looks like a rule, 315 x 27 mm. If it", "Left out: looks like a rule, 12.402 x 1 1/16 in. If it"},
		{"Sheets of 5 and 9.525 mm that lie flat keep a step of 1.2 mm.", "Sheets of 0.197 and 3/8 in that lie flat keep a step of 0.047 in."},
		{"The camera stood 600 ± 20 mm above the mat", "The camera stood 23.622 ± 0.787 in above the mat"},
		{"Set marks every 50.8 mm", "Set marks every 2 in"},
		{"arises from mark 1 to mark 2, 10 to 30 mm along", "arises from mark 1 to mark 2, 0.394 to 1.181 in along"},
		{"In seam s1, 3 marks have no partner", "In seam s1, 3 marks have no partner"},
		{`"1,500 mm" may be 1500 or 1.5 mm`, `"1,500 mm" may be 1500 or 0.059 in`},
		{"12 mmol", "12 mmol"},
		{"crosses itself at (129.0, -79.9) mm. The loop", "crosses itself at (5.079, -3.146) in. The loop"},
		{"marks 3 mm apart cannot be told apart: choose 4 mm or more", "marks 0.118 in apart cannot be told apart: choose 0.158 in or more"},
		{"leave at least 0.5 mm uncut", "leave at least 0.020 in uncut"},
		{"choose at least 30 mm, leave more", "choose at least 1.182 in, leave more"},
		{"choose up to 100 mm", "choose up to 3.937 in"},
		{"bend it over less than 40 mm", "bend it over less than 1.574 in"},
		{"at most 9.5 mm off, 9.5 mm or less", "at most 0.374 in off, 0.374 in or less"},
		{"at least 25.4 mm", "at least 1 in"},
		{`"12\" strip", 25.4 mm wide, is also "25.4 mm", 50.8 mm`, `"12\" strip", 1 in wide, is also "25.4 mm", 2 in`},
		{`25.4 mm of "25.4 mm`, `1 in of "25.4 mm`},
		{"the error is up to 0.84 mm, at A1", "the error is up to 0.0331 in, at A1"},
		{"the error there is up to 0.8 mm", "the error there is up to 0.032 in"},
		{"that makes up to 0.8 mm; choose up to 0.8 mm", "that makes up to 0.032 in; choose up to 0.031 in"},
	} {
		if got := Millimetres.Sentence(c.mm); got != c.mm {
			t.Errorf("in mm %q became %q", c.mm, got)
		}
		if got := Inches.Sentence(c.mm); got != c.want {
			t.Errorf("%q became %q, want %q", c.mm, got, c.want)
		}
	}
}

// A bound that is typed as it is said is kept.
func TestBoundsAreKeptAsSaid(t *testing.T) {
	for range rounds {
		rapid.Check(t, func(t *rapid.T) {
			decimals := rapid.IntRange(0, 2).Draw(t, "decimals")
			text := strconv.FormatFloat(rapid.Float64Range(1, 5000).Draw(t, "mm"), 'f', decimals, 64)
			mm, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			for words, least := range map[string]bool{"at least %s mm": true, "%s mm or more": true, "at most %s mm": false, "up to %s mm": false} {
				said := Inches.Sentence(strings.Replace(words, "%s", text, 1))
				for _, w := range []string{"at least ", " or more", "at most ", "up to "} {
					said = strings.Replace(said, w, "", 1)
				}
				got, err := (Reading{System: Inches}).Length(said)
				if err != nil || least && got < mm-1e-8 || !least && got > mm+1e-8 || math.Abs(got-mm) > 0.0254*(1+1e-9) {
					t.Fatalf("%s of %s mm is said as %q, %v mm, %v", words, text, said, got, err)
				}
			}
		})
	}
}

// Lengths are said anew one by one, and all else stays.
func TestSentenceKeepsTheRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var mm, want []string
		for range rapid.IntRange(1, 9).Draw(t, "words") {
			if rapid.Bool().Draw(t, "a length") {
				v := float64(rapid.IntRange(1, 99999).Draw(t, "tenths")) / 10
				mm, want = append(mm, FormatMM(v, 1)), append(want, Inches.Length(v, 1))
				continue
			}
			w := rapid.SampledFrom([]string{"A2", "s1", "17", "mark", "mm", "45°", "(12.5;", "mm2", "3.5 %", "in"}).Draw(t, "word")
			mm, want = append(mm, w), append(want, w)
		}
		// A number before a lone "mm" is a length.
		for i := range mm[:len(mm)-1] {
			if mm[i] == "17" && mm[i+1] == "mm" {
				mm[i], want[i] = "A2", "A2"
			}
		}
		if got := Inches.Sentence(strings.Join(mm, " ")); got != strings.Join(want, " ") {
			t.Errorf("%q became %q, want %q", mm, got, want)
		}
	})
}
