package pattern

import (
	"fmt"

	"flatwright/rectify/mat"
)

// MendKind is a way to put a finding right.
type MendKind string

// The mends.
const (
	// CopyMarks transfers the marks of one side of a seam to the other.
	CopyMarks MendKind = "copy marks"
	// SetMarks spreads new marks along a seam.
	SetMarks MendKind = "set marks"
	// EvenSides makes the two sides of a seam equally long.
	EvenSides MendKind = "even sides"
	// ShareTurn gives both edges of a seam the bevels that the wanted angle
	// takes.
	ShareTurn MendKind = "share the turn"
	// BevelPoint gives the three seams at a point the bevels that the corners
	// there ask for.
	BevelPoint MendKind = "bevel the point"
	// CutStraight makes an edge square.
	CutStraight MendKind = "cut straight"
	// Rename gives a piece another name.
	Rename MendKind = "rename"
	// CutGentler cuts an edge at an angle with which the other face can be made.
	CutGentler MendKind = "cut gentler"
	// GiveThickness gives a piece the thickness of the others.
	GiveThickness MendKind = "give thickness"
	// OneThickness gives both sheets of a seam one thickness, and the bevels for
	// an angle where one is given.
	OneThickness MendKind = "one thickness"
	// JoinMates joins two edges that are surely mates.
	JoinMates MendKind = "join mates"
	// NarrowAllowance leaves less on along an edge.
	NarrowAllowance MendKind = "narrow allowance"
	// TakeApart takes a seam apart whose sides cannot belong together.
	TakeApart MendKind = "take apart"
	// TurnPiece turns a piece on the mat so that it fits the sheet.
	TurnPiece MendKind = "turn the piece"
	// CutLoop cuts off the loop where an outline crosses itself.
	CutLoop MendKind = "cut the loop off"
	// DropSpike cuts off a spike of an outline.
	DropSpike MendKind = "cut the spike off"
	// DropSliver takes an edge out that is too short to be cut.
	DropSliver MendKind = "take the edge out"
	// FindEdges divides an outline at its corners anew.
	FindEdges MendKind = "find the edges"
	// MeanTape says which cut a colour of tape stands for.
	MeanTape MendKind = "mean the tape"
	// ShareTheDart shares a wide dart between two.
	ShareTheDart MendKind = "share the dart"
	// LeaveRim notes that edges stay open: the two in Sides where Edge is set,
	// else all of the piece that are in no seam.
	LeaveRim MendKind = "leave the rim"
	// LeaveOut takes a piece away.
	LeaveOut MendKind = "leave out"
	// DropOpening takes an opening of a piece away.
	DropOpening MendKind = "fill the opening"
	// CutOne asks for one copy of a piece.
	CutOne MendKind = "cut one"
	// ShowFront says that a piece shows its front.
	ShowFront MendKind = "show the front"
	// MarkToOutline moves a registration mark so that it meets the outline.
	MarkToOutline MendKind = "move the mark"
	// CapCuts bounds the angles of all edges of a piece.
	CapCuts MendKind = "bound the cuts"
	// UseSheet makes the sheet large enough for a piece.
	UseSheet MendKind = "use a sheet"
)

// Mend is a change that the program offers to make. The zero value is none.
type Mend struct {
	Kind              MendKind
	Piece, Edge, Seam string
	// Tape is the ID of a colour of tape; Name is then its word.
	Tape string
	// FromB: the marks come from side B.
	FromB bool
	// SpacingMM is the distance of new marks.
	SpacingMM float64
	// Deg is the interior angle wanted, or the signed angle of a cut.
	Deg float64
	// MM is a thickness or a width.
	MM float64
	// WidthMM and HeightMM are a sheet's.
	WidthMM, HeightMM float64
	// Sides are two edges to be joined.
	Sides [2]EdgeRef
	// Index is the number of an opening or a mark of the piece, from 0.
	Index int
	// At is the place on the mat that it is about.
	At mat.Point
	// Name is the new name.
	Name string
	// Seams and Degs are the seams at a point and their interior angles.
	Seams [PointPieces]string
	Degs  [PointPieces]float64
	// Hollow: the point points inwards. With MM set all its pieces get that
	// thickness first.
	Hollow bool
}

// Label says what the mend does, as words on a button; empty for none.
func (m Mend) Label() string {
	switch m.Kind {
	case CopyMarks:
		return "Copy the marks to the other side"
	case SetMarks:
		return fmt.Sprintf("Set marks every %g mm", m.SpacingMM)
	case EvenSides:
		return "Make both sides equally long"
	case ShareTurn:
		return fmt.Sprintf("Bevel both edges for %.1f°", m.Deg)
	case BevelPoint:
		way := "outwards"
		if m.Hollow {
			way = "inwards"
		}
		if m.MM > 0 {
			return fmt.Sprintf("All %g mm thick, bevelled", m.MM)
		}
		return "Bevel all three, point " + way
	case ShareTheDart:
		return "Share it between two darts"
	case LeaveRim:
		return "They are the rim"
	case MeanTape:
		return m.tapeLabel()
	case OneThickness:
		return m.levelLabel()
	case CutStraight:
		return fmt.Sprintf("Cut edge %s straight", m.Edge)
	case Rename:
		return fmt.Sprintf("Call it %q", shortened(m.Name, labelName))
	}
	return m.offerLabel()
}

// labelName is how many letters of a name a button has room for.
const labelName = 18

// shortened leaves out the middle of a name that is longer: its end tells it
// from others.
func shortened(name string, most int) string {
	r := []rune(name)
	if len(r) <= most {
		return name
	}
	return string(r[:most/2]) + "…" + string(r[len(r)-most/2+1:])
}

// Apply makes a mend. On an error nothing is changed.
func (p *Pattern) Apply(m Mend) error {
	next := p.clone()
	if err := next.apply(m); err != nil {
		return err
	}
	*p = next
	return nil
}

func (p *Pattern) apply(m Mend) error {
	for _, try := range []func(Mend) (bool, error){p.seamMended, p.pieceMended, p.offered, p.fitted, p.cleaned, p.repaired} {
		if done, err := try(m); done {
			return err
		}
	}
	return fmt.Errorf("there is no mend %q", m.Kind)
}

// seamMended makes the mends of seams and their points; false for another one.
func (p *Pattern) seamMended(m Mend) (done bool, err error) {
	switch m.Kind {
	case CopyMarks:
		_, err = p.TransferMarks(m.Seam, m.FromB, ByShare)
	case SetMarks:
		_, err = p.SpreadMarks(m.Seam, Spread{SpacingMM: m.SpacingMM, OnCurves: 2, OneWay: true, Ticks: p.TellTicks()[m.Seam]})
	case EvenSides:
		err = p.EvenOut(m.Seam, 0.5)
	case ShareTurn:
		err = p.ShareTurn(m.Seam, m.Deg)
	case ShareTheDart:
		_, err = p.ShareDart(m.Seam)
	case OneThickness:
		err = p.levelled(m)
	case BevelPoint:
		err = p.bevelPoint(m)
	default:
		return false, nil
	}
	return true, err
}

// bevelPoint bevels the three seams at a point, of sheets of one thickness
// where the mend names it.
func (p *Pattern) bevelPoint(m Mend) error {
	if m.MM > 0 {
		for _, id := range m.Seams {
			if err := p.GiveSeamThickness(id, m.MM); err != nil {
				return err
			}
		}
	}
	for i, id := range m.Seams {
		if err := p.ShareTurn(id, m.Degs[i]); err != nil {
			return err
		}
	}
	return nil
}

// pieceMended makes the mends of what is said of edges, pieces and tapes;
// false for another one.
func (p *Pattern) pieceMended(m Mend) (done bool, err error) {
	switch m.Kind {
	case CutStraight:
		return true, p.SetCut(m.Edge, Cut{Kind: Straight})
	case LeaveRim:
		return true, p.leaveRim(m)
	case MeanTape:
		return true, p.SetTapeMeaning(m.Tape, CutOf(m.Deg))
	case Rename:
		q, err := p.Piece(m.Piece)
		if err != nil {
			return true, err
		}
		q.Name = m.Name
		return true, nil
	}
	return false, nil
}
