package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
)

// Whatever a file is called, what is printed of it is text on one line: no
// escape that a terminal obeys, no line's end, no turn of the direction.
func TestNamesOnTheTerminal(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir := t.TempDir()
	name := "red\x1b[31m two\nlines\u202egpj \x07👩‍🚀 ../..\\.jpg"
	empty := filepath.Join(dir, strings.ReplaceAll("no "+name, "/", "_"))
	full := filepath.Join(dir, strings.ReplaceAll(name, "/", "_"))
	if err := os.WriteFile(empty, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	photo, err := os.ReadFile(demo)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(full, photo, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args   []string
		status int
	}{
		{[]string{"make", empty, "--pitch", "1in", "--out", filepath.Join(dir, "out")}, statusFailed},
		{[]string{"square", empty, "--pitch", "1in"}, statusFailed},
		{[]string{"export", empty, "--out", filepath.Join(dir, "out")}, statusFailed},
		{[]string{"square", full, "--pitch", "1in"}, statusDone},
		{[]string{"make", full, full, "--pitch", "1in", "--out", filepath.Join(dir, "out")}, statusDone},
	} {
		status, out, errs := command(c.args...)
		if status != c.status {
			t.Errorf("%s: status %d, want %d: %s", c.args[0], status, c.status, errs)
		}
		if c.status != statusDone && strings.Count(errs, "\n") != 1 {
			t.Errorf("%s: the sentence is not one line: %q", c.args[0], errs)
		}
		if i := bytes.IndexFunc([]byte(out+errs), obeyed); i >= 0 {
			t.Errorf("%s prints %q", c.args[0], (out + errs)[max(0, i-20):i+5])
		}
	}
}

// obeyed tells characters that do something instead of being shown.
func obeyed(r rune) bool {
	return r != '\n' && unicode.IsControl(r) || unicode.In(r, unicode.Bidi_Control)
}
