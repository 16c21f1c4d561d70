package desk

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// pasteLimitMB and pasteWithin bound a picture that is taken from the clipboard.
const (
	pasteLimitMB = 256
	pasteWithin  = 10 * time.Second
)

// clipPicture hands out the picture on the clipboard as the bytes of a PNG.
type clipPicture func(ctx context.Context) ([]byte, error)

var (
	errNoPicture  = errors.New("no picture is on the clipboard")
	errNoHelper   = errors.New("nothing here reads pictures from the clipboard")
	errPictureBig = errors.New("the picture on the clipboard is too large")
)

// pasting is where pictures come from and where they are put.
type pasting struct {
	// picture is asked when the clipboard holds no file's path; nil asks the
	// system.
	picture clipPicture
	// folder holds pasted pictures until the program ends; empty before the
	// first.
	folder string
	count  int
}

// paste opens the picture on the clipboard: files that are named there, or the
// picture itself.
func (d *desk) paste() {
	if d.asking() {
		return
	}
	if paths := pathsIn(d.app.Clipboard().Content()); len(paths) > 0 {
		d.waiting = paths[1:]
		d.open(paths[0])
		return
	}
	picture := d.pasting.picture
	if picture == nil {
		picture = systemPicture
	}
	d.runner.start(tr.journal.fetching, func(ctx context.Context, _ func(float64)) (func(), error) {
		ctx, cancel := context.WithTimeout(ctx, pasteWithin)
		defer cancel()
		raw, err := picture(ctx)
		if err != nil {
			return nil, err
		}
		return func() { d.openPasted(raw) }, nil
	}, func(err error) { d.strip.say(whyNotPasted(err), way{tr.open, d.chooseFile}) })
}

func whyNotPasted(err error) string {
	w := &tr.journal
	switch {
	case errors.Is(err, errNoHelper):
		return w.pasteNoHelper
	case errors.Is(err, errPictureBig):
		return fmt.Sprintf(w.pasteTooBig, pasteLimitMB)
	case errors.Is(err, context.DeadlineExceeded):
		return w.pasteTooSlow
	}
	return w.pasteNone
}

// openPasted opens a picture's bytes by way of a file, which is held against
// the limits like any other.
func (d *desk) openPasted(raw []byte) {
	path, err := d.pasting.keep(raw)
	if err != nil {
		d.strip.say(fmt.Sprintf(tr.journal.pasteFile, plain(err)), way{tr.open, d.chooseFile})
		return
	}
	d.open(path)
}

func (p *pasting) keep(raw []byte) (path string, err error) {
	if p.folder == "" {
		if p.folder, err = os.MkdirTemp("", "flatwright-pasted-"); err != nil {
			return "", err
		}
	}
	p.count++
	path = filepath.Join(p.folder, fmt.Sprintf("pasted-%d.png", p.count))
	return path, os.WriteFile(path, raw, 0o600)
}

// clean removes the pasted pictures.
func (p *pasting) clean() {
	if p.folder != "" {
		_ = os.RemoveAll(p.folder)
		p.folder = ""
	}
}

// pathsIn returns the files that a text names, one a line, as paths or as file
// URIs; nothing when any line is something else or no file is there.
func pathsIn(text string) (paths []string) {
	const most = 100 << 10
	if len(text) > most {
		return nil
	}
	for line := range strings.Lines(text) {
		line = strings.Trim(strings.TrimSpace(line), `"'`)
		switch {
		case line == "" || line == "copy" || line == "cut" || strings.HasPrefix(line, "#"):
			continue // what file lists put before and between names
		case strings.HasPrefix(line, "file:"):
			u, err := url.Parse(line)
			if err != nil || u.Path == "" {
				return nil
			}
			line = filepath.FromSlash(u.Path)
		}
		if i, err := os.Stat(line); err != nil || !filepath.IsAbs(line) || !i.Mode().IsRegular() {
			return nil
		}
		paths = append(paths, line)
	}
	return paths
}

// systemPicture asks a program for the picture on the clipboard: the toolkit
// hands out text only.
func systemPicture(ctx context.Context) ([]byte, error) {
	helpers := [][]string{
		{"xclip", "-selection", "clipboard", "-target", "image/png", "-out"},
	}
	if os.Getenv("WAYLAND_DISPLAY") != "" {
		helpers = append([][]string{{"wl-paste", "--no-newline", "--type", "image/png"}}, helpers...)
	}
	err := errNoHelper
	for _, h := range helpers {
		if _, missing := exec.LookPath(h[0]); missing != nil {
			continue
		}
		var raw []byte
		if raw, err = handedOver(ctx, pasteLimitMB<<20, h); err == nil {
			return raw, nil
		}
	}
	return nil, err
}

// handedOver runs a program and returns what it prints, up to a limit in bytes.
func handedOver(ctx context.Context, limit int64, command []string) ([]byte, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	cmd := exec.CommandContext(ctx, command[0], command[1:]...)
	cmd.WaitDelay = time.Second
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	var raw bytes.Buffer
	n, readErr := raw.ReadFrom(io.LimitReader(out, limit+1))
	if n > limit {
		cancel()
		_ = cmd.Wait()
		return nil, errPictureBig
	}
	err = cmd.Wait()
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil || readErr != nil || n == 0:
		return nil, errNoPicture
	}
	return raw.Bytes(), nil
}
