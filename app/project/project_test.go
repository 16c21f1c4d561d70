package project

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"flatwright/export/page/specimen"
	"flatwright/trace/pattern"
)

// made returns a new project's file and the open project.
func made(t testing.TB) (string, *Project) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "helmet"+Extension)
	p, err := Create(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	return path, p
}

// opened opens a project and closes it with the test.
func opened(t testing.TB, path string) *Project {
	t.Helper()
	p, err := Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	return p
}

// angled is the specimen with one edge cut at an angle.
func angled(deg float64) pattern.Pattern {
	h := specimen.Helmet()
	h.Pieces[0].Edges[0].Cut = pattern.Cut{Kind: pattern.Bevel, AngleDeg: deg}
	return h
}

// must fails a test on an error.
func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// angleOf reads what angled set, 0 for an empty pattern.
func angleOf(p pattern.Pattern) float64 {
	if len(p.Pieces) == 0 {
		return 0
	}
	return p.Pieces[0].Edges[0].Cut.AngleDeg
}

// Undo and redo go on after the project has been closed and opened again, and
// a new edit takes the place of those that were undone.
func TestUndoSurvivesClosing(t *testing.T) {
	path, p := made(t)
	for _, deg := range []float64{10, 20, 30} {
		_, err := p.Commit(fmt.Sprintf("bevel %g", deg), angled(deg))
		must(t, err)
	}
	must(t, p.Close())

	p = opened(t, path)
	for _, want := range []float64{20, 10} {
		s, err := p.Undo()
		must(t, err)
		if got := angleOf(s.Pattern); got != want {
			t.Errorf("undo brings back %g°, want %g", got, want)
		}
	}
	must(t, p.Close())

	p = opened(t, path)
	s, err := p.Redo()
	must(t, err)
	if got := angleOf(s.Pattern); got != 20 {
		t.Errorf("redo after opening gives %g°, want 20", got)
	}
	_, err = p.Commit("bevel 45", angled(45))
	must(t, err)
	if _, err := p.Redo(); !errors.Is(err, ErrNothingToRedo) {
		t.Errorf("redo after a new edit: %v", err)
	}
	var names []string
	list, at, err := p.History()
	must(t, err)
	for _, r := range list {
		names = append(names, r.Name)
	}
	if want := []string{firstName, "bevel 10", "bevel 20", "bevel 45"}; !reflect.DeepEqual(names, want) || at != 3 {
		t.Errorf("the history is %q at %d, want %q at 3", names, at, want)
	}
	for range 3 {
		_, err = p.Undo()
		must(t, err)
	}
	if _, err := p.Undo(); !errors.Is(err, ErrNothingToUndo) {
		t.Errorf("undo before the first edit: %v", err)
	}
}

// The same state again is no edit, and undo brings the caller's own JSON back.
func TestWorkAndEqualStates(t *testing.T) {
	_, p := made(t)
	for _, work := range []string{`{ "pitch_mm": 25.4 }`, `{"pitch_mm":25.4}`, `{"pitch_mm":10}`} {
		_, err := p.CommitState("pitch", State{Pattern: angled(10), Work: json.RawMessage(work)})
		must(t, err)
	}
	list, _, err := p.History()
	must(t, err)
	if len(list) != 3 {
		t.Errorf("%d entries in the history, want 3", len(list))
	}
	s, err := p.Undo()
	must(t, err)
	if string(s.Work) != `{"pitch_mm":25.4}` {
		t.Errorf("undo brings back %s", s.Work)
	}
	if _, err := p.CommitState("no JSON", State{Work: json.RawMessage(`{`)}); err == nil {
		t.Error("work that is not JSON was taken")
	}
}

// Photographs come out as they went in, whatever they hold and whatever they
// are called; the same bytes are stored once.
func TestPhotographs(t *testing.T) {
	ctx := context.Background()
	path, p := made(t)
	files := map[string][]byte{
		"/somewhere/else/mat 1.jpg":        bytes.Repeat([]byte("jpeg"), 700_000),
		`C:\photos\mat.heic`:               []byte("short"),
		"empty.png":                        {},
		"exactly one part.jpg":             bytes.Repeat([]byte{7}, partBytes),
		"turned\u202egpj.exe\x00\n👩‍🚀.jpg": []byte("names"),
	}
	for name, data := range files {
		f, err := p.AddPhoto(ctx, name, bytes.NewReader(data), json.RawMessage(`{ "of": `+fmt.Sprint(len(data))+`}`))
		must(t, err)
		if strings.ContainsAny(f.Name, "/\\\n\x00\u202e") {
			t.Errorf("%q became %q", name, f.Name)
		}
	}
	again, err := p.AddPhoto(ctx, "again.jpg", strings.NewReader("short"), nil)
	must(t, err)
	if again.Name != "mat.heic" {
		t.Errorf("the same bytes were stored again, as %q", again.Name)
	}
	must(t, p.Close())

	p = opened(t, path)
	list, err := p.Photos()
	must(t, err)
	if len(list) != len(files) {
		t.Fatalf("%d photographs, want %d", len(list), len(files))
	}
	for _, f := range list {
		data, err := p.PhotoBytes(ctx, f.ID)
		must(t, err)
		found := false
		for _, want := range files {
			found = found || bytes.Equal(data, want)
		}
		if !found || string(f.Settings) != fmt.Sprintf(`{"of":%d}`, len(data)) {
			t.Errorf("%q came out as %d bytes with settings %s", f.Name, len(data), f.Settings)
		}
	}
	must(t, p.SetPhotoSettings(list[0].ID, json.RawMessage(`{"pitch_mm":10}`)))
	must(t, p.RemovePhoto(list[1].ID))
	if err := p.WritePhoto(ctx, list[1].ID, &bytes.Buffer{}); !errors.Is(err, ErrNoPhoto) {
		t.Errorf("a photograph that was removed: %v", err)
	}
	if err := p.SetPhotoSettings(list[1].ID, nil); !errors.Is(err, ErrNoPhoto) {
		t.Errorf("settings of a photograph that was removed: %v", err)
	}
	list, err = p.Photos()
	must(t, err)
	if len(list) != len(files)-1 || string(list[0].Settings) != `{"pitch_mm":10}` {
		t.Errorf("after removing one: %d photographs, settings %s", len(list), list[0].Settings)
	}
}

// A photograph that cannot be read to its end leaves nothing behind.
func TestPhotographThatBreaksOff(t *testing.T) {
	_, p := made(t)
	_, err := p.AddPhoto(context.Background(), "mat.jpg", &breaksOff{left: 3 * partBytes}, nil)
	if !errors.Is(err, errPulled) {
		t.Fatalf("reading broke off: %v", err)
	}
	var n int
	must(t, p.file.db.QueryRow("SELECT count(*) FROM photo_part").Scan(&n))
	if list, err := p.Photos(); err != nil || len(list) != 0 || n != 0 {
		t.Errorf("%d photographs and %d parts are there: %v", len(list), n, err)
	}
}

var errPulled = errors.New("the card was pulled out")

// breaksOff is a file that cannot be read to its end.
type breaksOff struct{ left int }

func (b *breaksOff) Read(to []byte) (int, error) {
	n := min(len(to), b.left)
	b.left -= n
	if n == 0 {
		return 0, errPulled
	}
	return n, nil
}

// Settings come back as they were set; one that does not fit says so.
func TestSettings(t *testing.T) {
	path, p := made(t)
	want := Export{Paper: "a4", PrinterShort: 1.002, DXF: "splines", Bundle: true}
	must(t, p.SetSetting(ForExport, Export{Paper: "letter"}))
	must(t, p.SetSetting(ForExport, want))
	must(t, p.Close())
	p = opened(t, path)
	var got Export
	if ok, err := p.Setting(ForExport, &got); !ok || err != nil || got != want {
		t.Errorf("the setting came back as %+v, %v, %v", got, ok, err)
	}
	if ok, err := p.Setting(ForMat, &got); ok || err != nil {
		t.Errorf("a setting that is not there: %v, %v", ok, err)
	}
	var n int
	if _, err := p.Setting(ForExport, &n); err == nil {
		t.Error("an export was read as a number")
	}
	for i := range MaxSettings {
		if err := p.SetSetting(fmt.Sprint(i), i); err != nil {
			var limit *LimitError
			if i != MaxSettings-1 || !errors.As(err, &limit) {
				t.Errorf("setting %d: %v", i, err)
			}
		} else if i == MaxSettings-1 {
			t.Error("there is no end to settings")
		}
	}
}

// Limits are refused with a sentence, and what was there stays.
func TestLimits(t *testing.T) {
	_, p := made(t)
	_, err := p.Commit("trace", angled(10))
	must(t, err)
	before := p.Encoded()
	piece := specimen.Helmet().Pieces[0]
	many := pattern.Pattern{Pieces: make([]pattern.Piece, MaxPieces+1)}
	long := pattern.Pattern{Pieces: []pattern.Piece{piece}}
	for len(long.Pieces[0].Outline.Segments) <= MaxNodes {
		long.Pieces[0].Outline.Segments = append(long.Pieces[0].Outline.Segments, long.Pieces[0].Outline.Segments...)
	}
	for _, c := range []struct {
		name string
		s    State
	}{
		{"pieces", State{Pattern: many}},
		{"nodes", State{Pattern: long}},
		{"MiB", State{Work: json.RawMessage(`"` + strings.Repeat("x", MaxStateBytes) + `"`)}},
	} {
		_, err := p.CommitState("too much", c.s)
		var limit *LimitError
		if !errors.As(err, &limit) || !strings.Contains(limit.What, c.name) {
			t.Errorf("too many %s: %v", c.name, err)
		}
	}
	if err := p.SetSetting("x", strings.Repeat("x", MaxSettingBytes)); err == nil {
		t.Error("a setting beyond the limit was taken")
	}
	if !bytes.Equal(p.Encoded(), before) {
		t.Error("what was refused changed the project")
	}
}

// The history is trimmed at its old end, to a state that is whole.
func TestHistoryIsTrimmed(t *testing.T) {
	path, p := made(t)
	_, err := p.Commit("first", angled(10))
	must(t, err)
	// What a real history has in plenty: a whole state within reach. As if a hundred thousand edits had been made since.
	must(t, p.restart("long ago", MaxRevisions+2*maxChain, p.current))
	r, err := p.Commit("last", angled(20))
	must(t, err)
	if !strings.Contains(r.Note, "let go") {
		t.Errorf("the note is %q", r.Note)
	}
	must(t, p.Close())
	p = opened(t, path)
	if s, err := p.Undo(); err != nil || angleOf(s.Pattern) != 10 {
		t.Errorf("undo gives %g°: %v", angleOf(s.Pattern), err)
	}
	if list, _, err := p.History(); err != nil || len(list) != 3 {
		t.Errorf("%d entries are left: %v", len(list), err)
	}
}

// An edit costs the file little, and an undo no more than a chain of changes.
func TestEditsAreSmall(t *testing.T) {
	path, p := made(t)
	_, err := p.Commit("trace", angled(10))
	must(t, err)
	before, err := os.Stat(path)
	must(t, err)
	const edits = 300
	start := time.Now()
	for i := range edits {
		_, err := p.Commit("bevel", angled(10+float64(i%60)+1))
		must(t, err)
	}
	spent := time.Since(start)
	after, err := os.Stat(path)
	must(t, err)
	per := float64(after.Size()-before.Size()) / edits
	whole := len(p.Encoded())
	t.Logf("%.0f bytes and %v an edit of a pattern of %d bytes", per, spent/edits, whole)
	if per > 0.05*float64(whole) {
		t.Errorf("an edit costs %.0f bytes of a pattern of %d", per, whole)
	}
	rows, err := p.file.db.Query("SELECT number FROM revision WHERE whole ORDER BY number")
	must(t, err)
	defer rows.Close()
	last := int64(0)
	for rows.Next() {
		var n int64
		must(t, rows.Scan(&n))
		if n-last > maxChain {
			t.Errorf("%d changes stand between whole states", n-last)
		}
		last = n
	}
}
