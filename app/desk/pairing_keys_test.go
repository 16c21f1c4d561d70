package desk

import (
	"testing"

	"fyne.io/fyne/v2"
)

func TestASeamByKeysAlone(t *testing.T) {
	b := ready(t)
	b.s.SelectEdge("A2")
	b.typed("j")
	for range 40 {
		if e, _ := b.s.SelectedEdge(); e.ID == "B3" {
			break
		}
		b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyTab})
	}
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	seams := b.s.Document().Pattern.Seams
	if len(seams) != 1 || seams[0].A.String() != "A2" || seams[0].B.String() != "B3" || b.pairing != "" {
		t.Errorf("seams %v, still pairing %q", seams, b.pairing)
	}
}
