package units

import (
	"regexp"
	"strconv"
	"strings"
)

var (
	// lengthsInText are numbers that one "mm" stands behind: "20.1 mm",
	// "315 x 27 mm", "600 ± 20 mm", "(12.5, -3.0) mm".
	lengthsInText = regexp.MustCompile(`(?:\b\d+(?:\.\d+)?(?: (?:x|×|and|to|±) \d+(?:\.\d+)?)*|\(-?\d+(?:\.\d+)?, -?\d+(?:\.\d+)?\)) mm\b`)
	numberInText  = regexp.MustCompile(`\d+(?:\.\d+)?`)
)

// Sentence says the lengths of a sentence that was written in millimetres in
// this system, each to the digits that it has. What stands between quotation
// marks was typed by someone, and stays.
func (s System) Sentence(text string) string {
	if s == Millimetres {
		return text
	}
	parts := strings.Split(text, `"`)
	for i := 0; i < len(parts); i += 2 {
		parts[i] = lengthsInText.ReplaceAllStringFunc(parts[i], s.lengths)
	}
	return strings.Join(parts, `"`)
}

// lengths says what lengthsInText has found.
func (s System) lengths(found string) string {
	unit := ""
	out := numberInText.ReplaceAllStringFunc(strings.TrimSuffix(found, " mm"), func(number string) string {
		mm, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return number
		}
		_, digits, _ := strings.Cut(number, ".")
		text := s.Length(mm, max(1, len(digits))) // a whole number may be exact, as 5 mm of foam
		at := strings.LastIndex(text, " ")
		unit = text[at:]
		return text[:at]
	})
	return out + unit
}
