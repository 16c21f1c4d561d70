package project

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// sample is a project of a few edits, two of them undone, two photographs and
// a setting, and what must come of it.
type sample struct {
	data   []byte
	states [][]byte
	photos [][]byte
}

func newSample(t testing.TB, edits int) sample {
	t.Helper()
	ctx := context.Background()
	path, p := made(t)
	s := sample{states: [][]byte{p.Encoded()}}
	for n := 1; n <= edits; n++ {
		h := angled(float64(n%60) + 1)
		h.Pieces = h.Pieces[:1]
		h.Seams = nil
		_, err := p.Commit(strconv.Itoa(n), h)
		must(t, err)
		s.states = append(s.states, p.Encoded())
	}
	for range 2 {
		_, err := p.Undo()
		must(t, err)
	}
	for k := range 2 {
		b := bytes.Repeat([]byte(fmt.Sprint("photograph ", k)), 900)
		_, err := p.AddPhoto(ctx, fmt.Sprint(k, ".jpg"), bytes.NewReader(b), nil)
		must(t, err)
		s.photos = append(s.photos, b)
	}
	must(t, p.SetSetting(ForExport, Export{Paper: "a4"}))
	must(t, p.Close())
	var err error
	s.data, err = os.ReadFile(path)
	must(t, err)
	return s
}

// honest holds what was opened to what was written: whatever it gives is as it
// was, and what it does not give is named.
func (s sample) honest(p *Project) error {
	ctx := context.Background()
	list, at, err := p.History()
	if err != nil {
		return nil
	}
	whole := len(p.Missing()) == 0
	if whole && (len(list) != len(s.states) || at != len(list)-3) {
		return fmt.Errorf("%d of %d edits, at %d, and nothing is said to be missing", len(list), len(s.states), at)
	}
	if whole && !bytes.Equal(p.Encoded(), s.states[at]) {
		return errors.New("the present state is another")
	}
	if !s.has(p.Encoded()) {
		return errors.New("the present state never was")
	}
	for _, r := range list {
		b, err := stateAt(p.active().db, r.Number)
		if err == nil && !s.has(b) {
			return fmt.Errorf("the state of edit %d never was", r.Number)
		}
	}
	photos, err := p.Photos()
	if err != nil || whole && len(photos) != len(s.photos) {
		return fmt.Errorf("%d photographs, and nothing is said to be missing: %w", len(photos), err)
	}
	for _, f := range photos {
		b, err := p.PhotoBytes(ctx, f.ID)
		if err == nil && !slices.ContainsFunc(s.photos, func(x []byte) bool { return bytes.Equal(x, b) }) {
			return fmt.Errorf("the photograph %s is another", f.Name)
		}
	}
	return nil
}

func (s sample) has(state []byte) bool {
	return slices.ContainsFunc(s.states, func(x []byte) bool { return bytes.Equal(x, state) })
}

// try opens bytes as a project, and returns it for a look; nil when they were
// refused.
func try(t testing.TB, path string, data []byte) *Project {
	t.Helper()
	must(t, os.WriteFile(path, data, 0o644))
	p, err := Open(context.Background(), path)
	if err != nil {
		if text := err.Error(); len(text) > 2000 || strings.ContainsAny(text, "\x00\x1b\u202e") {
			t.Fatalf("the sentence is not fit to be read: %q", text)
		}
		return nil
	}
	return p
}

// Whichever bytes of a file are destroyed, it is refused, or opened with what
// is lost named, and what it gives is right. A file that is damaged is left as
// it is, and what is left of it can be saved.
func TestDamage(t *testing.T) {
	s := newSample(t, 150)
	dir := quickDir(t)
	r := rand.New(rand.NewPCG(3, 5))
	refused, rescued, whole := 0, 0, 0
	for k := range 80 {
		data := bytes.Clone(s.data)
		harm(r, &data)
		path := filepath.Join(dir, fmt.Sprint(k, Extension))
		p := try(t, path, data)
		if p == nil {
			refused++
			continue
		}
		if err := s.honest(p); err != nil {
			t.Errorf("damage %d: %v", k, err)
		}
		if len(p.Missing()) == 0 {
			whole++
			must(t, p.Close())
			continue
		}
		rescued++
		s.rescuedIsSaved(t, p, path, data)
	}
	t.Logf("%d refused, %d opened with the loss named, %d unharmed where it matters", refused, rescued, whole)
	if rescued < 30 {
		t.Errorf("only %d of 80 damaged files gave anything", rescued)
	}
}

// rescuedIsSaved saves what is left of a damaged file under another name, and
// makes sure that the file itself stays as it is.
func (s sample) rescuedIsSaved(t *testing.T, p *Project, path string, data []byte) {
	t.Helper()
	ctx := context.Background()
	if err := p.Stored(); !inMemory(err) {
		t.Errorf("%s: a damaged file is said to be stored: %v", path, err)
	}
	if err := p.SaveAs(ctx, path); !errors.Is(err, errKeep) {
		t.Errorf("%s: saved over the damaged file: %v", path, err)
	}
	must(t, p.SaveAs(ctx, path+" rescued"))
	must(t, p.Close())
	if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, data) {
		t.Errorf("%s: the damaged file was changed: %v", path, err)
	}
	q := opened(t, path+" rescued")
	defer q.Close()
	if len(q.Missing()) > 0 || q.Stored() != nil {
		t.Errorf("%s: what was rescued is damaged: %q", path, q.Missing())
	}
	if !s.has(q.Encoded()) && len(q.Encoded()) > 60 {
		t.Errorf("%s: what was rescued never was", path)
	}
}

// harm destroys a part of a file.
func harm(r *rand.Rand, data *[]byte) {
	d := *data
	at := r.IntN(len(d))
	switch r.IntN(5) {
	case 0: // a few bits
		for range 1 + r.IntN(8) {
			d[r.IntN(len(d))] ^= 1 << r.IntN(8)
		}
	case 1: // a sector
		for i := at &^ 511; i < min(at&^511+512, len(d)); i++ {
			d[i] = 0
		}
	case 2: // a page of noise
		for i := at &^ 4095; i < min(at&^4095+4096, len(d)); i++ {
			d[i] = byte(r.Uint32())
		}
	case 3: // the end
		*data = d[:at]
	case 4: // a page that another's content has got into
		copy(d[at&^4095:min(at&^4095+4096, len(d))], d[r.IntN(len(d))&^4095:])
	}
}

// What is lost is said in words that a maker can use.
func TestWhatIsMissingIsSaid(t *testing.T) {
	s := newSample(t, 150)
	for _, c := range []struct {
		harm string
		want string
	}{
		{"UPDATE photo_part SET data = zeroblob(length(data)) WHERE id = 1 << 16", "the photograph 0.jpg is damaged and was left out"},
		{"DELETE FROM photo_part WHERE id = 2 << 16", "the photograph 1.jpg is damaged and was left out"},
		{"UPDATE revision SET content = zeroblob(9) WHERE number = 149", "the present state cannot be read; the nearest one that can is that of edit 148"},
		{"DELETE FROM head", "which edit was the present one cannot be read"},
		{"DELETE FROM revision", "the pattern and its history cannot be read"},
		{"DROP TABLE setting", "settings of the export, the mat or the printer cannot be read"},
		{"DROP TABLE photo", "the list of photographs is damaged"},
		{"CREATE TRIGGER t AFTER INSERT ON revision BEGIN DELETE FROM photo; END", "nothing is missing, but the file itself is damaged"},
		{"CREATE VIEW v AS WITH RECURSIVE r(x) AS (SELECT 1 UNION ALL SELECT x+1 FROM r) SELECT * FROM r", "nothing is missing"},
	} {
		path := filepath.Join(t.TempDir(), "helmet"+Extension)
		must(t, os.WriteFile(path, s.data, 0o644))
		alter(t, path, c.harm)
		if strings.Contains(c.harm, "photo_part") {
			alter(t, path, "UPDATE head SET revision = 1000") // or nobody looks
		}
		p := opened(t, path)
		if text := strings.Join(p.Missing(), "\n"); !strings.Contains(text, c.want) {
			t.Errorf("after %s the maker is told %q, want %q", c.harm, text, c.want)
		}
		if err := s.honest(p); err != nil && !strings.Contains(c.harm, "DELETE FROM revision") {
			t.Errorf("after %s: %v", c.harm, err)
		}
	}
}

// alter changes a file as a stranger's program might.
func alter(t testing.TB, path string, statements ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	must(t, err)
	defer db.Close()
	for _, x := range statements {
		_, err := db.Exec(x)
		must(t, err)
	}
}

// What is no project is refused in one sentence that says so, and left alone.
func TestRefused(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := newSample(t, 3)
	foreign := filepath.Join(dir, "foreign.db")
	alter(t, foreign, "CREATE TABLE t (x)")
	foreignData, err := os.ReadFile(foreign)
	must(t, err)
	newer := bytes.Clone(s.data)
	binary.BigEndian.PutUint32(newer[60:], Version+1)
	headless := bytes.Clone(s.data)
	copy(headless, make([]byte, 16))
	hollow := bytes.Clone(s.data)
	copy(hollow[100:], make([]byte, len(hollow)))
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"empty", nil, "it is empty"},
		{"text", []byte("dear maker"), "it is no project of Flatwright"},
		{"picture", append([]byte("\xff\xd8\xff\xe0"), make([]byte, 5000)...), "it is no project of Flatwright"},
		{"another program's", foreignData, "database of another program"},
		{"newer", newer, "was written by a newer Flatwright (version 2 of the file, this program knows up to 1)"},
		{"without a beginning", headless, "its beginning is destroyed"},
		{"hollow", hollow, "nothing in it could be read"},
		{"only a header", s.data[:100], "nothing in it could be read"},
	} {
		path := filepath.Join(dir, c.name+Extension)
		must(t, os.WriteFile(path, c.data, 0o644))
		for _, open := range []func(context.Context, string) (*Project, error){Open, OpenReadOnly} {
			p, err := open(ctx, path)
			if err == nil {
				t.Errorf("%s was opened", c.name)
				must(t, p.Close())
			} else if !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("%s: %v; want %q", c.name, err, c.want)
			}
		}
		if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, c.data) {
			t.Errorf("%s was changed: %v", c.name, err)
		}
	}
	pipe := filepath.Join(dir, "pipe")
	if err := exec.Command("mkfifo", pipe).Run(); err != nil {
		pipe = "/dev/null" // no pipes here
	}
	if _, err := Open(ctx, pipe); err == nil || !strings.Contains(err.Error(), "not an ordinary file") {
		t.Errorf("a pipe: %v", err)
	}
	for name, path := range map[string]string{"no such file": filepath.Join(dir, "none"), "it is a folder": dir, "not an ordinary file": "/dev/null"} {
		if _, err := Open(ctx, path); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", path, err)
		}
	}
	list, err := os.ReadDir(dir)
	must(t, err)
	for _, f := range list {
		if strings.HasPrefix(f.Name(), ".") || strings.HasSuffix(f.Name(), "-journal") {
			t.Errorf("%s was left behind", f.Name())
		}
	}
}
