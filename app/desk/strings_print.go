package desk

// printWords is every text of the print rung.
type printWords struct {
	layout, asLaid, packed                       string
	lies, auto, portrait, landscape              string
	margin, overlap, sheets, badMargin           string
	badOverlap                                   string
	printer, short, long                         string
	badSquare, true100                           string
	ownHint, rollHint, stripHint, measuredHint   bySystem
	moved, printerWhat, moveHow                  bySystem
	corrected, also, svg, dxf, bundle            string
	alsoWhat, page, openFolder, openPDF, noPages string
	toFault, oneFault, faults, toFaults          string
	noOpen, customPaper, roll, badPaper, badRoll string
	rollWidth, ownSides                          string
	onlyPDF, sheetsNote                          string
	alsoNames                                    [3]string
	move, backToUsual                            string
	packedStay                                   string
	larger, laying, paperDivide                  string
	find, wholePage, widePage, shutPage          string
}

func englishPrint() printWords {
	return printWords{
		layout: "Layout", asLaid: "as laid", packed: "packed",
		lies: "Paper lies", auto: "as it fits best", portrait: "upright", landscape: "sideways",
		margin: "Margin", overlap: "Glue strip", sheets: "Sheets", sheetsNote: "margin %s, strip %s",
		badMargin: "%q is not a margin from %s to %s. Type one like 10 mm or 3/8 in.", badOverlap: "%q is not a glue strip from %s to %s. Type one like 10 mm or 3/8 in.",
		printer: "Your printer", printerWhat: bySystem{
			"Measure the 100 mm square on a cover that was printed without correction, along the paper's shorter side and its longer. The next print comes out right.",
			"Measure the 100 mm square, which is 3.937 in, on a cover that was printed without correction, along the paper's shorter side and its longer. The next print comes out right.",
		},
		short: "Shorter side", long: "Longer side", measuredHint: bySystem{"100mm", "3.94in"}, stripHint: bySystem{"10mm", "3/8in"}, ownHint: bySystem{"610x914mm", "24x36in"}, rollHint: bySystem{"610mm", "24in"},
		badSquare: "%q cannot be a side of the printed square, which measures from %s to %s. Print it at 100 %%, not fitted to the page, and measure again.",
		true100:   "taken as true", corrected: "shorter side %+.1f %%, longer %+.1f %%",
		also: "Files beside it", svg: "SVG for drawing programs", dxf: "DXF for cutters", bundle: "Bundle for another maker",
		alsoWhat: "They take the PDF's name.", alsoNames: [3]string{"SVG", "DXF", "bundle"}, onlyPDF: "none",
		move: "Move the sheets", moveHow: bySystem{
			"Drag the sheets over the pattern, or move them with the arrows by 1 mm, with Shift by 10 mm, so that no join lies on a delicate spot. Esc ends it.",
			"Drag the sheets over the pattern, or move them with the arrows by 0.04 in (1 mm), with Shift by 0.4 in (10 mm), so that no join lies on a delicate spot. Esc ends it.",
		},
		moved: bySystem{"%+.0f, %+.0f mm from their usual place", "%+.2f, %+.2f in from their usual place"}, backToUsual: "To the usual place", packedStay: "Packed pieces lie on sheets of their own. Choose the layout as laid to move the sheets.",
		larger: "Show large", find: "On the pattern", wholePage: "Whole page", widePage: "As wide as the window", shutPage: "Back to the work", laying: "Laying the pieces out on paper…",
		paperDivide: "Edges are divided on the pattern as it lies. Choose another step or the layout as laid, then put the pointer on the place and press I.",
		page:        "Page %d of %d: %s", openFolder: "Open the folder", openPDF: "Open the PDF", oneFault: "1 fault stands: a piece cannot be cut as it is drawn.", faults: "%d faults stand: pieces cannot be cut as they are drawn.", toFault: "Look at it", toFaults: "Look at them", noPages: "No pages can be laid out: %v.",
		noOpen: "It could not be opened from here: %v. You will find it at %s.", customPaper: "Own size", rollWidth: "Its width", ownSides: "Its sides", roll: "Roll", badRoll: "%q is not the width of a roll. Type one like 610 mm or 24 in.", badPaper: "%q is not a paper. Type two lengths like 610x914mm or 24x36in, or a roll like roll610mm.",
	}
}
