package desk

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
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
	f := dialog.NewFileSave(func(w fyne.URIWriteCloser, err error) {
		if err != nil || w == nil {
			return
		}
		path := w.URI().Path()
		w.Close()
		d.exportOver(path)
	}, d.win)
	f.SetFileName(d.exportName())
	f.SetFilter(storage.NewExtensionFileFilter([]string{".pdf", ".PDF"}))
	f.Resize(fyne.NewSize(900, 600))
	f.Show()
}

// exportName is the photograph's name with the ending of a PDF.
func (d *desk) exportName() string {
	name := "pattern"
	if p := d.s.Photo(); p != nil && p.Name != "" {
		name = strings.TrimSuffix(p.Name, filepath.Ext(p.Name))
	}
	return name + ".pdf"
}

// exportOver writes the PDF to a file that the file list has already made, empty:
// it does not stay when nothing comes of it.
func (d *desk) exportOver(path string) {
	clear := func() {
		if i, err := os.Stat(path); err == nil && i.Size() == 0 {
			os.Remove(path)
		}
	}
	d.exportOr(path, clear)
}

// exportOr writes the PDF; clear is called when it was not written.
func (d *desk) exportOr(path string, clear func()) {
	if filepath.Ext(path) == "" {
		path += ".pdf"
	}
	doc, parts, version, print := d.s.Document(), d.s.Parts(), d.s.Version(), d.print
	d.strip.hide()
	d.runner.start(tr.exporting, func(ctx context.Context, _ func(float64)) (func(), error) {
		if err := export(ctx, d.o.Job, path, parts, doc.Pattern, print); err != nil {
			clear()
			return nil, err
		}
		return func() {
			d.s.MarkPrinted(version)
			d.saved = path
			d.strip.tell(fmt.Sprintf(tr.savedTo, path))
			d.changed()
		}, nil
	}, func(err error) { d.fail("export", way{tr.export, d.chooseExport}, plain(err)) })
}

// export writes the PDF of a pattern from one photograph or several.
func export(ctx context.Context, j Job, path string, parts []session.Part, p pattern.Pattern, print session.Print) error {
	if len(parts) == 1 {
		return j.Export(ctx, path, parts[0].Squared, p, print)
	}
	if x, ok := j.(SeveralExporter); ok {
		return x.ExportSeveral(ctx, path, parts, p, print)
	}
	return j.Export(ctx, path, nil, p, print)
}

// findingText is a finding as a sentence.
func findingText(f session.Finding) string {
	if f.Kind == session.Uncertain {
		return fmt.Sprintf(tr.findUncertain, f.PieceID, units.FormatMM(f.MM, 2))
	}
	return f.Text
}
