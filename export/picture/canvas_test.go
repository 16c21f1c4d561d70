package picture

import (
	"os"
	"testing"
	"time"

	"flatwright/export/page"
	pages "flatwright/export/page/draw"
	"flatwright/export/page/specimen"
)

func TestRender(t *testing.T) {
	set, err := pages.Pages(pages.Document{Pattern: specimen.Helmet(), Setup: page.DefaultSetup(), Date: time.Unix(0, 0)})
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range []int{0, 6} {
		dir := os.Getenv("FLATWRIGHT_KEEP")
		if dir == "" {
			continue
		}
		f, err := os.Create(dir + "/" + set.Pages[i].Name + ".png")
		if err != nil {
			t.Fatal(err)
		}
		start := time.Now()
		if err := WritePNG(f, &set.Pages[i], 100); err != nil {
			t.Fatal(err)
		}
		t.Log(time.Since(start))
		f.Close()
	}
}
