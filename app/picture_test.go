package main

import (
	"bytes"
	"context"
	"errors"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"testing"

	"flatwright/app/desk/session"
	"flatwright/export/page/specimen"
	"flatwright/trace/pattern"
)

// demoPhoto is the demo photograph as seen from this package's folder.
const demoPhoto = "../assets/demo.jpg"

func TestParseCut(t *testing.T) {
	for text, want := range map[string]pattern.Cut{
		"A2=B45":              {Kind: pattern.Bevel, AngleDeg: 45},
		"A2=u22.5":            {Kind: pattern.Undercut, AngleDeg: 22.5},
		"A2=B22,5°":           {Kind: pattern.Bevel, AngleDeg: 22.5},
		"A2=S":                {Kind: pattern.Straight},
		"A2=S10":              {},
		"A2=B":                {},
		"A2=B0":               {},
		"A2=B90":              {},
		"A2=BNaN":             {},
		"A2=X45":              {},
		"A2=":                 {},
		"=B45":                {},
		"A2":                  {},
		"":                    {},
		"A2=B4=5":             {},
		"A2=B45degrees or so": {},
	} {
		edge, got, err := parseCut(text)
		if want.Kind == "" {
			var u *usageError
			if !errors.As(err, &u) {
				t.Errorf("%q: %v, want a usage error", text, err)
			}
			continue
		}
		if err != nil || edge != "A2" || got != want {
			t.Errorf("%q: %q, %+v, %v", text, edge, got, err)
		}
	}
}

// What is only for pictures is refused without one.
func TestWindowArguments(t *testing.T) {
	for _, args := range [][]string{
		{"--cut", "A2=B45"},
		{"--thickness", "10mm"},
		{"--picture", "a.png", "--thickness", "1m"},
		{"--picture", "a.png", "--cut", "A2"},
		{"--appearance", "pink"},
		{"--pitch", "wide"},
		{"nosuch.jpg"},
		{demoPhoto, demoPhoto},
	} {
		_, err := parseWindow(args)
		var u *usageError
		if !errors.As(err, &u) {
			t.Errorf("%q: %v, want a usage error", args, err)
		}
	}
	o, err := parseWindow([]string{demoPhoto, "--pitch", "1in", "--picture", "a.png", "--cut", "A2=B45", "--thickness", "10mm"})
	s := o.Screenshot
	if err != nil || s.Path != "a.png" || s.Edge != "A2" || s.Cut.AngleDeg != 45 || s.ThicknessMM != 10 || o.PitchMM != 25.4 {
		t.Errorf("%+v, %v", o, err)
	}
}

// A page's picture has the page's size, and a page that is not there is
// refused before anything is written.
func TestPagePicture(t *testing.T) {
	dir := t.TempDir()
	file, out := filepath.Join(dir, "page.png"), filepath.Join(dir, "out")
	draw := func(page string) (status int, errs string) {
		var e bytes.Buffer
		args := []string{"make", demoPhoto, "--pitch", "1in", "--out", out, "--picture", file, "--picture-page", page}
		return run(context.Background(), args, io.Discard, &e), e.String()
	}
	status, errs := draw("99")
	if _, err := os.Stat(out); status != statusUsage || err == nil {
		t.Errorf("page 99: status %d, %q; anything written: %v", status, errs, err == nil)
	}
	status, errs = draw("3")
	if status != statusDone {
		t.Fatalf("status %d: %s", status, errs)
	}
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, err := png.DecodeConfig(f)
	// A4, 210 × 297 mm, upright or lying, at 100 dpi.
	if err != nil || min(c.Width, c.Height) != 827 || max(c.Width, c.Height) != 1169 {
		t.Errorf("%d × %d px, %v", c.Width, c.Height, err)
	}
}

// The pages of a pattern are laid out once for all that the window asks.
func TestPagesAreLaidOutOnce(t *testing.T) {
	b := bench{pages: newPageStore()}
	print := session.UsualPrint("a4")
	p := specimen.Helmet()
	n, err := b.Pages(t.Context(), session.Printout{Pattern: p, Print: print})
	if err != nil || n < 2 {
		t.Fatal(n, err)
	}
	was := b.pages.made
	im, name, of, err := b.ShowPage(context.Background(), session.Printout{Pattern: p, Print: print}, 1, 300)
	if err != nil || of != n || name == "" || im.Bounds().Dx() < 290 || b.pages.made != was {
		t.Errorf("%v, page %q of %d, laid out again: %v", err, name, of, b.pages.made != was)
	}
	print.Packed = true
	if m, err := b.Pages(t.Context(), session.Printout{Pattern: p, Print: print}); err != nil || m >= n || b.pages.made == was {
		t.Errorf("packed: %d pages of %d, %v", m, n, err)
	}
}
