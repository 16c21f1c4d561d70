package desk

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"runtime"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// journalKeeps is how many things the journal remembers.
const journalKeeps = 400

// journal remembers the last things that happened, in memory only. It belongs
// to the window's goroutine.
type journal struct {
	lines []string
	// next is where the next line goes once the journal is full.
	next int
	// words says why work of a name failed; nil says it as the error does.
	words func(name string, err error) string
}

// note adds a line with the time of day, without the folders of any file.
func (j *journal) note(format string, args ...any) {
	text := strings.Join(strings.Fields(withoutFolders(fmt.Sprintf(format, args...))), " ")
	line := time.Now().Format("15:04:05") + "  " + text
	if len(j.lines) < journalKeeps {
		j.lines = append(j.lines, line)
		return
	}
	j.lines[j.next] = line
	j.next = (j.next + 1) % journalKeeps
}

// done notes how a piece of work ended.
func (j *journal) done(name string, since time.Time, err error) {
	w, took := &tr.journal, time.Since(since).Seconds()
	name = strings.TrimRight(name, "… ")
	switch {
	case errors.Is(err, context.Canceled):
		j.note(w.stopped, name)
	case err != nil && j.words != nil:
		j.note(w.failed, name, took, j.words(name, err))
	case err != nil:
		j.note(w.failed, name, took, err)
	default:
		j.note(w.ended, name, took)
	}
}

// text is the journal, the oldest thing first, under a line on the program.
func (j *journal) text() string {
	lines := append(append([]string{}, j.lines[j.next:]...), j.lines[:j.next]...)
	if len(lines) == 0 {
		lines = []string{tr.journal.nothing}
	}
	return fmt.Sprintf("%s, %s/%s, %s\n", tr.title, runtime.GOOS, runtime.GOARCH, runtime.Version()) + strings.Join(lines, "\n") + "\n"
}

// folders is an absolute path down to its last folder. It is greedy: folders
// may have blanks in their names, and of two paths in one sentence what lies
// between them goes too rather than that a folder stays.
var folders = regexp.MustCompile(`(^|[\s"'(\[=:])(?:/|~/|[A-Za-z]:\\|\\\\).*[/\\]`)

// withoutFolders leaves only the files' names of the paths in a text.
func withoutFolders(text string) string {
	return folders.ReplaceAllString(strings.ReplaceAll(text, "\n", " "), "$1…/")
}

// noteFit notes how well the photograph was squared up.
func (d *desk) noteFit() {
	doc, name := d.s.Document(), ""
	if doc.Squared == nil {
		return
	}
	if p := d.s.Photo(); p != nil {
		name = p.Name
	}
	here := "?"
	if mm, ok := d.s.PlusMinusMM(); ok {
		here = d.system().AtMost(mm)
	}
	d.runner.journal.note(tr.journal.fit, name, doc.Squared.Fit.RMSPx, here, d.typedLength(doc.PitchMM))
}

// failureWords says why work failed, in the system shown unless it read files,
// whose names may hold what looks like a length.
func (d *desk) failureWords(name string, err error) string {
	switch name {
	case tr.opening, tr.keep.opening, tr.keep.saving, tr.shots.adding, strings.TrimRight(tr.journal.fetching, "… "):
		return plain(err)
	}
	return d.inSentence(err)
}

// showJournal shows what happened, with a button that copies it.
func (d *desk) showJournal() {
	w, all := &tr.journal, d.runner.journal.text()
	shown := widget.NewLabel(all)
	shown.Wrapping = fyne.TextWrapWord
	scroll := container.NewVScroll(shown)
	scroll.SetMinSize(fyne.NewSize(720, 380))
	var sheet *widget.PopUp
	shut := newShutButton(tr.close, func() {
		sheet.Hide()
		d.focusEditor()
	})
	var take *button
	take = newButton(w.copy, func() {
		d.app.Clipboard().SetContent(all)
		take.SetText(w.copied)
	})
	buttons := container.NewCenter(container.NewHBox(take, shut))
	sheet = widget.NewModalPopUp(column(heading(w.head), prose(w.what), scroll, buttons), d.win.Canvas())
	sheet.Show()
	scroll.ScrollToBottom()
	d.win.Canvas().Focus(shut)
}
