package desk

import (
	"context"
	"crypto/sha256"
	"fmt"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"

	"flatwright/app/desk/keep"
	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

// chooseExport asks where the PDF goes.
func (d *desk) chooseExport() {
	if len(d.s.Document().Pattern.Pieces) == 0 {
		d.strip.say(tr.needPieces)
		return
	}
	if d.s.Stale() {
		d.strip.say(tr.square.staleExport, way{tr.square.again, d.squareUpAgain}, way{tr.square.takeBack, d.doUndo})
		return
	}
	d.askPlace(tr.export, d.proposed(d.exportName()), ".pdf", placed{d.print().Beside, d.exportTo})
}

// faults counts the findings that make a wrong part when they are cut as they are.
func (d *desk) faults() int {
	n := 0
	for _, f := range d.s.Findings() {
		if f.Severity == pattern.Fault {
			n++
		}
	}
	return n
}

// exportName is the photograph's name with the ending of a PDF.
func (d *desk) exportName() string {
	name := "pattern"
	if p := d.s.Photo(); p != nil && p.Name != "" {
		name = strings.TrimSuffix(p.Name, filepath.Ext(p.Name))
	}
	return name + ".pdf"
}

// exportTo writes the PDF, whole or not at all.
func (d *desk) exportTo(path string) {
	out, version := d.s.Printout(), d.s.Version()
	d.strip.hide()
	d.runner.start(tr.exporting, func(ctx context.Context, _ func(float64)) (func(), error) {
		if err := d.o.Job.Export(ctx, path, out); err != nil {
			return nil, err
		}
		return func() {
			d.s.MarkPrinted(version)
			d.keepPrinted()
			d.saved = path
			d.tellSaved(path)
			d.changed()
		}, nil
	}, func(err error) {
		what := "export"
		if ofFiles(err) {
			what = "place"
		}
		d.fail(what, way{tr.export, d.chooseExport}, d.inSentence(err))
	})
}

// tellSaved says where the PDF is, and what stands against cutting by it.
func (d *desk) tellSaved(path string) {
	text, look := fmt.Sprintf(tr.savedTo, path), way{tr.print.openPDF, func() { d.openOutside(path) }}
	defer d.strip.passes()
	n := d.faults()
	if n == 0 {
		d.strip.tell(text, look)
		return
	}
	d.strip.say(text+" "+counted(n, tr.print.oneFault, tr.print.faults), look, way{d.toFaults(n), func() { d.goTo(session.StageCheck) }})
}

// toFaults is the word on a button that leads to so many faults.
func (d *desk) toFaults(n int) string {
	if n == 1 {
		return tr.print.toFault
	}
	return tr.print.toFaults
}

// openOutside opens a file or a folder in the system's own way; a sentence tells
// when there is none, and where it lies.
func (d *desk) openOutside(path string) {
	abs, err := filepath.Abs(path)
	if err == nil {
		err = d.app.OpenURL(&url.URL{Scheme: "file", Path: filepath.ToSlash(abs)})
	}
	if err != nil {
		d.strip.say(fmt.Sprintf(tr.print.noOpen, plain(err), path))
	}
}

// keyPrinted is the setting of which state was exported last.
const keyPrinted = "printed"

// keepPrinted keeps that the present state was exported. Where that cannot be
// kept, the rung asks for it once more.
func (d *desk) keepPrinted() {
	k := d.kept.k
	if k == nil || !d.s.Printed() {
		return
	}
	d.keepNow()
	k.Flush()
	_ = k.Put(keyPrinted, stateSum(k))
}

// wasPrinted reports whether a project's present state was exported.
func wasPrinted(k *keep.Keeper) bool {
	var sum string
	return k.Get(keyPrinted, &sum) && sum == stateSum(k)
}

// stateSum tells states of a project apart.
func stateSum(k *keep.Keeper) string {
	sum := sha256.Sum256(k.Project().Encoded())
	return fmt.Sprintf("%x", sum)
}

// foundIn says which photograph shows a finding, behind its sentence; nothing
// where there is one only, or none shows it.
func (d *desk) foundIn(f session.Finding) string {
	if all, _ := d.s.Photos(); len(all) < 2 || f.Shot == session.NoShot {
		return ""
	}
	return "  " + fmt.Sprintf(tr.shots.fromOne, strconv.Itoa(f.Shot+1))
}

// findingText is a finding as a sentence.
func (d *desk) findingText(f session.Finding) string {
	if f.Kind == session.Uncertain {
		return fmt.Sprintf(tr.findUncertain, f.PieceID, d.residual(f.MM, 2))
	}
	return d.system().Sentence(f.Text)
}
