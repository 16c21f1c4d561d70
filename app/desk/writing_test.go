package desk

import (
	"image/color"
	"testing"

	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/practice"
	"flatwright/trace"
	"flatwright/trace/writing"
)

// word is a picture of two pixels: its first is red, its last is blue.
func word() writing.Picture {
	return writing.Picture{Width: 2, Height: 1, RGB: []byte{255, 0, 0, 0, 0, 255}, PxPerMM: 6}
}

// What is written on a piece stands beside the field for its name; it can be
// turned over and leafed through, and changes nothing.
func TestWritingBesideTheName(t *testing.T) {
	b, p := marking(t)
	x := practice.Pattern()
	b.s.SetTraced(&trace.Traced{Pattern: x, Writing: []writing.Block{{Piece: 1, Picture: word()}, {Piece: 1, Picture: word()}, {Piece: 0, Picture: word()}}})
	b.s.SelectEdge(x.Pieces[1].Edges[0].ID)
	b.changed()
	version := b.s.Version()
	if !p.writing.box.Visible() || p.writing.what.Text != "Written on it, 1 of 2:" || !p.writing.next.Visible() {
		t.Fatalf("shown: %v, %q", p.writing.box.Visible(), p.writing.what.Text)
	}
	red, blue := color.NRGBA{R: 255, A: 255}, color.NRGBA{B: 255, A: 255}
	if p.writing.image.Image.At(0, 0) != red || p.writing.image.Image.At(1, 0) != blue {
		t.Error("the picture is not the one found")
	}
	test.Tap(p.writing.turn)
	if p.writing.image.Image.At(0, 0) != blue {
		t.Error("not turned over")
	}
	test.Tap(p.writing.next)
	if p.writing.what.Text != "Written on it, 2 of 2:" || p.writing.image.Image.At(0, 0) != red {
		t.Errorf("the next: %q", p.writing.what.Text)
	}
	test.Tap(p.writing.next)
	if p.writing.image.Image.At(0, 0) != blue {
		t.Error("what was turned over is so no more")
	}
	if b.s.Version() != version {
		t.Error("looking changed the pattern")
	}
	b.s.SelectEdge(x.Pieces[0].Edges[0].ID)
	b.changed()
	if p.writing.what.Visible() || p.writing.next.Visible() {
		t.Errorf("one word is counted: %q", p.writing.what.Text)
	}
	b.s.SelectEdge(x.Pieces[2].Edges[0].ID)
	b.changed()
	if p.writing.box.Visible() {
		t.Error("writing is shown on a piece without any")
	}
}
