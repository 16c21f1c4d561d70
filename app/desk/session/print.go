package session

// Print is how the maker wants the pattern printed.
type Print struct {
	// Paper is a paper's name, like "a4" or "610x914mm".
	Paper string
	// Orientation is "auto", "portrait" or "landscape".
	Orientation string
	// MarginMM is left free on every side, OverlapMM shared by neighbours.
	MarginMM, OverlapMM float64
	// Packed asks for pieces turned and packed on few pages instead of as they
	// lie on the mat.
	Packed bool
	// ShiftXMM and ShiftYMM move the sheets over the pattern from where they lie
	// best by themselves; of no say when packed.
	ShiftXMM, ShiftYMM float64
	// ShortMM and LongMM are what the 100 mm square of an earlier cover measured
	// along the paper's sides; 0 when it was not measured.
	ShortMM, LongMM float64
	// SVG, DXF and Bundle ask for these files beside the PDF.
	SVG, DXF, Bundle bool
}

// SquareMM is the side of the square on the cover.
const SquareMM = 100

// UsualPrint is a paper as it comes out without another wish.
func UsualPrint(paper string) Print {
	return Print{Paper: paper, Orientation: "auto", MarginMM: 10, OverlapMM: 10}
}
