package desk

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
)

// paperField is a field for a paper of one's own, two lengths or a roll. Its
// hint follows the system; what stands in it is put in anew by paperText.
func (d *desk) paperField(hint bySystem, width float32, commit func(string)) *field {
	f := d.lengthField(hint, width, commit)
	f.paper = true
	return f
}

// ownPaper writes a paper that was typed the way the job reads it, in mm. Bare
// numbers are in the unit that lengths are shown in. Names are left as they are.
// Where a roll is asked for, its width alone will do.
func (d *desk) ownPaper(text string, rolled bool) (string, error) {
	s := strings.ToLower(strings.TrimSpace(text))
	if slices.Contains(d.o.papers(), s) {
		return s, nil
	}
	rest, roll := strings.CutPrefix(s, "roll")
	if roll || rolled && !strings.ContainsAny(s, "x×") {
		mm, err := d.readLength(rest)
		return "roll" + paperMM(mm) + "mm", err
	}
	w, h, err := d.reading().Size(s)
	if err == nil && max(w, h) > longestMM {
		err = fmt.Errorf("%q: %w", text, units.ErrNotALength)
	}
	return paperMM(w) + "x" + paperMM(h) + "mm", err
}

// paperMM is a side of a paper without crumbs.
func paperMM(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*1e4)/1e4, 'f', -1, 64)
}

// tryPaper asks the job, where it can tell, whether the pattern can be laid out
// on a paper: the error says why it cannot. Packing would say no more of it.
func (d *desk) tryPaper(x session.Print) (tried bool, err error) {
	c, ok := d.o.Job.(PaperChecker)
	if !ok || len(d.s.Document().Pattern.Pieces) == 0 {
		return false, nil
	}
	x.Packed = false
	return true, c.CheckPaper(d.s.Document().Pattern, x)
}

// paperText is a paper of one's own as it is typed, of a roll its width; a name is
// left as it is.
func (d *desk) paperText(name string) string {
	if rest, roll := strings.CutPrefix(name, "roll"); roll {
		if mm, err := units.ParseLength(rest, 1); err == nil {
			return d.typedLength(mm)
		}
	}
	if d.system() == units.Millimetres {
		return name
	}
	w, h, err := units.ParseSize(name, 1)
	if err != nil {
		return name
	}
	return strings.TrimSuffix(d.typedLength(w), " in") + " x " + d.typedLength(h)
}
