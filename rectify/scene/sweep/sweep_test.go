package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestPlanIsBalancedAndItsOwn(t *testing.T) {
	cases := plan(60)
	if again := plan(60); !slices.Equal(cases, again) {
		t.Error("two plans of 60 differ")
	}
	longer := plan(90)
	if !slices.Equal(cases, longer[:60]) {
		t.Error("a longer plan begins otherwise")
	}
	seen := map[[factorCount]float64]bool{}
	for f := range factors {
		counts := map[float64]int{}
		for _, c := range cases {
			counts[c.levels[f]]++
			seen[c.levels] = true
		}
		for l, n := range counts {
			if even := 60 / len(factors[f].levels); n < even-2 || n > even+2 || len(counts) != len(factors[f].levels) {
				t.Errorf("%s %g is in %d of 60 scenes", factors[f].name, l, n)
			}
		}
	}
	if len(seen) != 60 {
		t.Errorf("60 scenes have %d combinations of levels", len(seen))
	}
	if n := len(combinations()); n != 4*3*3*3*3 {
		t.Errorf("the full factorial has %d combinations", n)
	}
	harden(longer)
	for i, c := range longer {
		if c.trouble != troubles[i%len(troubles)].name {
			t.Errorf("scene %d has the trouble %q", i, c.trouble)
		}
	}
	if n := len(plan(330)); n != 330 {
		t.Errorf("330 scenes were asked for, %d planned", n)
	}
}

func TestQuantile(t *testing.T) {
	for _, tc := range []struct {
		values []float64
		q      float64
		want   float64
	}{
		{[]float64{3, 1, 2}, 0.5, 2},
		{[]float64{4, 1, 2, 3}, 0.5, 2.5},
		{[]float64{0, 10}, 0.9, 9},
		{[]float64{7}, 0.9, 7},
		{[]float64{1, math.Inf(1), 2}, 0.5, 2},
	} {
		if got := quantile(tc.values, tc.q); math.Abs(got-tc.want) > 1e-12 {
			t.Errorf("the %g of %v is %g, want %g", tc.q, tc.values, got, tc.want)
		}
	}
	if !math.IsNaN(quantile(nil, 0.5)) {
		t.Error("no values have a median")
	}
}

func TestTableCountsWhatItIsGiven(t *testing.T) {
	cases := plan(4)
	results := make([]result, len(cases))
	for i := range cases {
		results[i] = result{testCase: cases[i], rmsMM: 0.01 * float64(i+1), worstMM: 0.1, within: 0.5}
	}
	results[3].refused = errors.New("no lines")
	results[2].worstMM = 0.3
	all := grouped(results)
	last := all[len(all)-1]
	if last.scenes != 4 || last.refused != 1 || last.onTarget != 2 || quantile(last.rms, 0.5) != 0.02 || mean(last.within) != 0.5 {
		t.Errorf("all: %+v", last)
	}
	perFactor := map[string]int{}
	for _, g := range all[:len(all)-1] {
		perFactor[g.factor] += g.scenes
	}
	for f, n := range perFactor {
		if n != 4 {
			t.Errorf("%s counts %d scenes of 4", f, n)
		}
	}
	var out bytes.Buffer
	writeTable(&out, results)
	if s := out.String(); strings.Contains(s, "NaN") || !strings.Contains(s, "no lines") {
		t.Errorf("the table is\n%s", s)
	}
}

// A scene of foam and one with a sheet: told what a maker would tell, the
// error is that of the plane asked for.
func TestSweepOfFoamAndOfASheet(t *testing.T) {
	for name, s := range map[string]settings{
		"foam":  {scenes: 3, megapixels: 1, thickMM: 8},
		"sheet": {scenes: 3, megapixels: 1, sheet: "letter"},
	} {
		cases, err := s.cases()
		if err != nil {
			t.Fatal(err)
		}
		r, err := measure(context.Background(), cases[2], s.megapixels)
		if err != nil {
			t.Fatal(err)
		}
		if r.refused != nil || r.rmsMM > 1 || len(r.places) < 500 {
			t.Errorf("%s: %v, RMS %g mm at %d places", name, r.refused, r.rmsMM, len(r.places))
		}
		if name == "foam" && (r.truth.Pieces[0].ThicknessMM != 8 || r.options().Raised.ThicknessMM != 8) {
			t.Error("the foam is not 8 mm thick")
		}
		if _, err := errorMap(&r); err != nil {
			t.Error(err)
		}
	}
	bad := settings{scenes: 1, sheet: "postcard"}
	if _, err := bad.cases(); err == nil {
		t.Error("a sheet of no known size was let through")
	}
}

// Two small scenes from photograph to pictures and numbers.
func TestSweepOfTwoScenes(t *testing.T) {
	dir := t.TempDir()
	s := settings{scenes: 2, megapixels: 1, jobs: 2, dir: dir, mapOf: -1}
	results, err := measureAll(context.Background(), []testCase{plan(6)[3], plan(6)[0]}, s)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range results {
		if r.refused != nil || r.rmsMM > 0.2 || len(r.places) < 1000 || len(r.hull) < 4 {
			t.Errorf("%s: %v, RMS %g mm at %d places", r.describe(), r.refused, r.rmsMM, len(r.places))
		}
	}
	path := filepath.Join(dir, "numbers.csv")
	if err := writeCSV(path, results); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll() // refuses rows of unlike length
	if err != nil || len(rows) != 3 || rows[1][1] != "77003" {
		t.Errorf("the numbers are %v (%v)", rows, err)
	}
	for name, draw := range map[string]func() (*canvas, error){
		"curves": func() (*canvas, error) { return curves(results) },
		"map":    func() (*canvas, error) { return errorMap(mapped(results, -1)) },
	} {
		c, err := draw()
		if err != nil {
			t.Fatal(err)
		}
		colours := map[[4]byte]bool{}
		for i := 0; i < len(c.Pix); i += 4 {
			colours[[4]byte(c.Pix[i:i+4])] = true
		}
		if len(colours) < 20 {
			t.Errorf("%s shows %d colours", name, len(colours))
		}
	}
	if r := mapped(results, 0); r.number != 0 {
		t.Errorf("asked for scene 0, the map shows %d", r.number)
	}
}
