//go:build linux

package project

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"runtime"
	"runtime/pprof"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"flatwright/export"
	"flatwright/export/dxf"
	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/report"
	"flatwright/trace/pattern"
)

// childTask names what the test binary is to do when it runs as a process of
// its own, which can be killed or starved.
const childTask = "FLATWRIGHT_PROJECT_TEST_CHILD"

func TestMain(m *testing.M) {
	switch os.Getenv(childTask) {
	case "":
		os.Exit(withoutLeaks(m))
	case "edit":
		os.Exit(told(editForever(os.Args[1], os.Args[2])))
	case "hold":
		os.Exit(told(hold(os.Args[1])))
	case "starve":
		os.Exit(told(starve(os.Args[1], os.Args[2])))
	case "outsider":
		os.Exit(told(outsider(os.Args[1])))
	}
	os.Exit(2)
}

// withoutLeaks runs the tests, and fails them when goroutines are left at the
// end: each open project has some.
func withoutLeaks(m *testing.M) int {
	// The one that waits for signals stays for good; fuzzing starts it.
	signal.Notify(make(chan os.Signal, 1), syscall.SIGUSR2)
	before := runtime.NumGoroutine()
	status := m.Run()
	for range 100 {
		if runtime.NumGoroutine() <= before {
			return status
		}
		time.Sleep(20 * time.Millisecond)
	}
	fmt.Printf("%d goroutines at the start, %d at the end:\n", before, runtime.NumGoroutine())
	_ = pprof.Lookup("goroutine").WriteTo(os.Stdout, 1)
	return 1
}

// told tells the parent what went wrong, and returns the exit status.
func told(err error) int {
	if err == nil {
		return 0
	}
	fmt.Fprintln(os.Stderr, err)
	return 1
}

// child makes the command that runs a task.
func child(task string, args ...string) *exec.Cmd {
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), childTask+"="+task)
	return c
}

// runChild runs a task to its end.
func runChild(t *testing.T, task string, args ...string) string {
	t.Helper()
	out, err := child(task, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v: %s", task, args, err, out)
	}
	return string(out)
}

// journal is where the child writes what it is about to do and what it has
// done, by plain writes that a kill cannot take back.
type journal struct{ f *os.File }

func (j journal) note(word string, n int) error {
	_, err := fmt.Fprintf(j.f, "%s %d\n", word, n)
	return err
}

// numbered is a pattern that says which edit made it, and takes room.
func numbered(n int) pattern.Pattern {
	h := angled(float64(n%60) + 1)
	h.Pieces = h.Pieces[:1]
	h.Seams = nil
	h.Name = fmt.Sprint("edit ", n)
	return h
}

// photograph is a file of a few parts that says which one it is.
func photograph(n int) *strings.Reader {
	return strings.NewReader(fmt.Sprint("photograph ", n) + strings.Repeat("x", n%3*partBytes+n))
}

// editForever edits and exports until it is killed, and keeps a journal of it.
func editForever(path, log string) error {
	ctx := context.Background()
	f, err := os.OpenFile(log, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	p, err := Open(ctx, path)
	if err != nil {
		return err
	}
	if err := p.Stored(); err != nil {
		return err
	}
	e := editor{p: p, log: journal{f}, n: int(time.Now().UnixNano() % 1e9), out: path + " export"}
	for {
		if err := e.step(ctx); err != nil {
			return err
		}
	}
}

// editor does one thing after another at random.
type editor struct {
	p   *Project
	log journal
	n   int
	out string
}

func (e *editor) step(ctx context.Context) error {
	e.n++
	word := "commit"
	switch k := rand.IntN(40); {
	case k < 6:
		word = "undo"
	case k < 10:
		word = "redo"
	case k < 12:
		word = "export"
	case k < 13:
		word = "photo"
	}
	if err := e.log.note(word, e.n); err != nil {
		return err
	}
	done, err := e.do(ctx, word)
	if err != nil {
		return err
	}
	return e.log.note(done, e.n)
}

// do does what a word says, and returns the word for what became of it.
func (e *editor) do(ctx context.Context, word string) (string, error) {
	switch word {
	case "undo":
		if _, err := e.p.Undo(); err != nil {
			return "nothing", only(err, ErrNothingToUndo)
		}
	case "redo":
		if _, err := e.p.Redo(); err != nil {
			return "nothing", only(err, ErrNothingToRedo)
		}
	case "export":
		return "done", exportTo(e.out, numbered(e.n))
	case "photo":
		if list, err := e.p.Photos(); err != nil || len(list) >= 5 {
			return "nothing", err
		}
		_, err := e.p.AddPhoto(ctx, strconv.Itoa(e.n), photograph(e.n), nil)
		return "done", err
	default:
		_, err := e.p.Commit(strconv.Itoa(e.n), numbered(e.n))
		return "done", err
	}
	return "done", nil
}

// only lets an error pass that is expected.
func only(err, expected error) error {
	if err == expected {
		return nil
	}
	return err
}

// exportTo writes a pattern's files to a folder.
func exportTo(dir string, p pattern.Pattern) error {
	doc := draw.Document{Title: p.Name, Pattern: p, Setup: page.DefaultSetup()}
	_, err := export.WriteAll(context.Background(), dir, doc, export.Options{DXF: dxf.Splines}, report.Report{})
	return err
}

// hold opens a project, says so, and waits to be killed.
func hold(path string) error {
	if _, err := Open(context.Background(), path); err != nil {
		return err
	}
	fmt.Println("open")
	time.Sleep(time.Hour)
	return nil
}
