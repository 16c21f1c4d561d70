package pattern

import (
	"fmt"
	"math"
)

// Tape is a colour of tape that runs along edges, and what it stands for.
type Tape struct {
	// ID is unique in the pattern: "T1", "T2" …
	ID string
	// Name is a word for the colour: proposed, or the maker's.
	Name string
	// SRGB is the colour as it was seen.
	SRGB [3]uint8
	// Meant is set when the maker has said what the colour stands for: Cut.
	Meant bool
	Cut   Cut
}

// tapeEndMM is how near a tape's end may lie to the end of an edge to be at
// it; no edge so short can be cut.
const tapeEndMM = 0.5

// AddTape lists a colour of tape without a meaning and returns its ID.
func (p *Pattern) AddTape(name string, srgb [3]uint8) string {
	id := ""
	for k := 1; ; k++ {
		if id = fmt.Sprintf("T%d", k); p.tapeIndex(id) < 0 {
			break
		}
	}
	p.Tapes = append(p.Tapes, Tape{ID: id, Name: name, SRGB: srgb, Cut: Cut{Kind: Straight}})
	return id
}

func (p *Pattern) tapeIndex(id string) int {
	for i, t := range p.Tapes {
		if t.ID == id {
			return i
		}
	}
	return -1
}

// Tape returns a colour of tape by its ID.
func (p *Pattern) Tape(id string) (Tape, error) {
	i := p.tapeIndex(id)
	if i < 0 {
		return Tape{}, fmt.Errorf("no tape %q in the pattern", id)
	}
	return p.Tapes[i], nil
}

// TapedEdges returns the IDs of the edges along which a tape runs, in order.
func (p *Pattern) TapedEdges(id string) []string {
	var out []string
	for _, q := range p.Pieces {
		for _, e := range q.Edges {
			if e.Tape == id && id != "" {
				out = append(out, e.ID)
			}
		}
	}
	return out
}

// SetTapeMeaning says what a tape stands for and gives every edge along which
// it runs that cut. It fails, changing nothing, when there is no such tape or
// the cut is not valid.
func (p *Pattern) SetTapeMeaning(id string, c Cut) error {
	i := p.tapeIndex(id)
	if i < 0 {
		return fmt.Errorf("no tape %q in the pattern", id)
	}
	if err := c.Validate(); err != nil {
		return fmt.Errorf("what %s tape means: %w", p.Tapes[i].Name, err)
	}
	p.Tapes[i].Meant, p.Tapes[i].Cut = true, c
	p.eachTaped(id, func(e *Edge) { e.Cut = c })
	return nil
}

func (p *Pattern) eachTaped(id string, do func(e *Edge)) {
	for i := range p.Pieces {
		for k := range p.Pieces[i].Edges {
			if e := &p.Pieces[i].Edges[k]; e.Tape == id {
				do(e)
			}
		}
	}
}

// ForgetTapeMeaning takes a tape's meaning back. The edges keep their cuts.
func (p *Pattern) ForgetTapeMeaning(id string) error {
	i := p.tapeIndex(id)
	if i < 0 {
		return fmt.Errorf("no tape %q in the pattern", id)
	}
	p.Tapes[i].Meant, p.Tapes[i].Cut = false, Cut{Kind: Straight}
	return nil
}

// RenameTape gives a tape the maker's word for it.
func (p *Pattern) RenameTape(id, name string) error {
	i := p.tapeIndex(id)
	if i < 0 {
		return fmt.Errorf("no tape %q in the pattern", id)
	}
	p.Tapes[i].Name = name
	return nil
}

// MergeTapes makes one tape of two that are one colour in different light. The
// first keeps its ID, name and meaning; a meaning it has goes to the other's
// edges too, and one that only the other has becomes that of both.
func (p *Pattern) MergeTapes(keepID, otherID string) error {
	k, o := p.tapeIndex(keepID), p.tapeIndex(otherID)
	if k < 0 || o < 0 || k == o {
		return fmt.Errorf("cannot merge tapes %q and %q: name two different tapes of the pattern", keepID, otherID)
	}
	other := p.Tapes[o]
	if !p.Tapes[k].Meant && other.Meant {
		p.Tapes[k].Meant, p.Tapes[k].Cut = true, other.Cut
	}
	p.eachTaped(otherID, func(e *Edge) { e.Tape = keepID })
	if t := p.Tapes[k]; t.Meant {
		p.eachTaped(keepID, func(e *Edge) { e.Cut = t.Cut })
	}
	p.Tapes = append(p.Tapes[:o:o], p.Tapes[o+1:]...)
	return nil
}

// RemoveTape takes a tape off the list and off its edges, which keep their
// cuts.
func (p *Pattern) RemoveTape(id string) error {
	i := p.tapeIndex(id)
	if i < 0 {
		return fmt.Errorf("no tape %q in the pattern", id)
	}
	p.eachTaped(id, func(e *Edge) { e.Tape = "" })
	p.Tapes = append(p.Tapes[:i:i], p.Tapes[i+1:]...)
	return nil
}

// SetEdgeTape says by hand that a tape runs along an edge, or with an empty
// tape ID that none does. The edge gets the tape's cut when that is known.
func (p *Pattern) SetEdgeTape(edgeID, tapeID string) error {
	i := p.tapeIndex(tapeID)
	if i < 0 && tapeID != "" {
		return fmt.Errorf("no tape %q in the pattern", tapeID)
	}
	q, k, err := p.FindEdge(edgeID)
	if err != nil {
		return err
	}
	e := &q.Edges[k]
	e.Tape = tapeID
	if i >= 0 && p.Tapes[i].Meant {
		e.Cut = p.Tapes[i].Cut
	}
	return nil
}

// LayTape divides the piece's edges where a tape begins and ends, and notes
// the tape on every edge that lies within. From and to are arc lengths in mm
// from the outline's start, in its direction; toMM may lie past the outline's
// length, for a tape that runs past the start, and a tape of the whole length
// divides nothing. Ends within half a millimetre of an edge's end are taken to
// be at it.
func (p *Piece) LayTape(fromMM, toMM float64, tapeID string) error {
	long := p.Outline.Length()
	if !(fromMM >= 0 && fromMM < long && toMM > fromMM && toMM <= fromMM+long+tapeEndMM) {
		return fmt.Errorf("piece %s: a tape cannot run from %.1f to %.1f mm along an outline of %.1f mm", p.ID, fromMM, toMM, long)
	}
	whole := toMM-fromMM >= long-tapeEndMM
	if !whole {
		for _, at := range [2]float64{fromMM, math.Mod(toMM, long)} {
			if err := p.breakAtLength(at, long); err != nil {
				return err
			}
		}
		if len(p.Edges) == 1 {
			p.divideOne(fromMM, long)
		}
	}
	starts := p.edgeStartsMM()
	for k := range p.Edges {
		edgeMM := math.Mod(starts[(k+1)%len(starts)]-starts[k]+long, long)
		if len(p.Edges) == 1 {
			edgeMM = long
		}
		off := math.Mod(starts[k]-fromMM+tapeEndMM+long, long) - tapeEndMM
		if whole || off+edgeMM <= toMM-fromMM+tapeEndMM {
			p.Edges[k].Tape = tapeID
		}
	}
	return nil
}

// divideOne divides an outline of one edge, which a break only moves, at the
// node nearest to an arc length.
func (p *Piece) divideOne(atMM, long float64) {
	best, node := math.Inf(1), 0
	for i, s := range p.segmentStartsMM() {
		d := math.Abs(s - atMM)
		if d = min(d, long-d); d < best {
			best, node = d, i
		}
	}
	e, n := &p.Edges[0], len(p.Outline.Segments)
	done := (node - e.First + n) % n
	if done == 0 {
		return
	}
	fresh := Edge{ID: p.freshEdgeID(), First: node, Count: e.Count - done, Cut: e.Cut, Allowance: e.Allowance, Tape: e.Tape, Rim: e.Rim}
	e.Count = done
	p.Edges = append(p.Edges, fresh)
}

func (p *Piece) segmentStartsMM() []float64 {
	var at []float64
	sum := 0.0
	for _, s := range p.Outline.Segments {
		at = append(at, sum)
		sum += s.Length(1e-6)
	}
	return at
}

// edgeStartsMM returns the arc length at which each edge begins.
func (p *Piece) edgeStartsMM() []float64 {
	at := p.segmentStartsMM()
	out := make([]float64, len(p.Edges))
	for k, e := range p.Edges {
		out[k] = at[e.First]
	}
	return out
}

// breakAtLength divides an edge at an arc length unless one ends close by.
func (p *Piece) breakAtLength(atMM, long float64) error {
	for _, s := range p.edgeStartsMM() {
		d := math.Abs(s - atMM)
		if len(p.Edges) > 1 && min(d, long-d) < tapeEndMM {
			return nil
		}
	}
	at, err := p.Outline.PositionAt(atMM)
	if err != nil {
		return fmt.Errorf("piece %s: %w", p.ID, err)
	}
	_, err = p.BreakAt(at)
	return err
}
