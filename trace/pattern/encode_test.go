package pattern

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

func anyPoint(t *rapid.T) mat.Point {
	f := rapid.Float64Range(-2000, 2000)
	return pt(f.Draw(t, "x"), f.Draw(t, "y"))
}

func anyPath(t *rapid.T, closed bool) curve.Path {
	p := curve.Path{Closed: closed}
	start := anyPoint(t)
	at := start
	n := rapid.IntRange(1, 6).Draw(t, "segments")
	for i := range n {
		to := anyPoint(t)
		if closed && i == n-1 {
			to = start
		}
		if rapid.Bool().Draw(t, "line") {
			p.Segments = append(p.Segments, curve.Line(at, to))
		} else {
			p.Segments = append(p.Segments, curve.Cubic(at, anyPoint(t), anyPoint(t), to))
		}
		at = to
	}
	return p
}

func anyPiece(t *rapid.T) Piece {
	p := Piece{
		ID: rapid.String().Draw(t, "id"), Name: rapid.StringMatching(`[a-zà-ÿ "<&>\\]{0,12}`).Draw(t, "name"),
		Outline: anyPath(t, true), Quantity: rapid.Int().Draw(t, "quantity"),
		Mirrored: rapid.Bool().Draw(t, "mirrored"), ThicknessMM: rapid.Float64Range(0, 50).Draw(t, "thickness"),
		Face: rapid.SampledFrom([]Face{Front, Back}).Draw(t, "face"),
	}
	for range rapid.IntRange(0, 2).Draw(t, "openings") {
		p.Openings = append(p.Openings, anyPath(t, true))
	}
	for range rapid.IntRange(0, 2).Draw(t, "lines") {
		p.Lines = append(p.Lines, InsideLine{Path: anyPath(t, false), Work: anyWork(t), Run: rapid.SampledFrom([]string{"", "g1", "A2"}).Draw(t, "run")})
	}
	for range rapid.IntRange(0, 3).Draw(t, "marks") {
		p.Marks = append(p.Marks, Mark{At: anyPoint(t), In: anyPoint(t), Ticks: rapid.IntRange(0, MostTicks).Draw(t, "ticks")})
	}
	if err := EdgesFromCorners(&p); err != nil {
		t.Fatal(err)
	}
	for i := range p.Edges {
		p.Edges[i].Cut = anyCut(t)
		p.Edges[i].Allowance = anyAllowance(t)
		p.Edges[i].Tape = rapid.SampledFrom([]string{"", "", "T1", "T2"}).Draw(t, "tape")
		p.Edges[i].Rim = rapid.Bool().Draw(t, "rim")
	}
	return p
}

func anyCut(t *rapid.T) Cut {
	c := CutOf(rapid.Float64Range(-75, 75).Draw(t, "angle"))
	if rapid.Bool().Draw(t, "varies") {
		c.Varies, c.ToDeg = true, rapid.Float64Range(-75, 75).Draw(t, "to")
	}
	return c
}

func anyAllowance(t *rapid.T) Allowance {
	return Allowance{
		WidthMM: rapid.Float64Range(0, 20).Draw(t, "allowance"),
		Corner:  rapid.SampledFrom([]AllowanceCorner{"", Mitred, Square, Folded}).Draw(t, "corner"),
	}
}

func anyWork(t *rapid.T) LineWork {
	return LineWork{
		Kind:    rapid.SampledFrom([]LineWorkKind{Drawn, Score, Groove, Slit}).Draw(t, "work"),
		DepthMM: rapid.Float64Range(0, 10).Draw(t, "depth"), BendDeg: rapid.Float64Range(0, 120).Draw(t, "bend"),
		GapMM: rapid.Float64Range(0, 10).Draw(t, "gap"),
	}
}

// pairSome joins edges of the pattern two by two, as long as chance wills.
func pairSome(t *rapid.T, p *Pattern) {
	var free []EdgeRef
	for i := range p.Pieces {
		for _, e := range p.Pieces[i].Edges {
			free = append(free, EdgeRef{Edge: e.ID, Reversed: rapid.Bool().Draw(t, "reversed")})
		}
	}
	for len(free) >= 3 && rapid.Bool().Draw(t, "pair") {
		if _, err := p.Pair(Run(free[:1]), Run(free[1:3])); err == nil {
			p.Seams[len(p.Seams)-1].WantDeg = rapid.Float64Range(0, 360).Draw(t, "want")
		}
		free = free[3:]
	}
}

func TestEncodeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := Pattern{Name: rapid.String().Draw(t, "pattern")}
		for range rapid.IntRange(0, 3).Draw(t, "pieces") {
			want.Pieces = append(want.Pieces, anyPiece(t))
		}
		pairSome(t, &want)
		for range rapid.IntRange(0, 2).Draw(t, "tapes") {
			id := want.AddTape(rapid.String().Draw(t, "tape name"), [3]uint8(rapid.SliceOfN(rapid.Byte(), 3, 3).Draw(t, "colour")))
			if rapid.Bool().Draw(t, "meant") {
				i := want.tapeIndex(id)
				want.Tapes[i].Meant, want.Tapes[i].Cut = true, anyCut(t)
			}
		}
		want.Limits.SeamMM = rapid.Float64Range(-1, 5).Draw(t, "limit")
		b, err := Encode(want)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Decode(b)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("got %+v\nwant %+v", got, want)
		}
	})
}

func TestEncodeRefuses(t *testing.T) {
	p := Pattern{Pieces: []Piece{sheet(t, rectangle())}}
	p.Pieces[0].Outline.Segments[2].P3.X = math.Inf(1)
	if _, err := Encode(p); err == nil {
		t.Error("an infinite coordinate was written")
	}
	p = Pattern{Pieces: []Piece{sheet(t, rectangle())}}
	p.Pieces[0].Outline.Segments[2].P0.X += 1
	if _, err := Encode(p); err == nil {
		t.Error("a gap was written")
	}
}

func TestDecodeRefuses(t *testing.T) {
	for _, s := range []string{
		``,
		`{}`,
		`{"pattern_version":3,"pieces":[]}`,
		`{"pattern_version":0,"pieces":[]}`,
		`{"pattern_version":2,"seams":[{"id":"s1","a":[{"edge":"A1"}],"b":[{"edge":"A2"}]}]}`,
		`{"pattern_version":2,"seams":[{"id":"s1","a":[],"b":[]}]}`,
		`{"pattern_version":2,"tapes":[{"id":"T1","colour_srgb":"#12345"}]}`,
		`{"pattern_version":2,"tapes":[{"id":"T1","colour_srgb":"#123456"},{"id":"T1","colour_srgb":"#123456"}]}`,
		`{"pattern_version":2,"tapes":[{"id":"T1","colour_srgb":"#123456","means":{"cut":"saw"}}]}`,
		`{"pattern_version":1,"pieces":[{"outline_mm":{"start":[1],"segments":[[1,2]]}}]}`,
		`{"pattern_version":1,"pieces":[{"outline_mm":{"start":[1,2],"segments":[[1,2,3]]}}]}`,
		`{"pattern_version":1,"pieces":[{"outline_mm":{"start":[1,2],"segments":[[3,2]]},"edges":[{"first":1,"count":1,"cut":"straight"}]}]}`,
		`{"pattern_version":1,"pieces":[{"outline_mm":{"start":[1,2],"segments":[[3,2]]},"edges":[{"first":0,"count":1,"cut":"saw"}]}]}`,
		`{"pattern_version":1,"pieces":[{"outline_mm":{"start":[1,1e999],"segments":[[3,2]]}}]}`,
	} {
		if p, err := Decode([]byte(s)); err == nil {
			t.Errorf("%s was read as %+v", s, p)
		}
	}
}

// FuzzDecode: whatever is read can be checked and written again.
func FuzzDecode(f *testing.F) {
	p := Pattern{Name: "seed", Pieces: []Piece{sheet(f, rectangle()), sheet(f, disc(20))}}
	p.Pieces[0].Edges[0].Cut = Cut{Kind: Bevel, AngleDeg: 30}
	p.Pieces[0].Openings = []curve.Path{disc(8).Reverse().Translate(pt(50, 30))}
	if _, err := p.Pair(Facing(p.Pieces[0].Edges[0].ID, p.Pieces[0].Edges[1].ID)); err != nil {
		f.Fatal(err)
	}
	b, err := Encode(p)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	f.Add([]byte(`{"pattern_version":1,"pieces":[{"outline_mm":{"closed":true,"start":[0,0],"segments":[[0,0]]}}]}`))
	f.Add([]byte(`{"pattern_version":1,"pieces":[{"outline_mm":{"closed":true,"start":[0,0],"segments":[[90000,0],[1,-90000,50000,50000,99999,1],[0,0]]}}]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := Decode(b)
		if err != nil {
			return
		}
		_ = Validate(p)
		if _, err := Encode(p); err != nil {
			t.Fatalf("read but not written: %v", err)
		}
	})
}
