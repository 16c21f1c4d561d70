package sheet

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The drawings lie in the sheet's frame: an independent reader of DXF finds on
// the layer CUT the pieces' areas where the plan has them, and the sheet on
// layer 0 with its corner at the origin.
func TestReadersAgree(t *testing.T) {
	r, err := Plan(context.Background(), helmet(), Options{
		Stock: []Stock{{Name: "600x1000", WidthMM: 600, LengthMM: 1000}}, GapMM: 3, MarginMM: 5, Seed: 1, Moves: 100,
	})
	if err != nil {
		t.Fatal(err)
	}
	files, err := Files(r, []Format{SVG, DXF}, "")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, f := range files {
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, f.Name), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	checkSVG(t, filepath.Join(dir, "sheet-01.svg"))
	checkDXF(t, filepath.Join(dir, "sheet-01.dxf"), r.Sheets[0])
}

func checkSVG(t *testing.T, path string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Width  string `xml:"width,attr"`
		Height string `xml:"height,attr"`
		Box    string `xml:"viewBox,attr"`
		Groups []struct {
			Class string `xml:"class,attr"`
		} `xml:"g"`
	}
	if err := xml.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Width != "1000mm" || doc.Height != "600mm" || doc.Box != "0 0 1000 600" {
		t.Errorf("the drawing is %s × %s, its box %s", doc.Width, doc.Height, doc.Box)
	}
	if len(doc.Groups) < 11 || doc.Groups[0].Class != "sheet" {
		t.Errorf("%d groups", len(doc.Groups))
	}
}

const readDXF = `
import ezdxf, json, sys
from ezdxf import path
doc = ezdxf.readfile(sys.argv[1])
assert not doc.audit().errors
out = {}
for e in doc.modelspace():
    if e.dxftype() == 'TEXT' or e.dxf.layer not in ('0', 'CUT'):
        continue
    p = list(path.make_path(e).flattening(0.001))
    area = sum(a.x * b.y - a.y * b.x for a, b in zip(p, p[1:] + p[:1])) / 2
    out.setdefault(e.dxf.layer, []).append([abs(area), min(q.x for q in p), min(q.y for q in p), max(q.x for q in p), max(q.y for q in p)])
print(json.dumps(out))
`

func checkDXF(t *testing.T, path string, s Sheet) {
	t.Helper()
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import ezdxf").Run(); err != nil {
		t.Skip("SKIPPED: python3-ezdxf is not installed")
	}
	cmd := exec.Command(python, "-c", readDXF, path)
	var told strings.Builder
	cmd.Stderr = &told
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("the reader fails: %v\n%s", err, told.String())
	}
	got := map[string][][5]float64{}
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	if b := got["0"]; len(b) != 1 || b[0] != [5]float64{600000, 0, 0, 1000, 600} {
		t.Errorf("the sheet is read as %v", b)
	}
	for _, q := range s.Pieces {
		box := q.Piece.Outline.Bounds()
		found := false
		for _, e := range got["CUT"] {
			area := math.Abs(q.Piece.Outline.Area())
			// y points up in the drawing.
			found = found || math.Abs(e[0]-area) < 1e-4*area && math.Abs(e[1]-box.Min.X) < 0.01 && math.Abs(e[2]-(s.WidthMM-box.Max.Y)) < 0.01 &&
				math.Abs(e[3]-box.Max.X) < 0.01 && math.Abs(e[4]-(s.WidthMM-box.Min.Y)) < 0.01
		}
		if !found {
			t.Errorf("piece %s is not read where it lies, at %v", q.Piece.ID, box)
		}
	}
}
