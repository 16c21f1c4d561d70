package svg

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
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

// What a reader of the drawing sees.
type drawn struct {
	Width   string  `xml:"width,attr"`
	Height  string  `xml:"height,attr"`
	ViewBox string  `xml:"viewBox,attr"`
	Move    string  `xml:"transform,attr"`
	Title   string  `xml:"title"`
	Groups  []group `xml:"g"`
}

type group struct {
	Class string `xml:"class,attr"`
	ID    string `xml:"id,attr"`
	Name  string `xml:"data-name,attr"`
	Move  string `xml:"transform,attr"`
	Paths []struct {
		Class string `xml:"class,attr"`
		D     string `xml:"d,attr"`
		Move  string `xml:"transform,attr"`
	} `xml:"path"`
	Texts []struct {
		Class string `xml:"class,attr"`
		Lines []struct {
			Text string `xml:",chardata"`
		} `xml:"tspan"`
	} `xml:"text"`
}

func readBack(t interface{ Fatal(...any) }, p pattern.Pattern) (drawn, []byte) {
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	var d drawn
	if err := xml.Unmarshal(b.Bytes(), &d); err != nil {
		t.Fatal(err)
	}
	return d, b.Bytes()
}

var token = regexp.MustCompile(`[MLCZ]|-?[\d.]+`)

// parsePath reads the path data, knowing only SVG's own rules for M, L, C, Z.
func parsePath(t *testing.T, d string) curve.Path {
	t.Helper()
	var path curve.Path
	var start, at mat.Point
	tokens := token.FindAllString(d, -1)
	number := func() float64 {
		v, err := strconv.ParseFloat(tokens[0], 64)
		if err != nil {
			t.Fatal(err)
		}
		tokens = tokens[1:]
		return v
	}
	point := func() mat.Point { x := number(); return mat.Point{X: x, Y: number()} }
	for len(tokens) > 0 {
		verb := tokens[0]
		tokens = tokens[1:]
		switch verb {
		case "M":
			at = point()
			start = at
		case "L":
			to := point()
			path.Segments = append(path.Segments, curve.Line(at, to))
			at = to
		case "C":
			a, b, to := point(), point(), point()
			path.Segments = append(path.Segments, curve.Cubic(at, a, b, to))
			at = to
		case "Z":
			path.Closed = true
			if at != start {
				path.Segments = append(path.Segments, curve.Line(at, start))
			}
		default:
			t.Fatalf("%q in %s", verb, d)
		}
	}
	return path
}

func TestContract(t *testing.T) {
	p := specimen.Helmet()
	d, data := readBack(t, p)
	if dir := os.Getenv("FLATWRIGHT_KEEP"); dir != "" {
		os.WriteFile(filepath.Join(dir, "helmet.svg"), data, 0o644)
	}
	if d.Move != "" {
		t.Errorf("the root has a transform %q", d.Move)
	}
	w, h := strings.TrimSuffix(d.Width, "mm"), strings.TrimSuffix(d.Height, "mm")
	if d.ViewBox != "0 0 "+w+" "+h || w == d.Width || h == d.Height {
		t.Errorf("width %s, height %s, viewBox %s", d.Width, d.Height, d.ViewBox)
	}
	if len(d.Groups) != len(p.Pieces) {
		t.Fatalf("%d groups", len(d.Groups))
	}
	for i, g := range d.Groups {
		comparePiece(t, &p.Pieces[i], g)
	}
}

// comparePiece compares a group with its piece: names, counts, places to
// 0.001 mm, areas.
func comparePiece(t *testing.T, p *pattern.Piece, g group) {
	t.Helper()
	if g.Class != "piece" || g.ID != p.ID || g.Name != p.Name || g.Move != "" {
		t.Errorf("piece %s is %+v", p.ID, g)
	}
	count := map[string]int{}
	var cuts []curve.Path
	for _, path := range g.Paths {
		count[path.Class]++
		if path.Move != "" {
			t.Errorf("piece %s has a transform", p.ID)
		}
		c := parsePath(t, path.D)
		if path.Class == "cut" {
			cuts = append(cuts, c)
		}
		if c.Closed != (path.Class == "cut") && path.Class != "back" {
			t.Errorf("piece %s: %s closed: %t", p.ID, path.Class, c.Closed)
		}
	}
	other, _ := page.OtherFaceLines(*p)
	if count["cut"] != 1+len(p.Openings) || count["notch"] != len(p.Marks) || count["score"] != len(p.Lines) ||
		count["back"] != len(other) {
		t.Fatalf("piece %s has %v", p.ID, count)
	}
	if len(g.Texts) == 0 || g.Texts[0].Class != "label" || !strings.HasPrefix(g.Texts[0].Lines[0].Text, p.ID) {
		t.Errorf("piece %s: label %+v", p.ID, g.Texts)
	}
	for i, loop := range append([]curve.Path{p.Outline}, p.Openings...) {
		sameLoop(t, p.ID, loop, cuts[i])
	}
}

func sameLoop(t *testing.T, id string, want, got curve.Path) {
	t.Helper()
	if len(got.Segments) != len(want.Segments) {
		t.Fatalf("piece %s: %d segments, want %d", id, len(got.Segments), len(want.Segments))
	}
	// The sign of the area would change if the piece were mirrored.
	if limit := 0.001 * want.Length(); math.Abs(got.Area()-want.Area()) > limit {
		t.Errorf("piece %s: area %.3f mm², want %.3f", id, got.Area(), want.Area())
	}
	shift := mat.Point{X: got.Segments[0].P0.X - want.Segments[0].P0.X, Y: got.Segments[0].P0.Y - want.Segments[0].P0.Y}
	for i, s := range want.Segments {
		g := got.Segments[i]
		for _, q := range [][2]mat.Point{{s.P0, g.P0}, {s.P1, g.P1}, {s.P2, g.P2}, {s.P3, g.P3}} {
			if d := math.Hypot(q[0].X+shift.X-q[1].X, q[0].Y+shift.Y-q[1].Y); d > 0.0015 {
				t.Errorf("piece %s, segment %d: %g mm off", id, i, d)
			}
		}
	}
}

// All pieces are moved by one shift, so that the sheet keeps its layout.
func TestLayoutIsKept(t *testing.T) {
	p := specimen.Helmet()
	d, _ := readBack(t, p)
	bounds, _ := page.Bounds(p)
	for i, g := range d.Groups {
		got, want := parsePath(t, g.Paths[0].D).Segments[0].P0, p.Pieces[i].Outline.Segments[0].P0
		dx, dy := got.X-want.X+bounds.MinX-borderMM, got.Y-want.Y+bounds.MinY-borderMM
		if math.Abs(dx) > 0.0006 || math.Abs(dy) > 0.0006 {
			t.Errorf("piece %s is shifted by %g, %g more", g.ID, dx, dy)
		}
	}
}

func TestStrangeNames(t *testing.T) {
	for name, want := range map[string]string{
		`<b>&"quoted"'</b>`:       `<b>&"quoted"'</b>`,
		"bell \a nul \x00 esc":    "bell nul esc",
		"dragon 🐉":                "dragon 🐉",
		"מגן לחי":                 "מגן לחי",
		"right \u202e to left":    "right to left",
		"lines\r\nand\ttabs":      "lines and tabs",
		"bad \xff utf8 \ufffe":    "bad � utf8",
		"</g></svg><!-- ]]> -->x": "</g></svg><!-- ]]> -->x",
	} {
		p := specimen.Chiral()
		p.Name, p.Pieces[0].Name = name, name
		d, _ := readBack(t, p)
		if d.Title != want || d.Groups[0].Name != want {
			t.Errorf("%q became %q and %q", name, d.Title, d.Groups[0].Name)
		}
	}
}

// Any names give well-formed XML with ids that are unique and allowed.
func TestAnyNames(t *testing.T) {
	allowed := regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_-]*$`)
	rapid.Check(t, func(t *rapid.T) {
		p := specimen.Helmet()
		for i := range p.Pieces {
			p.Pieces[i].ID = rapid.StringN(0, 3, -1).Draw(t, "id")
			p.Pieces[i].Name = rapid.String().Draw(t, "name")
		}
		d, _ := readBack(t, p)
		seen := map[string]bool{}
		for _, g := range d.Groups {
			if seen[g.ID] || !allowed.MatchString(g.ID) {
				t.Fatalf("id %q", g.ID)
			}
			seen[g.ID] = true
		}
	})
}

func TestEmptyPatternIsASentence(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, pattern.Pattern{}); !errors.Is(err, page.ErrEmpty) || b.Len() > 0 {
		t.Errorf("%d bytes, %v", b.Len(), err)
	}
}

// Another program's picture of the drawing: its size is that of the sheet in
// mm, and the F's lines are where they were drawn, not mirrored.
func TestRenderedByAnother(t *testing.T) {
	if _, err := exec.LookPath("rsvg-convert"); err != nil {
		t.Skip("SKIPPED: rsvg-convert is not installed, so nobody else has drawn this SVG")
	}
	const dpi, scale = 254.0, 10.0 // px per mm
	p := specimen.Chiral()
	_, data := readBack(t, p)
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "f.svg"), data, 0o644); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "f.png")
	cmd := exec.Command("rsvg-convert", "-b", "white", "-d", "254", "-p", "254", "-o", out, filepath.Join(dir, "f.svg"))
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	img := decoded(t, out)
	b, _ := page.Bounds(p)
	wide := (b.Width() + 2*borderMM) * scale
	if math.Abs(float64(img.Bounds().Dx())-wide) > 1 {
		t.Errorf("the picture is %d px wide at %g dpi, want %.1f", img.Bounds().Dx(), dpi, wide)
	}
	dark := func(x, y float64) bool {
		c := color.GrayModel.Convert(img.At(int((x-b.MinX+borderMM)*scale), int((y-b.MinY+borderMM)*scale))).(color.Gray)
		return c.Y < 100
	}
	for _, c := range []struct {
		x, y float64
		want bool
	}{{20, 100, true}, {35, 100, true}, {80, 33, true}, {77, 37, true}, {65, 68, true}, {80, 110, false}, {65, 100, false}, {50, 52, false}} {
		if dark(c.x, c.y) != c.want {
			t.Errorf("at %g, %g: dark is %t", c.x, c.y, !c.want)
		}
	}
}

func decoded(t *testing.T, file string) image.Image {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}
