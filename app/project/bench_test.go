package project

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// large is a pattern of many pieces.
func large(pieces int) pattern.Pattern {
	h := specimen.Helmet()
	p := pattern.Pattern{Name: "large"}
	for i := range pieces {
		q := h.Pieces[i%len(h.Pieces)].Translate(mat.Point{X: float64(i % 40 * 200), Y: float64(i / 40 * 200)})
		q.ID = pattern.Letters(i)
		q.Edges = append([]pattern.Edge(nil), q.Edges...)
		for k := range q.Edges {
			q.Edges[k].ID = fmt.Sprint(q.ID, k+1)
		}
		p.Pieces = append(p.Pieces, q)
	}
	return p
}

// An edit, and an undo and redo, of patterns of 10 to 1000 pieces on a disk:
// the time that a maker waits after each click.
func BenchmarkEdit(b *testing.B) {
	for _, pieces := range []int{10, 100, 1000} {
		b.Run(fmt.Sprint(pieces, " pieces"), func(b *testing.B) {
			_, p := made(b)
			l := large(pieces)
			_, err := p.Commit("trace", l)
			must(b, err)
			n := 0
			for b.Loop() {
				n++
				l.Pieces[n%pieces].Edges[0].Cut = pattern.Cut{Kind: pattern.Bevel, AngleDeg: float64(n%60) + 1}
				_, err := p.Commit("bevel", l)
				must(b, err)
			}
			b.ReportMetric(float64(len(p.Encoded())), "pattern-bytes")
		})
		b.Run(fmt.Sprint(pieces, " pieces undone"), func(b *testing.B) {
			_, p := made(b)
			l := large(pieces)
			for n := range maxChain {
				l.Pieces[n%pieces].Edges[0].Cut = pattern.Cut{Kind: pattern.Bevel, AngleDeg: float64(n) + 1}
				_, err := p.Commit("bevel", l)
				must(b, err)
			}
			for b.Loop() {
				_, err := p.Undo()
				must(b, err)
				_, err = p.Redo()
				must(b, err)
			}
		})
	}
}

// Opening a project of ten thousand edits.
func BenchmarkOpen(b *testing.B) {
	dir := b.TempDir()
	path := filepath.Join(dir, "long"+Extension)
	p, err := New()
	must(b, err)
	l := large(20)
	for n := range 10_000 {
		l.Pieces[n%20].Edges[0].Cut = pattern.Cut{Kind: pattern.Bevel, AngleDeg: float64(n%600)/10 + 1}
		_, err := p.Commit("bevel", l)
		must(b, err)
	}
	must(b, p.SaveAs(context.Background(), path))
	must(b, p.Close())
	info, err := os.Stat(path)
	must(b, err)
	for b.Loop() {
		p, err := Open(context.Background(), path)
		must(b, err)
		must(b, p.Close())
	}
	b.ReportMetric(float64(info.Size()), "file-bytes")
}
