package desk

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
)

// findingAt returns the number of the finding whose sign lies under a device
// position, of several the nearest; -1 for none.
func (e *editor) findingAt(at view.Point) int {
	best, least := -1, findingReachPx*e.px
	for i, f := range e.findings {
		if !e.marksFinding(f) {
			continue
		}
		p := e.onScreen(view.Point(f.At))
		if d := math.Hypot(p.X-at.X, p.Y-at.Y); d < least {
			best, least = i, d
		}
	}
	return best
}

// signAt tells the sign under a device position from others; 0 for none.
func (e *editor) signAt(at view.Point) int {
	if i := e.findingAt(at); i >= 0 {
		return i + 1
	}
	for i, m := range e.missSigns() {
		if math.Hypot(m.at.X-at.X, m.at.Y-at.Y) < findingReachPx*e.px {
			return -i - 1
		}
	}
	return 0
}

// findingReachPx is how far the sign of a finding reaches.
const findingReachPx = 13

// marksFinding reports whether a finding has a sign on what is looked at: a
// photograph has those only whose place it shows.
func (e *editor) marksFinding(f session.Finding) bool {
	return !e.placing() && !e.onPaper() && (e.space != session.InPhoto || e.s.Shows(f))
}

// missSign is a stretch of a found line that is drawn as missing: its middle, and
// by how much, px of the photograph.
type missSign struct {
	at     view.Point
	missPx float64
}

// missSigns are the stretches marked as missing, which they are while squaring up
// is looked at and the lines are shown.
func (e *editor) missSigns() []missSign {
	if !e.showLines || !e.showMisses || e.space != session.InPhoto || e.placing() {
		return nil
	}
	var out []missSign
	group := e.needleGroup()
	for _, l := range e.s.FoundLines() {
		pts := l.Line.In(e.space)
		for i := 0; i < len(l.MissPx); i += group {
			last := min(i+group, len(l.MissPx))
			if m := math.Abs(worst(l.MissPx[i:last])); m > clearMissPx {
				a, b := e.view().ToDevice(pts[i]), e.view().ToDevice(pts[last])
				out = append(out, missSign{view.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}, m})
			}
		}
	}
	return out
}

// paintTip says what the sign under the pointer means.
func (e *editor) paintTip(p painter) {
	if !e.pointerIn || e.text == nil || e.gesture.kind != noGesture {
		return
	}
	if i := e.findingAt(e.pointer); i >= 0 {
		f := e.findings[i]
		text := strconv.Itoa(i+1) + "  " + tr.seam.severities[min(int(f.Severity), 2)] + ". " + e.host.findingText(f)
		e.paintNote(p, e.onScreen(view.Point(f.At)), text)
		return
	}
	for _, m := range e.missSigns() {
		if math.Hypot(m.at.X-e.pointer.X, m.at.Y-e.pointer.Y) < findingReachPx*e.px {
			e.paintNote(p, m.at, fmt.Sprintf(tr.square.missTip, m.missPx, e.system.Residual(m.missPx/e.worldPerMM(), 2)))
			return
		}
	}
}

const (
	// tipWide is how broad a note beside a sign is at most, px of the toolkit.
	tipWide, tipPad, tipLine = 300, 10, 18
	// tipGap lies between a sign and its note.
	tipGap = 18
)

// paintNote writes a sentence beside a device position: below it, or above where
// there is no room, and within the work.
func (e *editor) paintNote(p painter, at view.Point, text string) {
	lines := wrapped(text, func(s string) bool { return e.text.Width(s) <= tipWide*e.px })
	wide := 0.0
	for _, l := range lines {
		wide = math.Max(wide, e.text.Width(l))
	}
	w, h := wide+2*tipPad*e.px, float64(len(lines))*tipLine*e.px+tipPad*e.px
	x, y := at.X-w/2, at.Y+tipGap*e.px
	if y+h > float64(e.h)-4*e.px {
		y = at.Y - tipGap*e.px - h
	}
	x = math.Max((leftRulerPx+4)*e.px, math.Min(float64(e.w)-w-4*e.px, x))
	plate := view.Rect{Min: view.Point{X: x, Y: y}, Max: view.Point{X: x + w, Y: y + h}}
	p.FillRect(plate, e.pal.panel)
	p.StrokeRect(plate, e.px, e.pal.ink)
	for i, l := range lines {
		p.Text(e.text, view.Point{X: x + tipPad*e.px, Y: y + (float64(i)*tipLine+tipPad/2+13)*e.px}, l, e.pal.ink)
	}
}

// wrapped breaks a text into lines of whole words that fit; a longer word is a
// line of its own.
func wrapped(text string, fits func(string) bool) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if longer := strings.TrimSpace(line + " " + word); line == "" || fits(longer) {
			line = longer
			continue
		}
		lines, line = append(lines, line), word
	}
	return append(lines, line)
}

// missLegend explains the sign of a line that misses, while one is shown.
func (e *editor) missLegend() []legendRow {
	if len(e.missSigns()) == 0 {
		return nil
	}
	return []legendRow{{missSample, tr.square.missSign}}
}

func missSample(p painter, box view.Rect) {
	y := (box.Min.Y + box.Max.Y) / 2
	p.foundStretch(view.Point{X: box.Min.X, Y: y}, view.Point{X: box.Max.X, Y: y}, 2*clearMissPx)
}

// goSign does what a click on a finding's sign means: its row in the panel comes
// into view, and what it is about is chosen; nothing on the work moves.
func (d *desk) goSign(f session.Finding) {
	d.choose(f)
	if p, ok := d.panels[d.stage].(*checkPanel); ok {
		p.point(f)
	}
	d.changed()
}

// choose selects what a finding is about.
func (d *desk) choose(f session.Finding) {
	if f.EdgeID != "" {
		d.s.SelectEdge(f.EdgeID)
	} else if f.PieceID != "" {
		d.s.SelectPiece(f.PieceID)
	}
}
