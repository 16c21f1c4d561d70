package svg

import (
	"bytes"
	"os"
	"testing"

	"flatwright/export/page/specimen"
)

func TestWritesHelmet(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, specimen.Helmet()); err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("FLATWRIGHT_KEEP"); dir != "" {
		os.WriteFile(dir+"/helmet.svg", b.Bytes(), 0o644)
	}
}
