package desk

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/practice"
)

func TestNoFolderStaysInTheJournal(t *testing.T) {
	for text, want := range map[string]string{
		"Saved to /home/ann/my props/helm.pdf. Print at 100 %.": "Saved to …/helm.pdf. Print at 100 %.",
		`open "/home/ann/a.jpg": no such file`:                  `open "…/a.jpg": no such file`,
		"file:///home/ann/a.jpg":                                "file:…/a.jpg",
		`C:\Users\Ann Lee\a.jpg could not be opened`:            `…/a.jpg could not be opened`,
		`\\server\ann\a.jpg`:                                    `…/a.jpg`,
		"~/work/a.jpg":                                          "…/a.jpg",
		"rename /home/ann/x /home/ann/y":                        "rename …/y",
		"line\n/home/ann/b":                                     "line …/b",
		"3/8 in and/or 1/2 in":                                  "3/8 in and/or 1/2 in",
	} {
		if got := withoutFolders(text); got != want {
			t.Errorf("%q became %q, not %q", text, got, want)
		}
	}
}

func TestTheJournalForgetsTheOldest(t *testing.T) {
	var j journal
	for i := range journalKeeps + 25 {
		j.note("thing %d", i)
	}
	lines := strings.Split(strings.TrimSpace(j.text()), "\n")[1:]
	if len(lines) != journalKeeps || !strings.HasSuffix(lines[0], "thing 25") || !strings.HasSuffix(lines[journalKeeps-1], fmt.Sprintf("thing %d", journalKeeps+24)) {
		t.Errorf("%d lines from %q to %q", len(lines), lines[0], lines[len(lines)-1])
	}
}

func TestTheJournalTellsHowTheWorkWent(t *testing.T) {
	b := ready(t)
	b.open(filepath.Join(t.TempDir(), "none.jpg"))
	b.settle()
	b.job.StepDelay = time.Minute
	b.typed("p")
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	b.showHelp()
	press := func(word string) {
		t.Helper()
		for _, o := range test.LaidOutObjects(b.win.Canvas().Overlays().Top()) {
			if w, ok := o.(*button); ok && w.Text == word {
				test.Tap(w)
				return
			}
		}
		t.Fatalf("no button %q", word)
	}
	press("What happened")
	press("Copy")
	got := b.app.Clipboard().Content()
	for _, want := range []string{"Flatwright, ", " squared up: lines met to 0.", ", pitch 25.4 mm", "4 pieces traced", "none.jpg could not be opened", " failed after ", " stopped"} {
		if !strings.Contains(got, want) {
			t.Errorf("the copy does not say %q:\n%s", want, got)
		}
	}
	if strings.Contains(got, filepath.Dir(b.file)) || strings.Contains(got, "/tmp/") {
		t.Errorf("the copy names a folder:\n%s", got)
	}
}

func TestPastingAPicture(t *testing.T) {
	b := newBench(t, Options{PitchMM: practice.PitchMM}, &practice.Job{})
	b.app.Clipboard().SetContent("")
	b.pasting.picture = func(context.Context) ([]byte, error) { return []byte("bytes of a picture"), nil }
	b.shortcut(&fyne.ShortcutPaste{})
	b.settle()
	kept := filepath.Join(b.pasting.folder, "pasted-1.png")
	if raw, err := os.ReadFile(kept); err != nil || string(raw) != "bytes of a picture" || b.s.Photo() == nil {
		t.Errorf("%q, %v, photograph %v", raw, err, b.s.Photo())
	}
	b.pasting.clean()
	if _, err := os.Stat(kept); !os.IsNotExist(err) {
		t.Errorf("the pasted picture stays: %v", err)
	}
}

func TestPastingAFile(t *testing.T) {
	for _, form := range []string{"%s", "file://%s\n", "copy\nfile://%s", "\"%s\"\r\n"} {
		b := newBench(t, Options{PitchMM: practice.PitchMM}, &practice.Job{})
		b.pasting.picture = func(context.Context) ([]byte, error) { t.Error("asked for a picture"); return nil, errNoPicture }
		b.app.Clipboard().SetContent(fmt.Sprintf(form, b.file))
		b.shortcut(&fyne.ShortcutPaste{})
		b.settle()
		if b.s.Photo() == nil {
			t.Errorf("%q opened nothing", form)
		}
	}
	for _, text := range []string{"", "some words", "/no/such/file.jpg", "file:///no/such.jpg", t.TempDir(), "https://example.org/a.jpg", "relative.jpg"} {
		if got := pathsIn(text); got != nil {
			t.Errorf("%q names %q", text, got)
		}
	}
}

func TestPastingSaysWhyNot(t *testing.T) {
	for why, want := range map[error]string{
		errNoPicture: "There is no picture", errNoHelper: "neither wl-paste nor xclip", errPictureBig: "larger than 256 MB",
		context.DeadlineExceeded: "did not hand its picture over in time", errors.New("odd"): "There is no picture",
	} {
		b := newBench(t, Options{}, &practice.Job{})
		b.app.Clipboard().SetContent("words")
		b.pasting.picture = func(context.Context) ([]byte, error) { return nil, why }
		b.paste()
		b.settle()
		if !strings.Contains(b.strip.text.Text, want) {
			t.Errorf("%v: the strip says %q", why, b.strip.text.Text)
		}
	}
}

func TestAHelperIsBounded(t *testing.T) {
	ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer cancel()
	for _, c := range []struct {
		command []string
		want    error
	}{
		{[]string{"sleep", "30"}, context.DeadlineExceeded},
		{[]string{"cat", "/dev/zero"}, errPictureBig},
		{[]string{"true"}, errNoPicture},
		{[]string{"false"}, errNoPicture},
	} {
		in := t.Context()
		if c.command[0] == "sleep" {
			in = ctx
		}
		if _, err := handedOver(in, 1<<20, c.command); !errors.Is(err, c.want) {
			t.Errorf("%v: %v, not %v", c.command, err, c.want)
		}
	}
	if raw, err := handedOver(t.Context(), 1<<20, []string{"echo", "picture"}); err != nil || string(raw) != "picture\n" {
		t.Errorf("%q, %v", raw, err)
	}
}
