package desk

import (
	"errors"
	"fmt"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// toolLetters are the keys that mean something else while a tool is held.
func (d *desk) toolLetters() map[rune]func() {
	if d.editor.tool != toolReshape {
		return nil
	}
	return map[rune]func(){
		'h': d.nextHandle, 'i': d.addNode, 'c': d.toggleNodes, 'l': d.straighten, 't': d.retrace, '/': d.splitAtNodes, 'k': d.addMark,
	}
}

// nextHandle lets the arrows move the handle after the selected node, then the
// one before it, then the node again.
func (d *desk) nextHandle() {
	d.s.EndGesture()
	for range 3 {
		d.editor.handle = (d.editor.handle + 2) % 3
		if _, ok := d.s.HandleOf(d.editor.handle); ok || d.editor.handle == session.GripNode {
			break
		}
	}
	d.changed()
}

// takesPoints reports whether the tool is given points by clicks.
func (d *desk) takesPoints() bool {
	t := d.editor.tool
	return t == toolAdd || drawsLine(t)
}

// moveCross moves the cross of a tool that is given points by px of the
// toolkit; false for other tools.
func (d *desk) moveCross(step [2]float64, m fyne.KeyModifier) bool {
	if !d.takesPoints() {
		return false
	}
	by := 10.0
	if m&fyne.KeyModifierShift != 0 {
		by = 1
	}
	d.editor.moveCross(by*step[0], by*step[1])
	d.pointed()
	return true
}

// space gives the tool a point at its cross.
func (d *desk) space() {
	if d.takesPoints() {
		d.editor.clickCross()
	}
}

// keep keeps what is selected while Tab goes on.
func (d *desk) keep() {
	if d.editor.tool == toolReshape {
		d.s.KeepNode()
	} else {
		d.s.KeepPick()
	}
	d.changed()
}

// step goes to the next node while reshaping, and shows it, else to the next
// edge.
func (d *desk) step(by int) {
	if d.editor.tool != toolReshape {
		d.stepEdge(by)
		return
	}
	d.s.StepNode(by)
	d.editor.showGrip()
	d.changed()
}

// nudgeNodes moves the selected nodes by 1 mm, or with Shift by 0.1 mm; false
// when none is selected.
func (d *desk) nudgeNodes(step [2]float64, m fyne.KeyModifier) bool {
	_, nodes := d.s.SelectedNodes()
	_, marked := d.s.SelectedMark()
	_, _, lined := d.s.SelectedLineNode()
	if d.editor.tool != toolReshape || len(nodes) == 0 && !marked && !lined {
		return false
	}
	mm := 1.0
	if m&fyne.KeyModifierShift != 0 {
		mm = 0.1
	}
	by := mat.Point{X: mm * step[0], Y: mm * step[1]}
	if marked {
		d.report(d.s.NudgeMark(by))
		return true
	}
	if lined {
		d.report(d.s.NudgeLineNode(by))
		return true
	}
	if g, ok := d.s.HandleOf(d.editor.handle); ok && g.Kind != session.GripNode {
		p, _ := d.s.SelectedPiece()
		d.report(d.s.DragHandle(p, g, mat.Point{X: g.At.X + by.X, Y: g.At.Y + by.Y}, false))
		return true
	}
	d.report(d.s.NudgeNodes(by))
	return true
}

// escapeTool lets go of selected nodes first, then of a line's first end, then
// of the tool.
func (d *desk) escapeTool() {
	_, nodes := d.s.SelectedNodes()
	_, marked := d.s.SelectedMark()
	_, _, lined := d.s.SelectedLineNode()
	switch {
	case d.editor.tool == toolReshape && (len(nodes) > 0 || marked || lined):
		d.s.ClearNodes()
	case drawsLine(d.editor.tool) && len(d.editor.tape) > 0:
		d.editor.tape = nil
	default:
		d.putDown()
	}
}

// reshaping measures the piece that was taken up.
func (d *desk) reshaping() {
	d.measurePiece()
	d.changed()
}

// toggleSplit begins to draw a line along which a piece is cut in two, or
// stops.
func (d *desk) toggleSplit() { d.toggleTool(toolSplit, tr.repair.splitHow) }

// toggleAxis begins to draw a centre line, or stops.
func (d *desk) toggleAxis() { d.toggleTool(toolAxis, tr.repair.axisHow) }

// toggleMeet begins to choose two points on each of two pieces, or stops.
func (d *desk) toggleMeet() { d.toggleTool(toolMeet, tr.repair.meetHow) }

// lined takes the line that a tool has drawn.
func (d *desk) lined(t tool, line []mat.Point) {
	switch t {
	case toolSplit:
		d.toldOfSplit(d.s.Split(line[0], line[1]))
	case toolAxis:
		d.toldOfWhole(d.s.CompleteAbout(line[0], line[1]))
	case toolMeet:
		d.meet(line)
		return
	case toolLine:
		d.drawnLine(line[0], line[1])
		return
	}
	d.changed()
}

func (d *desk) splitAtNodes() { d.toldOfSplit(d.s.SplitAtNodes()) }

func (d *desk) toldOfSplit(id string, err error) {
	if err != nil {
		d.report(err)
		return
	}
	d.putDown()
	d.strip.tell(fmt.Sprintf(tr.repair.isSplit, id))
	d.strip.passes()
	d.changed()
}

// unite makes one piece of two along the chosen edges. Without them two points
// are asked for on each.
func (d *desk) unite() {
	if d.editor.tool == toolMeet {
		d.putDown()
		return
	}
	u, err := d.s.Unite()
	if errors.Is(err, session.ErrTwoEdges) {
		if len(d.s.SelectedPieces()) == 2 {
			d.toggleMeet()
			return
		}
		d.strip.say(d.inWords(err)+".", way{tr.repair.byPoints, d.toggleMeet})
		return
	}
	d.toldOfUnion(u, err)
}

func (d *desk) toldOfUnion(u pattern.United, err error) {
	if err != nil {
		d.report(err)
		return
	}
	p, _ := d.s.SelectedPiece()
	d.strip.tell(fmt.Sprintf(tr.repair.united, p.ID, d.residual(u.EndsMM, 2), d.residual(u.GapMM, 2)) + d.whereLaid(p.ID))
	d.strip.passes()
	d.changed()
}

// meet joins two pieces by the points chosen on them, once there are four.
func (d *desk) meet(at []mat.Point) {
	a, b := d.pieceNear(at[0]), d.pieceNear(at[2])
	switch {
	case a == "" || a != d.pieceNear(at[1]) || b == "" || b != d.pieceNear(at[3]) || a == b:
		d.strip.say(fmt.Sprintf(tr.repair.meetWrong, d.length(nearOutlineMM)))
	default:
		u, err := d.s.UniteAt(a, [2]mat.Point{at[0], at[1]}, b, [2]mat.Point{at[2], at[3]})
		if err == nil {
			d.putDown()
		}
		d.toldOfUnion(u, err)
	}
	d.changed()
}

// nearOutlineMM is how far off an outline a point is still taken to lie on it.
const nearOutlineMM = 3.0

// pieceNear is the piece whose outline is nearest to a point, within
// nearOutlineMM.
func (d *desk) pieceNear(at mat.Point) string {
	id, near := "", nearOutlineMM
	for _, p := range d.s.Document().Pattern.Pieces {
		if q, err := p.Outline.Nearest(at); err == nil && q.DistanceMM < near {
			id, near = p.ID, q.DistanceMM
		}
	}
	return id
}

// mirrorCopy adds a mirrored copy of the selected piece.
func (d *desk) mirrorCopy() {
	from, _ := d.s.SelectedPiece()
	id, err := d.s.MirrorCopy()
	if err != nil {
		d.report(err)
		return
	}
	if d.editor.tool != toolSelect {
		d.putDown() // its points are of another piece
	}
	d.editor.setSpace(session.OnMat)
	d.editor.fitAndShow()
	d.strip.tell(fmt.Sprintf(tr.repair.copied, id, from.ID))
	d.strip.passes()
	d.changed()
}

// completeHalf makes a whole piece of a half about the chosen edge, or asks for
// a line.
func (d *desk) completeHalf() {
	if _, ok := d.s.SelectedEdge(); !ok || d.editor.tool == toolAxis {
		d.toggleAxis()
		return
	}
	d.toldOfWhole(d.s.Complete())
}

func (d *desk) toldOfWhole(c pattern.Completed, err error) {
	if err != nil {
		d.strip.say(d.inWords(err)+".", way{tr.repair.drawAxis, func() {
			if d.editor.tool != toolAxis {
				d.toggleAxis()
			}
		}})
		d.changed()
		return
	}
	if d.editor.tool == toolAxis {
		d.putDown()
	}
	p, _ := d.s.SelectedPiece()
	text := fmt.Sprintf(tr.repair.completed, p.ID, d.length(c.AlongMM))
	if c.OffMM > worthMM {
		text += " " + fmt.Sprintf(tr.repair.bowed, d.residual(c.OffMM, 1))
	}
	d.strip.tell(text + d.whereLaid(p.ID))
	d.strip.passes()
	d.changed()
}

// whereLaid says that a piece lies beside the others, when it does, and shows it
// there: the photograph does not.
func (d *desk) whereLaid(id string) string {
	if !d.s.Origin(id).Elsewhere {
		return ""
	}
	d.editor.setSpace(session.OnMat)
	d.editor.fitAndShow()
	return " " + tr.repair.laidApart
}
