//go:build linux

package export

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// childFolder names the folder that the test binary exports to for ever when
// it runs as a process of its own, which can be killed.
const childFolder = "FLATWRIGHT_EXPORT_TEST_CHILD"

func TestMain(m *testing.M) {
	dir := os.Getenv(childFolder)
	if dir == "" {
		os.Exit(m.Run())
	}
	for n := os.Getpid(); ; n++ {
		if err := Replace(dir, numbered(n)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

var childFiles = []string{"pattern.pdf", "pattern.svg", "report.json"}

// numbered are files of many lines, each of which says which export it is of.
func numbered(n int) []File {
	var files []File
	for i, name := range childFiles {
		files = append(files, File{name, func(w io.Writer) error {
			for range 20 * (i + 1) {
				if _, err := io.WriteString(w, strings.Repeat(fmt.Sprintf("%08d\n", n), 100)); err != nil {
					return err
				}
			}
			_, err := io.WriteString(w, "end\n")
			return err
		}})
	}
	return files
}

// whole tells whether a file is all of one export.
func whole(b []byte, i int) error {
	if want := 20*(i+1)*100*9 + 4; len(b) != want {
		return fmt.Errorf("%d bytes, want %d", len(b), want)
	}
	if !bytes.Equal(b[:len(b)-4], bytes.Repeat(b[:9], 20*(i+1)*100)) || !bytes.HasSuffix(b, []byte("end\n")) {
		return errors.New("it is of more than one export")
	}
	return nil
}

// passing are the names in a folder that are no finished file.
func passing(t *testing.T, dir string) (names []string) {
	t.Helper()
	for name := range listed(t, dir) {
		if strings.HasPrefix(name, ".") {
			names = append(names, name)
		}
	}
	return names
}

// exportKills is how often TestKilledWhileExporting kills; more with
// FLATWRIGHT_KILLS=1000.
func exportKills(t *testing.T) int {
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

// A process that exports in a loop is killed at random instants: each file is
// whole, an old one or a new one, and the next export leaves nothing but files.
func TestKilledWhileExporting(t *testing.T) {
	dir := t.TempDir()
	if err := Replace(dir, numbered(1)); err != nil {
		t.Fatal(err)
	}
	kills := exportKills(t)
	littered := map[string]int{}
	for k := range kills {
		killExport(t, dir)
		for i, name := range childFiles {
			b, err := os.ReadFile(filepath.Join(dir, name))
			if err == nil {
				err = whole(b, i)
			}
			if err != nil {
				t.Fatalf("after kill %d: %s: %v", k+1, name, err)
			}
		}
		left := passing(t, dir)
		for _, kind := range []string{freshPrefix, keptPrefix} {
			if strings.Contains(strings.Join(left, " "), kind) {
				littered[kind]++
			}
		}
		// Now and then the process starts over what was left; mostly the files
		// are replaced by others, or one of them only.
		if rand.IntN(3) == 0 {
			continue
		}
		if err := Replace(dir, numbered(1)[:1+rand.IntN(3)]); err != nil {
			t.Fatal(err)
		}
		if left := passing(t, dir); len(left) > 0 {
			t.Fatalf("after kill %d and an export: %v", k+1, left)
		}
	}
	t.Logf("%d kills; new files were left by %d, kept ones by %d", kills, littered[freshPrefix], littered[keptPrefix])
	if littered[freshPrefix] < kills/4 || littered[keptPrefix] == 0 {
		t.Error("too few kills fell into an export for the test to be worth anything")
	}
}

// killExport starts exporting and kills it: some while it starts, most amid
// its exports.
func killExport(t *testing.T, dir string) {
	t.Helper()
	before, err := os.Stat(filepath.Join(dir, childFiles[0]))
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), childFolder+"="+dir)
	var said bytes.Buffer
	c.Stderr = &said
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	if rand.IntN(8) > 0 {
		for start := time.Now(); time.Since(start) < 20*time.Second; time.Sleep(time.Millisecond / 2) {
			if now, err := os.Stat(filepath.Join(dir, childFiles[0])); err == nil && !os.SameFile(before, now) {
				break
			}
		}
	}
	time.Sleep(time.Duration(rand.IntN(15_000)) * time.Microsecond)
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	var exit *exec.ExitError
	if err := c.Wait(); !errors.As(err, &exit) || exit.Exited() {
		t.Fatalf("the process ended by itself: %v: %s", err, said.String())
	}
}
