package scene

import (
	"fmt"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Kind is what the scale of a photograph is taken from.
type Kind string

// The kinds of scene: a gridded mat, or a plain sheet of known size on a
// table.
const (
	GriddedMat Kind = ""
	PlainSheet Kind = "sheet"
)

// Sheet is a sheet of paper or card: its corner at At, its width along
// AngleDeg from there, its height a quarter turn clockwise from its width.
type Sheet struct {
	WidthMM, HeightMM float64
	At                mat.Point
	AngleDeg          float64
	Colour            Colour
}

// The common sheets of paper, upright (ISO 216; Letter is 8.5 by 11 in).
var (
	SheetA4     = Sheet{WidthMM: 210, HeightMM: 297, Colour: Colour{0xf0, 0xf0, 0xee}}
	SheetA3     = Sheet{WidthMM: 297, HeightMM: 420, Colour: Colour{0xf0, 0xf0, 0xee}}
	SheetLetter = Sheet{WidthMM: 215.9, HeightMM: 279.4, Colour: Colour{0xf0, 0xf0, 0xee}}
)

// Corners returns the four corners in mm, clockwise to the eye from At.
func (s Sheet) Corners() [4]mat.Point {
	var out [4]mat.Point
	for i, c := range [4]mat.Point{{}, {X: s.WidthMM}, {X: s.WidthMM, Y: s.HeightMM}, {Y: s.HeightMM}} {
		out[i] = s.place().apply(c)
	}
	return out
}

// place is the motion from the sheet's own frame to the scene's.
func (s Sheet) place() motion {
	m := turn(s.AngleDeg)
	m.dx, m.dy = s.At.X, s.At.Y
	return m
}

func (s Sheet) check() error {
	if !(s.WidthMM > 0) || !(s.HeightMM > 0) {
		return fmt.Errorf("scene: a sheet of %g x %g mm cannot be drawn", s.WidthMM, s.HeightMM)
	}
	return nil
}

// TruthSheet is a sheet and where its corners are, clockwise to the eye.
type TruthSheet struct {
	WidthMM   float64        `json:"width_mm"`
	HeightMM  float64        `json:"height_mm"`
	CornersMM [4]mat.Point   `json:"corners_mm"`
	CornersPx [4]photo.Point `json:"corners_px"`
}

func (s *Spec) truthSheet() *TruthSheet {
	if s.Kind != PlainSheet {
		return nil
	}
	t := &TruthSheet{WidthMM: s.Sheet.WidthMM, HeightMM: s.Sheet.HeightMM, CornersMM: s.Sheet.Corners()}
	for i, c := range t.CornersMM {
		t.CornersPx[i] = s.Camera.ToPhoto(c)
	}
	return t
}

// paper is the surface of a sheet: matt and nearly even.
type paper struct {
	base rgb
	seed uint64
}

func (p *paper) colour(s spot, _ float64, _ rgb) rgb {
	return p.base.times(1 + 0.012*noise(p.seed+31, s.x*1.7, s.y*1.7) + 0.015*noise(p.seed+32, s.x/70, s.y/70))
}

// sheetBody is the sheet with the thin soft shadow at its edge.
func sheetBody(s *Spec) body {
	c := s.Sheet.Corners()
	dx, dy := shadowShift(s.Light, 0.5)
	return body{
		edges: ringEdges(c[:]), surface: &paper{s.Sheet.Colour.linear(), s.Seed},
		reachMM: 2.5, strength: 0.5 * s.Light.Contact, dx: dx, dy: dy,
	}
}
