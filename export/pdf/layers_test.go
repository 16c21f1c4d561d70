package pdf

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"flatwright/export/page/draw"
	"flatwright/export/page/specimen"
	"flatwright/trace/pattern"
)

// layerNames lists a file's layers as mupdf sees them, in their order.
func layerNames(t *testing.T, file string) []string {
	t.Helper()
	var names []string
	if _, err := exec.LookPath("mutool"); err != nil {
		t.Skip("SKIPPED: mutool is not installed, so nobody else has read the layers")
	}
	out, err := exec.Command("mutool", "draw", "-q", "-Y", "-o", "/dev/null", file, "1").CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, m := range regexp.MustCompile(`layer \d+ \(on\): (.*)`).FindAllStringSubmatch(string(out), -1) {
		names = append(names, m[1])
	}
	return names
}

// Only kinds of line that are drawn have a layer, always in the same order.
func TestLayersAreListed(t *testing.T) {
	for name, c := range map[string]struct {
		p    pattern.Pattern
		want []string
	}{
		"helmet": {specimen.Helmet(), []string{"Cut lines", "Other face", "Registration marks", "Inside lines", "Names and notes", "Joins of the paper"}},
		"chiral": {specimen.Chiral(), []string{"Cut lines", "Registration marks", "Names and notes", "Joins of the paper"}},
	} {
		got := layerNames(t, written(t, name+".pdf", document(c.p)))
		if strings.Join(got, ", ") != strings.Join(c.want, ", ") {
			t.Errorf("%s has the layers %q, want %q", name, got, c.want)
		}
	}
}

// widths counts the strokes of a page by colour and width, as mupdf draws it
// with one layer hidden (0: none).
func widths(t *testing.T, file string, page, hidden int) map[string]int {
	t.Helper()
	args := []string{"draw", "-q", "-N", "-F", "trace", "-o", "-"}
	if hidden > 0 {
		args = append(args, "-z", strconv.Itoa(hidden))
	}
	out := run(t, "mutool", append(args, file, strconv.Itoa(page))...)
	n := map[string]int{}
	for _, m := range regexp.MustCompile(`<stroke_path linewidth="([\d.]+)".* color="([\d. ]+)"`).FindAllStringSubmatch(out, -1) {
		n[m[1]+" "+m[2]]++
	}
	n["text"] = strings.Count(out, "<fill_text")
	return n
}

// Hiding a layer takes away its lines and no other, in mupdf.
func TestHiddenLayer(t *testing.T) {
	doc := document(specimen.Helmet())
	file := written(t, "helmet.pdf", doc)
	set, err := draw.Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	visor := len(set.Pages) - len(set.Layout.Tiles) + 6 // tile B3
	all := widths(t, file, visor, 0)
	const bevel, score = ".25 .8353 .3686 0", ".25 0 .6196 .451"
	if all[bevel] == 0 || all[score] == 0 {
		t.Fatalf("the page has no bevels or no inside line: %v", all)
	}
	for layer, gone := range map[int]string{2: bevel, 4: score} {
		left := widths(t, file, visor, layer)
		for what, n := range all {
			want := n
			if what == gone {
				want = 0
			}
			if left[what] != want {
				t.Errorf("with layer %d hidden %d of %d strokes %s are left, want %d", layer, left[what], n, what, want)
			}
		}
	}
}

// Poppler too obeys a layer that is off: the file's list of hidden layers is
// rewritten, and it draws no bevels.
func TestHiddenLayerInPoppler(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, document(specimen.Helmet())); err != nil {
		t.Fatal(err)
	}
	file := b.Bytes()
	at := bytes.LastIndex(file, []byte("/OFF []"))
	groups := regexp.MustCompile(`/OCGs \[(\d+ 0 R) (\d+ 0 R)`).FindSubmatch(file)
	if at < 0 || groups == nil {
		t.Fatal("the file lists no layers")
	}
	off := fmt.Sprintf("/OFF [%s]", groups[2])
	hidden := append(append(bytes.Clone(file[:at]), off...), file[at+len("/OFF []"):]...)
	from := bytes.LastIndex(hidden, []byte("startxref\n")) + len("startxref\n")
	hidden = append(hidden[:from], fmt.Sprintf("%d\n%%%%EOF\n", bytes.LastIndex(hidden, []byte("\nxref\n"))+1)...)
	vermillion := func(data []byte) int {
		name := filepath.Join(t.TempDir(), "layers.pdf")
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
		return strings.Count(run(t, "pdftocairo", "-svg", "-f", "9", "-l", "9", name, "-"), "stroke:rgb(83.5")
	}
	if shown := vermillion(file); shown == 0 {
		t.Fatal("poppler draws no bevels at all")
	}
	if left := vermillion(hidden); left != 0 {
		t.Errorf("%d bevels are drawn although their layer is off", left)
	}
}
