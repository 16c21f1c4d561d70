package pattern

import (
	"fmt"
	"math"
	"strings"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

func (c *checker) piece(p *Piece) {
	c.tight(p)
	c.large(p)
	c.allowances(p)
	c.outline(p)
	for id := range c.openDarts(p) {
		c.darts[id] = true
	}
}

// tight looks for leaning cuts round bends that a blade in a thick sheet
// cannot follow.
func (c *checker) tight(p *Piece) {
	if !on(c.limits.RadiusThicknesses) || p.ThicknessMM == 0 {
		return
	}
	least := c.limits.RadiusThicknesses * p.ThicknessMM
	for k, e := range p.Edges {
		if e.Cut.Kind == Straight && !e.Cut.Varies {
			continue
		}
		radius, at := tightest(p.EdgePath(k))
		if radius >= least {
			continue
		}
		c.add(Finding{
			Kind: TooTight, Severity: Note, Piece: p.ID, Edge: e.ID, At: at, AmountMM: radius,
			Text: fmt.Sprintf("Edge %s is cut aslant round a bend of %.0f mm radius, tighter than the %.0f mm that a blade follows in %g mm sheet. Cut it in short steps, or straight.",
				e.ID, radius, least, p.ThicknessMM),
			Mend: Mend{Kind: CutStraight, Edge: e.ID},
		})
	}
}

// tightest returns the smallest radius of curvature that a path keeps up over
// a few millimetres, and where.
func tightest(path curve.Path) (radiusMM float64, at mat.Point) {
	const stepMM, overMM = 1.0, 5.0
	length := path.Length()
	n := int(length / stepMM)
	if n < int(overMM/stepMM) {
		return math.Inf(1), mat.Point{}
	}
	bend := make([]float64, n)
	place := make([]mat.Point, n)
	for k := range bend {
		pos, err := path.PositionAt((float64(k) + 0.5) * length / float64(n))
		if err != nil {
			return math.Inf(1), mat.Point{}
		}
		s := path.Segments[pos.Segment]
		bend[k], place[k] = s.Curvature(pos.T), s.Eval(pos.T)
	}
	w := int(overMM / stepMM)
	radiusMM = math.Inf(1)
	for k := 0; k+w <= n; k++ {
		sum := 0.0
		for _, v := range bend[k : k+w] {
			sum += v
		}
		if r := float64(w) / math.Abs(sum); r < radiusMM {
			radiusMM, at = r, place[k+w/2]
		}
	}
	return radiusMM, at
}

// unpaired lists edges that are in no seam, once the maker has begun to pair,
// piece by piece.
func (c *checker) unpaired() {
	if len(c.p.Seams) == 0 {
		return
	}
	for i := range c.p.Pieces {
		q := &c.p.Pieces[i]
		var open []string
		first, length := -1, 0.0
		for k, e := range q.Edges {
			if _, ok := c.p.SeamOf(e.ID); ok || e.Rim || c.darts[e.ID] {
				continue
			}
			if first < 0 {
				first = k
			}
			open = append(open, e.ID)
			length += q.EdgeLengthMM(k)
		}
		if first < 0 {
			continue
		}
		at, err := q.EdgePath(first).PointAtLength(q.EdgeLengthMM(first) / 2)
		if err != nil {
			at = q.nodeAt(q.Edges[first].First)
		}
		c.add(Finding{
			Kind: Unpaired, Severity: Note, Piece: q.ID, Edge: open[0], At: at, AmountMM: length,
			Text: fmt.Sprintf("%s of piece %s %s in no seam (%.0f mm). Pair them, or leave them as the form's rim.",
				nameSome(open), q.ID, areOrIs(len(open)), length),
			Mend: c.joinOf(open), Other: Mend{Kind: LeaveRim, Piece: q.ID},
		})
		if f := &c.found[len(c.found)-1]; f.Mend.Kind == "" {
			f.Mend, f.Other = f.Other, Mend{}
		}
	}
}

// nameSome begins a sentence about edges, of which it names a few.
func nameSome(ids []string) string {
	const most = 4
	if len(ids) > most {
		return fmt.Sprintf("Edges %s and %d more", strings.Join(ids[:most], ", "), len(ids)-most)
	}
	return begins(EdgeWords(ids...))
}

// names reports pieces of one name. Names are told apart without regard to
// case and blanks at the ends; pieces without a name have their letters. No two are
// offered the same new name.
func (c *checker) names() {
	plain := func(name string) string { return strings.ToLower(strings.TrimSpace(name)) }
	seen, taken := map[string]string{}, map[string]bool{}
	for _, q := range c.p.Pieces {
		taken[plain(q.Name)] = true
	}
	for i := range c.p.Pieces {
		q := &c.p.Pieces[i]
		name := plain(q.Name)
		if name == "" {
			continue
		}
		first, twice := seen[name]
		if !twice {
			seen[name] = q.ID
			continue
		}
		c.add(Finding{
			Kind: SameName, Severity: Note, Piece: q.ID, At: q.nodeAt(0),
			Text: fmt.Sprintf("2 pieces, %s and %s, are both called %q. Rename one.", first, q.ID, q.Name),
			Mend: Mend{Kind: Rename, Piece: q.ID, Name: freeName(q.Name, taken)},
		})
	}
}

// freeName returns the name with the lowest number behind it that makes it
// one of its own, and notes that it is taken.
func freeName(name string, taken map[string]bool) string {
	for k := 2; ; k++ {
		n := fmt.Sprintf("%s %d", strings.TrimSpace(name), k)
		if low := strings.ToLower(n); !taken[low] {
			taken[low] = true
			return n
		}
	}
}
