package desk

import (
	"math"
	"strings"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
)

func TestSplitAndJoin(t *testing.T) {
	b := ready(t)
	b.click(b.seen(60, 60))
	b.typed("/")
	b.click(b.seen(105, 15))
	b.click(b.seen(105, 125))
	if got := strings.Join(b.pieces(), ""); got != "ABCDE" {
		t.Fatalf("pieces %s; the strip says %q", got, b.strip.text.Text)
	}
	b.whole("splitting A")
	if b.editor.tool != toolSelect || len(b.s.SelectedPieces()) != 2 {
		t.Errorf("selected %v", b.s.SelectedPieces())
	}
	a, e := b.piece("A"), b.piece("E")
	b.s.SelectEdge(a.Edges[len(a.Edges)-1].ID)
	b.s.TogglePick(session.Pick{Piece: "E", Edge: e.Edges[len(e.Edges)-1].ID})
	b.typed("y")
	if got := strings.Join(b.pieces(), ""); got != "ABCD" {
		t.Fatalf("pieces %s; the strip says %q", got, b.strip.text.Text)
	}
	b.whole("making one piece of A, E")
	if d := b.piece("A").Outline.Area() - practice.Pattern().Pieces[0].Outline.Area(); math.Abs(d) > 2 {
		t.Errorf("the area changed by %.2f mm²", d)
	}
}

func TestJoinByPoints(t *testing.T) {
	b := ready(t)
	b.typed("y")
	if len(b.ways()) != 1 {
		t.Fatalf("the strip says %q", b.strip.text.Text)
	}
	b.ways()[0].OnTapped()
	// The lower side of C meets the upper side of A, both 100 mm long.
	for _, q := range [][2]float64{{140, 210}, {40, 210}, {130, 25}, {30, 25}} {
		b.click(b.seen(q[0], q[1]))
	}
	if got := strings.Join(b.pieces(), ""); got != "BCD" {
		t.Fatalf("pieces %s; the strip says %q", got, b.strip.text.Text)
	}
	b.whole("making one piece of C, A")
	want := practice.Pattern()
	if d := b.piece("C").Outline.Area() - want.Pieces[0].Outline.Area() - want.Pieces[2].Outline.Area(); math.Abs(d) > 30 {
		t.Errorf("the area differs by %.1f mm²", d)
	}
}

func TestMirrorAndComplete(t *testing.T) {
	b := ready(t)
	b.click(b.seen(60, 60))
	b.typed("[")
	if got := strings.Join(b.pieces(), ""); got != "ABCDE" {
		t.Fatalf("pieces %s", got)
	}
	b.whole("mirrored copy of A")
	b.doUndo()
	b.click(b.seen(40, 170)) // C6, the L's long back
	b.typed("]")
	if p := b.piece("C"); math.Abs(math.Abs(p.Outline.Area())-2*practice.Pattern().Pieces[2].Outline.Area()) > 60 {
		t.Errorf("area %.0f; the strip says %q", p.Outline.Area(), b.strip.text.Text)
	}
	b.whole("completing C")
	b.doUndo()
	b.s.SelectPiece("A")
	b.typed("]") // no edge: a line is asked for
	b.click(b.seen(80, 10))
	b.click(b.seen(80, 130))
	b.whole("completing A")
}
