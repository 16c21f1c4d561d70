package pattern

import (
	"fmt"
	"strings"
)

// EdgeWords names edges as a maker reads them, in a sentence: "edge A2",
// "edges A2 and A3", "edges A2, A3 and A4"; the direction in which a seam
// takes them matters to the program alone.
func EdgeWords(ids ...string) string {
	switch len(ids) {
	case 0:
		return "no edge"
	case 1:
		return "edge " + ids[0]
	}
	return "edges " + listed(ids)
}

// Words names a side's edges in a sentence, as EdgeWords.
func (r Run) Words() string { return EdgeWords(r.edges()...) }

// String lists the edges for a table or a heading: "A2 + A3".
func (r Run) String() string { return strings.Join(r.edges(), " + ") }

func (r Run) edges() []string {
	ids := make([]string, len(r))
	for i, e := range r {
		ids[i] = e.Edge
	}
	return ids
}

// listed joins names by commas, the last by "and".
func listed(names []string) string {
	n := len(names)
	if n < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
}

// begins makes words the beginning of a sentence.
func begins(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:]
}

func areOrIs(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// nth is a number that counts: "1st", "2nd", "3rd", "4th", "11th" …
func nth(n int) string {
	end := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			end = "st"
		case 2:
			end = "nd"
		case 3:
			end = "rd"
		}
	}
	return fmt.Sprintf("%d%s", n, end)
}
