package desk

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// onStage is ready on the square-up rung.
func onStage(t *testing.T) (*bench, *squarePanel) {
	t.Helper()
	b := ready(t)
	b.goTo(session.StageSquareUp)
	return b, b.squarePanel()
}

// fillIn types a text into a field and leaves it.
func fillIn(f *field, text string) {
	f.SetText(text)
	f.done()
}

func TestRuleIsTypedAndTheWorkFollows(t *testing.T) {
	b, p := onStage(t)
	_ = b.s.SetCut("A2", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30})
	p.size.fold.open(true)
	p.size.choice.SetSelectedIndex(1)
	if b.runner.busy() || !p.size.rule.Visible() {
		t.Fatal("choosing the rule squares up before anything is measured")
	}
	fillIn(p.size.spans[0].squares, "12")
	if b.runner.busy() {
		t.Error("half a span squares up")
	}
	fillIn(p.size.spans[0].length, "305.3 mm")
	if p.size.factor.Text != "across +0.16 %, down +0.00 %" || !b.runner.busy() {
		t.Errorf("the panel says %q", p.size.factor.Text)
	}
	before := b.s.Document().Squared
	b.settle()
	q := b.s.Document().Squared
	if q == before || math.Abs(q.Pitch.XMM-305.3/12) > 1e-9 || q.Pitch.YMM != 25.4 {
		t.Errorf("squared up with %+v", q.Pitch)
	}
	if e := b.s.Document().Pattern.Pieces[0].Edges[1]; e.Cut.AngleDeg != 30 || b.strip.text.Text != tr.square.cameAlong {
		t.Errorf("the cut is %v, the strip says %q", e.Cut, b.strip.text.Text)
	}
	b.doUndo()
	if b.s.Document().Squared != before || b.s.Stale() || p.size.spans[0].length.Text != "" {
		t.Error("one undo does not bring the old size back")
	}
}

func TestARefusedSpanIsSaidAndChangesNothing(t *testing.T) {
	b, p := onStage(t)
	p.size.fold.open(true)
	p.size.choice.SetSelectedIndex(1)
	before := b.s.Document().Squared
	fillIn(p.size.spans[1].squares, "10")
	fillIn(p.size.spans[1].length, "508")
	if b.runner.busy() || b.s.Document().Squared != before || !p.size.refused.Visible() {
		t.Fatal("a span of twice the length was taken")
	}
	if !strings.Contains(p.size.refused.Text, "10 squares down would be 254 mm") {
		t.Errorf("the panel says %q", p.size.refused.Text)
	}
	if !p.stale.Visible() {
		t.Error("nothing says that the picture is not of these settings")
	}
	b.chooseExport()
	if b.win.Canvas().Overlays().Top() != nil || b.strip.text.Text != tr.square.staleExport {
		t.Errorf("stale work can be printed; the strip says %q", b.strip.text.Text)
	}
	test.Tap(b.ways()[1])
	if b.s.Stale() {
		t.Error("the way back does not lead back")
	}
	fillIn(p.size.spans[0].squares, "many")
	if !strings.Contains(b.strip.text.Text, `"many"`) {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
	fillIn(p.size.spans[0].squares, "1,500")
	if !strings.HasPrefix(b.strip.text.Text, `"1,500" may be "1500" or "1.5". `) || b.s.Document().Across.Squares != 0 {
		t.Errorf("%v squares; the strip says %q", b.s.Document().Across.Squares, b.strip.text.Text)
	}
}

// drawer is a store of mats in memory.
type drawer struct {
	mats []KnownMat
	kept string
	fail error
}

func (d *drawer) Mats(*rectify.Squared) ([]KnownMat, error) { return d.mats, d.fail }

func (d *drawer) Keep(name string, _ int, q *rectify.Squared) error {
	if d.fail != nil {
		return d.fail
	}
	d.kept = name
	d.mats = append(d.mats, KnownMat{Mat: session.Mat{Name: name, PitchMM: q.PitchMM, Scale: q.Scale}})
	return nil
}

func isPitch(p mat.Pitch, x, y float64) bool {
	return math.Abs(p.XMM-x) < 1e-9 && math.Abs(p.YMM-y) < 1e-9
}

func TestKnownMats(t *testing.T) {
	b, p := onStage(t)
	store := &drawer{mats: []KnownMat{
		{Mat: session.Mat{Name: "big green", PitchMM: 25.4, Scale: rectify.Scale{X: 1.002, Y: 0.999, Source: rectify.FromProfile}}, Likely: true, Lies: MatLiesTurned},
		{Mat: session.Mat{Name: "small", PitchMM: 25.4}, Lies: MatIsAnother},
	}}
	b.o.Mats = store
	b.listMats()
	b.changed()
	if len(p.advice.first.Objects) == 0 || p.advice.likes != "big green" {
		t.Fatal("the likely mat is not offered")
	}
	p.size.choice.SetSelectedIndex(2)
	b.settle()
	q := b.s.Document().Squared
	if !isPitch(q.Pitch, 25.4*0.999, 25.4*1.002) || !p.size.turned.Checked {
		t.Errorf("a mat that lies turned gave %+v", q.Pitch)
	}
	if p.advice.likes != "" || p.size.unknown.Visible() {
		t.Error("the mat in use is offered, or its turn asked for, again")
	}
	p.size.turned.SetChecked(false)
	b.settle()
	if q := b.s.Document().Squared; !isPitch(q.Pitch, 25.4*1.002, 25.4*0.999) {
		t.Errorf("turned back gave %+v", q.Pitch)
	}
	if p.size.keepBox.Visible() {
		t.Error("a known mat can be kept again")
	}
	p.size.choice.SetSelectedIndex(0)
	b.settle()
	if q := b.s.Document().Squared; q.Pitch.XMM != 25.4 {
		t.Errorf("as printed gave %+v", q.Pitch)
	}
}

func TestAMeasuredMatIsKept(t *testing.T) {
	b, p := onStage(t)
	store := &drawer{}
	b.o.Mats = store
	p.size.choice.SetSelectedIndex(1)
	if p.size.keepBox.Visible() {
		t.Error("a mat can be kept that was not measured")
	}
	fillIn(p.size.spans[0].squares, "12")
	fillIn(p.size.spans[0].length, "305.3")
	b.settle()
	if !p.size.keepBox.Visible() {
		t.Fatal("the measured mat cannot be kept")
	}
	test.Tap(p.size.keep)
	if store.kept != "" || b.strip.text.Text != tr.square.needName {
		t.Error("a mat without a name was kept")
	}
	p.size.keepName.SetText(" bench ")
	test.Tap(p.size.keep)
	if store.kept != "bench" || len(p.size.choice.Options) != 3 {
		t.Errorf("kept %q, to choose from %v", store.kept, p.size.choice.Options)
	}
	store.fail = errors.New("the disk is full")
	p.size.keepName.SetText("again")
	test.Tap(p.size.keep)
	if b.strip.text.Text != "The disk is full." {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
}

func TestThickPiecesAskForTheCameraOnlyWhenNeeded(t *testing.T) {
	b, p := onStage(t)
	p.raised.fold.open(true)
	if p.raised.cameraBox.Visible() {
		t.Error("the camera's height is asked for at once")
	}
	fillIn(p.raised.thickness, "a lot")
	if !strings.Contains(b.strip.text.Text, `"a lot"`) {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
	fillIn(p.raised.thickness, "10 mm")
	b.settle()
	if !strings.Contains(b.strip.text.Text, "camera's height above the mat") || len(b.ways()) != 1 {
		t.Fatalf("the strip says %q", b.strip.text.Text)
	}
	test.Tap(b.ways()[0])
	if b.win.Canvas().Focused() != fyne.Focusable(p.raised.camera) {
		t.Fatal("the way out does not lead to the camera's height")
	}
	fillIn(p.raised.camera, "60 cm")
	b.settle()
	q := b.s.Document().Squared
	if q.Raised != (rectify.Raised{ThicknessMM: 10, CameraHeightMM: 600}) || q.Pose == nil || b.s.Stale() {
		t.Errorf("squared up with %+v", q.Raised)
	}
	if !p.raised.cost.Visible() || !strings.Contains(p.raised.cost.Text, "± ") {
		t.Errorf("what it costs: %q", p.raised.cost.Text)
	}
	if p.raised.fold.note.Text != "10 mm thick" {
		t.Errorf("the closed group says %q", p.raised.fold.note.Text)
	}
	fillIn(p.raised.thickness, "0")
	b.settle()
	if b.s.Document().Squared.Pose != nil || p.raised.thickness.Text != "" {
		t.Error("nought is not flat")
	}
}

func TestSheetByMouseAndKeys(t *testing.T) {
	b := failed(t)
	test.Tap(b.ways()[1])
	p := b.squarePanel()
	if b.editor.tool != toolSheet || !p.sheet.box.Visible() || p.usual.Visible() {
		t.Fatal("the way out does not lead to the sheet")
	}
	p.sheet.choice.SetSelected("A4")
	if !p.sheet.solve.Disabled() {
		t.Error("squaring up is offered without corners")
	}
	truth := b.job.Model()
	for _, q := range [][2]float64{{2, 5}, {299, 5}, {299, 215}, {2, 215}} {
		d := b.editor.view().ToDevice(view.Point(truth.ToPhoto(mat.Point{X: q[0], Y: q[1]})))
		b.click(fyne.NewPos(float32(d.X), float32(d.Y)))
	}
	b.capture()
	if s := b.s.Document().Sheet; len(s.Corners) != 4 || s.WidthMM != 297 || !strings.HasPrefix(p.sheet.sides.Text, "Side 1–2 is 297 mm") {
		t.Fatalf("%+v, %q", s, p.sheet.sides.Text)
	}
	at := b.s.Document().Sheet.Corners[3]
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	if c := b.s.Document().Sheet.Corners[3]; c.X != at.X+1 || c.Y != at.Y {
		t.Errorf("an arrow moved the corner from %v to %v", at, c)
	}
	b.editor.endGesture()
	b.doUndo()
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	b.settle()
	if d := b.s.Document(); d.Squared == nil || d.SolvedBy != session.BySheet || len(d.Pattern.Pieces) != 4 {
		t.Fatalf("Enter did not square up from the sheet: %q", b.strip.text.Text)
	}
	// The shield's upper side is 100 mm, clicked to a device pixel.
	if e, ok := b.s.Shapes().Edge("A1"); !ok || math.Abs(e.LengthMM-100) > 0.6 {
		t.Errorf("100 mm came out as %v", e.LengthMM)
	}
}

func TestOwnSizeOfASheet(t *testing.T) {
	b, p := onStage(t)
	b.typed("d")
	p.sheet.choice.SetSelected(tr.square.sheetOwn)
	if !p.sheet.own.Visible() {
		t.Fatal("nowhere to type a size")
	}
	fillIn(p.sheet.width, "30 cm")
	fillIn(p.sheet.height, "8 in")
	if s := b.s.Document().Sheet; s.WidthMM != 300 || math.Abs(s.HeightMM-203.2) > 1e-9 || s.Name != "" {
		t.Errorf("%+v", s)
	}
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	if b.runner.busy() || !strings.HasPrefix(b.strip.text.Text, "The sheet needs") {
		t.Errorf("without corners the strip says %q", b.strip.text.Text)
	}
}

func TestNudgesAreAPixelOrATenth(t *testing.T) {
	b := failed(t)
	b.typed("c")
	b.click(b.crossing(2, 2))
	at := b.s.Document().Corners[0].At
	b.arrow(fyne.KeyRight, 0)
	b.arrow(fyne.KeyUp, fyne.KeyModifierShift)
	if c := b.s.Document().Corners[0].At; math.Abs(c.X-at.X-1) > 1e-9 || math.Abs(at.Y-c.Y-0.1) > 1e-9 {
		t.Errorf("nudged from %v to %v", at, c)
	}
	if !b.editor.nudged {
		t.Error("the magnifier does not stay with the corner")
	}
}

func TestNeedlesAndShadeBySwitchAndKey(t *testing.T) {
	b, p := onStage(t)
	end := b.seen(12*practice.PitchMM, 8.6*practice.PitchMM)
	right := end.AddXY(14, 0)
	b.capture()
	if b.has(right, 6, b.pal.wrong, 30) {
		t.Fatal("needles from the start")
	}
	b.typed("r")
	b.capture()
	if !b.editor.needles || !b.has(right, 6, b.pal.wrong, 30) {
		t.Error("no needle at the curled end of the last column")
	}
	if !p.show.needles.Checked {
		t.Error("the switch does not know")
	}
	b.typed("x")
	if b.editor.exaggerated != 200 || p.show.times[2].Importance != widget.HighImportance {
		t.Errorf("x gave × %v", b.editor.exaggerated)
	}
	b.typed("xr")
	if b.editor.exaggerated != 50 || b.editor.needles {
		t.Error("r does not switch needles off")
	}
	corner := fyne.NewPos(4, float32(b.editor.h)/2)
	b.typed("a")
	b.capture()
	plain := b.editor.back
	shaded := append([]byte(nil), plain.Pix...)
	b.typed("a")
	b.capture()
	same := 0
	for i := 0; i < len(shaded); i += 4 {
		if shaded[i] == b.editor.back.Pix[i] && shaded[i+1] == b.editor.back.Pix[i+1] {
			same++
		}
	}
	if part := float64(same) / float64(len(shaded)/4); part < 0.3 || part > 0.98 {
		t.Errorf("%.0f %% of the picture is not shaded; %v", 100*part, corner)
	}
}

// The shading says what the status line says.
func TestShadeAgreesWithTheStatusLine(t *testing.T) {
	b := ready(t)
	b.capture()
	before := append([]byte(nil), b.editor.back.Pix...)
	b.typed("a")
	b.capture()
	for _, m := range []mat.Point{{X: 150, Y: 110}, {X: 20, Y: 20}, {X: -60, Y: 110}, {X: 370, Y: 100}, {X: 150, Y: -30}} {
		p := b.seen(m.X, m.Y)
		if p.X < 2 || p.Y < 2 || int(p.X) > b.editor.w-2 || int(p.Y) > b.editor.h-2 {
			continue
		}
		mm, _ := b.s.PlusMinusAt(m)
		i := b.editor.back.PixOffset(int(p.X), int(p.Y))
		changed := before[i] != b.editor.back.Pix[i] || before[i+1] != b.editor.back.Pix[i+1]
		if clear := mm < sureLevelsMM[0]; changed == clear && math.Abs(mm-sureLevelsMM[0]) > 0.005 {
			t.Errorf("at %v, ± %.3f mm: shaded %v", m, mm, changed)
		}
	}
}

func TestTheLegendNamesEveryBand(t *testing.T) {
	b := ready(t)
	b.typed("ar")
	rows := b.editor.legend()
	if len(rows) != len(sureLevelsMM)+3 || rows[0].text != "± below 0.05 mm" || rows[4].text != "± above 0.5 mm" {
		t.Errorf("%d rows, %q to %q", len(rows), rows[0].text, rows[4].text)
	}
	b.typed("c")
	if len(b.editor.legend()) != 0 {
		t.Error("a legend while corners are placed")
	}
}
