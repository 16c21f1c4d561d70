package desk

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// packer is the practice job with a print that packs: each piece turned by a
// right angle, the first two on one sheet, the others each on its own.
type packer struct {
	onSheets
	// gate holds a layout up until something is sent; nil holds none up.
	gate chan struct{}
	// laid counts the layouts begun.
	laid atomic.Int32
	fail bool
}

var errNoRoom = errors.New("no room on a page")

func (j *packer) OnPaper(ctx context.Context, x session.Printout) (Paper, error) {
	j.laid.Add(1)
	if j.gate != nil {
		select {
		case <-j.gate:
		case <-ctx.Done():
			return Paper{}, ctx.Err()
		}
	}
	if j.fail {
		return Paper{}, errNoRoom
	}
	p := x.Pattern
	out := Paper{Pattern: p, Labels: map[string]session.PaperLabel{}}
	out.Pattern.Pieces = slices.Clone(p.Pieces)
	for i := range p.Pieces {
		k := max(0, i-1) // its sheet
		to := mat.Point{X: 230*float64(k) + 10, Y: 10}
		if i == 1 {
			to.Y = 140
		}
		out.Pattern.Pieces[i] = p.Pieces[i].Moved(turnedTo(p.Pieces[i], to))
		if i == 0 || k > 0 {
			out.Sheets = append(out.Sheets, packedSheet(k))
		}
	}
	at := out.Pattern.Pieces[2].Outline.Bounds().Min
	out.Labels[p.Pieces[2].ID] = session.PaperLabel{At: mat.Point{X: at.X - 30, Y: at.Y}, Leader: mat.Point{X: at.X + 5, Y: at.Y + 5}, Led: true}
	return out, nil
}

// turnedTo turns a piece by a right angle and lays its box at a place.
func turnedTo(p pattern.Piece, to mat.Point) curve.Transform {
	turn := curve.Rotation(mat.Point{}, math.Pi/2)
	q := p.Moved(turn)
	b := q.Outline.Bounds()
	return turn.Then(curve.Translation(mat.Point{X: to.X - b.Min.X, Y: to.Y - b.Min.Y}))
}

func packedSheet(k int) PaperSheet {
	x, label := 230*float64(k), fmt.Sprintf("r1 c%d", k+1)
	return PaperSheet{
		SheetPlace: SheetPlace{
			Label: label, Page: "Sheet " + label,
			Min: mat.Point{X: x + 10, Y: 10}, Max: mat.Point{X: x + 200, Y: 287}, OwnMax: mat.Point{X: x + 200, Y: 287},
		},
		PaperMin: mat.Point{X: x}, PaperMax: mat.Point{X: x + 210, Y: 297},
	}
}

// ShowPage shows a cover and then the sheets.
func (j *packer) ShowPage(_ context.Context, _ session.Printout, page, _ int) (image.Image, string, int, error) {
	if j.fail {
		return nil, "", 0, errNoRoom
	}
	return image.NewRGBA(image.Rect(0, 0, 21, 29)), []string{"Cover", "Sheet r1 c1", "Sheet r1 c2"}[min(page, 2)], 3, nil
}

// printing is a bench at the print rung, looking at the flat view, with a job
// that packs.
func printing(t *testing.T) (*bench, *packer) {
	t.Helper()
	b := ready(t)
	j := &packer{onSheets: onSheets{b.job}}
	b.o.Job = j
	b.editor.setSpace(session.OnMat)
	b.goTo(session.StagePrint)
	b.paperSettle()
	return b, j
}

func (b *bench) printPanel() *printPanel {
	p, _ := b.panels[session.StagePrint].(*printPanel)
	return p
}

// packed chooses the packed layout, or the one as laid, and lets it be laid out.
func (b *bench) packed(on bool) {
	b.t.Helper()
	b.printPanel().change(func(x *session.Print) { x.Packed = on })
	b.paperSettle()
	b.capture()
}

// paperSettle runs what is posted until paper, sheets and page are those asked
// for.
func (b *bench) paperSettle() {
	b.t.Helper()
	end := time.After(20 * time.Second)
	for b.editor.paper.asking || b.editor.sheets.asking || b.printPanel().drawing {
		select {
		case f := <-b.queue:
			f()
		case <-end:
			b.t.Fatal("the paper never came")
		}
	}
}

// onPaperAt is where the middle of an edge is shown, in the editor's own px.
func (b *bench) onPaperAt(edge string) fyne.Position {
	b.t.Helper()
	d, ok := b.editor.shapes().Edge(edge)
	if !ok || !b.editor.onPaper() {
		b.t.Fatalf("edge %s is not shown on paper", edge)
	}
	pts := d.Line.OnMat
	p, q := pts[(len(pts)-1)/2], pts[(len(pts)-1)/2+1]
	at := b.editor.view().ToDevice(view.Point{X: (p.X + q.X) / 2, Y: (p.Y + q.Y) / 2})
	return fyne.NewPos(float32(at.X), float32(at.Y))
}

// The packed layout takes the place of the pattern as it lies, in millimetres of
// paper; edges are chosen there, and each of three views keeps its place.
func TestPackedPiecesAreShownOnPaper(t *testing.T) {
	b, _ := printing(t)
	laid := b.editor.view()
	if b.editor.onPaper() || b.editor.shapes() != b.s.Shapes() {
		t.Fatal("the layout as laid is shown on packed sheets")
	}
	b.packed(true)
	if !b.editor.onPaper() {
		t.Fatal("the packed layout is not shown")
	}
	seen := b.editor.view().Visible(float64(b.editor.w), float64(b.editor.h))
	if want := (view.Rect{Max: view.Point{X: 670, Y: 297}}); b.editor.world() != want || !seen.Contains(want.Min) || !seen.Contains(want.Max) {
		t.Errorf("fitted to %v, of which %v is seen", b.editor.world(), seen)
	}
	for _, id := range []string{"A1", "B2", "C6", "D1"} {
		b.click(b.onPaperAt(id))
		if e, _ := b.s.SelectedEdge(); e.ID != id {
			t.Errorf("a click on %s chose %q", id, e.ID)
		}
		if !b.editor.onPaper() || b.stage != session.StagePrint {
			t.Fatal("the click left the sheets")
		}
		b.capture()
		if at := b.onPaperAt(id); !b.has(at, 3, b.pal.accent, 12) {
			t.Errorf("%s is chosen, but not shown so on its sheet", id)
		}
	}
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: b.onPaperAt("B1")}})
	if b.editor.hover != "B1" {
		t.Errorf("the pointer is on B1, the editor says %q", b.editor.hover)
	}
	if at, _ := b.editor.placeAt(b.editor.pointer); placeTitle(at, b.editor.system) != b.status.cursor.Text || b.status.here.Text != "" {
		t.Errorf("the line at the bottom says %q, %q", b.status.cursor.Text, b.status.here.Text)
	}
	b.editor.zoom(2, view.Point{X: 300, Y: 200})
	paper := b.editor.view()
	b.packed(false)
	if b.editor.onPaper() || b.editor.view() != laid || b.editor.shapes() != b.s.Shapes() {
		t.Error("the layout as laid does not come back as it was")
	}
	b.packed(true)
	if b.editor.view() != paper {
		t.Error("the sheets do not come back as they were")
	}
	b.goTo(session.StageMarkUp)
	if b.editor.onPaper() || b.editor.view() != laid {
		t.Error("leaving the rung does not show the pattern as it lies")
	}
	b.goTo(session.StagePrint)
	b.typed("v")
	if b.editor.space != session.InPhoto || b.editor.plane() != 0 {
		t.Error("the photograph is not shown")
	}
	b.typed("v")
	if b.editor.view() != paper {
		t.Error("the sheets are not shown again")
	}
	b.typed("f")
	if b.editor.view() == paper || !b.editor.whole[onPaper] {
		t.Error("the sheets are not fitted")
	}
}

// A layout of what has changed since ends, and the next is begun, without waiting
// for it.
func TestALayoutOfThePastEnds(t *testing.T) {
	b, j := printing(t)
	j.gate = make(chan struct{})
	b.printPanel().change(func(x *session.Print) { x.Packed = true })
	old := b.layoutContext()
	if err := b.s.SetCut("A1", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 20}); err != nil {
		t.Fatal(err)
	}
	b.changed()
	if old.Err() == nil {
		t.Fatal("what is laid out of the past goes on")
	}
	for end := time.Now().Add(10 * time.Second); j.laid.Load() < 2; {
		select {
		case f := <-b.queue:
			f()
		case <-time.After(time.Until(end)):
			t.Fatal("the next was not begun")
		}
	}
	now := b.layoutContext()
	b.printPanel().change(func(x *session.Print) { x.SVG = true })
	if now.Err() != nil {
		t.Error("what does not show on paper ends it")
	}
	close(j.gate)
	b.paperSettle()
	if e, _ := b.editor.paper.shapes.Edge("A1"); e.Cut.AngleDeg != 20 {
		t.Errorf("the sheets show a cut of %v°", e.Cut.AngleDeg)
	}
}

// While another layout is worked out the last one stays in sight, and however
// much is changed meanwhile only one more is begun.
func TestTheLastLayoutStaysMeanwhile(t *testing.T) {
	b, j := printing(t)
	j.gate = make(chan struct{}, 1)
	b.printPanel().change(func(x *session.Print) { x.Packed = true })
	if b.editor.onPaper() || !b.editor.paper.asking {
		t.Fatal("sheets are shown that are not there yet")
	}
	b.saysLaying(true)
	j.gate <- struct{}{}
	b.paperSettle()
	before := b.editor.paper.shapes
	b.saysLaying(false)
	for _, deg := range []float64{10, 20, 30, 40} {
		if err := b.s.SetCut("A1", pattern.Cut{Kind: pattern.Bevel, AngleDeg: deg}); err != nil {
			t.Fatal(err)
		}
		b.changed()
	}
	if !b.editor.onPaper() || b.editor.paper.shapes != before {
		t.Error("the last layout is gone")
	}
	b.saysLaying(true)
	close(j.gate)
	b.paperSettle()
	if n := j.laid.Load(); n != 3 {
		t.Errorf("%d layouts were begun: want the first, one for the first of four edits, one for the last", n)
	}
	e, _ := b.editor.paper.shapes.Edge("A1")
	if e.Cut.AngleDeg != 40 || b.editor.paper.shapes == before {
		t.Errorf("the sheets show a cut of %v° at last", e.Cut.AngleDeg)
	}
	b.printPanel().change(func(x *session.Print) { x.SVG, x.DXF = true, true })
	b.paperSettle()
	if n := j.laid.Load(); n != 3 {
		t.Error("asking for files beside it lays the pieces out anew")
	}
	b.without(func() {
		if b.editor.onPaper() {
			t.Error("there are sheets without a piece")
		}
	})
	if !b.editor.onPaper() {
		t.Error("the pieces that are there again are not laid out")
	}
	j.fail = true
	b.printPanel().change(func(x *session.Print) { x.MarginMM = 20 })
	b.paperSettle()
	if b.editor.onPaper() || !strings.Contains(b.printPanel().name.Text, errNoRoom.Error()) {
		t.Errorf("without a layout sheets are shown, and the panel says %q", b.printPanel().name.Text)
	}
}

// without takes all pieces away, looks, and puts them back.
func (b *bench) without(look func()) {
	b.t.Helper()
	b.s.SelectAll()
	b.deletePressed()
	b.paperSettle()
	if n := len(b.s.Document().Pattern.Pieces); n > 0 {
		b.t.Fatalf("%d pieces are left", n)
	}
	look()
	b.doUndo()
	b.paperSettle()
}

// saysLaying looks for the plate that says so.
func (b *bench) saysLaying(want bool) {
	b.t.Helper()
	picture := func(since time.Time) []byte {
		b.editor.paper.since = since
		b.editor.paint(b.editor.w, b.editor.h)
		return slices.Clone(b.editor.front.Pix)
	}
	soon, late := picture(time.Now().Add(time.Hour)), picture(time.Time{})
	if got := !slices.Equal(soon, late); got != want {
		b.t.Errorf("the plate over the work is shown: %v, want %v", got, want)
	}
}
