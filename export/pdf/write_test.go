package pdf

import (
	"bytes"
	"os"
	"testing"
	"time"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/specimen"
)

func helmet() draw.Document {
	return draw.Document{
		Title: "Lantern guard helmet", Author: "A maker", Date: time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC),
		Pattern: specimen.Helmet(), Setup: page.DefaultSetup(),
		Notes: []string{"Squared up from one photograph to ± 0.06 mm."},
	}
}

func TestWritesHelmet(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, helmet()); err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("FLATWRIGHT_KEEP"); dir != "" {
		os.WriteFile(dir+"/helmet.pdf", b.Bytes(), 0o644)
	}
}
