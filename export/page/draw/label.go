package draw

import (
	"strings"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// Label is what is written on a piece for a reader that has a font of its own:
// lines centred about At, the capitals CapMM high, LabelStep of that apart.
type Label struct {
	Lines []string
	At    mat.Point
	CapMM float64
}

// Heights of a label's capitals: as large as fits, within these, in mm.
const (
	leastCapMM = 2.5
	mostCapMM  = 5
)

// LabelStep is the distance of a label's lines, in heights of its capitals.
const LabelStep = 1.8

// LabelOf returns a piece's label: its letter, name and facts, where there is
// most room beside the other face's lines; in a small piece less of it.
func LabelOf(p *pattern.Piece, other []page.OtherFaceLine) Label {
	id, room := lettering.OneLine(p.ID), Room(p, other)
	title := strings.TrimSpace(id + " " + lettering.OneLine(p.Name))
	for _, lines := range [][]string{append([]string{title}, Facts(p)...), {title}} {
		if at, capMM := fitLabel(room, lines); capMM >= leastCapMM {
			return Label{lines, at, min(capMM, mostCapMM)}
		}
	}
	at, capMM := fitLabel(room, []string{id})
	return Label{[]string{id}, at, min(max(capMM, 1), mostCapMM)}
}

// fitLabel returns where lines fit and how high their capitals may be there.
func fitLabel(room lettering.Room, lines []string) (mat.Point, float64) {
	wide := 0.0
	for _, l := range lines {
		wide = max(wide, lettering.Regular.WidthMM(lettering.Regular.Clean(l), 1))
	}
	// A reader's own font may run wider than ours.
	w, h := 1.15*wide+1, blockHeight(len(lines))+1
	at, capMM := room.Widest(w, h)
	capMM = min(capMM, mostCapMM)
	if better, ok := room.Fits(w*capMM, h*capMM); ok {
		at = better
	}
	return at, capMM
}

// blockHeight is the height of lines whose capitals are 1 mm high.
func blockHeight(lines int) float64 { return 1 + LabelStep*float64(lines-1) }

// FirstBaseline is where the first line stands, in mm below At.
func (l Label) FirstBaseline() float64 { return l.CapMM * (1 - blockHeight(len(l.Lines))/2) }
