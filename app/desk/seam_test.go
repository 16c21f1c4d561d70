package desk

import (
	"math"
	"regexp"
	"testing"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// marking is a bench at the rung Mark up.
func marking(t *testing.T) (*bench, *markPanel) {
	t.Helper()
	b := ready(t)
	b.goTo(session.StageMarkUp)
	p, ok := b.panels[session.StageMarkUp].(*markPanel)
	if !ok {
		t.Fatal("the rung Mark up has another panel")
	}
	return b, p
}

func (b *bench) enter(f *field, text string) {
	f.FocusGained()
	f.SetText(text)
	f.FocusLost()
}

func TestPairingByKeyAndClick(t *testing.T) {
	b, p := marking(t)
	b.click(b.seen(130, 40))
	b.typed("j")
	if b.pairing != "A2" || !b.strip.shown() {
		t.Fatalf("pairing %q, strip shown: %v", b.pairing, b.strip.shown())
	}
	b.click(b.seen(215, 130))
	m, ok := b.s.SelectedSeam()
	if !ok || m.A[0].Edge != "A2" || m.B[0].Edge != "B3" || !m.B[0].Reversed {
		t.Fatalf("the seam is %+v", m)
	}
	if e, _ := b.s.SelectedEdge(); e.ID != "A2" || b.pairing != "" {
		t.Errorf("selected is %q, still pairing %q", e.ID, b.pairing)
	}
	if got := p.seam.head.Text; got != "Seam s1: A2 · B3" {
		t.Errorf("the head says %q", got)
	}
	if got := b.markNumber(); got != "1 seam, 0 cuts" {
		t.Errorf("the rung says %q", got)
	}
	b.doUndo()
	if _, ok := b.s.SelectedSeam(); ok {
		t.Error("undone, the seam is still there")
	}
}

func TestEscapeStopsPairing(t *testing.T) {
	b, _ := marking(t)
	b.click(b.seen(130, 40))
	b.typed("j")
	b.escape()
	b.click(b.seen(215, 130))
	if len(b.s.Document().Pattern.Seams) != 0 {
		t.Error("a click after Esc made a seam")
	}
}

// boxCorner pairs A2 and B3 in sheets of 10 mm.
func boxCorner(t *testing.T) (*bench, *markPanel) {
	t.Helper()
	b, p := marking(t)
	b.s.SetThicknessOfAll(10)
	b.s.SelectEdge("A2")
	if _, err := b.s.Pair("A2", "B3"); err != nil {
		t.Fatal(err)
	}
	b.changed()
	return b, p
}

// The section follows what is typed before it is entered, and only Enter
// changes the pattern.
func TestSectionFollowsTyping(t *testing.T) {
	b, p := boxCorner(t)
	b.typed("b")
	before := b.s.Version()
	p.angle.FocusGained()
	p.angle.SetText("20")
	if got := p.seam.joint.joint.InteriorDeg; math.Abs(got-160) > 1e-9 {
		t.Errorf("at 20° typed, the section shows %.1f° inside", got)
	}
	if b.s.Version() != before {
		t.Error("typing alone changed the pattern")
	}
	p.angle.FocusLost()
	if e, _ := b.s.SelectedEdge(); e.Cut.AngleDeg != 20 {
		t.Errorf("entered, the cut is %+v", e.Cut)
	}
	p.seam.want.FocusGained()
	p.seam.want.SetText("116.565")
	if got := p.seam.joint.joint.InteriorDeg; math.Abs(got-116.565) > 1e-9 {
		t.Errorf("116.565° wanted, the section shows %.3f°", got)
	}
	p.seam.want.FocusLost()
	if e, _ := b.s.SelectedEdge(); math.Abs(e.Cut.AngleDeg-31.7175) > 1e-4 {
		t.Errorf("the dodecahedron's bevel is %.4f°, not 31.7175°", e.Cut.AngleDeg)
	}
}

func TestGapsAreTold(t *testing.T) {
	for name, c := range map[string]struct {
		joint pattern.Joint
		want  string
	}{
		"closed":  {pattern.Joint{}, ""},
		"overlap": {pattern.Joint{WedgeDeg: 25, GapMM: 3.14}, "3.1 mm too much (hatched)"},
		"gap":     {pattern.Joint{WedgeDeg: -15, GapMM: 1.8}, "gapes 1.8 mm (dotted)"},
		"step":    {pattern.Joint{StepMM: -7.07}, "a step of 7.1 mm inside"},
	} {
		if got := gapWords(c.joint, units.Millimetres); got != c.want {
			t.Errorf("%s: %q", name, got)
		}
	}
}

func TestGapAndOverlapAreDrawn(t *testing.T) {
	_, p := boxCorner(t)
	for name, deg := range map[string]float64{"overlap": 20, "gap": 60} {
		j, err := pattern.JointOf(
			pattern.SheetEnd{Cut: pattern.Cut{Kind: pattern.Bevel, AngleDeg: deg}, ThicknessMM: 10},
			pattern.SheetEnd{Cut: pattern.Cut{Kind: pattern.Bevel, AngleDeg: 45}, ThicknessMM: 10}, 90, 30)
		if err != nil {
			t.Fatal(err)
		}
		v := p.seam.joint
		v.show(j, true, lightPalette(), units.Millimetres)
		v.text = nil
		img := v.paint(276, jointHeight)
		n := 0
		for y := 30; y < jointHeight-24; y++ {
			for x := range 276 {
				r, g, bl, _ := img.At(x, y).RGBA()
				needs := v.pal.needs
				if abs(int(r>>8)-int(needs.R))+abs(int(g>>8)-int(needs.G))+abs(int(bl>>8)-int(needs.B)) < 40 {
					n++
				}
			}
		}
		if n < 8 {
			t.Errorf("%s: %d px are marked", name, n)
		}
	}
}

func abs(x int) int { return max(x, -x) }

// signed is how a reversed edge is no longer written.
var signed = regexp.MustCompile(`-[A-Z]+[0-9]`)

func TestFindingsCarryMends(t *testing.T) {
	b, _ := boxCorner(t)
	b.goTo(session.StageCheck)
	for _, f := range b.s.Findings() {
		if text := b.findingText(f); signed.MatchString(text) || len(text) == 0 {
			t.Errorf("a finding says %q", text)
		}
		if f.Mend.Kind == pattern.CopyMarks {
			b.mend(f)
		}
	}
	m, err := b.s.Measure("s1")
	if err != nil || len(m.Joints) != 1 {
		t.Fatalf("%d marks meet, %v", len(m.Joints), err)
	}
	b.doUndo()
	if m, err = b.s.Measure("s1"); err != nil || len(m.Joints) != 0 {
		t.Errorf("undone, %d marks meet, %v", len(m.Joints), err)
	}
}

// A limit takes its finding away, "off" all of its kind, and undo brings it
// back.
func TestLimits(t *testing.T) {
	b, _ := boxCorner(t)
	b.goTo(session.StageCheck)
	p, ok := b.panels[session.StageCheck].(*checkPanel)
	if !ok {
		t.Fatal("the rung Check has another panel")
	}
	lengths := func() (n int) {
		for _, f := range pattern.Check(b.s.Document().Pattern) {
			if f.Kind == pattern.SeamLength {
				n++
			}
		}
		return n
	}
	if lengths() != 1 {
		t.Fatalf("%d findings of length", lengths())
	}
	seam := p.limits.limits[0].input
	for _, text := range []string{"60 mm", "off"} {
		b.enter(seam, text)
		if lengths() != 0 {
			t.Errorf("limit %q: still found", text)
		}
	}
	if got := b.s.Document().Pattern.Limits.SeamMM; got >= 0 || seam.Text != "off" {
		t.Errorf("off is kept as %g and shown as %q", got, seam.Text)
	}
	b.doUndo()
	b.doUndo()
	if lengths() != 1 || seam.Text != "" {
		t.Errorf("undone: %d found, shown %q", lengths(), seam.Text)
	}
	before := b.s.Version()
	b.enter(seam, "wide")
	if b.s.Version() != before || !b.strip.shown() {
		t.Error("nonsense was taken as a limit")
	}
}

func TestMoreOfAnEdge(t *testing.T) {
	b, p := marking(t)
	b.s.SelectEdge("A4")
	b.s.SetThicknessOfAll(10)
	b.typed("b")
	b.enter(p.edgeMore.toEnd, "-20")
	b.enter(p.edgeMore.width, "8 mm")
	p.edgeMore.corner.SetSelected(p.edgeMore.corner.Options[2])
	e, _ := b.s.SelectedEdge()
	if !e.Cut.Varies || e.Cut.ToDeg != -20 || e.Allowance != (pattern.Allowance{WidthMM: 8, Corner: pattern.Folded}) {
		t.Errorf("the edge is %+v", e)
	}
	b.typed("2")
	if e, _ = b.s.SelectedEdge(); !e.Cut.Varies || e.Cut.AngleDeg != 30 {
		t.Errorf("another angle made the cut %+v", e.Cut)
	}
	b.enter(p.edgeMore.width, "")
	if e, _ = b.s.SelectedEdge(); e.Allowance.WidthMM != 0 {
		t.Errorf("the allowance is still %+v", e.Allowance)
	}
	b.doUndo()
	if e, _ = b.s.SelectedEdge(); e.Allowance.WidthMM != 8 {
		t.Errorf("undone, the allowance is %+v", e.Allowance)
	}
}

func TestDivideAndJoin(t *testing.T) {
	b, _ := marking(t)
	b.typed("i")
	if !b.strip.shown() {
		t.Error("nothing was said of a place for the break")
	}
	edges := func() int { return len(b.s.Document().Pattern.Pieces[0].Edges) }
	before := edges()
	b.click(b.seen(130, 40))
	b.typed("i")
	if edges() != before+1 {
		t.Fatalf("%d edges after I", edges())
	}
	b.s.SelectEdge("A2")
	b.typed("w")
	if e, _ := b.s.SelectedEdge(); edges() != before || math.Abs(edgeLength(b, e.ID)-45) > 0.05 {
		t.Errorf("%d edges after W, A2 is %.2f mm", edges(), edgeLength(b, e.ID))
	}
}

func edgeLength(b *bench, id string) float64 {
	d, _ := b.s.Shapes().Edge(id)
	return d.LengthMM
}

func TestMoreOfAPiece(t *testing.T) {
	b, p := marking(t)
	b.s.SelectPiece("A")
	b.changed()
	p.pieceMore.faces[1].OnTapped()
	p.pieceMore.mirrored.SetChecked(true)
	b.enter(p.pieceMore.material, "black foam")
	b.enter(p.pieceMore.note, "grain upwards")
	if q, _ := b.s.SelectedPiece(); q.Face != pattern.Back || !q.Mirrored || q.Material != "black foam" || q.Note != "grain upwards" {
		t.Errorf("the piece is %v, %v, %q, %q", q.Face, q.Mirrored, q.Material, q.Note)
	}
	for range 4 {
		b.doUndo()
	}
	if q, _ := b.s.SelectedPiece(); q.Face != pattern.Front || q.Mirrored || q.Material != "" || p.pieceMore.note.Text != "" {
		t.Errorf("undone, the piece is %+v", q)
	}
}

func TestSizeOfThePattern(t *testing.T) {
	for text, want := range map[string]float64{"104 %": 1.04, "104,5 %": 1.045, "1,500 %": 1, "1,040%": 1, "20000 %": 1, "46.8 mm": 1.04, "wide": 1, "0.5%": 1} {
		b, p := marking(t)
		b.s.SelectEdge("A2")
		before := edgeLength(b, "A2")
		b.changed()
		b.enter(p.size.size, text)
		if got := edgeLength(b, "A2") / before; math.Abs(got-want) > 1e-3 {
			t.Errorf("%q made it %.4f times as large", text, got)
		}
		if !b.strip.shown() {
			t.Errorf("%q: nothing was said", text)
		}
	}
}

func TestLineWork(t *testing.T) {
	b, p := marking(t)
	b.click(b.seen(80, 80))
	if b.s.LineNumber() != 0 || !p.line.box.Visible() {
		t.Fatalf("line %d is selected", b.s.LineNumber())
	}
	p.line.choose(pattern.Groove)
	if !b.strip.shown() {
		t.Error("a groove in a sheet without thickness was taken")
	}
	b.s.SetThicknessOfAll(10)
	p.line.choose(pattern.Groove)
	b.enter(p.line.bend, "90")
	b.enter(p.line.depth, "9 mm")
	_, l, ok := b.s.SelectedLine()
	if !ok || l.Work != (pattern.LineWork{Kind: pattern.Groove, DepthMM: 9, BendDeg: 90}) {
		t.Errorf("the work is %+v", l.Work)
	}
	if got := p.line.gives.Text; got != "Cut the V from the back, 45° either side of square, 18.0 mm wide." {
		t.Errorf("it says %q", got)
	}
	b.enter(p.line.depth, "12 mm")
	if _, l, _ = b.s.SelectedLine(); l.Work.DepthMM != 9 {
		t.Errorf("a groove %g mm deep was taken in 10 mm", l.Work.DepthMM)
	}
	for range 3 {
		b.doUndo()
	}
	if _, l, _ = b.s.SelectedLine(); l.Work.Kind != pattern.Drawn {
		t.Errorf("undone, the work is %+v", l.Work)
	}
}

func TestProposalsAreAnsweredOneByOne(t *testing.T) {
	b, p := marking(t)
	n := len(b.s.Proposals())
	if n < 2 {
		t.Fatalf("%d proposals", n)
	}
	first, _ := p.mates.chosen()
	p.mates.step(1)
	second, _ := p.mates.chosen()
	if pairs := [2]string{first.A[0].Edge, second.A[0].Edge}; pairs[0] == pairs[1] || !b.editor.offered[pairs[1]] {
		t.Errorf("stepped from %s to %s, shown %v", pairs[0], pairs[1], b.editor.offered)
	}
	p.mates.answer(func(m pattern.Proposal) error { b.s.Dismiss(m); return nil })
	for _, m := range b.s.Proposals() {
		if m.A[0].Edge == second.A[0].Edge && m.B[0].Edge == second.B[0].Edge {
			t.Error("the pair that was refused is offered again")
		}
	}
	if got := len(b.s.Document().Pattern.Seams); got != 0 {
		t.Errorf("%d seams without a yes", got)
	}
	third, _ := p.mates.chosen()
	p.mates.answer(b.s.Accept)
	doc := b.s.Document()
	if m, ok := doc.Pattern.SeamOf(third.A[0].Edge); !ok || m.B[0].Edge != third.B[0].Edge {
		t.Errorf("joined is %+v", m)
	}
}
