package main

import (
	"encoding/xml"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
	"flatwright/trace/curve"
)

// svgDoc is as much of the SVG contract as a scorer needs, read by the
// standard library's XML parser and not by the program's own code.
type svgDoc struct {
	Width   string `xml:"width,attr"`
	Height  string `xml:"height,attr"`
	ViewBox string `xml:"viewBox,attr"`
	Groups  []struct {
		Class string `xml:"class,attr"`
		ID    string `xml:"id,attr"`
		Paths []struct {
			Class string `xml:"class,attr"`
			D     string `xml:"d,attr"`
		} `xml:"path"`
	} `xml:"g"`
}

// readSVG returns the pieces of a pattern.svg: the first cut path of a group
// is the outline, the others openings.
func readSVG(t *testing.T, path string) []scene.Outline {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var doc svgDoc
	if err := xml.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	if want := fmt.Sprintf("0 0 %s %s", strings.TrimSuffix(doc.Width, "mm"), strings.TrimSuffix(doc.Height, "mm")); doc.ViewBox != want {
		t.Errorf("viewBox %q, want %q: one unit is one millimetre", doc.ViewBox, want)
	}
	var out []scene.Outline
	for _, g := range doc.Groups {
		if g.Class != "piece" {
			continue
		}
		var o scene.Outline
		for _, p := range g.Paths {
			pts, closed := flattened(t, p.D)
			switch p.Class {
			case "cut":
				if !closed {
					t.Errorf("piece %s: a cut path is not closed", g.ID)
				}
				if o.Polygon == nil {
					o.Polygon = pts
				} else {
					o.Openings = append(o.Openings, pts)
				}
			case "notch":
				o.Marks = append(o.Marks, scene.Mark{At: pts[0], In: pts[len(pts)-1]})
			}
		}
		out = append(out, o)
	}
	return out
}

// flattened reads a path of absolute M, L, H, V, C and Z commands.
func flattened(t *testing.T, d string) (pts []mat.Point, closed bool) {
	t.Helper()
	fields := strings.FieldsFunc(spaced(d), func(r rune) bool { return unicode.IsSpace(r) || r == ',' })
	cmd := ""
	var at mat.Point
	for i := 0; i < len(fields); {
		if f := fields[i]; len(f) == 1 && unicode.IsLetter(rune(f[0])) {
			cmd = f
			i++
			if cmd == "Z" || cmd == "z" {
				closed = true
			}
			continue
		}
		n := map[string]int{"M": 2, "L": 2, "H": 1, "V": 1, "C": 6}[cmd]
		if n == 0 || i+n > len(fields) {
			t.Fatalf("path %.60s…: command %q is not understood", d, cmd)
		}
		v := make([]float64, n)
		for k := range v {
			var err error
			if v[k], err = strconv.ParseFloat(fields[i+k], 64); err != nil {
				t.Fatal(err)
			}
		}
		i += n
		switch cmd {
		case "H":
			at.X = v[0]
		case "V":
			at.Y = v[0]
		case "C":
			s := curve.Cubic(at, mat.Point{X: v[0], Y: v[1]}, mat.Point{X: v[2], Y: v[3]}, mat.Point{X: v[4], Y: v[5]})
			for k := 1; k < 64; k++ {
				pts = append(pts, s.Eval(float64(k)/64))
			}
			at = s.P3
		default:
			at = mat.Point{X: v[0], Y: v[1]}
		}
		pts = append(pts, at)
		if cmd == "M" {
			cmd = "L"
		}
	}
	return pts, closed
}

// spaced puts blanks round command letters and before minus signs.
func spaced(d string) string {
	var b strings.Builder
	for _, r := range d {
		switch {
		case unicode.IsLetter(r):
			fmt.Fprintf(&b, " %c ", r)
		case r == '-':
			b.WriteString(" -")
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
