package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"flatwright/rectify"
)

// Text writes the report for people: a few lines, numbers with their units.
func Text(w io.Writer, r Report) error {
	var b strings.Builder
	textHead(&b, r)
	textPieces(&b, r.Pieces)
	textFindings(&b, "Problems", r.Problems)
	textFindings(&b, "Findings", r.Findings)
	textFiles(&b, r)
	_, err := io.WriteString(w, b.String())
	return err
}

func textHead(b *strings.Builder, r Report) {
	textPhoto(b, r.Photo, r.Calibration, "on the pieces")
	for _, f := range r.FurtherPhotos {
		textPhoto(b, f.Photo, f.Calibration, "on the pieces")
	}
}

// textPhoto says how well one photograph was squared up.
func textPhoto(b *strings.Builder, p Photo, c Calibration, where string) {
	if p.Name != "" {
		fmt.Fprintf(b, "%s: %d × %d px (%.1f megapixels)\n", p.Name, p.WidthPx, p.HeightPx,
			float64(p.WidthPx)*float64(p.HeightPx)/1e6)
	}
	if c.Points == 0 {
		return
	}
	fmt.Fprintf(b, "Squared up on %s: residual %.2f px RMS, %.2f px at worst", Basis(c), c.RMSPx, c.MaxPx)
	if c.MMPerPx > 0 {
		fmt.Fprintf(b, "; %.3f mm per pixel", c.MMPerPx)
	}
	b.WriteString(".\n")
	// Where the print is taken as true there is advice on it, and more.
	if c.Scale.Note != "" && (c.Scale.Source != string(rectify.FromPitch) || len(c.Advice) == 0) {
		b.WriteString(oneLine(c.Scale.Note) + "\n")
	}
	if h := c.Height; h != nil {
		b.WriteString(h.Sentence() + "\n")
	}
	if c.PlusMinus.WorstMM > 0 {
		fmt.Fprintf(b, "Good to ± %s mm %s, ± %s mm at worst (near %.0f, %.0f mm).\n",
			Within(c.PlusMinus.MedianMM), where, Within(c.PlusMinus.WorstMM), c.PlusMinus.WorstAt.X, c.PlusMinus.WorstAt.Y)
	}
	if c.LeftOutRMSMM > 0 {
		fmt.Fprintf(b, "Lines left out of the fit are met to %.3f mm RMS.\n", c.LeftOutRMSMM)
	}
	for _, k := range c.Checks {
		b.WriteString(checkSentence(k) + "\n")
	}
	for _, a := range c.Advice {
		b.WriteString(oneLine(a.Text) + "\n")
	}
	if len(c.Lens.Terms) > 0 {
		fmt.Fprintf(b, "Lens terms: %s.\n", strings.Join(c.Lens.Terms, ", "))
	}
}

// Basis says what a photograph was squared up on.
func Basis(c Calibration) string {
	switch {
	case c.Scale.Source == string(rectify.FromRectangle) && c.Points == c.Crossings:
		return fmt.Sprintf("the corners of %s", rectangleName(c.Scale.Name))
	case c.Scale.Source == string(rectify.FromRectangle):
		return fmt.Sprintf("%d points of the edges of %s", c.Points, rectangleName(c.Scale.Name))
	case c.Points == c.Crossings:
		return fmt.Sprintf("%d crossings placed by hand, lines %s mm apart", c.Crossings, shortest(c.PitchMM))
	}
	return fmt.Sprintf("%d points of the mat's lines, %s mm apart", c.Points, shortest(c.PitchMM))
}

// checkSentence says how a known length came out, and whether the difference
// is to be expected.
func checkSentence(k Check) string {
	text := fmt.Sprintf("Check: %.2f mm where %.2f mm is known, %+.2f mm", k.MeasuredMM, k.KnownMM, k.DifferenceMM)
	if k.Agrees {
		return text + fmt.Sprintf(", within the ± %s mm to be expected.", Within(k.PlusMinusMM))
	}
	return text + fmt.Sprintf(", more than the ± %s mm to be expected: see whether the length, the two places and the distance of the lines are right.", Within(k.PlusMinusMM))
}

func textPieces(b *strings.Builder, pieces []Piece) {
	if len(pieces) == 0 {
		b.WriteString("No pieces.\n")
		return
	}
	fmt.Fprintf(b, "\n%s:\n", counted(len(pieces), "piece"))
	for _, p := range pieces {
		fmt.Fprintf(b, "  %-3s %8.1f cm²  outline %7.1f mm  %3s", p.ID, p.AreaMM2/100, p.PerimeterMM, counted(p.Nodes, "node"))
		for _, part := range []struct {
			n    int
			what string
		}{{p.Openings, "opening"}, {p.Marks, "mark"}, {p.Lines, "inside line"}} {
			if part.n > 0 {
				b.WriteString(", " + counted(part.n, part.what))
			}
		}
		if p.Name != "" {
			b.WriteString("  " + oneLine(p.Name))
		}
		b.WriteByte('\n')
	}
}

func textFindings(b *strings.Builder, head string, all []Finding) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s:\n", head)
	for _, f := range all {
		b.WriteString("  " + oneLine(f.Text))
		if f.At != nil {
			fmt.Fprintf(b, " (at %.1f, %.1f mm)", f.At.X, f.At.Y)
		}
		b.WriteByte('\n')
	}
}

func textFiles(b *strings.Builder, r Report) {
	b.WriteByte('\n')
	if r.Sheets.Tiles > 0 {
		fmt.Fprintf(b, "%s on %s.\n", counted(r.Sheets.Pages, "page"), r.Sheets.Paper)
	}
	if len(r.Files) > 0 {
		names := make([]string, len(r.Files))
		for i, f := range r.Files {
			names[i] = baseName(f)
		}
		fmt.Fprintf(b, "Wrote %s.\n", strings.Join(names, ", "))
	}
	total := 0.0
	var parts []string
	for _, t := range r.Timings {
		total += t.MS
		parts = append(parts, fmt.Sprintf("%s %.2f s", t.Stage, t.MS/1000))
	}
	if len(parts) > 0 {
		fmt.Fprintf(b, "Took %.2f s: %s.\n", total/1000, strings.Join(parts, ", "))
	}
}

// Within writes a ± in mm to two decimals, rounded up: what is promised is
// kept, and nothing is ever "± 0.00".
func Within(mm float64) string { return fmt.Sprintf("%.2f", max(0.01, math.Ceil(mm*100-1e-6)/100)) }

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func shortest(v float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", v), "0"), ".")
}

// oneLine keeps a name from breaking the lines or the terminal.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || (r >= 0x80 && r < 0xa0) {
			return ' '
		}
		return r
	}, s)
}
