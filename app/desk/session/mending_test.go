package session

import (
	"fmt"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// row is a pattern of so many plates, each glued to the next, without marks.
func row(t *testing.T, plates int) pattern.Pattern {
	t.Helper()
	p := pattern.Pattern{Limits: pattern.Limits{BareSeamMM: 90}}
	for i := range plates {
		at := func(x, y float64) mat.Point { return mat.Point{X: 100*float64(i) + x, Y: y} }
		one, err := pattern.New("", pattern.Piece{
			Name: "Plate", Outline: curve.Polygon(at(0, 0), at(80, 0), at(80, 100), at(0, 100)), ThicknessMM: 5,
		})
		if err != nil {
			t.Fatal(err)
		}
		p.Append(one, curve.Translation(mat.Point{}))
	}
	for i := range plates - 1 {
		if _, err := p.Pair(pattern.Facing(p.Pieces[i].Edges[1].ID, p.Pieces[i+1].Edges[3].ID)); err != nil {
			t.Fatal(err)
		}
	}
	return p
}

// All mends of a kind take a few looks at the pattern, however many they are:
// each look measures all of it, and the window waits.
func TestMendingLooksSeldom(t *testing.T) {
	const plates = 60
	for _, c := range []struct {
		kind pattern.MendKind
		want int
	}{
		{pattern.LeaveRim, plates}, {pattern.SetMarks, plates - 1}, {pattern.Rename, plates - 1},
	} {
		t.Run(string(c.kind), func(t *testing.T) {
			p, looks := row(t, plates), 0
			find := func(p pattern.Pattern) []Finding {
				looks++
				return ruled(p)
			}
			x := mending{find: find, of: &p, kind: c.kind}
			for _, f := range ruled(p) {
				if f.mendOf(c.kind).Kind == c.kind {
					x.group = f.Group()
				}
			}
			x.most = len(mendsOf(ruled(p), x.group, c.kind))
			x.all()
			if len(x.made) != c.want || x.failed != nil || looks > 4 {
				t.Errorf("%d made of %d in %d looks: %v", len(x.made), c.want, looks, x.failed)
			}
			if left := mendsOf(ruled(p), x.group, c.kind); len(left) > 0 {
				t.Errorf("%d are left: %s", len(left), fmt.Sprint(left))
			}
		})
	}
}
