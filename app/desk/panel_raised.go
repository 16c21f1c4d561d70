package desk

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/rectify"
)

// raisedGroup says how thick pieces are that rise above the mat.
type raisedGroup struct {
	d         *desk
	fold      *fold
	thickness *field
	camera    *field
	cameraBox *fyne.Container
	cost      *widget.Label
	// asked tells that the camera's height has to be typed.
	asked bool
}

func newRaisedGroup(d *desk) *raisedGroup {
	g := &raisedGroup{d: d, cost: prose("")}
	g.thickness = d.lengthField(both(tr.square.thicknessHint), 120, g.thicknessTyped)
	g.camera = d.lengthField(both(tr.square.cameraHint), 120, g.cameraTyped)
	g.cameraBox = container.NewVBox(row(tr.square.camera, g.camera), prose(tr.square.cameraWhy))
	g.fold = newFold(tr.square.raisedHead, prose(tr.square.raisedFlat), row(tr.square.thickness, g.thickness), g.cameraBox, g.cost)
	return g
}

// mostThicknessMM bounds what is believed of a piece lying on the mat.
const mostThicknessMM = 200

func (g *raisedGroup) thicknessTyped(text string) {
	mm, err := g.d.readOrNone(text, mostThicknessMM)
	if err != nil {
		g.d.refuse(text, err, fmt.Sprintf(tr.square.badThick, text, g.d.bound(mostThicknessMM)))
		return
	}
	r := g.d.s.Document().Raised
	r.ThicknessMM = mm
	if mm == 0 {
		g.asked = false
	}
	g.d.settingChanged(g.d.s.SetRaised(r))
}

func (g *raisedGroup) cameraTyped(text string) {
	mm, err := g.d.readOrNone(text, longestMM)
	if err != nil {
		g.d.refuse(text, err, fmt.Sprintf(tr.square.badCamera, text))
		return
	}
	r := g.d.s.Document().Raised
	r.CameraHeightMM = mm
	g.d.settingChanged(g.d.s.SetRaised(r))
}

// readOrNone reads a length up to a bound; nothing, or nought, is 0.
func (d *desk) readOrNone(text string, most float64) (float64, error) {
	if strings.TrimSpace(text) == "" {
		return 0, nil
	}
	return d.readWithin(text, 0, most)
}

func (g *raisedGroup) update(doc session.Document) {
	note := tr.square.flatWord
	if doc.Raised.ThicknessMM > 0 {
		note = fmt.Sprintf(tr.square.thickWord, g.d.typedLength(doc.Raised.ThicknessMM))
	}
	g.d.showLength(g.thickness, doc.Raised.ThicknessMM)
	g.d.showLength(g.camera, doc.Raised.CameraHeightMM)
	g.fold.say(note)
	visible(g.cameraBox, doc.Raised.ThicknessMM > 0 && (g.asked || doc.Raised.CameraHeightMM > 0))
	cost := g.d.s.RaisedCostMM()
	visible(g.cost, cost > 0)
	if cost > 0 {
		g.cost.SetText(fmt.Sprintf(tr.square.raisedCost, g.d.plusMinus(cost)))
	}
}

// ask opens the group and leads the keyboard to the camera's height, which the
// photograph does not tell.
func (g *raisedGroup) ask(err *rectify.HeightError) {
	g.asked = err.SigmaMM > 0
	g.fold.open(true)
	g.d.changed()
	if g.asked {
		g.d.win.Canvas().Focus(g.camera)
		return
	}
	g.d.win.Canvas().Focus(g.thickness)
}
