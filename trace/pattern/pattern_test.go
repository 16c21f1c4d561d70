package pattern

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

func pt(x, y float64) mat.Point { return mat.Point{X: x, Y: y} }

func sheet(t testing.TB, outline curve.Path) Piece {
	t.Helper()
	p, err := New("", Piece{Outline: outline, ThicknessMM: 5})
	if err != nil {
		t.Fatal(err)
	}
	return p.Pieces[0]
}

func rectangle() curve.Path { return curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 60), pt(0, 60)) }

func disc(r float64) curve.Path {
	const k = 0.5522847498307936
	p := curve.Path{Closed: true}
	for i := range 4 {
		s := curve.Cubic(pt(r, 0), pt(r, k*r), pt(k*r, r), pt(0, r))
		q := curve.Path{Segments: []curve.Segment{s}}.Rotate(pt(0, 0), float64(i)*math.Pi/2)
		p.Segments = append(p.Segments, q.Segments[0])
	}
	return p
}

func TestLetters(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA", -1: ""} {
		if got := Letters(i); got != want {
			t.Errorf("Letters(%d) = %q, want %q", i, got, want)
		}
	}
}

func TestNewNamesPieces(t *testing.T) {
	p, err := New("shell", Piece{ID: "B", Outline: rectangle()}, Piece{Outline: rectangle()}, Piece{Outline: disc(9)})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, q := range p.Pieces {
		for _, e := range q.Edges {
			got = append(got, e.ID)
		}
	}
	if s := strings.Join(got, " "); s != "B1 B2 B3 B4 A1 A2 A3 A4 C1" {
		t.Errorf("edges %s", s)
	}
	if _, err := New("x", Piece{}); err == nil {
		t.Error("a piece without outline was taken")
	}
}

func TestBreakAndJoin(t *testing.T) {
	p := sheet(t, rectangle())
	if err := (&Pattern{Pieces: []Piece{p}}).SetCut("A2", Cut{Kind: Bevel, AngleDeg: 30}); err != nil {
		t.Fatal(err)
	}
	p.Edges[1].Cut = Cut{Kind: Bevel, AngleDeg: 30}
	id, err := p.BreakAt(curve.Position{Segment: 1, T: 0.25})
	if err != nil || id != "A5" {
		t.Fatalf("break: %q %v", id, err)
	}
	want := []Edge{
		{ID: "A1", First: 0, Count: 1, Cut: Cut{Kind: Straight, AngleDeg: 0}},
		{ID: "A2", First: 1, Count: 1, Cut: Cut{Kind: Bevel, AngleDeg: 30}},
		{ID: "A5", First: 2, Count: 1, Cut: Cut{Kind: Bevel, AngleDeg: 30}},
		{ID: "A3", First: 3, Count: 1, Cut: Cut{Kind: Straight, AngleDeg: 0}},
		{ID: "A4", First: 4, Count: 1, Cut: Cut{Kind: Straight, AngleDeg: 0}},
	}
	if !reflect.DeepEqual(p.Edges, want) {
		t.Fatalf("edges %v", p.Edges)
	}
	if l := p.EdgeLengthMM(1); math.Abs(l-15) > 1e-9 {
		t.Errorf("A2 is %g mm long, want 15", l)
	}
	if _, err := p.BreakAt(curve.Position{Segment: 2}); err == nil {
		t.Error("a second break at one place was taken")
	}
	if err := p.JoinEdges("A1", "A3"); err == nil {
		t.Error("edges apart were joined")
	}
	if err := p.JoinEdges("A1", "A4"); err != nil {
		t.Fatal(err)
	}
	if p.Edges[0].First != 4 || p.Edges[0].Count != 2 {
		t.Errorf("joined edge %v", p.Edges[0])
	}
	if f := Validate(Pattern{Pieces: []Piece{p}}); len(f) != 0 {
		t.Errorf("findings %v", f)
	}
}

// TestEdgesAlwaysCoverOutline breaks and joins at random.
func TestEdgesAlwaysCoverOutline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Piece{ID: "A", Outline: rectangle(), Quantity: 1, Face: Front}
		if err := EdgesFromCorners(&p); err != nil {
			t.Fatal(err)
		}
		length := p.PerimeterMM()
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			if len(p.Edges) > 1 && rapid.Bool().Draw(t, "join") {
				k := rapid.IntRange(0, len(p.Edges)-1).Draw(t, "edge")
				if err := p.JoinEdges(p.Edges[k].ID, p.Edges[(k+1)%len(p.Edges)].ID); err != nil {
					t.Fatal(err)
				}
				continue
			}
			at := curve.Position{
				Segment: rapid.IntRange(0, len(p.Outline.Segments)-1).Draw(t, "segment"),
				T:       rapid.Float64Range(0, 1).Draw(t, "t"),
			}
			_, _ = p.BreakAt(at) // a second break at one place is refused
		}
		if f := Validate(Pattern{Pieces: []Piece{p}}); len(f) != 0 {
			t.Fatalf("findings %v", f)
		}
		sum := 0.0
		for i := range p.Edges {
			sum += p.EdgeLengthMM(i)
		}
		if math.Abs(sum-length) > 1e-6 {
			t.Fatalf("edges sum to %g mm of %g", sum, length)
		}
	})
}

func TestCutValidate(t *testing.T) {
	for _, c := range []struct {
		cut Cut
		ok  bool
	}{
		{Cut{Kind: Straight, AngleDeg: 0}, true},
		{Cut{Kind: Straight, AngleDeg: 500}, true},
		{Cut{Kind: Bevel, AngleDeg: 45}, true},
		{Cut{Kind: Undercut, AngleDeg: 15}, true},
		{Cut{Kind: Bevel, AngleDeg: 0}, false},
		{Cut{Kind: Bevel, AngleDeg: 90}, false},
		{Cut{Kind: Undercut, AngleDeg: -30}, false},
		{Cut{Kind: Bevel, AngleDeg: math.NaN()}, false},
		{Cut{Kind: "chamfer", AngleDeg: 30}, false},
		{Cut{}, false},
	} {
		if err := c.cut.Validate(); (err == nil) != c.ok {
			t.Errorf("%v: %v", c.cut, err)
		}
	}
	p := Pattern{Pieces: []Piece{sheet(t, rectangle())}}
	if err := p.SetCut("A1", Cut{Kind: Bevel, AngleDeg: 89}); err == nil || p.Pieces[0].Edges[0].Cut.Kind != Straight {
		t.Error("a wrong cut was set")
	}
	if err := p.SetCut("Q7", Cut{Kind: Bevel, AngleDeg: 30}); err == nil {
		t.Error("an edge that is not there was cut")
	}
}

func TestInset(t *testing.T) {
	for _, c := range []struct {
		cut  Cut
		want float64
	}{{Cut{Kind: Bevel, AngleDeg: 45}, 6}, {Cut{Kind: Undercut, AngleDeg: 45}, -6}, {Cut{Kind: Straight, AngleDeg: 45}, 0}, {Cut{Kind: Bevel, AngleDeg: 30}, 3.4641016151377544}} {
		if got := InsetMM(c.cut, 6); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%v: %g, want %g", c.cut, got, c.want)
		}
	}
}

// TestOtherFace: a 100 × 60 rectangle in 5 mm sheet, all four edges at 45°.
func TestOtherFace(t *testing.T) {
	for _, c := range []struct {
		name string
		face Face
		kind CutKind
		want curve.Box
	}{
		{"bevel, front shown", Front, Bevel, curve.Box{Min: pt(5, 5), Max: pt(95, 55)}},
		{"undercut, front shown", Front, Undercut, curve.Box{Min: pt(-5, -5), Max: pt(105, 65)}},
		{"bevel, back shown", Back, Bevel, curve.Box{Min: pt(-5, -5), Max: pt(105, 65)}},
		{"undercut, back shown", Back, Undercut, curve.Box{Min: pt(5, 5), Max: pt(95, 55)}},
	} {
		p := sheet(t, rectangle())
		p.Face = c.face
		p.Openings = []curve.Path{disc(8).Reverse().Translate(pt(50, 30))}
		for i := range p.Edges {
			p.Edges[i].Cut = Cut{Kind: c.kind, AngleDeg: 45}
		}
		paths, f := OtherFace(p)
		if len(f) > 0 || len(paths) != 2 {
			t.Fatalf("%s: %d paths, findings %v", c.name, len(paths), f)
		}
		b := paths[0].Bounds()
		for _, d := range []float64{b.Min.X - c.want.Min.X, b.Min.Y - c.want.Min.Y, b.Max.X - c.want.Max.X, b.Max.Y - c.want.Max.Y} {
			if math.Abs(d) > 1e-9 {
				t.Errorf("%s: bounds %v, want %v", c.name, b, c.want)
			}
		}
	}
}

func TestOtherFaceMixedCuts(t *testing.T) {
	p := sheet(t, rectangle())
	p.Edges[0].Cut, p.Edges[2].Cut = Cut{Kind: Bevel, AngleDeg: 45}, Cut{Kind: Undercut, AngleDeg: 30}
	paths, f := OtherFace(p)
	if len(f) > 0 {
		t.Fatal(f)
	}
	want := curve.Box{Min: pt(0, 5), Max: pt(100, 60+5*math.Tan(math.Pi/6))}
	if b := paths[0].Bounds(); math.Abs(b.Min.Y-want.Min.Y)+math.Abs(b.Max.Y-want.Max.Y)+math.Abs(b.Max.X-100) > 1e-9 {
		t.Errorf("bounds %v, want %v", b, want)
	}
}

func TestOtherFaceStraightIsTheSame(t *testing.T) {
	p := sheet(t, disc(20))
	paths, f := OtherFace(p)
	if len(f) > 0 || !reflect.DeepEqual(paths[0], p.Outline) {
		t.Errorf("findings %v", f)
	}
}

func TestOtherFaceRefused(t *testing.T) {
	narrow := sheet(t, curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 8), pt(0, 8)))
	holed := sheet(t, rectangle())
	holed.Openings = []curve.Path{disc(8).Reverse().Translate(pt(50, 12))}
	small := sheet(t, disc(4))
	for _, c := range []struct {
		name string
		p    Piece
		near mat.Point
	}{{"narrow", narrow, pt(50, 4)}, {"hole at the edge", holed, pt(50, 5)}, {"small disc", small, pt(0, 0)}} {
		for i := range c.p.Edges {
			c.p.Edges[i].Cut = Cut{Kind: Bevel, AngleDeg: 45}
		}
		paths, f := OtherFace(c.p)
		if len(f) != 1 || paths != nil {
			t.Errorf("%s: %d paths, findings %v", c.name, len(paths), f)
			continue
		}
		if d := math.Hypot(f[0].At.X-c.near.X, f[0].At.Y-c.near.Y); d > 51 || f[0].Text == "" || f[0].Piece != "A" {
			t.Errorf("%s: %v", c.name, f[0])
		}
		if v := Validate(Pattern{Pieces: []Piece{c.p}}); len(v) != 1 {
			t.Errorf("%s: Validate says %v", c.name, v)
		}
	}
}

func TestAreaAndPerimeter(t *testing.T) {
	p := sheet(t, rectangle())
	p.Openings = []curve.Path{curve.Polygon(pt(10, 10), pt(10, 20), pt(30, 20), pt(30, 10))}
	if a := p.AreaMM2(); math.Abs(a-5800) > 1e-9 {
		t.Errorf("area %g", a)
	}
	if l := p.PerimeterMM(); math.Abs(l-320) > 1e-9 {
		t.Errorf("perimeter %g", l)
	}
}

func TestMarks(t *testing.T) {
	p := sheet(t, rectangle())
	m, err := p.MarkAt(2, 30, 4)
	if err != nil || m.At != pt(70, 60) || m.In != pt(70, 56) {
		t.Fatalf("mark %v %v", m, err)
	}
	at, err := p.MarkEdge(m)
	if err != nil || at.Edge != 2 || math.Abs(at.AlongMM-30) > 1e-6 || math.Abs(at.Share-0.3) > 1e-8 || at.OffMM > 1e-9 {
		t.Errorf("place %+v %v", at, err)
	}
	if _, err := p.MarkAt(0, 101, 4); err == nil {
		t.Error("a mark beyond the edge's end was made")
	}
}

func TestValidateFinds(t *testing.T) {
	for _, c := range []struct {
		name, says string
		spoil      func(p *Pattern)
	}{
		{"twin letters", "Two pieces", func(p *Pattern) { p.Pieces = append(p.Pieces, p.Pieces[0]) }},
		{"no outline", "not closed", func(p *Pattern) { p.Pieces[0].Outline = curve.Path{} }},
		{"not a number", "no place on a mat", func(p *Pattern) { p.Pieces[0].Outline.Segments[1].P2.X = math.NaN() }},
		{"gap", "gap of 2.000 mm", func(p *Pattern) { p.Pieces[0].Outline.Segments[1].P0.X += 2 }},
		{"figure of eight", "crosses itself", func(p *Pattern) {
			p.Pieces[0].Outline = curve.Polygon(pt(0, 0), pt(100, 0), pt(0, 70), pt(90, 60))
		}},
		{"edge missing", "does not end where", func(p *Pattern) { p.Pieces[0].Edges = p.Pieces[0].Edges[1:] }},
		{"edge outside", "outside its outline", func(p *Pattern) { p.Pieces[0].Edges[0].First = 9 }},
		{"edge names", "used twice", func(p *Pattern) { p.Pieces[0].Edges[3].ID = "A1" }},
		{"cut", "must lie between", func(p *Pattern) { p.Pieces[0].Edges[3].Cut = Cut{Kind: Bevel, AngleDeg: 88} }},
		{"thickness", "not known", func(p *Pattern) {
			p.Pieces[0].Edges[3].Cut, p.Pieces[0].ThicknessMM = Cut{Kind: Bevel, AngleDeg: 30}, 0
		}},
		{"quantity", "wanted 0 times", func(p *Pattern) { p.Pieces[0].Quantity = 0 }},
		{"face", "unknown", func(p *Pattern) { p.Pieces[0].Face = "top" }},
		{"mark", "20.0 mm from", func(p *Pattern) { p.Pieces[0].Marks = []Mark{{At: pt(50, 20), In: pt(50, 25)}} }},
		{"opening outside", "breaks through", func(p *Pattern) {
			p.Pieces[0].Openings = []curve.Path{disc(8).Reverse().Translate(pt(150, 30))}
		}},
		{"openings meet", "run into each other", func(p *Pattern) {
			p.Pieces[0].Openings = []curve.Path{disc(8).Reverse().Translate(pt(50, 30)), disc(8).Reverse().Translate(pt(60, 30))}
		}},
	} {
		p := Pattern{Pieces: []Piece{sheet(t, rectangle())}}
		if f := Validate(p); len(f) != 0 {
			t.Fatalf("sound pattern: %v", f)
		}
		c.spoil(&p)
		f := Validate(p)
		if len(f) == 0 || !strings.Contains(f[0].Text, c.says) {
			t.Errorf("%s: %v", c.name, f)
		}
	}
}
