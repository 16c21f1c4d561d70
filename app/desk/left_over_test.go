package desk

import (
	"errors"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2/widget"

	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/session"
)

// Looking for a mate ends when another rung is taken: what it asks for is not
// done there.
func TestPairingEndsWithTheRung(t *testing.T) {
	b, _ := marking(t)
	b.s.SelectEdge("A2")
	b.typed("j")
	if b.pairing == "" || !b.strip.shown() {
		t.Fatal("no mate is looked for")
	}
	b.goTo(session.StageMarkUp)
	if b.pairing == "" {
		t.Error("taking the rung one is on ends it")
	}
	b.goTo(session.StagePrint)
	if b.pairing != "" || b.strip.shown() {
		t.Errorf("on the print rung it still says %q", b.strip.text.Text)
	}
}

// A mirrored copy is made with no tool in hand: its points are of another piece.
func TestAMirroredCopyPutsTheToolDown(t *testing.T) {
	b, _ := marking(t)
	b.s.SelectPiece("A")
	b.changed()
	b.toggleMeet()
	if b.editor.tool == toolSelect {
		t.Fatal("no tool is in hand")
	}
	b.typed("[")
	if b.editor.tool != toolSelect {
		t.Errorf("tool %v is in hand still", b.editor.tool)
	}
	if !b.strip.shown() || !strings.Contains(b.strip.text.Text, "mirror image of A") {
		t.Errorf("it says %q", b.strip.text.Text)
	}
}

// What is saved with faults is said to have them, with the way to them.
func TestSavingWithFaultsSaysSo(t *testing.T) {
	b, _ := marking(t)
	path := filepath.Join(t.TempDir(), "a.pdf")
	b.exportTo(path)
	b.settle()
	if w := b.ways(); len(w) != 1 || strings.Contains(b.strip.text.Text, "fault") {
		t.Errorf("without faults it says %q", b.strip.text.Text)
	}
	b.s.SelectEdge("A2")
	b.typed("b") // of a thickness that is not known
	n := b.faults()
	b.exportTo(path)
	b.settle()
	if want := counted(n, tr.print.oneFault, tr.print.faults); n == 0 || !strings.HasSuffix(b.strip.text.Text, want) || !strings.Contains(b.strip.text.Text, "a.pdf") {
		t.Errorf("with %d faults it says %q", n, b.strip.text.Text)
	}
	w := b.ways()
	if len(w) != 2 {
		t.Fatalf("%d ways lead on", len(w))
	}
	w[1].OnTapped()
	if b.stage != session.StageCheck {
		t.Errorf("the second leads to rung %d", b.stage)
	}
}

// The list of files says what it is for, and a file that cannot be read is not
// passed over in silence.
func TestChoosingAFile(t *testing.T) {
	b, _ := marking(t)
	for want, choose := range map[string]func(){"Open a photograph": b.chooseFile, "Add a photograph": b.chooseFurther} {
		choose()
		b.capture()
		said := false
		for _, o := range test.LaidOutObjects(b.win.Canvas().Overlays().Top()) {
			l, ok := o.(*widget.Label)
			said = said || ok && l.Text == want
		}
		if !said {
			t.Errorf("the list is not headed %q", want)
		}
		b.win.Canvas().Overlays().Top().Hide()
	}
	taken := ""
	take := func(path string) { taken = path }
	b.pathChosen(nil, nil, way{tr.open, b.chooseFile}, take)
	if b.strip.shown() || taken != "" {
		t.Errorf("nothing chosen: %q, it says %q", taken, b.strip.text.Text)
	}
	for want, err := range map[string]error{
		"helm.jpg could not be opened: permission denied.": &fs.PathError{Op: "open", Path: "/props/helm.jpg", Err: fs.ErrPermission},
		"No such place.": errors.New("no such place"),
	} {
		b.strip.hide()
		b.pathChosen(nil, err, way{tr.open, b.chooseFile}, take)
		if !b.strip.shown() || b.strip.text.Text != want || len(b.ways()) != 1 || taken != "" {
			t.Errorf("it says %q, not %q", b.strip.text.Text, want)
		}
	}
}

// Undone to before the squaring up, the flat picture has nothing in it and no way
// out: the photograph is shown.
func TestUndoneToThePhotograph(t *testing.T) {
	b, _ := marking(t)
	b.typed("v")
	if b.editor.space != session.OnMat {
		t.Fatal("the flat picture is not shown")
	}
	for range 20 {
		if b.doUndo(); b.s.Document().Squared == nil {
			break
		}
		if b.editor.space != session.OnMat {
			t.Fatal("the flat picture goes while it can be seen")
		}
	}
	if b.s.Document().Squared != nil || b.editor.space != session.InPhoto {
		t.Errorf("all undone, space %v is shown", b.editor.space)
	}
	if b.placed(b.s.Document()) {
		t.Error("findings have a place on a photograph that is not squared up")
	}
	b.doRedo()
	if b.s.Document().Squared == nil || !b.placed(b.s.Document()) {
		t.Error("findings have no place on one that is")
	}
}

// A sentence about what was done goes with the next thing that is done.
func TestGoodNewsPasses(t *testing.T) {
	b, _ := marking(t)
	b.exportTo(filepath.Join(t.TempDir(), "a.pdf"))
	b.settle()
	b.changed()
	if !b.strip.shown() {
		t.Fatal("nothing says that it is saved")
	}
	b.s.SelectEdge("A2")
	b.changed()
	if !b.strip.shown() {
		t.Error("choosing an edge takes the sentence away")
	}
	b.typed("b")
	if b.strip.shown() {
		t.Errorf("after a cut it still says %q", b.strip.text.Text)
	}
	b.s.SelectPiece("A")
	b.typed("[")
	if !b.strip.shown() {
		t.Fatal("nothing tells of the mirrored copy")
	}
	if b.doUndo(); b.strip.shown() {
		t.Errorf("undone, it still says %q", b.strip.text.Text)
	}
}

// A sentence names a file once.
func TestAFileIsNamedOnce(t *testing.T) {
	for text, want := range map[string]string{
		"helm.jpg: this is not a picture.": "this is not a picture",
		"/props/helm.jpg: no such file":    "no such file",
		"the picture is cut short":         "the picture is cut short",
		"other.jpg: too large":             "other.jpg: too large",
	} {
		if got := unnamed("/props/helm.jpg", errors.New(text)); got != want {
			t.Errorf("%q: %q, not %q", text, got, want)
		}
	}
}
