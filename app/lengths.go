package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"flatwright/app/desk/units"
	"flatwright/app/locale/numbers"
	"flatwright/export/page"
	"flatwright/export/sheet"
)

// reading is how the lengths of options are read: as the window's fields read
// them when they show millimetres.
func reading() units.Reading { return units.Reading{DecimalComma: numbers.DecimalComma()} }

// longestMM bounds what is believed of any length; longer ones are slips of the
// unit.
const longestMM = 1e5

// readLength reads the length of an option, above 0 and up to a bound.
func readLength(text string, mostMM float64) (float64, error) {
	return upTo(text, mostMM, reading().Length)
}

// readFromZero is readLength for what may be nothing too.
func readFromZero(text string, mostMM float64) (float64, error) {
	return upTo(text, mostMM, reading().FromZero)
}

// upTo reads a length by read and refuses what is longer than a bound.
func upTo(text string, mostMM float64, read func(string) (float64, error)) (float64, error) {
	mm, err := read(text)
	if err == nil && mm > mostMM {
		return 0, fmt.Errorf("%q: %w", text, units.ErrNotALength)
	}
	return mm, err
}

// readSides reads so many lengths with an x between them.
func readSides(text string, least, most int) ([]float64, error) {
	mm, err := reading().Sizes(text)
	if err == nil && (len(mm) < least || len(mm) > most || slices.Max(mm) > longestMM) {
		return nil, fmt.Errorf("%q: %w", text, units.ErrNotALength)
	}
	return mm, err
}

// badLength refuses the length of an option with a sentence that begins with
// the option's name, or says how to write it where it may mean either of two.
func badLength(err error, sentence string) *usageError {
	var unclear *units.UnclearError
	if errors.As(err, &unclear) {
		option, _, _ := strings.Cut(sentence, " ")
		return &usageError{option + " " + unclear.Error()}
	}
	return &usageError{sentence}
}

// inMM writes sides the way the packages below read them.
func inMM(sides []float64) string {
	words := make([]string, len(sides))
	for i, mm := range sides {
		words[i] = strconv.FormatFloat(mm, 'f', -1, 64)
	}
	return strings.Join(words, "x") + "mm"
}

// readPaper reads a paper by its name, by its sides, or a roll by its width.
func readPaper(text string) (page.Paper, error) {
	name := strings.TrimSpace(text)
	var names []string
	for _, p := range page.Papers() {
		if strings.EqualFold(p.Name, name) {
			return p, nil
		}
		names = append(names, strings.ToLower(p.Name))
	}
	width, roll := strings.CutPrefix(strings.ToLower(name), "roll")
	prefix, count := "", 2
	if roll {
		prefix, count = "roll", 1
	}
	sides, err := readSides(width, count, count)
	if err != nil {
		return page.Paper{}, badLength(err, fmt.Sprintf("--paper %q is not known; write one of %s, two lengths like 610x914mm or 24x36in, or a roll by its width like roll24in", text, strings.Join(names, ", ")))
	}
	p, err := page.PaperByName(prefix + inMM(sides))
	if err != nil {
		return p, &usageError{fmt.Sprintf("--paper %q cannot be printed on; choose one that is smaller", text)}
	}
	return p, nil
}

// readPrinted reads what the square of a cover measures.
func readPrinted(text string) (page.Printer, error) {
	sides, err := readSides(text, 2, 2)
	if err != nil {
		return page.Printer{}, badLength(err, fmt.Sprintf("--printed %q is not the size of a printed square; write both its sides like 99.6x100.1mm", text))
	}
	p, err := page.PrinterOf(inMM(sides))
	if err != nil {
		return p, &usageError{fmt.Sprintf("--printed: %v", err)}
	}
	return p, nil
}

// readStock reads what there is to cut from: two or three sides, the third the
// thickness, or the width of a roll and its thickness, and behind a colon how
// many there are.
func readStock(text string) (sheet.Stock, error) {
	size, number, counted := strings.Cut(strings.ToLower(strings.TrimSpace(text)), ":")
	width, roll := strings.CutPrefix(size, "roll")
	prefix, least := "", 2
	if roll {
		prefix, least = "roll", 1
	}
	bad := fmt.Sprintf("--stock %q is not understood; write width x length like 24x60in or 600x1000mm, or a roll like \"roll 24in\", and :3 behind it when there are three", text)
	sides, err := readSides(width, least, least+1)
	if err != nil {
		return sheet.Stock{}, badLength(err, bad)
	}
	words := prefix + inMM(sides)
	if counted {
		words += ":" + number
	}
	s, err := sheet.ParseStock(words)
	if err != nil {
		return s, &usageError{bad}
	}
	s.Name = strings.TrimSpace(text)
	return s, nil
}
