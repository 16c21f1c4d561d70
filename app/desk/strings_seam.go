package desk

import "flatwright/app/desk/units"

// seamWords is every text about seams, marks and mends.
type seamWords struct {
	head, none, pick, pair, stop, apart                                string
	likely, likelySure, likelyTwin, join                               string
	sides, same, longer, shorter                                       string
	rung, oneSeam, seams                                               string
	inside, gapFront, gapBack, step, noThickness                       string
	want, wantHint, badWant                                            string
	marksHead, marksMeet, marksAlone, noMarks                          string
	copyMarks, copied                                                  string
	copyBy                                                             string
	copyHow                                                            [2]string
	setMarks, spacing, badSpacing, set, angleHint                      string
	spacingHint, sizeHint, depthHint, gapHint                          bySystem
	matesHead, matesNone, matesAll, matesSome, joinN                   string
	joined, joinedOne                                                  string
	edgeMore, pieceMore, toEnd, sameHint, noneHint                     string
	endNote, allowanceNote                                             string
	allowance, atCorners, divideHint, joinNext                         string
	divideWhere, badEnd, badAllowance                                  string
	corners                                                            []string
	faces                                                              [2]string
	shows, turnedOver, material, materialHint                          string
	note, noteHint                                                     string
	sizeHead, sizeWhat, sizeWord                                       string
	sized, badSize, offPicture                                         string
	limitsHead, limitsHint, off, badLimit, usual                       string
	changedLimits                                                      string
	limits                                                             [13]string
	severities                                                         [3]string
	fitsBare                                                           string
	lengths, compared                                                  string
	onePair, onePairSure, notThese, nthPair, matesUnsure, fits, mirror string
	certain, rival                                                     string
	rim, rimShort                                                      string
	lineHead, depth, bend, opened, badWork                             string
	scoreGives, grooveGives, slitGives                                 string
	lineNeedsThickness                                                 string
	lineKinds                                                          [4]string
}

func englishSeam() seamWords {
	return seamWords{
		head: "Seam", none: "This edge is in no seam yet.", pick: "Click the edge that %s will be glued to. Esc stops.",
		pair: "Pair with another edge", stop: "Stop pairing", apart: "Take the seam apart",
		likely: "Looks like the mate of %s", likelySure: "Fits %s like a key", likelyTwin: "Fits %s, its mirror image: join them only if they really meet", join: "Join them",
		sides: "%s and %s", same: "equally long", longer: "%s longer (%.1f %%)", shorter: "%s shorter (%.1f %%)",
		inside: "%s inside", gapFront: "%s too much (hatched)", gapBack: "gapes %s (dotted)",
		rung: "%s, %d cuts", oneSeam: "1 seam", seams: "%d seams",
		step: "a step of %s inside", noThickness: "Give both pieces a thickness to see the joint.",
		want: "Angle inside", wantHint: "90", badWant: "%q is not an angle between two faces. Type one like 90 or 116.6.",
		marksHead: "Marks", marksMeet: "%d meet", marksAlone: "%d meet, %d without partner", noMarks: "none",
		copyMarks: "Copy to the other side", copyBy: "Copied by their", copyHow: [2]string{"share", "length"}, copied: "%d marks copied.",
		setMarks: "Set marks anew", spacing: "Every", spacingHint: bySystem{"60 mm", units.Inches.Typed(usualSpacingMM)}, angleHint: "45", depthHint: bySystem{"3 mm", "1/8 in"}, gapHint: bySystem{"2 mm", "3/32 in"}, badSpacing: "%q is not a distance between marks. Type one like 60 mm or 2 1/2 in.", set: "%d marks set on either side.",
		matesHead: "Mates", matesNone: "No edges look like mates. Pair them by hand: choose an edge, then Pair.",
		matesAll: "%d pairs of edges look like mates, all sure", matesSome: "%d pairs of edges look like mates, %d of them sure",
		joinN: "Join the sure ones (%d)", joined: "%d seams joined.", joinedOne: "1 seam joined.",
		endNote: "%s at its end", allowanceNote: "allowance %s", edgeMore: "More of this edge", pieceMore: "More of this piece", toEnd: "Angle at its end", sameHint: "same", noneHint: "none",
		rim: "Stays open, as the form's rim", rimShort: "rim",
		allowance: "Allowance", atCorners: "At its corners", corners: []string{"mitred", "square", "folded"},
		divideHint:   "I divides the edge under the pointer, W joins this one with the next.",
		joinNext:     "Join with the next edge",
		divideWhere:  "Put the pointer on the place of an edge where it is to be divided, then press I.",
		badEnd:       "%q is not an angle for the end of a cut. Type one like 20, or -20 for an undercut, or nothing for the same all along.",
		badAllowance: "%q is not a width of an allowance. Type one like 8 mm or 3/8 in, or nothing for none.",
		shows:        "The pattern shows its", faces: [2]string{"Front", "Back"}, turnedOver: "Cut half of them turned over",
		material: "Material", materialHint: "black foam", note: "Note", noteHint: "grain upwards",
		sizeHead: "Size of the pattern", sizeWord: "New size", sizeHint: bySystem{"104 %, 310 mm", "104 %, 12 1/4 in"},
		sizeWhat:   "For another wearer: a share like 104 %, or the length that the chosen edge is to have. Thickness and bevels stay.",
		sized:      "All pieces are now %.1f %% of what they were, and no longer lie on their picture. Undo takes it back.",
		offPicture: "Piece %s is turned, and no longer lies on its picture. Undo takes it back.",
		badSize:    "%q is not a size: type a share like 104 %%, or choose an edge and type the length it is to have, like 310 mm or 12 1/4 in",
		limitsHead: "Limits", limitsHint: "Empty is the usual. Type off to leave a check out. A radius is in thicknesses of the sheet.", off: "off", usual: "the usual",
		changedLimits: "%d changed", badLimit: "%q is not a limit. Type one like 1.5 mm or 1/16 in, 30°, 3 × or 0.5 %%, off for none, or nothing for the usual.",
		limits: [13]string{
			"Seam sides differ by", "… and by", "Marks miss by", "No marks along", "Sharpest inside", "Widest inside", "Off the wanted by", "Slanted bend under", "Dart open by",
			"Spike longer than", "Edge shorter than",
			"Sheet’s width", "Sheet’s height",
		},
		severities: [3]string{"Note", "Warning", "Fault"},
		fitsBare:   "Lengths fit to %s; there are no marks.",
		lengths:    "Lengths", compared: "%s is %s",
		notThese: "Not these", nthPair: "%s · %s   (%d of %d)", matesUnsure: "%d pairs of edges look like mates, none of them sure", onePair: "1 pair of edges looks like mates, not for sure", onePairSure: "1 pair of edges looks like mates, for sure",
		fits:    "Lengths and marks fit to %s; %d marks meet, %d stay alone.",
		mirror:  "The pieces are mirror images: join them only if these edges really meet.",
		certain: "No other edges fit nearly as well.", rival: "%s and %s fit nearly as well.",
		lineHead: "Line in piece %s", depth: "Depth", bend: "Bend", opened: "Opened to",
		badWork:    "That is not a depth, a bend or a width. Type lengths like 3 mm or 1/8 in and angles like 45.",
		scoreGives: "Leaves %s uncut.", grooveGives: "Cut the V from the back, %s either side of square, %s wide.", slitGives: "Bends by %s when it is opened so far.",
		lineNeedsThickness: "Give the piece its thickness first: the depth follows from it.",
		lineKinds:          [4]string{"Drawn only", "Score", "V-groove", "Slit"},
	}
}
