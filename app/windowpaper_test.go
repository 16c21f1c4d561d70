package main

import (
	"context"
	"encoding/xml"
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"flatwright/app/desk"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/export/page"
	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// packedPattern has two pieces that are larger than A5, small ones beside them,
// bevels, marks, an opening, an allowance and a piece to be cut twice.
func packedPattern() pattern.Pattern {
	all := specimen.Helmet().Pieces
	p := pattern.Pattern{Name: "Packed", Pieces: []pattern.Piece{all[1], all[2], all[5], all[7], all[9]}}
	p.Pieces[1].Quantity, p.Pieces[1].Mirrored = 2, true
	p.Pieces[2].Edges = append([]pattern.Edge(nil), p.Pieces[2].Edges...)
	p.Pieces[2].Edges[0].Allowance = pattern.Allowance{WidthMM: 8}
	return p
}

// printedLine is a line on a page as another program reads it, in mm from the
// page's top left corner.
type printedLine []mat.Point

// linesOn reads the lines stroked on a page of a PDF with mutool, by its own
// parser and matrix.
func linesOn(t *testing.T, file string, number int) (out []printedLine) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(read(t, "mutool", "trace", file, strconv.Itoa(number))))
	var m [6]float64
	stroking := false
	for {
		tok, err := d.Token()
		if err != nil {
			return out
		}
		switch e := tok.(type) {
		case xml.StartElement:
			a := map[string]string{}
			for _, x := range e.Attr {
				a[x.Name.Local] = x.Value
			}
			if e.Name.Local == "stroke_path" {
				stroking = true
				if _, err := fmt.Sscan(a["transform"], &m[0], &m[1], &m[2], &m[3], &m[4], &m[5]); err != nil {
					t.Fatal(err)
				}
				out = append(out, nil)
				continue
			}
			x, y := a["x"], a["y"]
			if e.Name.Local == "curveto" {
				x, y = a["x3"], a["y3"]
			}
			if fx, err := strconv.ParseFloat(x, 64); stroking && err == nil {
				fy, _ := strconv.ParseFloat(y, 64)
				const mm = 25.4 / 72
				out[len(out)-1] = append(out[len(out)-1], mat.Point{X: (m[0]*fx + m[2]*fy + m[4]) * mm, Y: (m[1]*fx + m[3]*fy + m[5]) * mm})
			}
		case xml.EndElement:
			stroking = stroking && e.Name.Local != "stroke_path"
		}
	}
}

// off is how far points lie from the nearest line's, at worst, when all are
// those of one line.
func (l printedLine) off(pts []mat.Point) float64 {
	worst := 0.0
	for _, p := range pts {
		best := math.Inf(1)
		for _, q := range l {
			best = math.Min(best, math.Hypot(p.X-q.X, p.Y-q.Y))
		}
		worst = math.Max(worst, best)
	}
	return worst
}

func nearestLine(lines []printedLine, pts []mat.Point) float64 {
	best := math.Inf(1)
	for _, l := range lines {
		best = math.Min(best, l.off(pts))
	}
	return best
}

// ends are the points of what the window draws of a piece that the print must
// have on one line each: its nodes, and both ends of marks and of the lines that
// are open. A label's leader, the last line, ends at the label's box: only where
// it begins is compared.
func ends(s session.PieceShape, led bool) (out [][]mat.Point) {
	var nodes []mat.Point
	for _, n := range s.Nodes {
		nodes = append(nodes, mat.Point(n.OnMat[0]))
	}
	out = append(out, nodes)
	open := append(append([]session.Track(nil), s.Lines...), s.Marks...)
	for _, e := range s.Edges {
		open = append(open, e.OtherFace...)
	}
	for _, l := range append(open, s.Printed...) {
		out = append(out, []mat.Point{mat.Point(l.OnMat[0]), mat.Point(l.OnMat[len(l.OnMat)-1])})
	}
	if led {
		out[len(out)-1] = out[len(out)-1][:1]
	}
	return out
}

// What the window shows on packed sheets is where another program finds it on
// the printed pages, each piece on one sheet or on those joined for it.
func TestPaperIsWhereItIsPrinted(t *testing.T) {
	if _, err := exec.LookPath("mutool"); err != nil {
		t.Skip("SKIPPED: mutool is not installed, so nobody else has read the pages")
	}
	b := bench{pages: newPageStore()}
	p := packedPattern()
	print := session.UsualPrint("a5")
	print.Packed, print.ShortMM, print.LongMM = true, 100, 100
	got, err := b.OnPaper(t.Context(), session.Printout{Pattern: p, Print: print})
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "packed.pdf")
	if err := b.Export(context.Background(), file, session.Printout{Pattern: p, Print: print}); err != nil {
		t.Fatal(err)
	}
	shapes := session.ShapesOnPaper(got.Pattern, got.Labels)
	front := len(b.pages.made.Pages) - len(got.Sheets)
	content := b.pages.made.Layout.Content
	joined, straight, worst := 0, 0, 0.0
	on := map[string]int{}
	for i, s := range got.Sheets {
		if title := b.pages.made.Pages[front+i].Name; title != s.Page {
			t.Errorf("sheet %s is said to be page %q, which is %q", s.Label, s.Page, title)
		}
		lines := linesOn(t, file, front+i+1)
		for _, q := range shapes.Pieces {
			if !shownOn(s, q) {
				continue
			}
			for _, pts := range ends(q, got.Labels[q.ID].Led) {
				for k := range pts {
					pts[k] = mat.Point{X: pts[k].X - s.Min.X + content.MinX, Y: pts[k].Y - s.Min.Y + content.MinY}
				}
				if off := nearestLine(lines, pts); off > 0.01 {
					t.Errorf("%s on sheet %s: %v lies %g mm from where it is printed", q.ID, s.Label, pts, off)
				} else {
					worst = math.Max(worst, off)
				}
			}
			on[q.ID]++
		}
		straight += checkWords(t, file, front+i+1, s, got, content)
	}
	for _, q := range shapes.Pieces {
		if on[q.ID] == 0 {
			t.Errorf("%s lies on no sheet", q.ID)
		}
		if on[q.ID] > 1 {
			joined++
		}
		checkWithin(t, got, q)
	}
	if straight < len(got.Labels)/2 {
		t.Errorf("%d of %d labels stand just where they are said to", straight, len(got.Labels))
	}
	if joined == 0 || joined == len(shapes.Pieces) {
		t.Errorf("%d of %d pieces take several sheets: nothing is tried", joined, len(shapes.Pieces))
	}
	if len(shapes.Pieces) != len(p.Pieces) {
		t.Errorf("%d pieces of %d are shown", len(shapes.Pieces), len(p.Pieces))
	}
	checkApart(t, got)
	t.Logf("%d sheets, %d pieces on several; worst %.5f mm", len(got.Sheets), joined, worst)
}

// shownOn reports whether a sheet shows some of a piece.
func shownOn(s desk.PaperSheet, q session.PieceShape) bool {
	window := view.Rect{Min: view.Point(s.Min), Max: view.Point(s.Max)}
	return slices.ContainsFunc(q.Outline.OnMat, window.Contains)
}

// checkWithin fails when a piece that lies on one sheet leaves what it prints,
// or a point of one on several lies on none.
func checkWithin(t *testing.T, p desk.Paper, q session.PieceShape) {
	t.Helper()
	for _, at := range q.Outline.OnMat {
		in := false
		for _, s := range p.Sheets {
			in = in || view.Rect{Min: view.Point(s.Min), Max: view.Point(s.Max)}.Contains(at)
		}
		if !in {
			t.Errorf("%s lies beside its paper at %v", q.ID, at)
			return
		}
	}
}

// Joined sheets stand side by side as far as that shows all larger; single ones
// keep the rows that their names tell.
func TestSheetsAreSetOutInRows(t *testing.T) {
	joined := func(row int) block {
		return block{tiles: []int{0, 1}, row: row, paper: page.Rect{MinX: 7, MinY: 9, MaxX: 207, MaxY: 549}}
	}
	single := func(row, col int) block {
		return block{tiles: []int{0}, row: row, col: col, paper: page.Rect{MaxX: 200, MaxY: 280}}
	}
	got := setOut([]block{joined(0), joined(2), joined(4), single(6, 0), single(6, 1), single(7, 0)})
	want := []mat.Point{{}, {X: 220}, {X: 440}, {Y: 560}, {X: 220, Y: 560}, {Y: 860}}
	if !slices.Equal(got, want) {
		t.Errorf("set out at %v, want %v", got, want)
	}
}

// checkApart fails when the paper of two sheets overlaps.
func checkApart(t *testing.T, p desk.Paper) {
	t.Helper()
	for i, a := range p.Sheets {
		for _, b := range p.Sheets[i+1:] {
			w := math.Min(a.PaperMax.X, b.PaperMax.X) - math.Max(a.PaperMin.X, b.PaperMin.X)
			h := math.Min(a.PaperMax.Y, b.PaperMax.Y) - math.Max(a.PaperMin.Y, b.PaperMin.Y)
			if w > 1e-6 && h > 1e-6 {
				t.Errorf("sheets %s and %s overlap by %g × %g mm", a.Label, b.Label, w, h)
			}
		}
	}
}

// checkWords looks for the letters of pieces where their labels are said to
// stand: the first line of it, over the middle where the label is level. It
// returns how many are.
func checkWords(t *testing.T, file string, number int, s desk.PaperSheet, p desk.Paper, content page.Rect) (level int) {
	t.Helper()
	const highestMM = 20
	n := strconv.Itoa(number)
	words := strings.Split(read(t, "pdftotext", "-f", n, "-l", n, "-bbox", file, "-"), "\n")
	for id, l := range p.Labels {
		if !(view.Rect{Min: view.Point(s.Min), Max: view.Point(s.Max)}).Contains(view.Point(l.At)) {
			continue
		}
		best := mat.Point{X: math.Inf(1)}
		for _, line := range words {
			var x0, y0, x1, y1 float64
			var word string
			k, _ := fmt.Sscanf(strings.TrimSpace(line), `<word xMin="%f" yMin="%f" xMax="%f" yMax="%f">%s`, &x0, &y0, &x1, &y1, &word)
			const mm = 25.4 / 72
			off := mat.Point{X: (x0+x1)/2*mm - content.MinX + s.Min.X - l.At.X, Y: (y0+y1)/2*mm - content.MinY + s.Min.Y - l.At.Y}
			if k == 5 && word == id+"</word>" && math.Hypot(off.X, off.Y) < math.Hypot(best.X, best.Y) {
				best = off
			}
		}
		if math.Hypot(best.X, best.Y) > highestMM/2 {
			t.Errorf("the letter of %s on sheet %s stands %.2f, %.2f mm beside its label", id, s.Label, best.X, best.Y)
		}
		if math.Abs(best.X) < 0.3 {
			level++
		}
	}
	return level
}

// With a printer that was measured the sheets lie over the pattern as they are
// printed for it.
func TestSheetsAreThoseOfTheMeasuredPrinter(t *testing.T) {
	b := bench{pages: newPageStore()}
	print := session.UsualPrint("a4")
	print.ShortMM, print.LongMM = 97.5, 102.5
	p := packedPattern()
	got, err := b.Sheets(p, print)
	if err != nil {
		t.Fatal(err)
	}
	set, _, err := b.pages.of(t.Context(), session.Printout{Pattern: p, Print: print})
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(set.Layout.Tiles) {
		t.Fatalf("%d sheets, %d are printed", len(got), len(set.Layout.Tiles))
	}
	for i, s := range got {
		want := set.Layout.TileMM(i)
		if s.Min != (mat.Point{X: want.MinX, Y: want.MinY}) || s.Max != (mat.Point{X: want.MaxX, Y: want.MaxY}) {
			t.Errorf("sheet %s lies from %v to %v, is printed for %v", s.Label, s.Min, s.Max, want)
		}
		if title := set.Pages[len(set.Pages)-len(got)+i].Name; title != s.Page {
			t.Errorf("sheet %s is said to be page %q, which is %q", s.Label, s.Page, title)
		}
	}
}

// What is of no say for packed pages does not lay them out anew.
func TestPackedPagesAreKept(t *testing.T) {
	b := bench{pages: newPageStore()}
	p := pattern.Pattern{Pieces: packedPattern().Pieces[3:4]}
	print := session.UsualPrint("a4")
	print.Packed = true
	if _, err := b.OnPaper(t.Context(), session.Printout{Pattern: p, Print: print}); err != nil {
		t.Fatal(err)
	}
	was := b.pages.made
	print.SVG, print.Bundle, print.ShiftXMM = true, true, 12
	if _, err := b.Pages(t.Context(), session.Printout{Pattern: p, Print: print}); err != nil || b.pages.made != was {
		t.Errorf("laid out again: %v, %v", b.pages.made != was, err)
	}
	print.MarginMM = 15
	if _, err := b.Pages(t.Context(), session.Printout{Pattern: p, Print: print}); err != nil || b.pages.made == was {
		t.Errorf("not laid out again for another margin: %v", err)
	}
}
