package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"flatwright/rectify"
	"flatwright/rectify/photo"
)

// list is an option that may be given several times.
type list []string

// String returns what was given.
func (l *list) String() string { return strings.Join(*l, " ") }

// Set adds one.
func (l *list) Set(text string) error { *l = append(*l, text); return nil }

// parsePlace reads a place of the upright photograph, "1012.5,733", in pixels.
func parsePlace(text string) (photo.Point, bool) {
	a, b, ok := strings.Cut(text, ",")
	x, ok1 := parsePx(a)
	y, ok2 := parsePx(b)
	return photo.Point{X: x, Y: y}, ok && ok1 && ok2
}

func parsePx(text string) (float64, bool) {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	return v, err == nil && !math.IsNaN(v) && math.Abs(v) <= 1e6
}

// parseCrossing reads a crossing, "1012.5,733=4,0": where it is seen, and how
// many columns and rows from the first.
func parseCrossing(text string) (rectify.Corner, error) {
	place, counts, ok := strings.Cut(text, "=")
	at, ok1 := parsePlace(place)
	c, r, ok2 := strings.Cut(counts, ",")
	column, err1 := strconv.Atoi(strings.TrimSpace(c))
	row, err2 := strconv.Atoi(strings.TrimSpace(r))
	if !ok || !ok1 || !ok2 || err1 != nil || err2 != nil || max(column, -column, row, -row) > 10000 {
		return rectify.Corner{}, &usageError{fmt.Sprintf("--crossing %q is not a place in pixels and its column and row; write it like 1012.5,733=4,0", text)}
	}
	return rectify.Corner{At: at, Column: column, Row: row}, nil
}

// parseSpan reads a length measured over so many squares, "20=508.4mm".
func parseSpan(option, text string) (rectify.Span, error) {
	n, length, ok := strings.Cut(text, "=")
	squares, err := reading().Number(n)
	mm, err2 := readLength(length, longestMM)
	if !ok || err != nil || err2 != nil || squares > 10000 {
		return rectify.Span{}, badLength(errors.Join(err, err2), fmt.Sprintf("%s %q is not a number of squares and their length; write it like 20=508.4mm", option, text))
	}
	return rectify.Span{Squares: squares, LengthMM: mm}, nil
}

// distance is a length that is known between two places of the photograph.
type distance struct {
	from, to photo.Point
	knownMM  float64
}

// parseDistance reads "812,644:2310,655=300mm".
func parseDistance(text string) (distance, error) {
	places, length, ok := strings.Cut(text, "=")
	a, b, ok1 := strings.Cut(places, ":")
	from, ok2 := parsePlace(a)
	to, ok3 := parsePlace(b)
	mm, err := readLength(length, longestMM)
	if !ok || !ok1 || !ok2 || !ok3 || err != nil || from == to {
		return distance{}, badLength(err, fmt.Sprintf("--check %q is not two places in pixels and their distance; write it like 812,644:2310,655=300mm", text))
	}
	return distance{from: from, to: to, knownMM: mm}, nil
}

// parseSheet reads the sheet that lies on the table: the name of a known one,
// upright or with "-landscape" after it, or two lengths like 300x200mm, the
// side from the first corner to the second before the other.
func parseSheet(text string) (rectify.Rectangle, error) {
	name, lying := strings.CutSuffix(strings.ToLower(strings.TrimSpace(text)), "-landscape")
	if s, ok := rectify.SheetNamed(name); ok {
		if lying {
			s = s.Turned()
		}
		return rectify.Rectangle{Name: s.Name, WidthMM: s.WidthMM, HeightMM: s.HeightMM}, nil
	}
	sides, err := readSides(name, 2, 2)
	if lying || err != nil {
		return rectify.Rectangle{}, badLength(err, fmt.Sprintf("--sheet %q is not known; write one of %s, with -landscape after it when its first side is the longer, or two lengths like 300x200mm", text, sheetNames()))
	}
	return rectify.Rectangle{WidthMM: sides[0], HeightMM: sides[1]}, nil
}

func sheetNames() string {
	var names []string
	for _, s := range rectify.KnownSheets() {
		names = append(names, strings.ToLower(s.Name))
	}
	return strings.Join(names, ", ")
}
