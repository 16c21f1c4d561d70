package desk

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// further adds the practice photograph once more, as another one.
func (b *bench) further() {
	b.t.Helper()
	p := *drawn()
	b.job.Drawn = &p
	b.addPhoto(b.file)
	b.settle()
	b.capture()
}

func TestAPhotographIsAdded(t *testing.T) {
	b := ready(t)
	b.further()
	if got := strings.Join(b.pieces(), ""); got != "ABCDEFGH" {
		t.Fatalf("pieces %s; the strip says %q", got, b.strip.text.Text)
	}
	b.whole("trace")
	b.goTo(session.StagePhotograph)
	box := b.panels[session.StagePhotograph].(*photoPanel).shots
	if len(box.list.Objects) != 2 {
		t.Errorf("%d rows", len(box.list.Objects))
	}
	if b.editor.pyramid != b.pyramids[b.s.Photo()] || len(b.pyramids) != 2 {
		t.Error("the first photograph is still shown")
	}
	b.pressKey(fyne.KeyPageUp)
	if _, k := b.s.Photos(); k != 0 || b.editor.pyramid != b.pyramids[b.s.Photo()] {
		t.Errorf("photograph %d is looked at", k)
	}
	// A click there means the first photograph's piece.
	b.capture()
	b.click(b.seen(60, 60))
	if p, _ := b.s.SelectedPiece(); p.ID != "A" {
		t.Errorf("clicked on %q", p.ID)
	}
	b.pressKey(fyne.KeyPageDown)
	b.capture()
	b.s.SelectPiece("A")
	b.typed("q")
	b.settle()
	if _, ok := b.s.Deviation("A"); ok {
		t.Error("a piece of another photograph was measured in this one")
	}
	b.typed(">")
	if !strings.Contains(b.strip.text.Text, "does not show this piece") {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
}

func TestRepairsInTheSecondPhotograph(t *testing.T) {
	b := ready(t)
	b.further()
	truth := b.piece("G").Outline // its L
	b.s.SelectPiece("G")
	b.leaveOut()
	b.toggleAdding()
	at := b.inside(truth)
	b.click(at)
	b.settle()
	if got := strings.Join(b.pieces(), ""); got != "ABCDEFHI" {
		t.Fatalf("pieces %s; the strip says %q", got, b.strip.text.Text)
	}
	for _, q := range b.piece("I").Outline.Flatten(0.1) {
		if at, _ := truth.Nearest(q); at.DistanceMM > 0.5 {
			t.Fatalf("the added piece lies %.2f mm off at %v", at.DistanceMM, q)
		}
	}
	b.putDown()
	b.s.SelectPiece("I")
	b.typed(">")
	b.settle()
	if d, ok := b.s.Deviation("I"); !ok || d.WorstMM > 0.5 {
		t.Errorf("%+v %v", d, ok)
	}
	b.whole("smoothness of I")
}

// inside is a place within the left leg of an L, in the editor.
func (b *bench) inside(l curve.Path) fyne.Position {
	box := l.Bounds()
	return b.seen(box.Min.X+20, box.Max.Y-20)
}

func TestSeveralFilesAreDropped(t *testing.T) {
	b := newBench(t, Options{PitchMM: practice.PitchMM}, &practice.Job{})
	u := storage.NewFileURI(b.file)
	b.dropped(fyne.Position{}, []fyne.URI{u, u})
	for range 6 {
		b.settle()
		b.changed()
		p := *drawn()
		b.job.Drawn = &p
	}
	if all, _ := b.s.Photos(); len(all) != 2 || len(b.pieces()) != 8 {
		t.Errorf("%d photographs, pieces %v", len(all), b.pieces())
	}
}

func TestTwoPartsAreJoinedInTheWindow(t *testing.T) {
	b := ready(t)
	part := func(x0, x1 float64) *trace.Traced {
		at := func(x, y float64) mat.Point { return mat.Point{X: x, Y: y} }
		p, err := pattern.New("part", pattern.Piece{Outline: curve.Polygon(at(x0, 20), at(x1, 20), at(x1, 60), at(x0, 60))})
		if err != nil {
			t.Fatal(err)
		}
		return &trace.Traced{Pattern: p}
	}
	b.traced(part(20, 250))
	b.further()
	b.traced(part(30, 260))
	b.s.SelectPiece("")
	b.typed("z")
	b.capture()
	box := b.piece("B").Outline.Bounds()
	for _, q := range []mat.Point{{X: 220, Y: 20}, {X: box.Min.X + 60, Y: box.Min.Y}, {X: 220, Y: 60}, {X: box.Min.X + 60, Y: box.Max.Y}} {
		b.free(b.seen(q.X, q.Y))
	}
	if len(b.ways()) != 1 || !strings.Contains(b.strip.text.Text, "2 pairs miss") {
		t.Fatalf("the strip says %q", b.strip.text.Text)
	}
	b.pressKey(fyne.KeyReturn)
	if got := strings.Join(b.pieces(), ""); got != "A" {
		t.Fatalf("pieces %s; the strip says %q", got, b.strip.text.Text)
	}
	b.whole("laying A, B together")
	if !strings.Contains(b.strip.text.Text, "at worst") {
		t.Errorf("the residual is not told: %q", b.strip.text.Text)
	}
}

// free is a click with Alt held: nothing snaps.
func (b *bench) free(at fyne.Position) {
	ev := desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonPrimary, Modifier: fyne.KeyModifierAlt}
	b.editor.MouseDown(&ev)
	b.editor.MouseUp(&ev)
}

// A strap that runs off the mat is not taken whole; the part that is seen can
// be.
func TestThePartThatIsSeenIsTaken(t *testing.T) {
	j := &practice.Job{}
	p := *drawn()
	p.RGB, p.Luma = append([]byte(nil), p.RGB...), append([]byte(nil), p.Luma...)
	m := j.Model()
	for y := range p.Height {
		for x := range p.Width {
			at, ok := m.ToMat(photo.Point{X: float64(x), Y: float64(y)})
			if ok && at.X > 264 && at.Y > 45 && at.Y < 80 {
				i := y*p.Width + x
				p.RGB[3*i], p.RGB[3*i+1], p.RGB[3*i+2], p.Luma[i] = 226, 220, 204, 219
			}
		}
	}
	b := newBench(t, Options{PitchMM: practice.PitchMM}, j)
	b.job.Drawn = &p
	b.open(b.file)
	b.settle()
	b.capture()
	b.pressKey(fyne.KeyInsert)
	b.click(b.seen(283, 62))
	b.settle()
	if len(b.ways()) != 1 || !strings.Contains(b.strip.text.Text, "runs off") {
		t.Fatalf("the strip says %q", b.strip.text.Text)
	}
	b.ways()[0].OnTapped()
	b.settle()
	if got := strings.Join(b.pieces(), ""); got != "ABCDE" {
		t.Fatalf("pieces %s; the strip says %q", got, b.strip.text.Text)
	}
	box := b.piece("E").Outline.Bounds()
	// The mat's last line lies at 304.8 mm.
	if box.Min.X < 263 || box.Min.X > 265 || box.Max.X > 305 || box.Max.X < 298 || box.Max.Y-box.Min.Y > 36 {
		t.Errorf("the part reaches from %v to %v", box.Min, box.Max)
	}
}

// A photograph has no tags of pieces that lie in another one: not of their seams,
// nor of their chosen edges, nor of what was found about them.
func TestAPhotographHasNoTagsOfOtherPieces(t *testing.T) {
	b := ready(t)
	b.further()
	picture := func() []byte {
		b.editor.paint(900, 640)
		return bytes.Clone(b.editor.front.Pix)
	}
	b.s.SelectPiece("")
	bare := picture()
	for name, do := range map[string]func(){
		"seam": func() { _, _ = b.s.Pair("A2", "B3"); b.s.SelectPiece("") },
		"edge": func() { b.s.SelectEdge("A2") },
		"finding": func() {
			b.s.SelectPiece("")
			b.editor.findings = []session.Finding{{PieceID: "A", At: mat.Point{X: 100, Y: 60}}}
		},
	} {
		do()
		if !bytes.Equal(picture(), bare) {
			t.Errorf("%s: something of it is drawn", name)
		}
		b.editor.findings = nil
	}
	b.s.SelectPiece("")
	b.editor.findings = []session.Finding{{PieceID: "E", Shot: 1, At: b.piece("E").Outline.Segments[0].P0}}
	if bytes.Equal(picture(), bare) {
		t.Error("what was found about its own piece is not drawn")
	}
}

// A node that is dragged in the second photograph goes past a node of the first,
// which lies there in the pattern but is not seen.
func TestADragDoesNotSnapToAnotherPhotograph(t *testing.T) {
	b := ready(t)
	b.further()
	b.s.SelectPiece("E")
	b.editor.setTool(toolReshape)
	a := b.piece("B").Outline.Segments[0].P0
	near := mat.Point{X: a.X + 0.5, Y: a.Y + 0.4}
	for space, want := range map[session.Space]mat.Point{session.InPhoto: near, session.OnMat: a} {
		b.editor.setSpace(space)
		b.editor.fit()
		b.capture()
		from := b.piece("E").Outline.Segments[0].P0
		b.drag(b.seen(from.X, from.Y), b.seen(near.X, near.Y), desktop.MouseButtonPrimary)
		got := b.piece("E").Outline.Segments[0].P0
		b.editor.DragEnd()
		// The pointer's place is kept as a float32 of some hundred px.
		if math.Hypot(got.X-want.X, got.Y-want.Y) > 0.05 {
			t.Errorf("in space %d the node went to %v, not to %v", space, got, want)
		}
		b.doUndo()
	}
}

// What the tracing found is drawn in the photograph it was found in, listed with
// that photograph's number, and choosing it goes there. What no photograph shows
// is gone to in the flat view.
func TestTracingsFindingsAreShownInTheirPhotograph(t *testing.T) {
	b := ready(t)
	b.further()
	b.goTo(session.StageCheck)
	var found []session.Finding
	for _, f := range b.s.Findings() {
		if f.Kind == session.FromTracing {
			found = append(found, f)
		}
	}
	if len(found) != 2 || found[0].Shot != 0 || found[1].Shot != 1 {
		t.Fatalf("found %+v", found)
	}
	picture := func(of ...session.Finding) []byte {
		b.editor.findings = of
		b.editor.paint(900, 640)
		return bytes.Clone(b.editor.front.Pix)
	}
	for k := range 2 {
		b.lookAt(k)
		bare := picture()
		if !bytes.Equal(picture(found[1-k]), bare) {
			t.Errorf("photograph %d shows what was found in the other", k)
		}
		if bytes.Equal(picture(found[k]), bare) {
			t.Errorf("photograph %d does not show what was found in it", k)
		}
	}
	var said []string
	for _, o := range b.panels[session.StageCheck].(*checkPanel).list.Objects {
		if l, ok := o.(*widget.Label); ok && strings.Contains(l.Text, "Something dark") {
			said = append(said, l.Text)
		}
	}
	if len(said) != 2 || !strings.HasSuffix(said[0], "(photograph 1)") || !strings.HasSuffix(said[1], "(photograph 2)") {
		t.Errorf("the list says %q", said)
	}
	for _, k := range []int{0, 1, 0} {
		b.goFinding(found[k])
		middle := b.editor.view().ToWorld(view.Point{X: float64(b.editor.w) / 2, Y: float64(b.editor.h) / 2})
		v, _ := b.s.View()
		want := view.Point(v.ToPhoto(found[k].At))
		if _, at := b.s.Photos(); at != k || b.editor.pyramid != b.pyramids[b.s.Photo()] || math.Hypot(middle.X-want.X, middle.Y-want.Y) > 1e-6 {
			t.Errorf("going to what was found in photograph %d looks at %v of photograph %d, not at %v", k, middle, at, want)
		}
	}
	b.s.SelectPiece("A")
	copied, err := b.s.MirrorCopy()
	if err != nil {
		t.Fatal(err)
	}
	b.goFinding(session.Finding{PieceID: copied, Shot: session.NoShot, At: b.piece(copied).Outline.Segments[0].P0})
	if b.editor.space != session.OnMat {
		t.Error("a photograph is looked at for what none shows")
	}
}
