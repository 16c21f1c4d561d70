package main

import (
	"fmt"
	"io"
	"os"
	"sync"

	"flatwright/export/page/lettering"
)

// ticker shows progress on one line of a terminal, and nothing elsewhere. It
// may be told from several goroutines.
type ticker struct {
	mu    sync.Mutex
	w     io.Writer // nil: silent
	label string
	width int
}

// newTicker writes to w when it is a terminal.
func newTicker(w io.Writer, quiet bool) *ticker {
	f, ok := w.(*os.File)
	if quiet || !ok {
		return &ticker{}
	}
	info, err := f.Stat()
	if err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return &ticker{}
	}
	return &ticker{w: w}
}

// photo says which photograph is being read.
func (t *ticker) photo(k, n int, name string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.label = lettering.OneLine(name)
	if n > 1 {
		t.label += fmt.Sprintf(" (%d of %d)", k+1, n)
	}
}

// tell shows a stage and how far the photograph is, 0 to 1.
func (t *ticker) tell(stage string, part float64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.w == nil {
		return
	}
	line := fmt.Sprintf("%s: %3.0f %% %s", t.label, 100*part, stage)
	fmt.Fprintf(t.w, "\r%-*s", t.width, line)
	t.width = max(t.width, len(line))
}

// close wipes the line.
func (t *ticker) close() {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.w != nil && t.width > 0 {
		fmt.Fprintf(t.w, "\r%*s\r", t.width, "")
		t.width = 0
	}
}
