package desk

import (
	"encoding/json"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/project"
)

// reporter is the practice job that reports the names of the photographs.
type reporter struct{ *practice.Job }

func (reporter) Report(parts []session.Part) (json.RawMessage, error) {
	var names []string
	for _, p := range parts {
		names = append(names, p.Squared.Photo.Name)
	}
	return json.Marshal(names)
}

// reported is what a project that is closed says of its photographs.
func reported(t *testing.T, path string) (names []string) {
	t.Helper()
	p, err := project.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	if _, err := p.Setting(project.ForReport, &names); err != nil {
		t.Fatal(err)
	}
	return names
}

// What a project says of its photographs follows undo and redo, over closing too:
// a command prints it on the cover.
func TestTheReportFollowsUndo(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	a.o.Job = reporter{a.job}
	a.further()
	path := a.path()
	a.letGo()
	if got := reported(t, path); len(got) != 2 {
		t.Fatalf("reported of two photographs: %q", got)
	}
	b := keeping(t, at, path)
	b.o.Job = reporter{b.job}
	undone := 0
	for all, _ := b.s.Photos(); len(all) > 1; all, _ = b.s.Photos() {
		b.doUndo()
		b.settle()
		undone++
	}
	b.letGo()
	if got := reported(t, path); len(got) != 1 {
		t.Errorf("reported once the second photograph is undone: %q", got)
	}
	c := keeping(t, at, path)
	c.o.Job = reporter{c.job}
	for range undone {
		c.doRedo()
		c.settle()
	}
	c.letGo()
	if got := reported(t, path); len(got) != 2 {
		t.Errorf("reported once the second photograph is there again: %q", got)
	}
}
