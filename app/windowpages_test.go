package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/export/pdf"
	"flatwright/rectify"
	"flatwright/trace"
)

// several is the work on so many photographs, each squared up and traced.
func several(t *testing.T, photographs int) *session.Session {
	t.Helper()
	job, s := &practice.Job{}, session.New()
	s.StartWithPitch(practice.PitchMM)
	drawn := job.Photo()
	for k := range photographs {
		p := *drawn
		p.Name = fmt.Sprintf("photograph-%d.jpg", k+1)
		s.AddPhoto(&p)
		q, err := job.SquareUp(t.Context(), &p, rectify.Options{PitchMM: practice.PitchMM})
		if err != nil {
			t.Fatal(err)
		}
		s.SetSquared(q)
		s.SetTraced(&trace.Traced{Pattern: practice.Pattern()})
	}
	return s
}

// What the window shows is what it saves, page for page, whatever the cover says
// of the photographs: as many pages, with the same words, and the same picture.
func TestWhatIsShownIsSaved(t *testing.T) {
	t.Setenv("SOURCE_DATE_EPOCH", "1700000000")
	for _, n := range []int{1, 2, 3, 5} {
		s := several(t, n)
		for _, packed := range []bool{false, true} {
			print := session.UsualPrint("a4")
			print.Packed = packed
			s.SetPrint(print)
			t.Run(fmt.Sprintf("%d photographs, packed %v", n, packed), func(t *testing.T) { shownIsSaved(t, s.Printout(), n) })
		}
	}
}

// shownIsSaved compares the pages that are shown of a print with the file that
// is saved, which another program counts and reads.
func shownIsSaved(t *testing.T, x session.Printout, photographs int) {
	t.Helper()
	b := bench{pages: newPageStore()}
	count, err := b.Pages(t.Context(), x)
	if err != nil {
		t.Fatal(err)
	}
	var shown bytes.Buffer
	if err := pdf.WriteSet(&shown, b.pages.made, b.pages.doc); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "saved.pdf")
	if err := b.Export(t.Context(), path, x); err != nil {
		t.Fatal(err)
	}
	if saved, err := os.ReadFile(path); err != nil || !bytes.Equal(saved, shown.Bytes()) {
		t.Errorf("the saved pages are not those that are shown, %v", err)
	}
	info := read(t, "pdfinfo", path)
	if want := regexp.MustCompile(`(?m)^Pages:\s+` + strconv.Itoa(count) + `$`); !want.MatchString(info) {
		t.Fatalf("%d pages are shown, saved:\n%s", count, info)
	}
	all := ""
	for at, words := range strings.Split(strings.TrimSuffix(read(t, "pdftotext", path, "-"), "\f"), "\f") {
		_, name, of, err := b.ShowPage(t.Context(), x, at, 60)
		words = strings.Join(strings.Fields(words), " ")
		if err != nil || of != count || !strings.Contains(words, fmt.Sprintf("page %d of %d", at+1, count)) {
			t.Errorf("page %d of %d is shown as %q, saved with: %s; %v", at+1, of, name, words, err)
		}
		if strings.HasPrefix(name, "Sheet") && !strings.Contains(strings.ToLower(words), strings.ToLower(name)) {
			t.Errorf("page %d is shown as %q, saved with: %s", at+1, name, words)
		}
		all += words + " "
	}
	for _, part := range x.Parts {
		if name := part.Squared.Photo.Name; strings.Count(all, name+": squared up on") != 1 {
			t.Errorf("the saved pages do not say once how %s was squared up", name)
		}
	}
	if len(x.Parts) != photographs {
		t.Errorf("%d parts of %d photographs", len(x.Parts), photographs)
	}
}

// Whoever waits for the store of pages, which another holds, ends with its
// context.
func TestWaitingForThePagesEnds(t *testing.T) {
	b := bench{pages: newPageStore()}
	b.pages.turn <- struct{}{} // never given back
	x := session.Printout{Pattern: packedPattern(), Print: session.UsualPrint("a4")}
	path := filepath.Join(t.TempDir(), "pattern.pdf")
	for name, ask := range map[string]func(context.Context) error{
		"counting": func(ctx context.Context) error { _, err := b.Pages(ctx, x); return err },
		"showing":  func(ctx context.Context) error { _, _, _, err := b.ShowPage(ctx, x, 0, 100); return err },
		"packing":  func(ctx context.Context) error { _, err := b.OnPaper(ctx, x); return err },
		"export":   func(ctx context.Context) error { return b.Export(ctx, path, x) },
	} {
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan error, 1)
		go func() { ended <- ask(ctx) }()
		select {
		case err := <-ended:
			t.Errorf("%s went on without its turn: %v", name, err)
		case <-time.After(20 * time.Millisecond): // it waits, or will
		}
		stop()
		select {
		case err := <-ended:
			if !errors.Is(err, context.Canceled) {
				t.Errorf("%s: %v", name, err)
			}
		case <-time.After(time.Minute):
			t.Fatalf("%s waits on", name)
		}
	}
}
