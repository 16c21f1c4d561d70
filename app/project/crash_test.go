//go:build linux

package project

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"flatwright/export"
)

// killsWanted is how often TestKilledAtAnyInstant kills; more with
// FLATWRIGHT_KILLS=1000.
func killsWanted(t *testing.T) int {
	text := os.Getenv("FLATWRIGHT_KILLS")
	if text == "" {
		return 200
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatalf("FLATWRIGHT_KILLS=%q: %v", text, err)
	}
	return n
}

// A process that edits and exports is killed at random instants, again and
// again over the same file. What it had reported as done is there, whole and
// in order; at most the edit in progress is missing.
func TestKilledAtAnyInstant(t *testing.T) {
	const killsOfOneFile = 20
	dir := t.TempDir()
	kills := killsWanted(t)
	var path, log string
	inProgress, edits := 0, 0
	for k := range kills {
		if k%killsOfOneFile == 0 {
			path = filepath.Join(dir, fmt.Sprint(k, Extension))
			log = path + ".log"
			p, err := Create(context.Background(), path)
			must(t, err)
			must(t, p.Close())
		}
		kill(t, path, log)
		past := read(t, log)
		if past.pending != "" {
			inProgress++
		}
		edits = edits + past.fresh
		past.settle(t, path, log)
		wholeExport(t, path+" export")
		if t.Failed() {
			t.Fatalf("after kill %d", k+1)
		}
	}
	t.Logf("%d kills; %d fell into an edit or export in progress; %d edits had been reported as done", kills, inProgress, edits)
	if inProgress < kills/4 {
		t.Errorf("only %d of %d kills fell into an edit", inProgress, kills)
	}
}

// kill runs a process that edits, and kills it: sometimes while it starts,
// mostly a moment after its first edit.
func kill(t *testing.T, path, log string) {
	t.Helper()
	c := child("edit", path, log)
	var said bytes.Buffer
	c.Stderr = &said
	before := size(log)
	must(t, c.Start())
	if rand.IntN(8) > 0 {
		for start := time.Now(); size(log) == before && time.Since(start) < 20*time.Second; {
			time.Sleep(time.Millisecond)
		}
	}
	time.Sleep(time.Duration(rand.IntN(80_000)) * time.Microsecond)
	must(t, c.Process.Kill())
	err := c.Wait()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.Exited() {
		t.Fatalf("the process ended by itself: %v: %s", err, said.String())
	}
}

func size(path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}

// past is what a journal tells of a file.
type past struct {
	// list are the names of the edits, at the place of the present one.
	list   []string
	at     int
	photos []int
	// pending is the word and pendingN the number of what was in progress.
	pending  string
	pendingN int
	// fresh counts what was reported as done since the last kill.
	fresh int
}

// read plays a journal through.
func read(t *testing.T, log string) *past {
	t.Helper()
	b, err := os.ReadFile(log)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	p := &past{list: []string{firstName}}
	for line := range strings.Lines(string(b)) {
		word, number, _ := strings.Cut(strings.TrimSpace(line), " ")
		n, err := strconv.Atoi(number)
		must(t, err)
		switch word {
		case "done":
			p.apply(p.pending, p.pendingN)
			p.pending = ""
			p.fresh++
		case "nothing":
			p.pending = ""
		case "settled":
			p.fresh = 0
		default:
			p.pending, p.pendingN = word, n
		}
	}
	return p
}

func (p *past) apply(word string, n int) {
	switch word {
	case "undo":
		p.at = max(p.at-1, 0)
	case "redo":
		p.at = min(p.at+1, len(p.list)-1)
	case "commit":
		p.list = append(p.list[:p.at+1:p.at+1], strconv.Itoa(n))
		p.at++
	case "photo":
		p.photos = append(slices.Clone(p.photos), n)
	}
}

// settle opens the file, and holds it to the journal: it must be as it was
// after the last thing done, or after the one in progress, which is then noted
// in the journal as what became of it.
func (p *past) settle(t *testing.T, path, log string) {
	t.Helper()
	got := opened(t, path)
	defer got.Close()
	if err := got.Stored(); err != nil || len(got.Missing()) > 0 {
		t.Errorf("the file is not as it should be: %v; %q", err, got.Missing())
		return
	}
	after := *p
	after.apply(p.pending, p.pendingN)
	f, err := os.OpenFile(log, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	must(t, err)
	defer f.Close()
	became := "nothing"
	switch why := p.differs(got); {
	case why == "":
	case p.pending != "" && after.differs(got) == "":
		became = "done"
	default:
		t.Errorf("with %s %d in progress: %s", p.pending, p.pendingN, why)
		return
	}
	if p.pending != "" {
		must(t, journal{f}.note(became, p.pendingN))
	}
	must(t, journal{f}.note("settled", 0))
	undoAll(t, got)
}

// differs says in what a project is not as the journal tells; nothing when it
// is.
func (p *past) differs(got *Project) string {
	list, at, err := got.History()
	if err != nil {
		return err.Error()
	}
	names := make([]string, len(list))
	for i, r := range list {
		names[i] = r.Name
	}
	if !slices.Equal(names, p.list) || at != p.at {
		return fmt.Sprintf("the history is %q at %d, want %q at %d", tail(names), at, tail(p.list), p.at)
	}
	if s, err := got.Current(); err != nil || p.at > 0 && s.Pattern.Name != "edit "+p.list[p.at] {
		return fmt.Sprintf("the present state is %q: %v", s.Pattern.Name, err)
	}
	photos, err := got.Photos()
	if err != nil || len(photos) != len(p.photos) {
		return fmt.Sprintf("%d photographs, want %d: %v", len(photos), len(p.photos), err)
	}
	for i, f := range photos {
		want, _ := io.ReadAll(photograph(p.photos[i]))
		if b, err := got.PhotoBytes(context.Background(), f.ID); err != nil || !bytes.Equal(b, want) {
			return fmt.Sprintf("photograph %s is not what it was: %v", f.Name, err)
		}
	}
	return ""
}

func tail(list []string) []string { return list[max(0, len(list)-5):] }

// undoAll reads every state of a copy of the history: each is checked against
// its checksum, and says itself which edit it is of.
func undoAll(t *testing.T, p *Project) {
	t.Helper()
	list, _, err := p.History()
	must(t, err)
	for _, r := range list[max(1, len(list)-2*maxChain):] {
		b, err := stateAt(p.file.db, r.Number)
		must(t, err)
		if s, err := decodeState(b); err != nil || s.Pattern.Name != "edit "+r.Name {
			t.Errorf("edit %s is of %q: %v", r.Name, s.Pattern.Name, err)
		}
	}
}

// wholeExport makes sure that each file of an export is whole, an old one or a
// new one.
func wholeExport(t *testing.T, dir string) {
	t.Helper()
	for name, check := range map[string]func([]byte) error{
		export.PDFName:    ends("%%EOF"),
		export.DXFName:    ends("EOF"),
		export.SVGName:    wholeXML,
		export.ReportName: func(b []byte) error { var v any; return json.Unmarshal(b, &v) },
	} {
		b, err := os.ReadFile(filepath.Join(dir, name))
		if errors.Is(err, os.ErrNotExist) {
			continue // killed before the first export
		}
		if err == nil {
			err = check(b)
		}
		if err != nil {
			t.Errorf("%s is broken: %v", name, err)
		}
	}
}

func ends(with string) func([]byte) error {
	return func(b []byte) error {
		if !bytes.HasSuffix(bytes.TrimSpace(b), []byte(with)) {
			return errors.New("it breaks off")
		}
		return nil
	}
}

func wholeXML(b []byte) error {
	d := xml.NewDecoder(bytes.NewReader(b))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// The second program is told who has the project open; after a crash nobody
// has; and reading is free at any time.
func TestTwoPrograms(t *testing.T) {
	ctx := context.Background()
	path, p := made(t)
	_, err := p.Commit("trace", angled(10))
	must(t, err)
	must(t, p.Close())
	c := child("hold", path)
	out, err := c.StdoutPipe()
	must(t, err)
	must(t, c.Start())
	if line, err := bufio.NewReader(out).ReadString('\n'); err != nil || line != "open\n" {
		t.Fatalf("the other program says %q: %v", line, err)
	}
	_, err = Open(ctx, path)
	var used *InUseError
	if !errors.As(err, &used) || used.Holder.PID != c.Process.Pid || !strings.Contains(err.Error(), strconv.Itoa(c.Process.Pid)) {
		t.Errorf("the second program is told %v", err)
	}
	other, err := New()
	must(t, err)
	defer other.Close()
	if err := other.SaveAs(ctx, path); !errors.As(err, &used) {
		t.Errorf("saving over a project that is open: %v", err)
	}
	r, err := OpenReadOnly(ctx, path)
	must(t, err)
	defer r.Close()
	if s, err := r.Current(); err != nil || angleOf(s.Pattern) != 10 {
		t.Errorf("reading beside the other program: %g°, %v", angleOf(s.Pattern), err)
	}
	must(t, c.Process.Kill())
	_ = c.Wait()
	if size(lockPath(path)) == 0 {
		t.Fatal("the test is worth nothing: a killed program left no lock's file")
	}
	again := opened(t, path)
	must(t, again.Stored())
	must(t, again.Close())
	if _, err := os.Stat(lockPath(path)); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the lock's file stays: %v", err)
	}
}
