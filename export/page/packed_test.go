package page_test

import (
	"context"
	"errors"
	"math"
	"testing"
	"time"

	"flatwright/export/page"
	"flatwright/export/page/specimen"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Every piece that fits a page lies on one sheet whole; all pieces are there,
// as large as before and not mirrored; sheets are no more than as laid.
func TestPacked(t *testing.T) {
	for _, name := range []string{"A4", "A3", "A5"} {
		paper, err := page.PaperByName(name)
		if err != nil {
			t.Fatal(err)
		}
		setup := page.DefaultSetup()
		setup.Paper = paper
		p := specimen.Helmet()
		laid, err := page.AsLaid(p, setup)
		if err != nil {
			t.Fatal(err)
		}
		packed, moved, err := page.Packed(t.Context(), p, setup)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %d sheets as laid, %d packed", name, len(laid.Tiles), len(packed.Tiles))
		if len(packed.Tiles) > len(laid.Tiles) {
			t.Errorf("%s: %d sheets packed, %d as laid", name, len(packed.Tiles), len(laid.Tiles))
		}
		checkPacked(t, packed, p, moved)
	}
}

func checkPacked(t *testing.T, l *page.Layout, p, moved pattern.Pattern) {
	t.Helper()
	shown := make([]int, len(p.Pieces))
	labels := map[string]bool{}
	for i, tile := range l.Tiles {
		if labels[tile.Label] {
			t.Errorf("two sheets are called %s", tile.Label)
		}
		labels[tile.Label] = true
		for _, k := range tile.Pieces {
			shown[k]++
		}
		if len(tile.Pieces) == 0 {
			t.Errorf("sheet %s (%d) is blank", tile.Label, i)
		}
	}
	w, h := l.Content.Width()-2, l.Content.Height()-2
	for k := range moved.Pieces {
		a, b := p.Pieces[k].Outline, moved.Pieces[k].Outline
		if math.Abs(a.Area()-b.Area()) > 1e-6*math.Abs(a.Area()) {
			t.Errorf("piece %s has an area of %g mm², moved %g", p.Pieces[k].ID, a.Area(), b.Area())
		}
		box := a.Bounds()
		fits := math.Min(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y) < math.Min(w, h) && math.Max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y) < math.Max(w, h)
		if shown[k] == 0 || fits && shown[k] > 1 {
			t.Errorf("piece %s, which fits a page: %t, is shown on %d sheets", p.Pieces[k].ID, fits, shown[k])
		}
	}
	// Pieces keep clear of each other.
	for i := range moved.Pieces {
		for j := range i {
			if _, meets := moved.Pieces[i].Outline.Meets(moved.Pieces[j].Outline, 0.01); meets {
				t.Errorf("pieces %s and %s meet", moved.Pieces[i].ID, moved.Pieces[j].ID)
			}
		}
	}
	for _, m := range l.Marks {
		u, o := l.Tiles[m.Under], l.Tiles[m.Over]
		if !l.TileMM(m.Under).Holds(m.AtMM) || !l.TileMM(m.Over).Holds(m.AtMM) || m.Upright && u.Right != m.Over || !m.Upright && u.Below != m.Over {
			t.Errorf("match mark %s at %v is not on the join of %s and %s", m.Label, m.AtMM, u.Label, o.Label)
		}
	}
}

// Packed, the helmet takes less of a roll.
func TestPackedOnARoll(t *testing.T) {
	s := page.DefaultSetup()
	s.Paper, _ = page.PaperByName("roll610")
	p := specimen.Helmet()
	laid, err := page.AsLaid(p, s)
	if err != nil {
		t.Fatal(err)
	}
	l, moved, err := page.Packed(t.Context(), p, s)
	if err != nil {
		t.Fatal(err)
	}
	checkPacked(t, l, p, moved)
	long := func(l *page.Layout) float64 { return l.PageWidthMM * l.PageHeightMM / s.Paper.WidthMM }
	t.Logf("%.0f mm of the roll as laid, %.0f packed", long(laid), long(l))
	if len(l.Tiles) != 1 || long(l) >= long(laid) {
		t.Errorf("%d sheets, %.0f mm of the roll; as laid %.0f", len(l.Tiles), long(l), long(laid))
	}
}

func TestPackedIsTheSameEveryTime(t *testing.T) {
	p := specimen.Chiral()
	p.Pieces = append(p.Pieces, specimen.Helmet().Pieces[7:9]...)
	a, pa, err := page.Packed(t.Context(), p, page.DefaultSetup())
	if err != nil {
		t.Fatal(err)
	}
	b, pb, err := page.Packed(t.Context(), p, page.DefaultSetup())
	if err != nil || len(a.Tiles) != len(b.Tiles) {
		t.Fatalf("%d and %d sheets, %v", len(a.Tiles), len(b.Tiles), err)
	}
	for k := range pa.Pieces {
		if pa.Pieces[k].Outline.Segments[0] != pb.Pieces[k].Outline.Segments[0] {
			t.Errorf("piece %s lies elsewhere the second time", pa.Pieces[k].ID)
		}
	}
}

// Packing that is stopped gives no layout, whether it had begun or not: half a
// search would lay the same pattern out in another way.
func TestPackingIsStopped(t *testing.T) {
	p := specimen.Helmet()
	for i := range p.Pieces {
		p.Pieces[i] = p.Pieces[i].Moved(curve.Transform{A: 2, E: 2}) // too large for a page
	}
	s := page.DefaultSetup()
	s.Packed = true
	for _, after := range []time.Duration{0, 30 * time.Millisecond} {
		ctx, cancel := context.WithTimeout(t.Context(), after)
		l, _, err := page.LayOut(ctx, p, s)
		cancel()
		if l != nil || !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("stopped after %v: a layout %t, %v", after, l != nil, err)
		}
	}
	s.Packed = false
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if l, _, err := page.LayOut(ctx, specimen.Helmet(), s); l == nil || err != nil {
		t.Errorf("as laid nothing takes long: %v", err)
	}
}
