package desk

import (
	"bufio"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/practice"
)

// screen is a display in memory with the program's window on it.
type screen struct {
	t       testing.TB
	display string
	lines   chan string
}

// onScreen starts a display and the practice window, or skips aloud.
func onScreen(t testing.TB, args ...string) *screen {
	t.Helper()
	for _, tool := range []string{"Xvfb", "xdotool", "import"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("SKIPPED: the window was not tried on a display, because %s is not installed (apt install xvfb xdotool imagemagick)", tool)
		}
	}
	program := filepath.Join(t.TempDir(), "bench")
	if out, err := exec.Command("go", "build", "-o", program, "./testmain").CombinedOutput(); err != nil {
		t.Fatalf("building the practice window: %v\n%s", err, out)
	}
	s := &screen{t: t, display: startDisplay(t), lines: make(chan string, 100)}
	cmd := exec.Command(program, args...)
	cmd.Env = append(os.Environ(), "DISPLAY="+s.display, "LANG=en_GB.UTF-8", "HOME="+t.TempDir(), "FYNE_SCALE=1")
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	go s.read(out)
	return s
}

// startDisplay starts Xvfb on a number of its own choosing.
func startDisplay(t testing.TB) string {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
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

func (s *screen) read(out io.Reader) {
	for sc := bufio.NewScanner(out); sc.Scan(); {
		s.lines <- sc.Text()
	}
}

// saysOf waits for a line that begins so, and returns the rest of it.
func (s *screen) saysOf(begins string) string {
	s.t.Helper()
	var seen []string
	end := time.After(60 * time.Second)
	for {
		select {
		case l := <-s.lines:
			if rest, ok := strings.CutPrefix(l, begins); ok {
				return rest
			}
			seen = append(seen, l)
		case <-end:
			s.t.Fatalf("the program never said %q; it said %q", begins, seen)
		}
	}
}

// says waits until the program prints a line.
func (s *screen) says(want string) {
	s.t.Helper()
	var seen []string
	end := time.After(60 * time.Second)
	for {
		select {
		case l := <-s.lines:
			if l == want {
				return
			}
			seen = append(seen, l)
		case <-end:
			s.t.Fatalf("the program never said %q; it said %q", want, seen)
		}
	}
}

// do runs xdotool and leaves the program time to see it.
func (s *screen) do(args ...string) {
	s.t.Helper()
	cmd := exec.Command("xdotool", args...)
	cmd.Env = append(os.Environ(), "DISPLAY="+s.display)
	if out, err := cmd.CombinedOutput(); err != nil {
		s.t.Fatalf("xdotool %v: %v\n%s", args, err, out)
	}
	time.Sleep(200 * time.Millisecond)
}

// picture reads the display back.
func (s *screen) picture() image.Image {
	s.t.Helper()
	cmd := exec.Command("import", "-window", "root", "png:-")
	cmd.Env = append(os.Environ(), "DISPLAY="+s.display)
	out, err := cmd.Output()
	if err != nil {
		s.t.Fatalf("reading the display: %v", err)
	}
	img, err := png.Decode(strings.NewReader(string(out)))
	if err != nil {
		s.t.Fatal(err)
	}
	return img
}

// shows waits until a colour is on the display within 2 px of a position.
func (s *screen) shows(at fyne.Position, want color.NRGBA) {
	s.t.Helper()
	s.showsNear(at, 2, want)
}

// showsNear is shows within so many px.
func (s *screen) showsNear(at fyne.Position, reach int, want color.NRGBA) {
	s.t.Helper()
	end := time.Now().Add(10 * time.Second)
	for time.Now().Before(end) {
		img := s.picture()
		for y := int(at.Y) - reach; y <= int(at.Y)+reach; y++ {
			for x := int(at.X) - reach; x <= int(at.X)+reach; x++ {
				c, _ := color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA)
				if near(c, want, 40) {
					return
				}
			}
		}
		time.Sleep(300 * time.Millisecond)
	}
	s.t.Errorf("%v does not show %v", at, want)
}

// TestOnADisplay drives a real window: open, click an edge, bevel it, undo,
// redo, by mouse and keys alone.
func TestOnADisplay(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: the window on a display, because of -short")
	}
	twin := ready(t)
	twin.win.Resize(fyne.NewSize(1280, 800))
	twin.capture()
	origin := fyne.CurrentApp().Driver().AbsolutePositionForObject(twin.editor)
	edge := twin.seen(130, 40).Add(origin)

	s := onScreen(t, "-open", twin.file, "-pitch", fmt.Sprint(practice.PitchMM))
	s.says("4 pieces")
	s.do("search", "--sync", "--onlyvisible", "--name", tr.title, "windowfocus")
	time.Sleep(time.Second)
	s.shows(edge, twin.pal.ink)

	s.do("mousemove", fmt.Sprint(int(edge.X)), fmt.Sprint(int(edge.Y)))
	s.do("click", "1")
	s.do("mousemove", "1200", "700")
	s.shows(edge, twin.pal.accent)
	s.do("key", "b")
	s.says("4 pieces A2=bevel45")
	s.do("key", "2")
	s.says("4 pieces A2=bevel30")
	s.do("key", "ctrl+z")
	s.says("4 pieces A2=bevel45")
	s.do("key", "ctrl+z")
	s.says("4 pieces")
	s.do("key", "ctrl+shift+z")
	s.says("4 pieces A2=bevel45")
	s.do("key", "Tab")
	s.do("key", "u")
	s.says("4 pieces A2=bevel45 A3=undercut45")

	// Misses as needles: the last column curls up at its end.
	needle := twin.seen(12*practice.PitchMM, 8.6*practice.PitchMM).Add(origin).AddXY(14, 0)
	s.do("key", "Escape")
	s.do("key", "r")
	s.showsNear(needle, 6, twin.pal.wrong)
}

// TestASeamFromTheDisplayToPaper pairs two edges by keys and mouse and finds
// the seam's name on the printed pages.
func TestASeamFromTheDisplayToPaper(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: a seam from the display to paper, because of -short")
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("SKIPPED: a seam from the display to paper, because pdftotext is not installed (apt install poppler-utils)")
	}
	twin := ready(t)
	twin.win.Resize(fyne.NewSize(1280, 800))
	twin.capture()
	origin := fyne.CurrentApp().Driver().AbsolutePositionForObject(twin.editor)
	a := twin.seen(130, 40).Add(origin)
	twin.typed("e")
	save := twin.buttonOnTop("Save")

	s := onScreen(t, "-open", twin.file, "-pitch", fmt.Sprint(practice.PitchMM))
	s.says("4 pieces")
	s.do("search", "--sync", "--onlyvisible", "--name", tr.title, "windowfocus")
	time.Sleep(time.Second)
	press := func(at fyne.Position) {
		s.do("mousemove", fmt.Sprint(int(at.X)), fmt.Sprint(int(at.Y)))
		s.do("click", "1")
	}
	press(a)
	s.do("key", "b")
	s.says("4 pieces A2=bevel45")
	s.do("key", "j")
	b := twin.seen(215, 130).Add(fyne.CurrentApp().Driver().AbsolutePositionForObject(twin.editor))
	press(b)
	s.says("4 pieces A2=bevel45 s1=A2~B3")
	s.do("key", "e")
	time.Sleep(time.Second)
	press(save)
	path := s.saysOf("saved ")
	out, err := exec.Command("pdftotext", "-layout", path, "-").Output()
	if err != nil {
		t.Fatalf("pdftotext %s: %v", path, err)
	}
	if !regexp.MustCompile(`\bs1\b`).Match(out) {
		t.Errorf("the printed pages do not name the seam s1:\n%s", out)
	}
}

// buttonOnTop is the middle of a button of the dialog on top.
func (b *bench) buttonOnTop(word string) fyne.Position {
	b.t.Helper()
	b.capture()
	for _, o := range test.LaidOutObjects(b.win.Canvas().Overlays().Top()) {
		if w, ok := o.(*widget.Button); ok && w.Text == word { // the toolkit's own
			at := fyne.CurrentApp().Driver().AbsolutePositionForObject(w)
			return at.AddXY(w.Size().Width/2, w.Size().Height/2)
		}
	}
	b.t.Fatalf("no button %q", word)
	return fyne.Position{}
}
