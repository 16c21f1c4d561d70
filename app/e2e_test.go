package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"flatwright/app/desk"
)

// maker works the real program in a real window, with mouse and keys only, and
// looks at it through the places that the window tells.
type maker struct {
	t       *testing.T
	display string
	cmd     *exec.Cmd
	program string
	home    string
	said    bytes.Buffer
	places  string
	clicks  int
	keys    int
	began   time.Time
}

// needTools skips aloud when the display or the readers of PDF are missing.
func needTools(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("SKIPPED: the way from the demo photograph to paper, because of -short")
	}
	for _, tool := range []string{"Xvfb", "xdotool", "pdfinfo", "pdftotext", "pdftoppm"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("SKIPPED: the way from the demo photograph to paper, because %s is not installed (apt install xvfb xdotool poppler-utils)", tool)
		}
	}
}

// display starts a display in memory on a number of its own choosing.
func display(t *testing.T) string {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	x := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", "1280x800x24", "-nolisten", "tcp")
	x.ExtraFiles = []*os.File{w}
	if err := x.Start(); err != nil {
		t.Fatal(err)
	}
	w.Close()
	t.Cleanup(func() {
		_ = x.Process.Kill()
		_ = x.Wait()
	})
	number, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		t.Fatalf("the display never came up: %v", err)
	}
	return ":" + strings.TrimSpace(number)
}

// atTheBench builds the program and opens its window on a home of its own.
func atTheBench(t *testing.T) *maker {
	t.Helper()
	needTools(t)
	dir := t.TempDir()
	m := &maker{t: t, display: display(t), home: filepath.Join(dir, "home"), places: filepath.Join(dir, "places.json")}
	m.program = filepath.Join(dir, "flatwright")
	if out, err := exec.Command("go", "build", "-o", m.program, ".").CombinedOutput(); err != nil {
		t.Fatalf("building the program: %v\n%s", err, out)
	}
	for _, sub := range []string{"config", "data", "cache", "run"} {
		if err := os.MkdirAll(filepath.Join(m.home, sub), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() {
		m.kill()
		if t.Failed() {
			t.Logf("the program said: %s", m.said.String())
		}
	})
	m.start()
	return m
}

// start opens the window and gives it the keyboard.
func (m *maker) start() {
	m.t.Helper()
	_ = os.Remove(m.places)
	m.cmd = exec.Command(m.program, "--appearance", "light")
	m.cmd.Dir = m.home // no demo lies there: the program has its own
	m.cmd.Stderr = &m.said
	m.cmd.Env = append(os.Environ(), "DISPLAY="+m.display, "WAYLAND_DISPLAY=", "LANG=en_GB.UTF-8", "FYNE_SCALE=1",
		"HOME="+m.home, "XDG_CONFIG_HOME="+m.home+"/config", "XDG_DATA_HOME="+m.home+"/data",
		"XDG_CACHE_HOME="+m.home+"/cache", "XDG_RUNTIME_DIR="+m.home+"/run", "FLATWRIGHT_PLACES="+m.places)
	if err := m.cmd.Start(); err != nil {
		m.t.Fatal(err)
	}
	m.waitFor("the window", 60*time.Second, func(p desk.Places) bool { return len(p.Things) > 0 })
	m.xdotool("search", "--sync", "--onlyvisible", "--name", "Flatwright", "windowfocus")
	time.Sleep(500 * time.Millisecond)
}

// kill ends the program outright, as a cut power line would.
func (m *maker) kill() {
	if m.cmd.ProcessState == nil {
		_ = m.cmd.Process.Kill()
		_ = m.cmd.Wait()
	}
}

func (m *maker) xdotool(args ...string) {
	m.t.Helper()
	cmd := exec.Command("xdotool", args...)
	cmd.Env = append(os.Environ(), "DISPLAY="+m.display)
	if out, err := cmd.CombinedOutput(); err != nil {
		m.t.Fatalf("xdotool %v: %v\n%s", args, err, out)
	}
}

// press presses keys one after the other.
func (m *maker) press(keys ...string) {
	m.t.Helper()
	for _, k := range keys {
		m.keys++
		m.xdotool("key", k)
		time.Sleep(120 * time.Millisecond)
	}
}

// write types a text.
func (m *maker) write(text string) {
	m.t.Helper()
	m.keys += len(text)
	m.xdotool("type", "--delay", "60", text)
	time.Sleep(120 * time.Millisecond)
}

func (m *maker) click(x, y float32) {
	m.t.Helper()
	m.clicks++
	m.xdotool("mousemove", strconv.Itoa(int(x)), strconv.Itoa(int(y)))
	time.Sleep(100 * time.Millisecond)
	m.xdotool("click", "1")
	time.Sleep(150 * time.Millisecond)
}

// look reads what the window shows now.
func (m *maker) look() (p desk.Places, ok bool) {
	raw, err := os.ReadFile(m.places)
	return p, err == nil && json.Unmarshal(raw, &p) == nil
}

// waitFor looks until something is so, and returns what the window shows then.
func (m *maker) waitFor(what string, within time.Duration, so func(p desk.Places) bool) desk.Places {
	m.t.Helper()
	var p desk.Places
	for end := time.Now().Add(within); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		var ok bool
		if p, ok = m.look(); ok && so(p) {
			return p
		}
	}
	m.t.Fatalf("waited %v for %s in vain; rung %d, busy %v, strip %q, selected %q, seams %v, things %+v",
		within, what, p.Rung, p.Busy, p.Strip, p.Selected, p.Seams, p.Things)
	return p
}

// pressButton clicks the button that says so, once it can be pressed.
func (m *maker) pressButton(word string) {
	m.t.Helper()
	at := func(p desk.Places) (desk.PlacedThing, bool) {
		for _, x := range p.Things {
			if x.Kind == "button" && x.Text == word && x.Usable {
				return x, true
			}
		}
		return desk.PlacedThing{}, false
	}
	p := m.waitFor("the button "+word, 20*time.Second, func(p desk.Places) bool { _, ok := at(p); return ok })
	x, _ := at(p)
	m.click(x.X+x.W/2, x.Y+x.H/2)
}

func has(p desk.Places, word string) bool {
	return slices.ContainsFunc(p.Things, func(x desk.PlacedThing) bool { return x.Text == word })
}

func keyed(p desk.Places, hint string) bool {
	for _, x := range p.Things {
		if x.Keyed && x.Kind == "entry" && x.Hint == hint {
			return true
		}
	}
	return false
}

func edgeOf(p desk.Places, id string) desk.PlacedEdge {
	for _, e := range p.Edges {
		if e.ID == id {
			return e
		}
	}
	return desk.PlacedEdge{}
}

// bevel takes the next edge and bevels it by keys; it returns the edge.
func (m *maker) bevel() string {
	m.t.Helper()
	before := m.waitFor("the window", time.Second, func(desk.Places) bool { return true }).Selected
	m.press("Tab")
	p := m.waitFor("the next edge", 10*time.Second, func(p desk.Places) bool { return p.Selected != "" && p.Selected != before })
	m.press("b")
	m.waitFor("the bevel of "+p.Selected, 10*time.Second, func(q desk.Places) bool {
		return edgeOf(q, p.Selected).Cut.AngleDeg == 45
	})
	return p.Selected
}

// mateOf is the edge of another piece whose length is nearest to an edge's.
func mateOf(p desk.Places, id string) desk.PlacedEdge {
	e := edgeOf(p, id)
	var best desk.PlacedEdge
	for _, x := range p.Edges {
		if x.Piece != e.Piece && (best.ID == "" || math.Abs(x.LengthMM-e.LengthMM) < math.Abs(best.LengthMM-e.LengthMM)) {
			best = x
		}
	}
	return best
}

// TestFromTheDemoToPaper lets the first run open the demo, and from the second
// on goes the whole way in the window: the demo photograph,
// squared up and traced, three edges bevelled, a seam paired, a thickness, the
// findings, the PDF by the file list; and reads the PDF after the program has
// been killed.
func TestFromTheDemoToPaper(t *testing.T) {
	m := atTheBench(t)
	m.waitFor("the demo, opened by itself at the first run", 120*time.Second, func(p desk.Places) bool {
		return !p.Busy && p.Squared && len(p.Pieces) > 0
	})
	m.pressButton("No more hints")
	m.waitFor("the hints to go", 10*time.Second, func(p desk.Places) bool { return !has(p, "Next hint") })
	m.kill()
	m.start()
	m.waitFor("the empty bench", 60*time.Second, func(p desk.Places) bool { return p.Rung == 1 && p.Photo == "" })
	m.clicks, m.keys, m.began = 0, 0, time.Now()

	m.pressButton("Try the demo")
	p := m.waitFor("the demo squared up and traced", 120*time.Second, func(p desk.Places) bool {
		return !p.Busy && p.Squared && len(p.Pieces) > 0
	})
	work := time.Since(m.began)
	if p.Photo != "demo.jpg" || p.PitchMM != 25.4 {
		t.Errorf("opened %q with a pitch of %v mm", p.Photo, p.PitchMM)
	}

	bevelled := []string{m.bevel(), m.bevel(), m.bevel()}
	m.press("j")
	p = m.waitFor("the question for a mate", 10*time.Second, func(p desk.Places) bool { return strings.Contains(p.Strip, bevelled[2]) })
	time.Sleep(300 * time.Millisecond) // the strip moves the work down
	p = m.waitFor("places after the strip", 10*time.Second, func(q desk.Places) bool { return q.Serial > p.Serial+1 })
	mate := mateOf(p, bevelled[2])
	m.click(mate.X, mate.Y)
	p = m.waitFor("the seam "+bevelled[2]+" to "+mate.ID, 10*time.Second, func(p desk.Places) bool { return len(p.Seams) == 1 })
	if s := p.Seams[0]; s.A.String() != bevelled[2] || s.B.String() != mate.ID {
		t.Errorf("%s joins %s to %s, not %s to %s", s.ID, s.A.String(), s.B.String(), bevelled[2], mate.ID)
	}

	m.press("n", "Tab")
	m.waitFor("the thickness to be typed", 10*time.Second, func(p desk.Places) bool { return keyed(p, "5 mm, 3/8 in") })
	m.write("10mm")
	m.press("Return")
	m.waitFor("a thickness", 10*time.Second, func(p desk.Places) bool { return thick(p, 10) > 0 })
	m.press("Tab", "space") // the button below it, that gives it to all pieces
	m.waitFor("the same for all", 10*time.Second, func(p desk.Places) bool { return thick(p, 10) == len(p.Pieces) })

	m.press("ctrl+5")
	m.waitFor("the findings", 10*time.Second, func(p desk.Places) bool { return p.Rung == 5 })
	m.press("ctrl+6")
	p = m.waitFor("the pages", 60*time.Second, func(p desk.Places) bool { return p.Rung == 6 && p.Pages > 0 })
	m.press("ctrl+s")
	m.waitFor("the file list", 20*time.Second, func(q desk.Places) bool { return keyedText(q, "demo.pdf") })
	m.press("Return")
	p = m.waitFor("the PDF", 60*time.Second, func(q desk.Places) bool { return q.Saved != "" && !q.Busy })
	t.Logf("%d clicks and %d keys; %.1f s in all, %.1f s of them the program's opening, squaring up and tracing",
		m.clicks, m.keys, time.Since(m.began).Seconds(), work.Seconds())
	m.kill()

	if !strings.HasPrefix(p.Saved, m.home) {
		t.Fatalf("saved to %s, outside its home", p.Saved)
	}
	checkPrint(t, p)
}

// thick counts the pieces of a thickness.
func thick(p desk.Places, mm float64) (n int) {
	for _, x := range p.Pieces {
		if x.ThicknessMM == mm {
			n++
		}
	}
	return n
}

func keyedText(p desk.Places, text string) bool {
	for _, x := range p.Things {
		if x.Keyed && x.Kind == "entry" && strings.HasSuffix(x.Text, text) {
			return true
		}
	}
	return false
}
