package main

import (
	"context"
	"strings"
	"testing"

	"flatwright/app/desk"
	"flatwright/app/matprofile"
	"flatwright/rectify"
	"flatwright/rectify/photo/intake"
)

// The window's mats: kept when they were measured, found again by colour, the
// likeliest first, with how they lie.
func TestCupboard(t *testing.T) {
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	up := func(quarters int, scale rectify.Scale) *rectify.Squared {
		p, err := intake.Open(ctx, d.write(t, quarters))
		if err != nil {
			t.Fatal(err)
		}
		s, err := rectify.SquareUp(ctx, p, rectify.Options{PitchMM: 25.4, Scale: scale})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	blue, other := measuredMat("a blue one"), measuredMat("b centimetres")
	blue.Ground, other.PitchMM = &matprofile.Colour{R: 0x27, G: 0x48, B: 0x82}, 10
	small := measuredMat("c small")
	small.Columns, small.Rows = 5, 4
	path := ownMats(t, blue, other, small)
	c := cupboard{}
	if all, err := c.Mats(nil); err != nil || len(all) != 3 || all[0].Name != "a blue one" || all[0].Likely {
		t.Fatalf("%+v, %v", all, err)
	}
	if err := c.Keep("mine", 0, up(0, rectify.Scale{})); err == nil || !strings.Contains(err.Error(), "nothing to keep") {
		t.Errorf("kept without a rule: %v", err)
	}
	scale, err := rectify.ScaleFromSpans(25.4, rectify.Span{Squares: 15, LengthMM: 15 * 25.4 * stretchX}, rectify.Span{Squares: 10, LengthMM: 10 * 25.4 * stretchY})
	if err != nil {
		t.Fatal(err)
	}
	measured := up(0, scale)
	if err := c.Keep("  ", 0, measured); err == nil {
		t.Error("a mat without a name was kept")
	}
	if err := c.Keep("z mine", 2, measured); err != nil {
		t.Fatal(err)
	}
	for quarters, want := range map[int]desk.MatLies{0: desk.MatLiesStraight, 1: desk.MatLiesTurned} {
		all, err := c.Mats(up(quarters, rectify.Scale{}))
		if err != nil || len(all) != 4 {
			t.Fatalf("%+v, %v", all, err)
		}
		first := all[0]
		if first.Name != "z mine" || !first.Likely || first.Kind != 2 || first.Scale.X != scale.X || first.Scale.Source != rectify.FromProfile || first.Lies != want {
			t.Errorf("turned %d: first is %+v", quarters, first)
		}
		for _, m := range all[1:] {
			if m.Likely || (m.Name == "c small") != (m.Lies == desk.MatIsAnother) {
				t.Errorf("turned %d: %+v", quarters, m)
			}
		}
	}
	if kept, err := matprofile.Load(path); err != nil || len(kept) != 4 {
		t.Errorf("%d mats in the file, %v", len(kept), err)
	}
}
