package units

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

var (
	// lengthsInText are numbers that one "mm" stands behind: "20.1 mm",
	// "315 x 27 mm", "600 ± 20 mm", "(12.5, -3.0) mm", and the words that make a
	// bound of one: "at least 4 mm", "4 mm or more"; of an error, "is up to 0.3 mm".
	lengthsInText = regexp.MustCompile(`(?:\b(?:at least|more than|at most|less than|(?:is |makes )?up to|within) )?` +
		`(?:\b\d+(?:\.\d+)?(?: (?:x|×|and|to|±) \d+(?:\.\d+)?)*|\(-?\d+(?:\.\d+)?, -?\d+(?:\.\d+)?\)) mm\b(?: or (?:more|less)\b)?`)
	// quotedInText is what stands between quotation marks, which may be inch marks
	// within it.
	quotedInText = regexp.MustCompile(`"(?:[^"\\]|\\.)*"?`)
	unitInText   = regexp.MustCompile(` mm\b`)
	numberInText = regexp.MustCompile(`\d+(?:\.\d+)?`)
)

// Sentence says the lengths of a sentence that was written in millimetres in
// this system, each to the digits that it has; a bound is rounded to the side on
// which it is kept, and what an error is up to is rounded up. What stands between
// quotation marks was typed by someone, and stays.
func (s System) Sentence(text string) string {
	if s == Millimetres {
		return text
	}
	var out strings.Builder
	from := 0
	for _, typed := range quotedInText.FindAllStringIndex(text, -1) {
		out.WriteString(lengthsInText.ReplaceAllStringFunc(text[from:typed[0]], s.lengths))
		out.WriteString(text[typed[0]:typed[1]])
		from = typed[1]
	}
	out.WriteString(lengthsInText.ReplaceAllStringFunc(text[from:], s.lengths))
	return out.String()
}

// round is to which side a number is rounded.
type round int

const (
	down    round = -1
	nearest round = 0
	up      round = 1
)

// side is the side on which the numbers of a text keep what its words ask for.
func side(words string) round {
	for _, w := range []string{"at least", "more than", "or more", "is up to", "makes up to"} {
		if strings.Contains(words, w) {
			return up
		}
	}
	for _, w := range []string{"at most", "less than", "up to", "within", "or less"} {
		if strings.Contains(words, w) {
			return down
		}
	}
	return nearest
}

// lengths says what lengthsInText has found.
func (s System) lengths(found string) string {
	unit, to := "", side(found)
	words := unitInText.Split(found, 2)
	out := numberInText.ReplaceAllStringFunc(words[0], func(number string) string {
		mm, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return number
		}
		_, digits, _ := strings.Cut(number, ".")
		text := s.bounded(mm, max(1, len(digits)), to) // a whole number may be exact, as 5 mm of foam
		at := strings.LastIndex(text, " ")
		unit = text[at:]
		return text[:at]
	})
	return out + unit + words[1]
}

// bounded is Length rounded to a side.
func (s System) bounded(mm float64, decimals int, to round) string {
	if to == nearest {
		return s.Length(mm, decimals)
	}
	const crumb = 1e-9
	if text, ok := fraction(mm, crumb); ok {
		return text
	}
	unit, in := math.Pow10(decimals+2), mm/MMPerInch
	v := math.Ceil(in*unit-crumb) / unit
	if to == down {
		v = math.Floor(in*unit+crumb) / unit
	}
	return strconv.FormatFloat(v, 'f', decimals+2, 64) + " in"
}
