package dxf

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"flatwright/export/page"
	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

var forms = []Form{Splines, Polylines, R12}

func written(t interface{ Fatal(...any) }, p pattern.Pattern, form Form) []byte {
	var b bytes.Buffer
	if err := Write(&b, p, form); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// seen is what an independent reader makes of a file: for every layer the
// closed areas (signed, anticlockwise above 0) and the lengths, in order.
type seen struct {
	Version, Units string
	Errors         int
	Areas          map[string][]float64
	Lengths        map[string][]float64
	Extents        [4]float64
	Texts          []string
}

// reader is a program for ezdxf, a general library that reads DXF (package
// python3-ezdxf): it audits the file and measures every curve by its own
// evaluation.
const reader = `
import sys, json, math, ezdxf
from ezdxf import path
doc, aud = ezdxf.readfile(sys.argv[1]), None
aud = doc.audit()
out = dict(Version=doc.dxfversion, Units=str(doc.header.get('$INSUNITS', '')), Errors=len(aud.errors)+len(aud.fixes), Areas={}, Lengths={}, Texts=[], Extents=[1e9,1e9,-1e9,-1e9])
for e in doc.modelspace():
    l = e.dxf.layer
    if e.dxftype() == 'TEXT':
        out['Texts'].append(e.plain_text()); continue
    if e.dxftype() == 'LINE':
        pts = [e.dxf.start, e.dxf.end]
    elif e.dxftype() == 'SPLINE':
        pts = list(e.construction_tool().flattening(0.0005, 8))
    else:
        pts = list(path.make_path(e).flattening(0.0005))
    n = sum(math.hypot(b[0]-a[0], b[1]-a[1]) for a, b in zip(pts, pts[1:]))
    out['Lengths'].setdefault(l, []).append(n)
    if math.hypot(pts[0][0]-pts[-1][0], pts[0][1]-pts[-1][1]) < 1e-5:
        out['Areas'].setdefault(l, []).append(sum(a[0]*b[1]-b[0]*a[1] for a, b in zip(pts, pts[1:]))/2)
    for p in pts:
        x = out['Extents']
        out['Extents'] = [min(x[0],p[0]), min(x[1],p[1]), max(x[2],p[0]), max(x[3],p[1])]
print(json.dumps(out))
`

// python returns an interpreter that has ezdxf.
func python(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import ezdxf").Run() == nil {
			return name
		}
	}
	t.Skip("SKIPPED: python3-ezdxf is not installed, so nobody else has read this DXF")
	return ""
}

func readByOthers(t *testing.T, python string, file []byte) (s seen) {
	t.Helper()
	name := filepath.Join(t.TempDir(), "a.dxf")
	if err := os.WriteFile(name, file, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(python, "-c", reader, name).Output()
	if err != nil {
		var bad *exec.ExitError
		if errors.As(err, &bad) {
			t.Fatalf("%v: %s", err, bad.Stderr)
		}
		t.Fatal(err)
	}
	if err := json.Unmarshal(out, &s); err != nil {
		t.Fatal(err)
	}
	return s
}

// What another reader makes of every form: no faults, the pattern's own areas
// and lengths layer by layer, its handedness with y upwards, and its words.
func TestReadByOthers(t *testing.T) {
	py := python(t)
	for _, p := range []pattern.Pattern{specimen.Helmet(), specimen.Chiral()} {
		for _, form := range forms {
			t.Run(p.Name+" "+string(form), func(t *testing.T) {
				s := readByOthers(t, py, written(t, p, form))
				if want := map[Form]string{Splines: "AC1015", Polylines: "AC1015", R12: "AC1009"}[form]; s.Version != want || s.Errors > 0 {
					t.Errorf("version %s, %d faults", s.Version, s.Errors)
				}
				if form != R12 && s.Units != "4" {
					t.Errorf("units %q, want 4, millimetres", s.Units)
				}
				// An area changes by less than the perimeter times the
				// tolerance.
				var areas, lengths []float64
				for _, piece := range p.Pieces {
					for _, c := range append([]curve.Path{piece.Outline}, piece.Openings...) {
						pts := c.Flatten(0.0005)
						areas, lengths = append(areas, -area(pts)), append(lengths, length(append(pts, pts[0])))
					}
				}
				compare(t, "CUT areas", s.Areas[layerCut], areas, func(k int) float64 { return 0.01 + ToleranceMM*lengths[k] })
				compare(t, "CUT lengths", s.Lengths[layerCut], lengths, func(int) float64 { return 0.02 })
				marks := 0
				for _, piece := range p.Pieces {
					for _, m := range piece.Marks {
						marks += len(m.Strokes())
					}
				}
				if len(s.Lengths[layerMark]) != marks {
					t.Errorf("%d strokes of marks, want %d", len(s.Lengths[layerMark]), marks)
				}
				if x := s.Extents; x[0] < 0 || x[1] < 0 || x[0] > 2*borderMM || x[1] > 2*borderMM {
					t.Errorf("the drawing begins at (%.2f, %.2f)", x[0], x[1])
				}
				if !strings.Contains(strings.Join(s.Texts, "\n"), strings.TrimSpace(p.Pieces[0].ID+" "+p.Pieces[0].Name)) {
					t.Errorf("texts %q", s.Texts)
				}
			})
		}
	}
}

// compare holds numbers against what is wanted, in order.
func compare(t *testing.T, what string, got, want []float64, within func(k int) float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d, want %d", what, len(got), len(want))
		return
	}
	for k := range got {
		if math.Abs(got[k]-want[k]) > within(k) {
			t.Errorf("%s: number %d is %.4f, want %.4f within %.4f", what, k, got[k], want[k], within(k))
		}
	}
}

func area(pts []mat.Point) float64 {
	sum := 0.0
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		sum += p.X*q.Y - q.X*p.Y
	}
	return sum / 2
}

func length(pts []mat.Point) float64 {
	sum := 0.0
	for i := 1; i < len(pts); i++ {
		sum += math.Hypot(pts[i].X-pts[i-1].X, pts[i].Y-pts[i-1].Y)
	}
	return sum
}

// GDAL's reader (package gdal-bin), written apart from the other, finds as many
// outlines of the same length.
func TestReadByGDAL(t *testing.T) {
	if _, err := exec.LookPath("ogrinfo"); err != nil {
		t.Skip("SKIPPED: gdal-bin is not installed, so GDAL has not read this DXF")
	}
	p := specimen.Helmet()
	var want float64
	outlines := 0
	for _, piece := range p.Pieces {
		for _, c := range append([]curve.Path{piece.Outline}, piece.Openings...) {
			outlines++
			want += length(append(c.Flatten(0.0005), c.Segments[0].P0))
		}
	}
	for _, form := range forms {
		name := filepath.Join(t.TempDir(), "a.dxf")
		if err := os.WriteFile(name, written(t, p, form), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("ogrinfo", "-q", "-dialect", "sqlite", "-sql",
			"SELECT COUNT(*) AS n, SUM(ST_Length(CASE WHEN GeometryType(geometry) LIKE 'POLYGON%' THEN ST_ExteriorRing(geometry) ELSE geometry END)) AS mm FROM entities WHERE Layer = 'CUT'", name).CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v: %s", form, err, out)
		}
		n, mm := fieldOf(string(out), "n"), fieldOf(string(out), "mm")
		// GDAL draws a spline by a fixed number of chords, which are shorter.
		within := 0.0001
		if form == Splines {
			within = 0.005
		}
		if int(n) != outlines || math.Abs(mm/want-1) > within {
			t.Errorf("%s: %g outlines, %.2f mm together; want %d, %.2f mm\n%s", form, n, mm, outlines, want, out)
		}
	}
}

func fieldOf(out, name string) float64 {
	for _, l := range strings.Split(out, "\n") {
		key, value, ok := strings.Cut(strings.TrimSpace(l), " = ")
		if f, _, _ := strings.Cut(key, " "); ok && f == name {
			v, _ := strconv.ParseFloat(value, 64)
			return v
		}
	}
	return math.NaN()
}

// Codes and values come in pairs, every handle is given once, and the same
// pattern makes the same bytes.
func TestTags(t *testing.T) {
	for _, form := range forms {
		file := string(written(t, specimen.Helmet(), form))
		if file != string(written(t, specimen.Helmet(), form)) {
			t.Errorf("%s: two writings differ", form)
		}
		lines := strings.Split(strings.TrimSuffix(file, "\n"), "\n")
		if len(lines)%2 != 0 {
			t.Fatalf("%s: %d lines are no pairs", form, len(lines))
		}
		handles := map[string]bool{}
		for i := 0; i < len(lines); i += 2 {
			code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
			if err != nil {
				t.Fatalf("%s: line %d: %v", form, i+1, err)
			}
			if code != 5 {
				continue
			}
			if h := lines[i+1]; handles[h] && lines[i-1] != "$HANDSEED" {
				t.Errorf("%s: handle %s is given twice", form, h)
			}
			handles[lines[i+1]] = true
		}
		if form == R12 && len(handles) > 0 {
			t.Errorf("R12 has %d handles", len(handles))
		}
	}
}

// Names of strangers neither break the pairs nor begin a code.
func TestTextIsSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawing{form: rapid.SampledFrom(forms).Draw(t, "form")}
		s := d.text(rapid.String().Draw(t, "name"))
		if strings.ContainsAny(s, "\r\n\x00") || strings.Contains(strings.NewReplacer("%%d", "", "%%p", "").Replace(s), "%%") {
			t.Fatalf("%q", s)
		}
		for _, r := range s {
			if r < ' ' || r > '~' {
				t.Fatalf("%q has %q", s, r)
			}
		}
	})
}

func TestNothingToDraw(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, pattern.Pattern{}, Splines); !errors.Is(err, page.ErrEmpty) || b.Len() > 0 {
		t.Errorf("%v, %d bytes", err, b.Len())
	}
}
