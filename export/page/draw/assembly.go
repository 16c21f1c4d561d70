package draw

import (
	"fmt"
	"strings"

	"flatwright/export/page"
)

// putAssembly suggests the order in which the seams are closed. Without seams
// there is nothing to suggest, and the seams' own heading says so.
func (b *book) putAssembly(f *flow) {
	steps, loose := page.Assembly(b.doc.Pattern)
	if len(steps) == 0 {
		return
	}
	edges := map[string]string{}
	for _, s := range b.seams {
		edges[s.tag] = s.edgeA + " – " + s.edgeB
	}
	t := table{capMM: capSmall, alone: true, columns: []column{
		{head: "Step", a: right},
		{head: "Do", flexible: true},
		{head: "Seam"},
		{head: "Edges"},
		{head: "Turn", a: right},
	}}
	for i, s := range steps {
		t.rows = append(t.rows, []string{fmt.Sprint(i + 1), stepText(s), s.Seam, edges[s.Seam], turnText(s.TurnDeg)})
	}
	f.heading("Order of assembly", 24)
	f.paragraph(page.AssemblyRule, capSmall, 0)
	f.gap(1.5)
	t.put(f)
	if len(loose) > 0 {
		f.gap(-1)
		f.paragraph("In no seam: "+strings.Join(loose, ", ")+".", capSmall, 0)
		f.gap(3)
	}
}

// stepText says what a step does, with the pieces as they are joined by then.
func stepText(s page.Step) string {
	a, b := strings.Join(s.A, " + "), strings.Join(s.B, " + ")
	switch s.Kind {
	case page.CloseDart:
		return "close the dart in " + a
	case page.JoinParts:
		return fmt.Sprintf("join %s to %s", bracketed(s.B, b), bracketed(s.A, a))
	}
	if len(s.A) == 1 {
		return "close " + a + " to a ring"
	}
	return "close the ring in " + a
}

func bracketed(ids []string, text string) string {
	if len(ids) > 1 {
		return "(" + text + ")"
	}
	return text
}

func turnText(deg float64) string {
	if deg < 0.05 {
		return "flat"
	}
	return trimmed(deg, 1) + "°"
}
