package lens

import "strings"

// Terms is a set of lens terms.
type Terms uint8

// The lens terms a fit can have besides the homography.
const (
	// TermK1 and TermK2 are the first radial terms.
	TermK1 Terms = 1 << iota
	TermK2
	// TermCentre frees the principal point, held by a prior.
	TermCentre
	// TermTangential is P1 and P2 together.
	TermTangential
	// TermK3 is the last radial term.
	TermK3

	// AllTerms allows every term.
	AllTerms = TermK1 | TermK2 | TermCentre | TermTangential | TermK3
)

var termNames = []struct {
	term Terms
	name string
}{
	{TermK1, "k1"},
	{TermK2, "k2"},
	{TermK3, "k3"},
	{TermTangential, "tangential"},
	{TermCentre, "centre"},
}

// Names lists the terms in a fixed order: k1 k2 k3 tangential centre.
func (t Terms) Names() []string {
	names := []string{}
	for _, n := range termNames {
		if t&n.term != 0 {
			names = append(names, n.name)
		}
	}
	return names
}

// String returns the names joined by blanks.
func (t Terms) String() string { return strings.Join(t.Names(), " ") }

// The parameters of the adjustment, in order: the homography of the scaled
// mat frame with its last element fixed at 1, the lens terms, and the centre
// in units of ScalePx from the middle of the photograph.
const (
	homographyCount = 8
	iK1             = 8
	iK2             = 9
	iK3             = 10
	iP1             = 11
	iP2             = 12
	iCX             = 13
	iCY             = 14
	paramCount      = 15
)

type params [paramCount]float64

// places lists the parameters that are free with these terms.
func (t Terms) places() []int {
	list := []int{0, 1, 2, 3, 4, 5, 6, 7}
	if t&TermK1 != 0 {
		list = append(list, iK1)
	}
	if t&TermK2 != 0 {
		list = append(list, iK2)
	}
	if t&TermK3 != 0 {
		list = append(list, iK3)
	}
	if t&TermTangential != 0 {
		list = append(list, iP1, iP2)
	}
	if t&TermCentre != 0 {
		list = append(list, iCX, iCY)
	}
	return list
}
