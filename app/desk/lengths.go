package desk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/units"
)

// bySystem is a text that speaks of lengths, in millimetres and in inches.
type bySystem [2]string

// in returns the text for a system.
func (b bySystem) in(s units.System) string { return b[min(int(s), len(b)-1)] }

// system is how lengths are shown, and what a bare number typed is.
func (d *desk) system() units.System { return d.editor.system }

// reading is how what is typed is read.
func (d *desk) reading() units.Reading { return d.readingIn(d.system()) }

func (d *desk) readingIn(s units.System) units.Reading {
	return units.Reading{System: s, DecimalComma: d.o.DecimalComma}
}

// typedLength is a length as it stands in a field: reading it back gives the
// same length to 0.0005 mm.
func (d *desk) typedLength(mm float64) string { return d.reading().Clear(d.system().Typed(mm)) }

// typedOrNone is typedLength, empty for 0.
func (d *desk) typedOrNone(mm float64) string {
	if mm == 0 {
		return ""
	}
	return d.typedLength(mm)
}

// both is a text that is the same in either system.
func both(text string) bySystem { return bySystem{text, text} }

// length is a size in a sentence or table, to 0.1 mm or 1/400 in.
func (d *desk) length(mm float64) string { return d.system().Length(mm, 1) }

// residual is a difference in a sentence or table, to so many decimals of a
// millimetre or to two digits of an inch.
func (d *desk) residual(mm float64, decimals int) string { return d.system().Residual(mm, decimals) }

// longestMM bounds what is believed of anything on a bench; longer ones are
// slips of the unit.
const longestMM = 1e5

// leastMM is less than anything that can be measured.
const leastMM = 0.001

// readLength reads what was typed: a suffix decides, a bare fraction is inches,
// another bare number is in the unit that lengths are shown in. What has two
// readings is asked about.
func (d *desk) readLength(text string) (float64, error) {
	mm, err := d.reading().Length(text)
	if err == nil && mm > longestMM {
		return 0, fmt.Errorf("%q: %w", text, units.ErrNotALength)
	}
	return mm, err
}

// readField reads a field's text. One that was left as it was shown is the very
// length it was shown for.
func (d *desk) readField(f *field) (float64, error) {
	if f.showsMM > 0 && f.Text == f.showsAs {
		return f.showsMM, nil
	}
	return d.readLength(f.Text)
}

// bound is a bound of a field as its refusal says it.
func (d *desk) bound(mm float64) string { return d.reading().Clear(d.system().Bound(mm)) }

// readWithin reads a length between two bounds. Either may be typed as bound
// says it, which may lie a crumb beyond it. Where the least is 0, "0" is read too.
func (d *desk) readWithin(text string, least, most float64) (float64, error) {
	const crumbMM = units.BoundMM + 1e-6
	mm, err := d.readLength(text)
	if least == 0 {
		mm, err = d.reading().FromZero(text)
	}
	if err == nil && (mm < least-crumbMM || mm > most+crumbMM) {
		err = fmt.Errorf("%q: %w", text, units.ErrNotALength)
	}
	if err != nil {
		return 0, err
	}
	return min(max(mm, least), most), nil
}

// refuse says that a text is no length that a field takes, or that it may mean
// either of two.
func (d *desk) refuse(text string, err error, sentence string) {
	d.strip.say(refusal(text, err, sentence))
}

// refusal is what refuse says.
func refusal(text string, err error, sentence string) string {
	var unclear *units.UnclearError
	if errors.As(err, &unclear) {
		whole, part := unclear.Whole+" "+unclear.Unit, unclear.Decimal+" "+unclear.Unit
		return fmt.Sprintf(tr.unclear, unclear.Text, strings.TrimSpace(whole), strings.TrimSpace(part))
	}
	return sentence
}

// lengthField is a field for a length: its hint follows the system, and what
// stands in it is turned into the other when that changes.
func (d *desk) lengthField(hint bySystem, width float32, commit func(string)) *field {
	f := d.guarded(newField(hint.in(d.system()), width, commit))
	f.hints = hint
	d.lengths = append(d.lengths, f)
	return f
}

// showLength puts a length in, unless someone is typing; 0 empties the field.
func (d *desk) showLength(f *field, mm float64) {
	text := d.typedOrNone(mm)
	f.show(text)
	if f.Text == text {
		f.showsMM, f.showsAs = mm, text
	}
}

// showFromZero is showLength for a length that may be nothing, "0 mm".
func (d *desk) showFromZero(f *field, mm float64) {
	if mm == 0 {
		f.show(d.typedLength(0))
		return
	}
	d.showLength(f, mm)
}

// turnLengths says in another system what stands in the fields and texts: a number
// that was typed keeps its length.
func (d *desk) turnLengths(from units.System) {
	for _, s := range d.sayings {
		s.label.SetText(s.text.in(d.system()))
	}
	for _, f := range d.lengths {
		if f.hints != (bySystem{}) {
			f.SetPlaceHolder(f.hints.in(d.system()))
		}
		if f.paper {
			continue
		}
		mm, err := d.readingIn(from).Length(f.Text)
		if f.showsMM > 0 && f.Text == f.showsAs {
			mm, err = f.showsMM, nil
		}
		if err != nil {
			continue // a share, "off", nothing, or what is no length in either
		}
		left := f.Text == f.shown
		f.showsMM, f.showsAs = mm, d.typedLength(mm)
		if left {
			f.shown = f.showsAs
		}
		f.SetText(f.showsAs)
	}
}

// spoken is a text in a panel that speaks of lengths, and is put in the system
// shown when that changes.
func (d *desk) spoken(text bySystem) *widget.Label {
	l := prose(text.in(d.system()))
	d.sayings = append(d.sayings, saying{l, text})
	return l
}

// saying is a text that follows the system.
type saying struct {
	label *widget.Label
	text  bySystem
}

// ofFiles reports whether an error is that of a file or a folder.
func ofFiles(err error) bool {
	var file *fs.PathError
	var files *os.LinkError
	return errors.As(err, &file) || errors.As(err, &files)
}

// noPaper is why a paper that was typed is not taken.
func (d *desk) noPaper(text string, err error, rolled bool) string {
	if errors.Is(err, units.ErrNotALength) {
		if rolled {
			return fmt.Sprintf(tr.print.badRoll, text)
		}
		return fmt.Sprintf(tr.print.badPaper, text)
	}
	return d.inWords(err) + "."
}

// inWords is inSentence for use at the beginning of one.
func (d *desk) inWords(err error) string { return capital(d.inSentence(err)) }

// inSentence is an error of the packages below, without a full stop, in the system
// shown; the photograph's name in it stays as it is, and so does all that speaks of
// files.
func (d *desk) inSentence(err error) string {
	text, p := plain(err), d.s.Photo()
	if ofFiles(err) {
		return text
	}
	if p == nil || p.Name == "" {
		return d.system().Sentence(text)
	}
	parts := strings.Split(text, p.Name)
	for i := range parts {
		parts[i] = d.system().Sentence(parts[i])
	}
	return strings.Join(parts, p.Name)
}
