package desk

import (
	"fmt"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// pointsBox offers the bevels that follow where the selected seam ends at a
// point of three flat pieces. Nothing is cut without a yes.
type pointsBox struct {
	d    *desk
	rows []*pointRow
	list *fyne.Container
	box  *fyne.Container
	// seam and version are what the list was made for.
	seam    string
	version int
}

// pointRow is one point.
type pointRow struct {
	point   pattern.Point
	what    *widget.Label
	inwards *tickBox
	bevel   *button
}

func newPointsBox(d *desk) *pointsBox {
	p := &pointsBox{d: d, list: container.NewVBox()}
	p.box = container.NewVBox(gap(), head(tr.point.head), p.list)
	return p
}

// update follows the selected seam.
func (p *pointsBox) update() {
	m, ok := p.d.s.SelectedSeam()
	if !ok {
		p.seam, p.rows = "", nil
		p.box.Hide()
		return
	}
	if p.seam != m.ID || p.version != p.d.s.Version() {
		p.seam, p.version = m.ID, p.d.s.Version()
		p.list.RemoveAll()
		p.rows = nil
		for _, pt := range p.d.s.PointsOf(m.ID) {
			p.add(pt)
		}
	}
	visible(p.box, len(p.rows) > 0)
}

// add lists one point.
func (p *pointsBox) add(pt pattern.Point) {
	r := &pointRow{point: pt, what: prose("")}
	r.inwards = newTickBox(tr.point.inwards, nil)
	r.inwards.Checked = pt.Hollow
	r.inwards.OnChanged = func(bool) { r.point = p.d.s.TurnedPoint(r.point); p.show(r) }
	r.bevel = newButton(tr.point.bevel, func() { p.d.report(p.d.s.BevelPoint(r.point)) })
	at := pt.Corners[0]
	for _, c := range pt.Corners {
		if e, ok := p.d.s.SelectedPiece(); ok && e.ID == c.Piece {
			at = c
		}
	}
	look := newButton(tr.point.show, func() { p.d.goPlace(at.At) })
	p.list.Add(r.what)
	p.list.Add(container.NewBorder(nil, nil, r.inwards, look))
	p.list.Add(r.bevel)
	p.rows = append(p.rows, r)
	p.show(r)
}

// show writes what follows from the corners.
func (p *pointsBox) show(r *pointRow) {
	pt := r.point
	text := pt.Words()
	if pt.Trouble == "" {
		text = strings.Join(append([]string{p.corners(pt)}, p.seams(pt)...), "\n")
	}
	r.what.SetText(text)
	visible(r.inwards, pt.Trouble == "")
	visible(r.bevel, pt.Trouble == "")
	done := pt.MissDeg() < anglesMeetDeg
	r.bevel.SetText(tr.point.bevel)
	if done {
		r.bevel.SetText(tr.point.done)
	}
	enable(r.bevel, !done && pt.Mend().Kind != "")
	p.d.relayPanel()
}

// anglesMeetDeg is how far an angle may be off and still be the one shown.
const anglesMeetDeg = 0.05

func (p *pointsBox) corners(pt pattern.Point) string {
	var pieces, corners []string
	for _, c := range pt.Corners {
		pieces, corners = append(pieces, c.Piece), append(corners, units.FormatDeg(math.Round(10*c.AngleDeg)/10))
	}
	return fmt.Sprintf(tr.point.found, strings.Join(pieces, ", "), strings.Join(corners, ", "))
}

// seams says one line for each seam, and where another point asks for another
// angle.
func (p *pointsBox) seams(pt pattern.Point) []string {
	var out []string
	curved := false
	deg := func(v float64) string { return units.FormatDeg(math.Round(10*v) / 10) }
	for _, s := range pt.Seams {
		curved = curved || s.Curved
		switch {
		case s.Trouble != "":
			out = append(out, fmt.Sprintf(tr.point.open, s.Seam, s.InteriorDeg, s.Trouble))
		case math.Abs(s.InteriorDeg-s.HaveDeg) < anglesMeetDeg:
			out = append(out, fmt.Sprintf(tr.point.same, s.Seam, s.InteriorDeg, deg(s.BevelADeg), deg(s.BevelBDeg)))
		default:
			out = append(out, fmt.Sprintf(tr.point.seam, s.Seam, s.InteriorDeg, deg(s.BevelADeg), deg(s.BevelBDeg), s.HaveDeg))
		}
		if other, ok := p.otherEnd(pt, s); ok {
			out = append(out, fmt.Sprintf(tr.point.other, other, s.Seam))
		}
	}
	if curved {
		out = append(out, tr.point.curved)
	}
	return out
}

// otherEnd returns the angle that the point at a seam's other end asks for,
// where it is another one.
func (p *pointsBox) otherEnd(pt pattern.Point, s pattern.PointSeam) (float64, bool) {
	for _, q := range p.d.s.PointsOf(s.Seam) {
		if q.Corners == pt.Corners || q.Trouble != "" {
			continue
		}
		if q.Hollow != pt.Hollow {
			q = p.d.s.TurnedPoint(q)
		}
		for _, x := range q.Seams {
			if x.Seam == s.Seam && math.Abs(x.InteriorDeg-s.InteriorDeg) > pattern.DefaultLimits().AngleDeg {
				return x.InteriorDeg, true
			}
		}
	}
	return 0, false
}
