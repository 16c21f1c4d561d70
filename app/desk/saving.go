package desk

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/keep"
	"flatwright/app/project"
)

// savePlace asks where a file goes. The toolkit's own list of files empties the
// one that is chosen before anything has been written; here it is left alone
// until the new one is whole.
type savePlace struct {
	d    *desk
	ask  *dialog.ConfirmDialog
	path *pathLine
	note *widget.Label
	// head is what is asked, ending that of the file.
	head, ending string
	placed
}

// placed is what is done once a place is chosen.
type placed struct {
	// beside returns the files that are written beside one; nil for none.
	beside func(path string) []string
	// after goes on with the place.
	after func(path string)
}

// askPlace asks where a file goes, with a proposal.
func (d *desk) askPlace(head, proposal, ending string, then placed) *savePlace {
	w := &tr.keep
	p := &savePlace{d: d, path: newPathLine(), note: prose(""), head: head, ending: ending, placed: then}
	p.path.SetText(proposal)
	p.path.OnChanged = func(string) { p.tell() }
	p.path.OnSubmitted = func(string) { p.ask.Confirm() }
	p.path.left = func() { p.ask.Dismiss() }
	other := newButton(w.folder, p.chooseFolder)
	body := container.NewVBox(label(w.where), p.path, container.NewHBox(other), p.note)
	p.ask = dialog.NewCustomConfirm(head, w.save, w.cancel, body, func(yes bool) {
		if yes {
			p.done()
		} else {
			d.focusEditor()
		}
	}, d.win)
	p.ask.Resize(fyne.NewSize(640, 260))
	p.tell()
	p.ask.Show()
	d.win.Canvas().Focus(p.path)
	p.path.CursorColumn = len([]rune(proposal))
	p.path.Refresh()
	return p
}

// pathLine is a line for a path; Esc leaves it.
type pathLine struct {
	widget.Entry
	left func()
}

func newPathLine() *pathLine {
	l := &pathLine{}
	l.ExtendBaseWidget(l)
	return l
}

// TypedKey lets Esc put the question away.
func (l *pathLine) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyEscape && l.left != nil {
		l.left()
		return
	}
	l.Entry.TypedKey(k)
}

// full is the path that was typed, with its ending; empty for none.
func (p *savePlace) full() string {
	text := strings.TrimSpace(p.path.Text)
	if text == "" || strings.HasSuffix(text, string(filepath.Separator)) {
		return ""
	}
	if home, err := os.UserHomeDir(); err == nil && strings.HasPrefix(text, "~/") {
		text = filepath.Join(home, text[2:])
	}
	if !strings.EqualFold(filepath.Ext(text), p.ending) {
		text += p.ending
	}
	if abs, err := filepath.Abs(text); err == nil {
		return abs
	}
	return text
}

// files are all that would be written.
func (p *savePlace) files(path string) []string {
	if p.beside == nil {
		return []string{path}
	}
	return append([]string{path}, p.beside(path)...)
}

// tell says what saving would do.
func (p *savePlace) tell() {
	w, save := &tr.keep, tr.keep.save
	path := p.full()
	text, there := stays(p.files(path)), existing(p.files(path))
	switch {
	case path == "":
		text = w.noName
	case text != "":
	case len(there) > 0:
		save = tr.place.replace
		if text = w.replaces; len(there) > 1 || there[0] != path {
			text = fmt.Sprintf(tr.place.replacesAll, strings.Join(bases(there), ", "))
		}
	}
	if path != "" && !strings.HasSuffix(strings.TrimSpace(p.path.Text), filepath.Base(path)) {
		text = strings.TrimSpace(fmt.Sprintf(tr.place.named, filepath.Base(path)) + " " + text)
	}
	p.note.SetText(text)
	p.ask.SetConfirmText(save)
}

// existing are the files that are there already.
func existing(files []string) []string {
	return slices.DeleteFunc(slices.Clone(files), func(f string) bool {
		_, err := os.Lstat(f)
		return err != nil
	})
}

func bases(files []string) (out []string) {
	for _, f := range files {
		out = append(out, filepath.Base(f))
	}
	return out
}

// stays says of the first file that must not be replaced why it stays; empty when
// all can be written.
func stays(files []string) string {
	for _, f := range files {
		info, err := os.Stat(f)
		if err != nil {
			continue // none is there: that it cannot be made shows as it is made
		}
		text := ""
		switch {
		case info.IsDir():
			text = tr.place.folderThere
		case !info.Mode().IsRegular():
			text = tr.place.noFileThere
		case !writable(f, info):
			text = tr.place.protected
		}
		if text != "" {
			return fmt.Sprintf(text, filepath.Base(f))
		}
	}
	return ""
}

// writable reports whether a file is not protected against being written to.
// Taking its place would be possible all the same, and against its owner's will.
func writable(path string, info os.FileInfo) bool {
	if info.Mode().Perm()&0o200 == 0 {
		return false
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err == nil {
		err = f.Close()
	}
	return !errors.Is(err, os.ErrPermission)
}

// done goes on with the place; one at which something stays is asked for again,
// with the reason.
func (p *savePlace) done() {
	path := p.full()
	if path == "" {
		p.d.strip.say(tr.keep.noName)
		return
	}
	if stays(p.files(path)) != "" {
		p.d.askPlace(p.head, p.path.Text, p.ending, p.placed)
		return
	}
	p.d.kept.prefs.Folder = filepath.Dir(path)
	p.d.writePreferences()
	p.d.focusEditor()
	p.after(path)
}

func (p *savePlace) chooseFolder() {
	f := dialog.NewFolderOpen(func(u fyne.ListableURI, err error) {
		if err == nil && u != nil {
			p.path.SetText(filepath.Join(u.Path(), filepath.Base(p.path.Text)))
		}
		p.d.win.Canvas().Focus(p.path)
	}, p.d.win)
	if u, err := storage.ListerForURI(storage.NewFileURI(filepath.Dir(p.path.Text))); err == nil {
		f.SetLocation(u)
	}
	f.Resize(fyne.NewSize(900, 600))
	f.Show()
}

// proposed is a path for a file, in the folder where one was saved last.
func (d *desk) proposed(name string) string {
	folder := d.kept.prefs.Folder
	if i, err := os.Stat(folder); folder == "" || err != nil || !i.IsDir() {
		folder, _ = os.UserHomeDir()
	}
	return filepath.Join(folder, name)
}

// chooseProject asks where the project goes.
func (d *desk) chooseProject() {
	if d.kept.k == nil {
		d.strip.say(tr.noPhotoYet, way{tr.open, d.chooseFile})
		return
	}
	name := strings.TrimSuffix(d.exportName(), filepath.Ext(d.exportName())) + keep.Ending
	d.askPlace(tr.keep.saveAs, d.proposed(name), keep.Ending, placed{after: d.saveProject})
}

// saveProject writes the project to a file that the maker has named, and goes
// on with that.
func (d *desk) saveProject(path string) {
	k := d.kept.k
	if k == nil {
		return
	}
	d.keepNow()
	d.strip.hide()
	old := ""
	if d.kept.automatic && k.Project().Stored() == nil {
		old = k.Project().Path()
	}
	d.runner.start(tr.keep.saving, func(ctx context.Context, _ func(float64)) (func(), error) {
		k.Flush()
		err := k.Project().SaveAs(ctx, path)
		var less *project.LeftOutError
		if err != nil && !errors.As(err, &less) {
			return nil, err
		}
		return func() {
			d.kept.automatic, d.kept.failed = d.inFolder(path), ""
			if old != "" && old != path {
				os.Remove(old)
				d.kept.prefs.Forget(old)
			}
			d.remember()
			if less != nil {
				d.strip.say(opening(less) + ".")
			} else {
				d.strip.tell(fmt.Sprintf(tr.keep.saved, path))
			}
			d.changed()
		}, nil
	}, func(err error) { d.strip.say(opening(err)+".", way{tr.keep.saveAs, d.chooseProject}) })
}

// closing lets the window go. Work that is kept in a file needs no question;
// what is only in memory does.
func (d *desk) closing() {
	if d.kept.k != nil {
		d.keepNow()
		d.kept.k.Flush()
	}
	switch err := d.storedErr(); {
	case !d.s.MarkedUp() || d.kept.k != nil && err == nil:
		d.win.Close()
	case d.kept.k == nil:
		d.askClosing(tr.closeBody, tr.stay, nil)
	default:
		d.askClosing(fmt.Sprintf(tr.keep.closeBody, plain(err)), tr.keep.closeSave, d.chooseProject)
	}
}

// askClosing asks whether work is to be lost; instead is done when it is not.
func (d *desk) askClosing(body, stay string, instead func()) {
	c := dialog.NewConfirm(tr.closeHead, body, func(yes bool) {
		if yes {
			d.win.Close()
		} else if instead != nil {
			instead()
		}
	}, d.win)
	c.SetConfirmText(tr.closeAnyway)
	c.SetDismissText(stay)
	c.Show()
}
