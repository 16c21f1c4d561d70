package desk

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/app/desk/view"
	"flatwright/trace/pattern"
)

func pieceTitle(id, name string) string {
	if name == "" {
		return id
	}
	return id + " " + name
}

// longestTag is how many characters of a name are written on the work.
const longestTag = 28

// shortened is a text as long as it may be on the work.
func shortened(text string) string {
	r := []rune(text)
	if len(r) <= longestTag {
		return text
	}
	return strings.TrimRight(string(r[:longestTag-1]), " ") + "…"
}

func edgeTitle(id string, lengthMM float64, s units.System) string {
	return id + "  " + s.Length(lengthMM, 1)
}

// cutTitle is a cut's letter and angle, "B 45°".
func cutTitle(c pattern.Cut) string {
	l := styleOf(c.Kind).letter
	if c.Kind == pattern.Straight {
		return l
	}
	if c.Varies {
		return l + " " + units.FormatDeg(c.AngleDeg) + " … " + units.FormatDeg(c.ToDeg)
	}
	return l + " " + units.FormatDeg(c.AngleDeg)
}

func cornerTitle(i int, c session.Corner) string {
	if !c.Known {
		return fmt.Sprintf("%d: %s", i+1, tr.cornerUnknown)
	}
	guess := ""
	if c.Proposed {
		guess = " ?"
	}
	return fmt.Sprintf("%d: %d, %d%s", i+1, c.Column, c.Row, guess)
}

func tapeTitle(a, b view.Point, s units.System) string {
	return s.Length(math.Hypot(b.X-a.X, b.Y-a.Y), 1)
}

// placeTitle is a place on the mat, in mm or in inches to a hundredth.
func placeTitle(m view.Point, s units.System) string {
	if s == units.Inches {
		return fmt.Sprintf("%.2f, %.2f %s", m.X/units.MMPerInch, m.Y/units.MMPerInch, tr.inches)
	}
	return fmt.Sprintf("%.1f, %.1f %s", m.X, m.Y, tr.millimetres)
}

// editTitle names an edit for the words beside undo.
func editTitle(e session.Edit) string {
	t := tr.actions[e.Action]
	if strings.Contains(t, "%s") {
		t = strings.Join(strings.Fields(fmt.Sprintf(t, e.Target)), " ")
	}
	return t
}

// counted is "1 piece" or "9 pieces".
func counted(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf(many, n)
}

// plusMinus is "± 0.06 mm", rounded up: an accuracy is never promised better
// than it is. One beyond measure is said to be so.
func plusMinus(mm float64, s units.System) string {
	if math.IsNaN(mm) || mm > 99 {
		return fmt.Sprintf(tr.plusMinus, "? "+unitWord(s))
	}
	return fmt.Sprintf(tr.plusMinus, s.AtMost(mm))
}

func (d *desk) plusMinus(mm float64) string { return plusMinus(mm, d.system()) }

// rungLine is the one line on a rung: what it needs while it is not done, else
// the number that matters.
func (d *desk) rungLine(st session.Stage) string {
	switch d.s.State(st) {
	case session.NotYet:
		return tr.rungAfter[st]
	case session.NeedsYou:
		return d.rungNeeds(st)
	}
	doc := d.s.Document()
	switch st {
	case session.StagePhotograph:
		return fmt.Sprintf(tr.megapixels, float64(d.s.Photo().Width)*float64(d.s.Photo().Height)/1e6)
	case session.StageSquareUp:
		mm, _ := d.s.PlusMinusMM()
		return d.plusMinus(mm)
	case session.StageTrace:
		return counted(len(doc.Pattern.Pieces), tr.onePiece, tr.pieceCount)
	case session.StageMarkUp:
		return d.markNumber()
	case session.StagePrint:
		return fmt.Sprintf(tr.rungSaved, d.printNumber())
	}
	return tr.rungClear
}

// rungNeeds is what a rung needs of the maker now.
func (d *desk) rungNeeds(st session.Stage) string {
	doc := d.s.Document()
	switch {
	case st == session.StageSquareUp && doc.Squared != nil:
		return tr.rungStale
	case st == session.StageSquareUp && doc.PitchMM <= 0:
		return tr.rungPitch
	case st == session.StageCheck:
		return fmt.Sprintf(tr.rungLook, len(d.s.Findings()))
	case st == session.StagePrint:
		return fmt.Sprintf(tr.rungSave, d.printNumber())
	}
	return tr.rungNeeds[st]
}

// markNumber counts the leaning cuts, and the seams once there are any.
func (d *desk) markNumber() string {
	n := len(d.s.Document().Pattern.Seams)
	if n == 0 {
		return counted(d.s.LeaningCuts(), tr.oneCut, tr.cuts)
	}
	return fmt.Sprintf(tr.seam.rung, counted(n, tr.seam.oneSeam, tr.seam.seams), d.s.LeaningCuts())
}

func (d *desk) printNumber() string {
	if d.pages > 0 {
		return counted(d.pages, tr.onePage, tr.pages)
	}
	return d.paperChoice(d.print().Paper)
}

// paperChoice is what a paper is called among those to choose from: by its name,
// a roll, or a size of one's own.
func (d *desk) paperChoice(name string) string {
	switch {
	case slices.Contains(d.o.papers(), name):
		return paperTitle(name)
	case strings.HasPrefix(name, "roll"):
		return tr.print.roll
	}
	return tr.print.customPaper
}

// paperTitle is a paper's name as it is written: A4, Letter.
func paperTitle(p string) string {
	if len(p) <= 2 {
		return strings.ToUpper(p)
	}
	return strings.ToUpper(p[:1]) + p[1:]
}
