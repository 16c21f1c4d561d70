package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"flatwright/app/desk/session"
	"flatwright/export"
	"flatwright/export/page"
	"flatwright/trace/pattern"
)

// stopping is a context that is done from the n-th time on that somebody asks
// for it while files lie in a folder.
type stopping struct {
	context.Context
	stop  context.CancelFunc
	dir   string
	files int
	left  int
	asked int
}

func stopWith(dir string, files, after int) *stopping {
	s := &stopping{dir: dir, files: files, left: after}
	s.Context, s.stop = context.WithCancel(context.Background())
	return s
}

func (s *stopping) Err() error {
	if list, err := os.ReadDir(s.dir); err == nil && len(list) >= s.files {
		s.asked++
		if s.asked == s.left {
			s.stop()
		}
	}
	return s.Context.Err()
}

// An export that is stopped while it packs the bundle's pages, or once all is
// made but nothing in its place, leaves the old files as they were.
func TestAStoppedExportLeavesTheOldFiles(t *testing.T) {
	b := bench{pages: newPageStore()} // packs once for both
	for name, c := range map[string]struct {
		bundle       bool
		files, after int
	}{
		// The old PDF, the mark that the folder is in use, and the new files.
		"in the bundle":  {true, 4, 4},
		"before the end": {false, 3, 1},
	} {
		dir := t.TempDir()
		path := filepath.Join(dir, "pattern.pdf")
		if err := os.WriteFile(path, []byte("old"), 0o644); err != nil {
			t.Fatal(err)
		}
		print := session.UsualPrint("A5")
		print.Packed, print.Bundle = true, c.bundle
		p := packedPattern()
		if _, err := b.Pages(context.Background(), session.Printout{Pattern: p, Print: print}); err != nil {
			t.Fatal(err)
		}
		ctx := stopWith(dir, c.files, c.after)
		err := b.Export(ctx, path, session.Printout{Pattern: p, Print: print})
		if !errors.Is(err, context.Canceled) {
			t.Errorf("%s: %v", name, err)
		}
		// The stop came in the midst: nobody went on to ask many times more.
		if ctx.asked < c.after || ctx.asked > c.after+20 {
			t.Errorf("%s: asked %d times", name, ctx.asked)
		}
		list, err := os.ReadDir(dir)
		if err != nil || len(list) != 1 {
			t.Errorf("%s: %v, %v left behind", name, list, err)
		}
		if text, err := os.ReadFile(path); err != nil || string(text) != "old" {
			t.Errorf("%s: the old PDF holds %q, %v", name, text, err)
		}
	}
}

// The command that writes a pattern is stopped likewise.
func TestAStoppedWriteAllLeavesNothing(t *testing.T) {
	doc, err := printed(packedPattern(), session.UsualPrint("A4"))
	if err != nil {
		t.Fatal(err)
	}
	doc.Setup.Packed = true
	dir := filepath.Join(t.TempDir(), "new")
	ctx := stopWith(dir, 4, 3) // in use, PDF, SVG, bundle
	if _, err := export.WriteAll(ctx, dir, doc, export.Options{Bundle: true}, reportOf(nil)); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the folder was left: %v", err)
	}
}

// A paper is checked while the store of pages is held by another, and takes or
// refuses what the pages do.
func TestAPaperIsCheckedBesideAnExport(t *testing.T) {
	b := bench{pages: newPageStore()}
	b.pages.turn <- struct{}{} // never given back
	p := packedPattern()
	for paper, good := range map[string]bool{
		"A4": true, "roll610mm": true, "610x914mm": true,
		"abc": false, "0x100": false, "30x30mm": false, "roll10mm": false,
	} {
		for _, packed := range []bool{false, true} {
			print := session.UsualPrint(paper)
			print.Packed = packed
			err := b.CheckPaper(p, print)
			if (err == nil) != good {
				t.Errorf("%s: %v", paper, err)
			}
			print.Packed = false
			if _, pages := (bench{pages: newPageStore()}).Pages(context.Background(), session.Printout{Pattern: p, Print: print}); fmt.Sprint(pages) != fmt.Sprint(err) {
				t.Errorf("%s: checked %v, pages say %v", paper, err, pages)
			}
		}
	}
}

// The window offers every paper that --paper knows by name, in its order, and the
// job takes each of them and a roll.
func TestWindowOffersThePapersOfTheCommand(t *testing.T) {
	o, err := parseWindow(nil)
	if err != nil {
		t.Fatal(err)
	}
	want := page.Papers()
	if len(o.Papers) != len(want) {
		t.Fatalf("the window offers %v, the command %v", o.Papers, want)
	}
	for i, name := range append(slices.Clone(o.Papers), "roll610mm") {
		doc, err := printed(pattern.Pattern{}, session.UsualPrint(name))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if i < len(want) && doc.Setup.Paper != want[i] {
			t.Errorf("%s is %v, want %v", name, doc.Setup.Paper, want[i])
		}
	}
}
