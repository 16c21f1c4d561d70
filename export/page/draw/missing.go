package draw

import (
	"strings"

	"flatwright/export/page/lettering"
)

// missingNote says that some words hold letters that cannot be printed; empty
// when all can.
func missingNote(doc Document) string {
	words := []string{doc.Title, doc.Pattern.Name}
	for _, p := range doc.Pattern.Pieces {
		words = append(words, p.ID, p.Name)
	}
	for _, w := range words {
		w = strings.ReplaceAll(lettering.OneLine(w), string(lettering.Missing), "")
		if strings.ContainsRune(lettering.Regular.Clean(w), lettering.Missing) {
			return "□ stands for a letter that this print has no shape for; the names are whole in the SVG drawing."
		}
	}
	return ""
}
