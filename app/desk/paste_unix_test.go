//go:build unix

package desk

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// Programs of our own stand in for those that read the clipboard.
func TestTheHelperOfTheDisplayIsAsked(t *testing.T) {
	dir := t.TempDir()
	put := func(name, script string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\n"+script), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("PATH", dir)
	t.Setenv("WAYLAND_DISPLAY", "")
	if _, err := systemPicture(t.Context()); !errors.Is(err, errNoHelper) {
		t.Errorf("without a helper: %v", err)
	}
	put("wl-paste", `echo "wl-paste $*"`)
	if _, err := systemPicture(t.Context()); !errors.Is(err, errNoHelper) {
		t.Errorf("wl-paste was asked without its display: %v", err)
	}
	put("xclip", `echo "xclip $*"`)
	asked := func(want string) {
		t.Helper()
		if raw, err := systemPicture(t.Context()); err != nil || string(raw) != want {
			t.Errorf("%q, %v, not %q", raw, err, want)
		}
	}
	asked("xclip -selection clipboard -target image/png -out\n")
	t.Setenv("WAYLAND_DISPLAY", "wayland-0")
	asked("wl-paste --no-newline --type image/png\n")
	put("wl-paste", "exit 1")
	asked("xclip -selection clipboard -target image/png -out\n")
	put("xclip", "exit 1")
	if _, err := systemPicture(t.Context()); !errors.Is(err, errNoPicture) {
		t.Errorf("with no picture there: %v", err)
	}
}
