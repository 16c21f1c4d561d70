package main

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"flatwright/app/desk"
)

func read(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).Output()
	if err != nil {
		t.Fatalf("%s %v: %v", name, args, err)
	}
	return string(out)
}

// checkPrint reads a PDF with programs made by others: pages and their size,
// the words, and the 100 mm square in a picture of the cover.
func checkPrint(t *testing.T, p desk.Places) {
	t.Helper()
	info := read(t, "pdfinfo", "-f", "1", "-l", "999", p.Saved)
	if want := regexp.MustCompile(`(?m)^Pages:\s+` + strconv.Itoa(p.Pages) + `$`); !want.MatchString(info) {
		t.Errorf("the window counts %d pages, poppler:\n%s", p.Pages, info)
	}
	// A4 is 210 by 297 mm (ISO 216), a point 1/72 in.
	sizes := regexp.MustCompile(`Page +\d+ size: +([\d.]+) x ([\d.]+)`).FindAllStringSubmatch(info, -1)
	for _, s := range sizes {
		w, _ := strconv.ParseFloat(s[1], 64)
		h, _ := strconv.ParseFloat(s[2], 64)
		if math.Abs(min(w, h)-210*72/25.4) > 0.02 || math.Abs(max(w, h)-297*72/25.4) > 0.02 {
			t.Errorf("a page of %v by %v points is no A4", w, h)
		}
	}
	if len(sizes) != p.Pages {
		t.Errorf("%d sizes of %d pages", len(sizes), p.Pages)
	}
	text := read(t, "pdftotext", "-layout", p.Saved, "-")
	for _, want := range append([]string{"100 mm", p.Seams[0].ID}, bevelled(p)...) {
		if !regexp.MustCompile(`\b` + want + `\b`).MatchString(text) {
			t.Errorf("the print does not say %q", want)
		}
	}
	if n := len(bevelled(p)); n != 3 {
		t.Errorf("%d edges are bevelled, not 3", n)
	}
	checkSquare(t, p.Saved)
}

func bevelled(p desk.Places) (out []string) {
	for _, e := range p.Edges {
		if e.Cut.AngleDeg == 45 {
			out = append(out, e.ID)
		}
	}
	return out
}

// checkSquare measures the cover's square in a picture that poppler draws: its
// four sides are the longest dark lines of nearly 100 mm.
func checkSquare(t *testing.T, file string) {
	t.Helper()
	const dpi = 300
	base := filepath.Join(t.TempDir(), "cover")
	read(t, "pdftoppm", "-gray", "-singlefile", "-r", strconv.Itoa(dpi), "-f", "1", "-l", "1", file, base)
	raw, err := os.ReadFile(base + ".pgm")
	if err != nil {
		t.Fatal(err)
	}
	var w, h, deep int
	if _, err := fmt.Fscanf(bytes.NewReader(raw), "P5\n%d %d\n%d\n", &w, &h, &deep); err != nil {
		t.Fatal(err)
	}
	pix := raw[len(raw)-w*h:]
	dark := func(x, y int) float64 { return 255 - float64(pix[y*w+x]) }
	across := lines(h, w, func(i, k int) float64 { return dark(k, i) }, dpi)
	down := lines(w, h, dark, dpi)
	for name, at := range map[string][]float64{"high": across, "wide": down} {
		if mm := nearest100(at); math.Abs(mm-100) > 0.05 {
			t.Errorf("the cover's square is %.3f mm %s (lines at %v mm)", mm, name, at)
		}
	}
}

// lines returns where straight dark lines of 95 to 105 mm lie, in mm, as the
// mean of their darkness across; n rows of length m.
func lines(n, m int, dark func(i, k int) float64, dpi float64) (at []float64) {
	const mmPerInch = 25.4
	longest := func(i int) float64 {
		best, run := 0, 0
		for k := range m {
			if dark(i, k) < 60 {
				run = 0
				continue
			}
			run++
			best = max(best, run)
		}
		return float64(best) * mmPerInch / dpi
	}
	for i := 0; i < n; i++ {
		if l := longest(i); l < 95 || l > 105 {
			continue
		}
		sum, moment := 0.0, 0.0
		from := i
		for ; i < n; i++ {
			if l := longest(i); l < 95 || l > 105 {
				break
			}
		}
		for r := max(0, from-2); r < min(n, i+2); r++ {
			total := 0.0
			for k := range m {
				total += dark(r, k)
			}
			sum, moment = sum+total, moment+total*(float64(r)+0.5)
		}
		at = append(at, moment/sum*mmPerInch/dpi)
	}
	return at
}

// nearest100 is the distance of two lines that is nearest to 100 mm.
func nearest100(at []float64) float64 {
	best := math.Inf(1)
	for i, a := range at {
		for _, b := range at[i+1:] {
			if math.Abs(b-a-100) < math.Abs(best-100) {
				best = b - a
			}
		}
	}
	return best
}
