package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// Check returns everything that should be looked at before cutting, the
// gravest first: what Validate finds, and what the trade's rules and the
// pattern's limits have against it.
func Check(p Pattern) []Finding {
	c := checker{p: &p, limits: p.Limits.whole(), found: Validate(p), darts: map[string]bool{}}
	c.offers()
	if !slices.ContainsFunc(c.found, Finding.structural) {
		for i := range p.Seams {
			c.seam(&p.Seams[i])
		}
		for i := range p.Pieces {
			c.piece(&p.Pieces[i])
		}
		c.unpaired()
		c.pointAngles()
	}
	c.names()
	c.tapes()
	slices.SortStableFunc(c.found, func(a, b Finding) int { return int(b.Severity) - int(a.Severity) })
	return c.found
}

// structural tells of a finding that the pattern's edges and outlines cannot be
// relied on, so that nothing can be measured along them. What is only said
// wrongly of a piece, like a missing thickness, hides no other finding.
func (f Finding) structural() bool {
	if f.Kind != Faulty {
		return false
	}
	switch f.Mend.Kind {
	case GiveThickness, CutStraight, CutOne, ShowFront, MarkToOutline, DropOpening:
		return false
	}
	return true
}

type checker struct {
	p      *Pattern
	limits Limits
	found  []Finding
	// sure is what surePairs returns, nil until asked for.
	sure map[string]Mend
	// darts are the edges of darts that no seam closes, which are findings of
	// their own.
	darts map[string]bool
}

func (c *checker) add(f Finding) { c.found = append(c.found, f) }

// seam holds a seam to the limits.
func (c *checker) seam(s *Seam) {
	m, err := c.p.MeasureSeam(s.ID)
	if err != nil {
		// The other face cannot be made: Validate has said so.
		return
	}
	c.seamLength(s, m)
	c.seamMarks(s, m)
	c.bareSeam(s, m)
	c.eitherWay(s, m)
	c.seamAngle(s, m)
	c.dart(s)
}

// on reports whether a limit is in force.
func on(limit float64) bool { return limit >= 0 }

func (c *checker) seamLength(s *Seam, m SeamMeasure) {
	d := m.DifferenceMM()
	if !on(c.limits.SeamMM) || math.Abs(d) <= c.limits.SeamMM || math.Abs(m.Part()) <= c.limits.SeamPart {
		return
	}
	longer, shorter := s.B, s.A
	if d < 0 {
		longer, shorter = s.A, s.B
	}
	at, where := m.A.Start, ""
	if t, ok := m.WorstStretch(); ok && len(m.Stretches) > 1 {
		where = fmt.Sprintf(" %s %s.", m.Arises(), s.A.Words())
		if q, err := c.place(s.A, (t.AFromMM+t.AToMM)/2); err == nil {
			at = q
		}
	}
	severity := Warning
	if math.Abs(m.Part()) > 0.05 {
		severity = Fault
	}
	c.add(Finding{
		Kind: SeamLength, Severity: severity, Seam: s.ID, Edge: longer[0].Edge, At: at, AmountMM: d,
		Text: fmt.Sprintf("In seam %s, %s %s %.1f mm (%.1f %%) longer than %s.%s Even the sides out, ease the longer one in, or trace it again.",
			s.ID, longer.Words(), areOrIs(len(longer)), math.Abs(d), 100*math.Abs(m.Part()), shorter.Words(), where),
		Mend: evenMend(s.ID, m),
	})
}

// evenMend offers to even the sides out while the difference may be an
// inaccuracy, and to take the seam apart when it is none.
func evenMend(seam string, m SeamMeasure) Mend {
	if math.Abs(m.Part()) > mostEvened {
		return Mend{Kind: TakeApart, Seam: seam}
	}
	return Mend{Kind: EvenSides, Seam: seam}
}

// place returns the point of a side at a length along it, on the shown face.
func (c *checker) place(run Run, alongMM float64) (mat.Point, error) {
	for i, r := range run {
		path, err := c.p.EdgeRun(r)
		if err != nil {
			return mat.Point{}, err
		}
		if l := path.Length(); alongMM > l && i < len(run)-1 {
			alongMM -= l
			continue
		}
		return path.PointAtLength(alongMM)
	}
	return mat.Point{}, fmt.Errorf("an empty side")
}

func (c *checker) seamMarks(s *Seam, m SeamMeasure) {
	if !on(c.limits.MarkMM) {
		return
	}
	for _, side := range []struct {
		m     SideMeasure
		run   Run
		other Run
		fromB bool
	}{{m.A, s.A, s.B, false}, {m.B, s.B, s.A, true}} {
		if n := len(side.m.Alone); n > 0 {
			first := side.m.Marks[side.m.Alone[0]]
			c.add(Finding{
				Kind: SeamMarks, Severity: Warning, Seam: s.ID, Edge: side.run[0].Edge, Piece: first.PieceID, At: first.At, AmountMM: first.AlongMM,
				Text: fmt.Sprintf("In seam %s, %s no partner on %s: the first, %.1f mm along. Copy the marks over, or remove them.",
					s.ID, marksHave(n, side.run), side.other.Words(), first.AlongMM),
				Mend: Mend{Kind: CopyMarks, Seam: s.ID, FromB: side.fromB},
			})
		}
	}
	worst, at := 0.0, -1
	for i, j := range m.Joints {
		// A difference in length that is eased in evenly moves marks along.
		eased := m.A.Marks[j.A].AlongMM * m.Part()
		if d := math.Abs(j.OffMM - eased); d > worst {
			worst, at = d, i
		}
	}
	if at < 0 || worst <= c.limits.MarkMM {
		return
	}
	j := m.Joints[at]
	mark := m.B.Marks[j.B]
	c.add(Finding{
		Kind: SeamMarks, Severity: Warning, Seam: s.ID, Piece: mark.PieceID, Edge: s.B[0].Edge, At: mark.At, AmountMM: worst,
		Text: fmt.Sprintf("In seam %s, the mark %.1f mm along %s and the one %.1f mm along %s do not meet: %.1f mm apart. Move one, or set new marks on both sides.",
			s.ID, m.A.Marks[j.A].AlongMM, s.A.Words(), mark.AlongMM, s.B.Words(), worst),
		Mend: Mend{Kind: SetMarks, Seam: s.ID, SpacingMM: c.spacing()},
	})
}

func marksHave(n int, on Run) string {
	if n == 1 {
		return "one mark on " + on.Words() + " has"
	}
	return fmt.Sprintf("%d marks on %s have", n, on.Words())
}

// spacing is the distance of marks that the program proposes.
func (c *checker) spacing() float64 {
	if c.limits.BareSeamMM > 0 {
		return math.Round(max(c.limits.BareSeamMM/2, leastSpacingMM))
	}
	return 60
}

func (c *checker) bareSeam(s *Seam, m SeamMeasure) {
	long := max(m.A.LengthMM, m.B.LengthMM)
	if !on(c.limits.BareSeamMM) || long < c.limits.BareSeamMM || len(m.A.Marks)+len(m.B.Marks) > 0 {
		return
	}
	at, err := c.place(s.A, m.A.LengthMM/2)
	if err != nil {
		at = m.A.Start
	}
	c.add(Finding{
		Kind: BareSeam, Severity: Warning, Seam: s.ID, Edge: s.A[0].Edge, At: at, AmountMM: long,
		Text: fmt.Sprintf("Seam %s is %.0f mm long and has no registration mark. Set marks, so that it does not creep while it is glued.", s.ID, long),
		Mend: Mend{Kind: SetMarks, Seam: s.ID, SpacingMM: c.spacing()},
	})
}

// seamAngle compares the joint that the cuts give with what is possible and
// what is wanted.
func (c *checker) seamAngle(s *Seam, m SeamMeasure) {
	a, ka, err1 := c.p.FindEdge(s.A[0].Edge)
	b, kb, err2 := c.p.FindEdge(s.B[0].Edge)
	if err1 != nil || err2 != nil || a.ThicknessMM == 0 || b.ThicknessMM == 0 {
		return
	}
	j, err := JointOf(SheetEnd{a.Edges[ka].Cut, a.ThicknessMM}, SheetEnd{b.Edges[kb].Cut, b.ThicknessMM}, 0, 1)
	if err != nil {
		return
	}
	f := Finding{Kind: SeamAngle, Severity: Warning, Seam: s.ID, Edge: s.A[0].Edge, At: m.A.Start}
	switch {
	case on(c.limits.AngleDeg) && s.WantDeg > 0 && math.Abs(j.InteriorDeg-s.WantDeg) > c.limits.AngleDeg:
		f.AmountDeg = j.InteriorDeg - s.WantDeg
		f.Text = fmt.Sprintf("The cuts of seam %s give %.1f° inside, but %.1f° is wanted. Share the turn between both edges.", s.ID, j.InteriorDeg, s.WantDeg)
		c.addTurn(s, f, s.WantDeg)
	case on(c.limits.LeastDeg) && j.InteriorDeg < c.limits.LeastDeg:
		f.AmountDeg = j.InteriorDeg
		f.Text = fmt.Sprintf("The bevels of seam %s add up to a corner of only %.1f° inside: too sharp to glue. Cut at smaller angles.", s.ID, j.InteriorDeg)
		c.addTurn(s, f, c.limits.LeastDeg)
	case on(c.limits.MostDeg) && j.InteriorDeg > c.limits.MostDeg:
		f.AmountDeg = j.InteriorDeg
		f.Text = fmt.Sprintf("The undercuts of seam %s open it to %.1f° inside. Cut at smaller angles.", s.ID, j.InteriorDeg)
		c.addTurn(s, f, c.limits.MostDeg)
	}
	c.seamStep(s, f, j)
}

// addTurn adds a finding about a seam's angle with the mend that gives it
// another; unequal sheets that cannot be cut for it are offered one thickness.
func (c *checker) addTurn(s *Seam, f Finding, wantDeg float64) {
	why := ""
	if f.Mend, why = c.shareMend(s, wantDeg); why != "" {
		level := c.levelMends(s, wantDeg)
		f.Mend, f.Other = level[0], level[1]
	}
	f.Text += why
	c.add(f)
}

// seamStep reports cut surfaces of unequal width, with the mend where there is
// one.
func (c *checker) seamStep(s *Seam, f Finding, j Joint) {
	if !on(c.limits.SeamMM) || math.Abs(j.StepMM) <= c.limits.SeamMM {
		return
	}
	f.Kind, f.Severity, f.AmountMM, f.AmountDeg, f.Mend = SeamStep, Note, j.StepMM, 0, Mend{}
	f.Text = fmt.Sprintf("In seam %s the cut surfaces are %.1f mm unequal in width, so the inner faces do not meet.", s.ID, math.Abs(j.StepMM))
	t1, t2 := c.p.thicknesses(s)
	if t1 != t2 && math.Abs(j.InteriorDeg-180) < flatDeg {
		f.Text += fmt.Sprintf(" Sheets of %g and %g mm that lie flat keep a step of %.1f mm whatever their cuts: use one thickness, or expect the step inside.",
			t1, t2, math.Abs(t2-t1))
		level := c.levelMends(s, 0)
		f.Mend, f.Other = level[0], level[1]
		c.add(f)
		return
	}
	why := ""
	if f.Mend, why = c.shareMend(s, j.InteriorDeg); why == "" {
		why = " Share the turn between both edges, or expect a step inside."
	} else {
		level := c.levelMends(s, j.InteriorDeg)
		f.Mend, f.Other = level[0], level[1]
	}
	f.Text += why
	c.add(f)
}

// dart measures how wide a seam within one piece gapes, from side to side at
// its open end, when both sides spring from one corner.
func (c *checker) dart(s *Seam) {
	if !on(c.limits.DartMM) {
		return
	}
	ends, ok := c.p.dartMouth(s)
	if !ok {
		return
	}
	open := math.Hypot(ends[1].X-ends[0].X, ends[1].Y-ends[0].Y)
	if open <= c.limits.DartMM {
		return
	}
	share := Mend{Kind: ShareTheDart, Seam: s.ID}
	if trial := c.p.clone(); trial.apply(share) != nil {
		share = Mend{Kind: TakeApart, Seam: s.ID}
	}
	c.add(Finding{
		Kind: WideDart, Severity: Note, Seam: s.ID, Edge: s.A[0].Edge,
		At:       mat.Point{X: (ends[0].X + ends[1].X) / 2, Y: (ends[0].Y + ends[1].Y) / 2},
		AmountMM: open,
		Text:     fmt.Sprintf("The dart of seam %s opens %.0f mm wide. Shared between two darts it makes a rounder form.", s.ID, open),
		Mend:     share,
	})
}

// dartMouth returns the open ends of a dart: of a seam within one piece whose
// sides touch at the other end.
func (p *Pattern) dartMouth(s *Seam) ([2]mat.Point, bool) {
	q, _, err := p.FindEdge(s.A[0].Edge)
	if err != nil || q.edgeIndex(s.B[0].Edge) < 0 {
		return [2]mat.Point{}, false
	}
	a, err1 := p.sideEnds(s.A)
	b, err2 := p.sideEnds(s.B)
	if err1 != nil || err2 != nil {
		return [2]mat.Point{}, false
	}
	const touchMM = 0.5
	switch {
	case math.Hypot(a[0].X-b[0].X, a[0].Y-b[0].Y) < touchMM:
		return [2]mat.Point{a[1], b[1]}, true
	case math.Hypot(a[1].X-b[1].X, a[1].Y-b[1].Y) < touchMM:
		return [2]mat.Point{a[0], b[0]}, true
	}
	return [2]mat.Point{}, false
}

func (p *Pattern) sideEnds(run Run) (ends [2]mat.Point, err error) {
	if len(run) == 0 {
		return ends, fmt.Errorf("an empty side")
	}
	first, err := p.EdgeRun(run[0])
	if err != nil {
		return ends, err
	}
	last, err := p.EdgeRun(run[len(run)-1])
	if err != nil {
		return ends, err
	}
	return [2]mat.Point{first.Segments[0].P0, last.Segments[len(last.Segments)-1].P3}, nil
}
