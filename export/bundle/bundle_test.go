package bundle

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/specimen"
	"flatwright/trace/pattern"
)

func document(p pattern.Pattern) draw.Document {
	return draw.Document{Title: "Helmet", Date: time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC), Pattern: p, Setup: page.DefaultSetup()}
}

func written(t *testing.T, doc draw.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(context.Background(), &b, doc); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// All that is promised is in it, each of its kind; the pattern comes back
// equal; the maker's paper, margins and printer stay at home; the same bytes twice.
func TestBundle(t *testing.T) {
	doc := document(specimen.Helmet())
	file := written(t, doc)
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	begins := map[string]string{
		ReadmeName: "Helmet\n", A4Name: "%PDF-", LetterName: "%PDF-", SVGName: "<?xml", DXFName: "  0\nSECTION",
		R12Name: "  0\nSECTION", PatternName: "{", PictureName: "\x89PNG",
	}
	if len(z.File) != len(begins) {
		t.Errorf("%d files, want %d", len(z.File), len(begins))
	}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if want, ok := begins[f.Name]; !ok || !strings.HasPrefix(string(b), want) {
			t.Errorf("%s begins %q", f.Name, b[:min(len(b), 12)])
		}
		switch f.Name {
		case PatternName:
			back, err := pattern.Decode(b)
			if err != nil || len(back.Pieces) != len(doc.Pattern.Pieces) {
				t.Errorf("the pattern comes back with %d pieces, %v", len(back.Pieces), err)
			}
		case PictureName:
			im, err := png.Decode(bytes.NewReader(b))
			if err != nil || im.Bounds().Dx() < 1000 || max(im.Bounds().Dx(), im.Bounds().Dy()) > pictureSide {
				t.Errorf("the picture: %v, %v", im.Bounds(), err)
			}
		}
	}
	doc.Setup.Printer = page.Printer{Short: 0.99, Long: 1.01}
	// Margins that leave no room for the square on A4.
	doc.Setup.Paper, _ = page.PaperByName("A0")
	doc.Setup.MarginMM, doc.Setup.OverlapMM, doc.Setup.Orientation = 60, 30, page.Landscape
	if !bytes.Equal(file, written(t, doc)) {
		t.Error("the bundle depends on the maker's paper or printer")
	}
}

// Another program's reader finds no fault in the archive.
func TestBundleReadByOthers(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("SKIPPED: python3 is not installed, so nobody else has read this bundle")
	}
	name := filepath.Join(t.TempDir(), "pattern.zip")
	if err := os.WriteFile(name, written(t, document(specimen.Chiral())), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(python, "-m", "zipfile", "-t", name).CombinedOutput(); err != nil || !strings.Contains(string(out), "Done testing") {
		t.Errorf("%v: %s", err, out)
	}
}

func TestNothingToBundle(t *testing.T) {
	var b bytes.Buffer
	if err := Write(context.Background(), &b, document(pattern.Pattern{})); !errors.Is(err, page.ErrEmpty) || b.Len() > 0 {
		t.Errorf("%v, %d bytes", err, b.Len())
	}
}
