package sheet

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"flatwright/export/sheet/nest"
	"flatwright/export/sheet/polygon"
	"flatwright/export/sheet/silhouette"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// job is the pieces of one thickness and material.
type job struct {
	thicknessMM float64
	material    string
	pieces      []nest.Piece
	copies      []Placed // one for each copy; Move is not set
	// piece and copy number within the nest's pieces lead to the copy.
	first []int
}

// jobsOf groups the pieces and turns them into polygons.
func jobsOf(p pattern.Pattern, o Options, r *Result) ([]*job, error) {
	var jobs []*job
	for i := range p.Pieces {
		q := &p.Pieces[i]
		material := strings.TrimSpace(q.Material)
		at := slices.IndexFunc(jobs, func(j *job) bool {
			return j.thicknessMM == q.ThicknessMM && strings.EqualFold(j.material, material)
		})
		if at < 0 {
			at = len(jobs)
			jobs = append(jobs, &job{thicknessMM: q.ThicknessMM, material: material})
		}
		shapes, notes, err := silhouette.Of(q, o.ToleranceMM)
		if err != nil {
			return nil, err
		}
		r.Notes = append(r.Notes, notes...)
		jobs[at].add(i, q, shapes, o)
	}
	return jobs, nil
}

// copiesOf returns how many copies are cut as drawn and as mirror images: of
// mirrored pieces every other one, and a single one, is turned over.
func copiesOf(q *pattern.Piece) (drawn, mirrored int) {
	n := max(1, q.Quantity)
	switch {
	case !q.Mirrored:
		return n, 0
	case n == 1:
		return 0, 1
	}
	return n - n/2, n / 2
}

func (j *job) add(index int, q *pattern.Piece, shapes []polygon.Shape, o Options) {
	drawn, mirrored := copiesOf(q)
	put := func(count int, isMirrored bool, from int) {
		if count == 0 {
			return
		}
		piece := nest.Piece{Name: q.ID, Shape: shapes[0], More: shapes[1:], Count: count, TurnsDeg: o.TurnsDeg}
		if isMirrored {
			piece.Shape, piece.More = piece.Shape.Mirrored(), nil
			for _, m := range shapes[1:] {
				piece.More = append(piece.More, m.Mirrored())
			}
		}
		j.pieces = append(j.pieces, piece)
		j.first = append(j.first, len(j.copies))
		for c := range count {
			j.copies = append(j.copies, Placed{Index: index, Copy: from + c, Mirrored: isMirrored, Piece: *q})
		}
	}
	put(drawn, false, 0)
	put(mirrored, true, drawn)
}

// plan packs one job and adds its sheets.
func (j *job) plan(ctx context.Context, o Options, part, before float64, r *Result) error {
	bins, stock := j.bins(o, r)
	if len(stock) == 0 {
		return j.leaveAll(r, "no sheet of its thickness and material is left; give more of them")
	}
	problem := nest.Problem{
		Pieces: j.pieces, Bins: bins, MarginMM: o.MarginMM + silhouette.CurveToleranceMM,
		// Chords of flattened curves may lie inside the true ones on both sides.
		GapMM: o.GapMM + 2*silhouette.CurveToleranceMM,
	}
	roll := bins == nil
	if roll {
		problem.StripWidthMM = o.Stock[stock[0]].WidthMM
	}
	j.leaveTooLarge(&problem, r)
	n := nest.Options{Seed: o.Seed, Moves: int(math.Ceil(float64(o.Moves) * part)), Time: time.Duration(float64(o.Time) * part)}
	if o.Progress != nil {
		n.Progress = func(p nest.Progress) {
			o.Progress(Progress{Share: before + part*p.Share, Sheets: len(r.Sheets) + p.Bins})
		}
	}
	found, err := nest.Solve(ctx, problem, n)
	if err != nil {
		return err
	}
	j.addSheets(found, stock, roll, o, r)
	return nil
}

// bins returns the sheets that serve the job, each as often as there is or as
// could be needed, and which stock each comes from. A roll that comes first is
// used alone: its bins are nil.
func (j *job) bins(o Options, r *Result) (bins []nest.Bin, stock []int) {
	order := make([]int, 0, len(o.Stock))
	for i, s := range o.Stock {
		if j.serves(s) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return rank(o.Stock[a]) - rank(o.Stock[b]) })
	for _, i := range order {
		s := &o.Stock[i]
		if s.isRoll() && len(bins) == 0 {
			return nil, []int{i}
		}
		if s.isRoll() {
			r.Notes = append(r.Notes, fmt.Sprintf("The roll %s is not used, for sheets or off-cuts are used first; plan what is left over on it by itself.", s.label()))
			continue
		}
		n := s.number()
		if used := j.used(i, r); n > 0 {
			n = max(0, n-used)
		} else {
			n = len(j.copies)
		}
		for range min(n, len(j.copies)) {
			bins = append(bins, nest.Bin{LengthMM: s.LengthMM, WidthMM: s.WidthMM, Blocked: s.blocked(o.ToleranceMM)})
			stock = append(stock, i)
		}
	}
	return bins, stock
}

// rank puts off-cuts first and, of the others, what there is no end of last.
func rank(s Stock) int {
	switch {
	case s.isOffCut():
		return 0
	case s.Number > 0:
		return 1
	}
	return 2
}

func (j *job) serves(s Stock) bool {
	const sameMM = 0.051 // a tenth of a millimetre tells sheets apart
	if s.ThicknessMM > 0 && j.thicknessMM > 0 && math.Abs(s.ThicknessMM-j.thicknessMM) > sameMM {
		return false
	}
	m := strings.TrimSpace(s.Material)
	return m == "" || j.material == "" || strings.EqualFold(m, j.material)
}

// used counts the sheets of a stock that earlier jobs took.
func (j *job) used(stock int, r *Result) int {
	n := 0
	for _, s := range r.Sheets {
		if s.Stock == stock {
			n++
		}
	}
	return n
}

func (j *job) leaveAll(r *Result, why string) error {
	for k := range j.pieces {
		j.leave(r, k, j.pieces[k].Count, why)
	}
	return nil
}

func (j *job) leave(r *Result, piece, copies int, why string) {
	index := j.copies[j.first[piece]].Index
	if n := len(r.Left); n > 0 && r.Left[n-1].Index == index && r.Left[n-1].Why == why {
		r.Left[n-1].Copies += copies
		return
	}
	r.Left = append(r.Left, Left{Index: index, Copies: copies, Why: why})
}

// leaveTooLarge takes out the pieces that fit no sheet at any turn.
func (j *job) leaveTooLarge(p *nest.Problem, r *Result) {
	for k := range p.Pieces {
		if p.Pieces[k].Count > 0 && !nest.Fits(p, k) {
			j.leave(r, k, p.Pieces[k].Count, "it is larger than every sheet, however it is turned; give a larger sheet or cut the piece in two")
			p.Pieces[k].Count = 0
		}
	}
}

// addSheets turns bins into sheets.
func (j *job) addSheets(found nest.Result, stock []int, roll bool, o Options, r *Result) {
	r.Moves += found.Moves
	for _, l := range found.Left {
		j.leave(r, l.Piece, 1, "the sheets that there are have no room for it; give more of them")
	}
	sheets := map[int]*Sheet{}
	for _, p := range found.Placements {
		s := sheets[p.Bin]
		if s == nil {
			from := o.Stock[stock[p.Bin]]
			s = &Sheet{
				Stock: stock[p.Bin], Name: from.Name, LengthMM: from.LengthMM, WidthMM: from.WidthMM,
				Outline: from.Outline, Openings: from.Openings, ThicknessMM: j.thicknessMM, Material: j.material,
			}
			if roll {
				s.LengthMM = math.Ceil(found.LengthMM*10-1e-6) / 10
			}
			sheets[p.Bin] = s
		}
		s.Pieces = append(s.Pieces, j.placed(p))
	}
	for b := range max(1, len(stock)) {
		if s := sheets[b]; s != nil {
			s.measure(o)
			r.Sheets = append(r.Sheets, *s)
		}
	}
}

// placed moves a copy to where it lies.
func (j *job) placed(p nest.Placement) Placed {
	c := j.copies[j.first[p.Piece]+p.Copy]
	sin, cos := polygon.SinCosDeg(p.TurnDeg)
	move := curve.Transform{A: cos, B: -sin, C: p.ShiftMM.X, D: sin, E: cos, F: p.ShiftMM.Y}
	if c.Mirrored {
		move.A, move.D = -move.A, -move.D
	}
	c.TurnDeg, c.Move = p.TurnDeg, move
	c.Piece = c.Piece.Moved(move)
	return c
}

// measure fills in areas and the length in use.
func (s *Sheet) measure(o Options) {
	for _, p := range s.Pieces {
		s.PiecesMM2 += areaMM2(&p.Piece)
		for _, b := range boxesOf(&p.Piece) {
			s.UsedMM = math.Max(s.UsedMM, b.Max.X+o.MarginMM)
		}
	}
	s.UsedMM = math.Min(s.UsedMM, s.LengthMM)
	s.Yield = s.PiecesMM2 / o.Stock[s.Stock].areaMM2(s.LengthMM)
}

func areaMM2(q *pattern.Piece) float64 {
	sum := math.Abs(q.Outline.Area())
	for _, o := range q.Openings {
		sum -= math.Abs(o.Area())
	}
	return sum
}

func boxesOf(q *pattern.Piece) []curve.Box {
	out := []curve.Box{q.Outline.Bounds()}
	if other, _ := pattern.OtherFace(*q); len(other) > 0 {
		out = append(out, other[0].Bounds())
	}
	strips, _ := q.Allowances()
	for _, s := range strips {
		out = append(out, s.Cut.Bounds())
	}
	return out
}

func yieldOf(sheets []Sheet, stock []Stock) float64 {
	pieces, all := 0.0, 0.0
	for _, s := range sheets {
		pieces += s.PiecesMM2
		all += stock[s.Stock].areaMM2(s.LengthMM)
	}
	if all == 0 {
		return 0
	}
	return pieces / all
}
