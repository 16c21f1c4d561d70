package main

import (
	"bytes"
	"context"
	"path/filepath"
	"runtime"
	"runtime/pprof"
	"testing"
	"time"
)

// The commands leave no goroutine behind: not when they are done, not when
// they fail, not when they are stopped in the middle.
func TestCommandsLeaveNothingRunning(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir := t.TempDir()
	file := filepath.Join(dir, "helmet.flatwright")
	jobs := [][]string{
		{"make", demo, "--pitch", "1in", "--out", dir, "--project", file},
		{"export", file, "--out", dir},
		{"make", demo, "--pitch", "3in", "--out", dir},
		{"export", demo, "--out", dir},
		{"square", demo, "--pitch", "1in"},
	}
	// Once beforehand: what is started for good is started by then.
	command(jobs[4]...)
	before := runtime.NumGoroutine()
	for _, args := range jobs {
		command(args...)
		settled(t, before, args[0])
	}
	for _, after := range []time.Duration{0, 50 * time.Millisecond, 400 * time.Millisecond, time.Second} {
		ctx, cancel := context.WithTimeout(context.Background(), after)
		var out, errs bytes.Buffer
		run(ctx, []string{"make", demo, "--pitch", "1in", "--out", dir}, &out, &errs)
		cancel()
		settled(t, before, "make stopped after "+after.String())
	}
}

// settled waits a moment for goroutines that are on their way out.
func settled(t *testing.T, before int, what string) {
	t.Helper()
	for end := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			var all bytes.Buffer
			_ = pprof.Lookup("goroutine").WriteTo(&all, 1)
			t.Fatalf("%s leaves %d goroutines, %d before:\n%s", what, runtime.NumGoroutine(), before, all.String())
		}
	}
}
