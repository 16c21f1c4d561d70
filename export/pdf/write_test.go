package pdf

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/specimen"
	"flatwright/trace/pattern"
)

var day = time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)

func document(p pattern.Pattern) draw.Document {
	return draw.Document{Author: "A maker", Date: day, Pattern: p, Setup: page.DefaultSetup()}
}

// written writes a document to a file for another program to read. With
// FLATWRIGHT_KEEP set to a folder it stays there to be looked at.
func written(t *testing.T, name string, doc draw.Document) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, doc); err != nil {
		t.Fatal(err)
	}
	dir := os.Getenv("FLATWRIGHT_KEEP")
	if dir == "" {
		dir = t.TempDir()
	}
	file := filepath.Join(dir, name)
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestSameDocumentSameBytes(t *testing.T) {
	for name, date := range map[string]time.Time{"dated": day, "undated": {}} {
		doc := document(specimen.Helmet())
		doc.Date = date
		sum := func() [32]byte {
			var b bytes.Buffer
			if err := Write(&b, doc); err != nil {
				t.Fatal(err)
			}
			return sha256.Sum256(b.Bytes())
		}
		first := sum()
		for range 3 {
			if sum() != first {
				t.Fatalf("%s: the bytes differ", name)
			}
		}
	}
}

func TestEmptyPatternIsASentence(t *testing.T) {
	var b bytes.Buffer
	err := Write(&b, document(pattern.Pattern{Name: "nothing"}))
	if !errors.Is(err, page.ErrEmpty) || b.Len() > 0 {
		t.Errorf("%d bytes, %v", b.Len(), err)
	}
}

func TestWriterThatFails(t *testing.T) {
	err := Write(brokenWriter{}, document(specimen.Chiral()))
	if err == nil || !strings.Contains(err.Error(), "disk full") {
		t.Error(err)
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("disk full") }

// strangeNames are names as they come: emoji, control characters, writing
// from right to left, far too long, PDF's own brackets.
var strangeNames = []string{
	"dragon 🐉 wing ✂", "bell \a nul \x00 esc \x1b[31m", "מגן לחי", "درع \u202eالخد\u202c", "((\\unbalanced>>",
	strings.Repeat("very ", 400) + "long", "\xff\xfe", "  ", "鎧の袖", "endobj stream",
}

func TestStrangeNames(t *testing.T) {
	p := specimen.Helmet()
	for i := range p.Pieces {
		p.Pieces[i].Name = strangeNames[i%len(strangeNames)]
	}
	p.Pieces[3].ID = "🐉"
	doc := document(p)
	doc.Title, doc.Author = strangeNames[0]+strangeNames[2], strangeNames[1]
	doc.Notes = strangeNames
	checkClean(t, written(t, "strange.pdf", doc))
}

func TestAnyNameIsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := specimen.Chiral()
		p.Pieces[0].Name = rapid.String().Draw(t, "name")
		p.Pieces[0].ID = rapid.String().Draw(t, "id")
		p.Name = rapid.String().Draw(t, "title")
		var b bytes.Buffer
		if err := Write(&b, document(p)); err != nil {
			t.Fatal(err)
		}
	})
}

func TestEveryPaper(t *testing.T) {
	for _, paper := range append(page.Papers(), page.Paper{Name: "roll", WidthMM: 610, HeightMM: 5000}) {
		for _, margin := range []float64{5, 12} {
			doc := document(specimen.Helmet())
			doc.Setup.Paper, doc.Setup.MarginMM = paper, margin
			file := written(t, "paper-"+paper.Name+".pdf", doc)
			if margin == 5 {
				checkClean(t, file)
			}
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	doc := document(specimen.Helmet())
	for b.Loop() {
		if err := Write(&bytes.Buffer{}, doc); err != nil {
			b.Fatal(err)
		}
	}
}
