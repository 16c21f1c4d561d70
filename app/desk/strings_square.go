package desk

// squareWords is every text about squaring up.
type squareWords struct {
	stale, staleExport, again, takeBack              string
	kindHead, kindAuto, kindWide, kindNext, kindNth  string
	kindSquares                                      string
	show, useIt, looksLike                           string
	noLinesHead, noLinesText, useSheet, findLines    string
	byCrossings, bySheet, chooseSize                 string
	sizeHead, asPrinted, withRule, sizeHint          string
	across, down, factorBoth, factorNone             string
	ruleHint, knownHint, ownHint                     bySystem
	oneMore, moreAdvice, tapeBoth                    string
	badSquares, badLength                            string
	keepHint, keep, kept, matTurned, matTurnUnknown  string
	matLikely, matOther, needName, matsFailed        string
	raisedHead, raisedFlat, thickness, thicknessHint string
	camera, cameraHint, cameraWhy, raisedCost        string
	badThick, badCamera, flatWord, thickWord         string
	showHead, needles, shade, longer                 string
	hullSign, needleSign, missSign, missTip          string
	bandBelow, bandTo, bandAbove                     string
	checkHead, checkHint, known                      string
	checkRow, checkDifference, lay, tapeRead         string
	checkAgrees, checkBeyond                         string
	oneCheck, checkCount, knowIt                     string
	figuresHead, figuresNote, notYet                 string
	sheetHead, sheetHint, sheetOwn                   string
	sheetSides, swap, findSheet, fromSheet           string
	noSheetFound, findingSheet                       string
	giveCamera, fixSize, showWhere, showCorner       string
	marksKept, marksLost, cutsLost, piecesLost, and  string
	cameAlong, seamsLost                             string
	traceKept, scaleRow, scaleSource                 string
	sources                                          map[string]string
}

func englishSquare() squareWords {
	return squareWords{
		stale:       "The settings have changed since. The picture still shows the work as it was squared up before.",
		staleExport: "The photograph is not squared up with what is set now. Square it up again before printing, or undo the change.",
		again:       "Square up again", takeBack: "Undo",
		kindHead: "Lines %s apart are", kindAuto: "found out", kindWide: "the widest spaced", kindNext: "the next closer", kindNth: "number %d from the widest",
		kindSquares: "%s: %d × %d squares",
		show:        "Show", useIt: "Use its true size",
		looksLike:   "This looks like your mat “%s”.",
		noLinesHead: "No lines to read?",
		noLinesText: "Click crossings of the lines yourself, or lay a sheet of known size flat beside the pieces and click its corners.",
		useSheet:    "Use a sheet of known size", findLines: "Find the lines after all",
		byCrossings: "by crossings", bySheet: "by sheet", chooseSize: "choose its size",
		sizeHead: "The mat's true size", asPrinted: "as printed", withRule: "measured with a steel rule",
		sizeHint: "Mats are printed with errors. Lay a steel rule over many squares, once across and once down the photograph.",
		across:   "squares across", down: "squares down", ruleHint: bySystem{"508.4 mm", "20 1/32 in"},
		factorBoth: "across %+.2f %%, down %+.2f %%", factorNone: "as printed",
		oneMore: "1 more thing to mend", moreAdvice: "%d more things to mend",
		tapeBoth:   "The tape reads %s on the pieces' face, %s on the mat, %s from squaring up. Arrows nudge its last end.",
		badSquares: "%q is not a number of squares. Type one like 20.", badLength: "%q is not a length. Type one like 508.4 mm or 20 in.",
		keepHint: "name, like big green", keep: "Keep as a known mat", kept: "The mat “%s” is kept. Choose it here for the next photograph.",
		matTurned: "Mat lies turned by a quarter", matTurnUnknown: "Say whether the mat lies as it was measured: the photograph cannot tell.",
		matLikely: "%s (looks like this one)", matOther: "%s (has fewer squares)", needName: "Give the mat a name first.",
		matsFailed: "The known mats could not be read: %v.",
		raisedHead: "Thick pieces", raisedFlat: "Foam lying on the mat is nearer to the camera and looks larger. Say how thick it is and the pattern comes out true.",
		thickness: "Thickness", thicknessHint: "0 for tape", camera: "Camera height", cameraHint: "found out",
		cameraWhy:  "From the mat to the lens, when the photograph was taken.",
		raisedCost: "Of this, thickness costs %s at worst.",
		badThick:   "%q is not a thickness up to %s. Type one like 10 mm or 3/8 in, or 0 for tape.",
		badCamera:  "%q is not a height of a camera. Type one like 600 mm or 24 in.",
		flatWord:   "flat", thickWord: "%s thick",
		showHead: "See the errors", needles: "Misses as needles", shade: "Shade by ±", longer: "× %.0f",
		hullSign: "lines read lie within", missSign: "a line misses by more than 1 px", missTip: "Here the mat's line was read %.1f px, %s, off where squaring up puts it.", needleSign: "misses of the lines, × %.0f",
		bandBelow: "± below %s", bandTo: "± up to %s", bandAbove: "± above %s",
		checkHead: "Check a length", checkHint: "Lay the measuring tape over something you know, like a rule on the mat: two clicks, arrows to nudge. Then type its length.",
		known: "It is really", knownHint: bySystem{"300 mm", "12 in"},
		checkRow: "%d.  %s known, %s measured on the mat", checkDifference: "%s, %+.2f %%; %s in all", checkAgrees: "that agrees", checkBeyond: "%s more than that explains",
		lay: "Lay the tape", tapeRead: "The tape reads %s, %s from squaring up. Arrows nudge its last end.", oneCheck: "1 length", checkCount: "%d lengths", knowIt: "I know this length",
		figuresHead: "Figures", figuresNote: "misses by %s", notYet: "Square up first.",
		sheetHead: "Sheet of known size", sheetHint: "Click the four corners going round, zoomed in. Arrows nudge the last one by 1 px, with Shift by 0.1 px.",
		sheetOwn: "own size", ownHint: bySystem{"210 mm", "8 1/2 in"},
		sheetSides: "Side 1–2 is %s, side 2–3 is %s.", swap: "Other way round", findSheet: "Find its corners", fromSheet: "Square up from the sheet",
		noSheetFound: "No sheet stands out in this photograph. Click its four corners.", findingSheet: "Looking for the sheet",
		giveCamera: "Type the camera's height", fixSize: "Look at the sizes", showWhere: "Show where", showCorner: "Show corner %d",
		marksKept: "Squared up again. What you said of cuts and pieces is kept.",
		cameAlong: "Squared up again. Your pieces came along with all that you said of them. Press T to trace them anew.", seamsLost: "the seams %s",
		marksLost: "Squared up again, but %s found no place in the new outlines. Give them anew, or undo.",
		cutsLost:  "the work on edges %s", piecesLost: "what you said of %s", and: " and ",
		traceKept: "The pieces could not be traced anew, so all is as it was: %v.",
		scaleRow:  "Scale from", scaleSource: "%s “%s”",
		sources: map[string]string{
			"pitch": "the printed lines", "steel rule": "a steel rule", "mat profile": "known mat", "rectangle": "sheet",
		},
	}
}
