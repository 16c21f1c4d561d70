package pattern

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// sheetStepMM is to what a sheet is rounded up that a piece asks for.
const sheetStepMM = 10

// fitsMM is what rounding makes of a piece that fits exactly.
const fitsMM = 1e-6

// large compares a piece with the sheet, as it lies and in the direction in
// which it fits best.
func (c *checker) large(p *Piece) {
	w, h := c.limits.SheetWidthMM, c.limits.SheetHeightMM
	if !(w > 0) || !(h > 0) {
		return
	}
	pts := p.Outline.Flatten(0.05)
	lies := overTurned(pts, 0, w, h)
	if min(lies, overTurned(pts, 90, w, h)) <= fitsMM {
		return
	}
	over, deg := overSheet(pts, w, h)
	f := Finding{Kind: TooLarge, Severity: Note, Piece: p.ID, At: p.nodeAt(0), AmountMM: lies}
	if over <= fitsMM {
		f.Text = fmt.Sprintf("Piece %s sticks out of a sheet of %g x %g mm by %.1f mm as it lies. Turned by %.1f° it fits.", p.ID, w, h, lies, deg)
		f.Mend = Mend{Kind: TurnPiece, Piece: p.ID, Deg: deg}
		c.add(f)
		return
	}
	f.Severity, f.AmountMM = Fault, over
	f.Mend = largerSheet(pts, deg, w, h)
	f.Text = fmt.Sprintf("Piece %s is %.1f mm too large for a sheet of %g x %g mm, however it is turned. Part it with a seam, or use a sheet of %g x %g mm.",
		p.ID, over, w, h, f.Mend.WidthMM, f.Mend.HeightMM)
	c.add(f)
}

// largerSheet offers the sheet, no smaller than the present one, that holds a
// piece turned as well as can be.
func largerSheet(pts []mat.Point, deg, widthMM, heightMM float64) Mend {
	box := boxTurned(pts, deg)
	up := func(have, need float64) float64 {
		if need <= have {
			return have
		}
		return sheetStepMM * math.Ceil(need/sheetStepMM)
	}
	return Mend{Kind: UseSheet, WidthMM: up(widthMM, box.Max.X-box.Min.X), HeightMM: up(heightMM, box.Max.Y-box.Min.Y)}
}

// overSheet returns by how many mm an outline sticks out of a sheet when it is
// turned as well as can be, 0 or less when it fits, and the turn. Good to
// 0.1 mm on pieces of a metre.
func overSheet(pts []mat.Point, widthMM, heightMM float64) (overMM, deg float64) {
	overMM, at := math.Inf(1), 0.0
	for _, scan := range []struct{ reachDeg, stepDeg float64 }{{90, 1}, {1, 0.02}} {
		from, to := at-scan.reachDeg, at+scan.reachDeg
		for turn := from; turn <= to; turn += scan.stepDeg {
			over := overTurned(pts, turn, widthMM, heightMM)
			if over < overMM-1e-9 || over < overMM+1e-9 && math.Abs(turn) < math.Abs(at) {
				overMM, at = over, turn
			}
		}
	}
	return overMM, at
}

func overTurned(pts []mat.Point, deg, widthMM, heightMM float64) float64 {
	box := boxTurned(pts, deg)
	return max(box.Max.X-box.Min.X-widthMM, box.Max.Y-box.Min.Y-heightMM)
}

func boxTurned(pts []mat.Point, deg float64) curve.Box {
	s, k := math.Sincos(deg * radPerDeg)
	box := curve.Box{Min: mat.Point{X: math.Inf(1), Y: math.Inf(1)}, Max: mat.Point{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, q := range pts {
		x, y := k*q.X-s*q.Y, s*q.X+k*q.Y
		box.Min.X, box.Max.X = min(box.Min.X, x), max(box.Max.X, x)
		box.Min.Y, box.Max.Y = min(box.Min.Y, y), max(box.Max.Y, y)
	}
	return box
}

// TurnPiece turns a piece about the middle of its box, with all that is drawn
// on it. It fails when there is no such piece.
func (p *Pattern) TurnPiece(pieceID string, deg float64) error {
	q, err := p.Piece(pieceID)
	if err != nil {
		return err
	}
	box := q.Outline.Bounds()
	turn := curve.Rotation(mat.Point{X: (box.Min.X + box.Max.X) / 2, Y: (box.Min.Y + box.Max.Y) / 2}, deg*radPerDeg)
	next := q.Translate(mat.Point{})
	next.Outline = next.Outline.Transform(turn)
	for i := range next.Openings {
		next.Openings[i] = next.Openings[i].Transform(turn)
	}
	for i := range next.Lines {
		next.Lines[i].Path = next.Lines[i].Path.Transform(turn)
	}
	for i, m := range next.Marks {
		next.Marks[i].At, next.Marks[i].In = turn.Apply(m.At), turn.Apply(m.In)
	}
	*q = next
	return nil
}

// fitted makes the mends of this file; false for another one.
func (p *Pattern) fitted(m Mend) (done bool, err error) {
	switch m.Kind {
	case TurnPiece:
		return true, p.TurnPiece(m.Piece, m.Deg)
	case UseSheet:
		p.Limits.SheetWidthMM, p.Limits.SheetHeightMM = m.WidthMM, m.HeightMM
		return true, nil
	}
	return false, nil
}

// fitLabel is Mend.Label for the mends of this file.
func (m Mend) fitLabel() string {
	switch m.Kind {
	case TurnPiece:
		return fmt.Sprintf("Turn piece %s by %.1f°", m.Piece, m.Deg)
	case UseSheet:
		return fmt.Sprintf("Sheet of %g x %g mm", m.WidthMM, m.HeightMM)
	}
	return m.cleanLabel()
}
