package scene

import "flatwright/rectify/mat"

// tableTop is what the mat lies on.
type tableTop struct {
	Table
	base, grout rgb
	tiles       motion // from the scene's frame to the tiles'
	seed        uint64
}

func newTableTop(s *Spec) tableTop {
	t := s.Mat.Table
	out := tableTop{Table: t, base: t.Colour.linear(), grout: t.Grout.linear(), tiles: turn(-t.TileDeg), seed: s.Seed}
	// A joint just at the mat's origin would be too kind.
	out.tiles.dx, out.tiles.dy = 0.37*t.TileMM, 0.61*t.TileMM
	return out
}

func (t tableTop) colour(s spot) rgb {
	k := 1 + 0.05*noise(t.seed+11, s.x/3, s.y/3) + 0.06*noise(t.seed+12, s.x/90, s.y/90)
	if t.Grain > 0 {
		// Long fibres: stretched noise, bent by slower noise.
		y := s.y + 6*float64(noise(t.seed+13, s.x/220, s.y/60))
		k += float32(t.Grain) * (0.16*noise(t.seed+14, s.x/160, y/2.2) + 0.12*noise(t.seed+15, s.x/420, y/9))
	}
	if t.TileMM > 0 {
		return t.tiled(s, k)
	}
	return t.base.times(k)
}

// tiled is a floor of square tiles: no two of quite one shade.
func (t tableTop) tiled(s spot, k float32) rgb {
	p := t.tiles.apply(mat.Point{X: s.x, Y: s.y})
	cover := max(strokeCover(offLine(p.X, t.TileMM), t.GroutMM, s.widthMM),
		strokeCover(offLine(p.Y, t.TileMM), t.GroutMM, s.widthMM))
	shade := lattice(t.seed+16, floorDiv(p.X, t.TileMM), floorDiv(p.Y, t.TileMM))
	return t.base.times(k*(1+0.05*shade)).mix(t.grout.times(k), cover)
}
