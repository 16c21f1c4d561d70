package desk

import "flatwright/app/desk/session"

// words is every text of the window in one table; a translation is another
// table.
type words struct {
	title  string
	stages [session.Stages]string
	// rungAfter is what comes before a rung, rungNeeds what it needs of the maker.
	rungAfter, rungNeeds                           map[session.Stage]string
	rungPitch, rungStale, rungClear                string
	rungLook, rungSave, rungSaved                  string
	emptyHead, emptyBody, open, demo, dropHere     string
	pitchHead, pitchInvalid                        string
	pitchHint, thicknessHint, pxPer                bySystem
	pitches                                        []pitchChoice
	squareUp, squareAgain, byHand, byHandDone      string
	corners, cornersHint, cornerUnknown, clearAll  string
	column, row, solve                             string
	trace, traceAgain                              string
	lines, samples, rms, worst, leftOut, accuracy  string
	terms, noTerms, showLines                      string
	pieces, noPieces, edge, length, angle          string
	straight, bevel, undercut                      string
	letterStraight, letterBevel, letterUndercut    string
	piece, name, nameHint, quantity, thickness     string
	thicknessAll, thicknessGive, otherFace         string
	otherFaceNot, thickOfAll, chooseOne            string
	thickLack, thickLackOne                        string
	pickEdge, findings, noFindings, goThere        string
	paper, export, exportWhat                      string
	viewPhoto, viewFlat, help, appearance          string
	undo, nothingToUndo, undoShort, redoShort      string
	here, zoom, stop, stopped, magnified           string
	opening, squaring, tracing, exporting          string
	noPhotoYet, needPitch, needCorners, needPieces string
	helpHead, close                                string
	actions                                        map[session.Action]string
	helpKeys                                       [][2]string
	// nudges are the steps of the arrows, with Shift and without.
	nudges                                        bySystem
	failed                                        map[string]string
	badAngle, badThickness, badQuantity, badCount string
	findUncertain, pages, cuts                    string
	notFile, megapixels                           string
	savedTo, tapeHint                             string
	onePiece, onePage, oneCut                     string
	millimetres, inches, inMM, inInches           string
	pieceCount, plusMinus                         string
	wouldLose, openAnyway, closeHead, closeBody   string
	closeAnyway, stay                             string
	insideBy, outsideBy, average, poorFit         string
	unclear                                       string
	// square are the words of squaring up.
	square squareWords
	// seam are the words of seams, marks and mends.
	seam seamWords
	// tape are the words of coloured tape.
	tape tapeWords
	// print are the words of the print rung.
	print printWords
	// side are the words of sides of several edges, and of darts.
	side sideWords
	// groove are the words of runs of grooves.
	groove grooveWords
	// writing are the words beside what is written on pieces.
	writing writingWords
	// seen are the words of findings that were seen.
	seen seenWords
	// journal are the words of what happened, and of pasting.
	journal journalWords
	// shots are the words of patterns from several photographs.
	shots shotWords
	// keep are the words of keeping work.
	keep keepWords
	// place are the words of where a file goes.
	place placeWords
	// repair are the words of repairs by hand.
	repair repairWords
	// point are the words of points where three pieces meet.
	point pointWords
}

type pitchChoice struct {
	text string
	mm   float64
}

// tr is the table in use.
var tr = english()

func english() *words {
	return &words{
		title:  "Flatwright",
		stages: [session.Stages]string{"Photograph", "Square up", "Trace", "Mark up", "Check", "Print"},
		rungAfter: map[session.Stage]string{
			session.StageSquareUp: "photograph first", session.StageTrace: "square up first",
			session.StageMarkUp: "trace first", session.StageCheck: "trace first", session.StagePrint: "trace first",
		},
		rungNeeds: map[session.Stage]string{
			session.StagePhotograph: "open one", session.StageSquareUp: "press Square up",
			session.StageTrace: "press Trace", session.StageMarkUp: "needs thickness",
		},
		rungPitch: "line distance?", rungStale: "settings changed", rungClear: "nothing found",
		rungLook: "%d to look at", rungSave: "%s to save", rungSaved: "%s saved",
		emptyHead: "Bring a photograph",
		emptyBody: "Lay the taped pieces flat on the gridded mat, photograph them from above,\nand drop the picture here. A little tilt does no harm.",
		open:      "Open a photograph…", demo: "Try the demo", dropHere: "or drop a file anywhere on this window",
		pitchHead: "Distance between the mat's lines", pitchHint: bySystem{"another: 25.4 mm, 3/8 in", "another: 3/8, 25.4 mm"},
		pitchInvalid: "%q is not a distance from %s to %s. Type one like 25.4 mm, 3/8 in or 1 1/2 in.",
		pitches:      []pitchChoice{{"1 in", 25.4}, {"1/2 in", 12.7}, {"1 cm", 10}},
		squareUp:     "Square up", squareAgain: "Square up again",
		byHand: "Place corners by hand", byHandDone: "Back to the work",
		corners:       "Corners",
		cornersHint:   "Click crossings of the mat's lines, at least four, far apart. A click snaps to its crossing (ring); hold Alt to place it freely (diamond). Count columns to the right and rows downwards from the first.",
		cornerUnknown: "count?", clearAll: "Clear all", column: "column", row: "row", solve: "Square up from these",
		trace: "Trace", traceAgain: "Trace again", lines: "Lines", samples: "Samples", rms: "Misses on average", worst: "Worst miss", leftOut: "Left-out lines",
		accuracy: "Accuracy", terms: "Lens", noTerms: "no distortion", showLines: "Show the lines found", pieces: "Pieces", noPieces: "Nothing traced yet.", edge: "Edge", length: "Length", angle: "Angle from square",
		straight: "Straight", bevel: "Bevel", undercut: "Undercut",
		letterStraight: "S", letterBevel: "B", letterUndercut: "U",
		piece: "Piece", name: "Name", nameHint: "left cheek, visor …", quantity: "How many", thickness: "Thickness",
		thicknessHint: bySystem{"5 mm, 3/8 in", "3/8, 5 mm"}, thicknessAll: "Same for all pieces", thicknessGive: "Give the thickness", otherFace: "Other face",
		otherFaceNot: "needs the thickness", chooseOne: "(choose one)", thickOfAll: "Thickness of all",
		thickLack: "Give %d more thicknesses", thickLackOne: "Give the thickness of %s",
		pickEdge: "Click an edge, or press Tab to go from edge to edge.",
		findings: "To look at", noFindings: "Nothing to look at. Ready to print.", goThere: "Show",
		paper: "Paper", export: "Save the PDF…", exportWhat: "True-scale pages with a ruler to check the printer by. Print at 100 %, never \"fit to page\".",
		viewPhoto: "Show photograph", viewFlat: "Show flat", help: "Keys", appearance: "Light / dark",
		undo: "Undo: %s", nothingToUndo: "Nothing to undo", undoShort: "Undo", redoShort: "Redo",
		here: "%s here", zoom: "Zoom %s", stop: "Stop", stopped: "%s was stopped. The work is as it was before.", magnified: "4×",
		opening: "Opening", squaring: "Squaring up", tracing: "Tracing", exporting: "Writing the PDF",
		noPhotoYet:  "There is no photograph yet. Open one first.",
		needPitch:   "How far apart are the mat's lines? Choose it on the right, then square up.",
		needCorners: "Only %d of the corners have a column and a row. Give both to at least four, no three of them on a line.",
		needPieces:  "There are no pieces yet. Square up and trace first.",
		helpHead:    "Keys and mouse", close: "Close",
		actions: map[session.Action]string{
			session.ActionPitch: "line distance", session.ActionSquareUp: "square up", session.ActionTrace: "trace",
			session.ActionCorner: "corner %s", session.ActionMoveCorner: "move corner %s", session.ActionRemoveCorner: "remove corner %s",
			session.ActionCornerCount: "count of corner %s", session.ActionClearCorners: "clear corners",
			session.ActionCut: "cut of %s", session.ActionThickness: "thickness %s", session.ActionName: "name of %s",
			session.ActionQuantity: "quantity of %s",
			session.ActionScale:    "true size of the mat", session.ActionMat: "mat %s", session.ActionTurned: "turn of the mat",
			session.ActionKind: "which lines", session.ActionRaised: "thick pieces", session.ActionSheet: "size of the sheet %s",
			session.ActionSheetCorner: "corner %s of the sheet", session.ActionMoveSheetCorner: "move corner %s of the sheet",
			session.ActionRemoveSheetCorner: "remove corner %s of the sheet", session.ActionCheck: "check %s", session.ActionRemoveCheck: "remove check %s",
			session.ActionPair: "seam of %s", session.ActionUnpair: "taking %s apart", session.ActionTurn: "angle of %s",
			session.ActionMarks: "marks of %s", session.ActionMend: "%s", session.ActionBreak: "dividing an edge of %s",
			session.ActionJoin: "joining %s with the next", session.ActionWords: "words on %s", session.ActionFace: "face of %s",
			session.ActionMirrored: "turning over of %s", session.ActionAllowance: "allowance of %s",
			session.ActionLineWork: "work along a line", session.ActionScalePattern: "size of the pattern", session.ActionLimits: "limits",
			session.ActionTape: "%s tape", session.ActionSide: "sides of %s", session.ActionTurnSeam: "turning %s round",
			session.ActionGrooves: "run of grooves in %s", session.ActionPoint: "bevels at a point of %s",
			session.ActionSeen: "findings seen", session.ActionRim: "rim at %s",
			session.ActionLeaveOut: "leaving out %s", session.ActionAddPiece: "adding %s",
			session.ActionMoveNode: "moving nodes of %s", session.ActionMoveHandle: "moving a handle of %s",
			session.ActionAddNode: "adding a node to %s", session.ActionRemoveNode: "removing nodes of %s",
			session.ActionSmoothNode: "smoothing nodes of %s", session.ActionCornerNode: "corners of %s",
			session.ActionStraighten: "straightening %s", session.ActionRetrace: "tracing %s again in part",
			session.ActionSmoothness: "smoothness of %s", session.ActionSplit: "splitting %s", session.ActionUnite: "making one piece of %s",
			session.ActionMirrorCopy: "mirrored copy of %s", session.ActionComplete: "completing %s",
			session.ActionAddPhoto: "adding %s", session.ActionJoinPhotos: "laying %s together",
			session.ActionMoveMark: "moving a mark of %s", session.ActionAddMark: "a mark on %s", session.ActionRemoveMark: "taking a mark off %s",
			session.ActionPaper: "paper and layout", session.ActionSheets: "moving the sheets", session.ActionPrinter: "printer correction",
			session.ActionFiles:   "files beside the PDF",
			session.ActionAddLine: "a line inside %s", session.ActionMoveLine: "moving a line of %s", session.ActionRemoveLine: "taking a line off %s",
		},
		helpKeys: [][2]string{
			{"O, Ctrl+O", "open a photograph or a project"},
			{"Ctrl+Shift+S", "save the project under a name"},
			{"Ctrl+Shift+O", "add a photograph to the pattern"},
			{"Page Up, Page Down", "look at another photograph of it"},
			{"P", "square up"},
			{"C", "place corners by hand"},
			{"D", "use a sheet of known size"},
			{"Enter", "square up from the corners"},
			{"Delete", "take away corner, node or pieces"},
			{"Arrows, Shift+arrows", "nudge it by 1 or 0.1 px; move the view"},
			{"T", "trace"},
			{"Tab, Shift+Tab", "next or previous edge"},
			{", and .", "previous or next piece"},
			{"S, B, U", "straight, bevel, undercut"},
			{"1, 2, 3, 4", "15, 30, 45, 60 degrees"},
			{"J", "pair the edge with its mate"},
			{"H, Enter", "more edges for the sides of a seam"},
			{"I", "divide the edge at the pointer"},
			{"W", "join it with the next edge"},
			{"N", "name the piece"},
			{"Insert", "add a missed piece"},
			{"Shift+click, Shift+drag", "choose several, or in a box"},
			{"Ctrl+A, Ctrl+Space", "choose all; keep this, Tab goes on"},
			{"Space, arrows", "a point at the cross, move the cross"},
			{"Q", "reshape the piece: nodes and handles"},
			{"… I, C, K", "add a node, corner or smooth, add a mark"},
			{"… L, T, /", "straighten, trace again, split between two"},
			{"… Tab, H, arrows, Shift+arrows", "next node, its handles; %s"},
			{"<, >", "outline closer, smoother"},
			{"/, Y, Z", "split, join two pieces, join two parts"},
			{"[, ]", "mirrored copy, complete a half"},
			{"F10, Menu, right click", "what can be done here"},
			{"\\", "draw a line inside a piece"},
			{";", "move the sheets of paper"},
			{"E, Ctrl+S", "save the PDF"},
			{"Ctrl+V", "paste a picture"},
			{"V", "photograph or flat"},
			{"G", "show or hide the mat's lines"},
			{"R, X", "misses as needles, how much longer"},
			{"A", "shade by ±"},
			{"M", "measuring tape: two clicks"},
			{"K", "check the length by a known one"},
			{"F, 0, double click", "fit"},
			{"+, −, wheel", "zoom"},
			{"drag, Space+drag, middle drag", "move the view"},
			{"Ctrl+Z, Ctrl+Shift+Z, Ctrl+Y", "undo, redo"},
			{"Ctrl+1 to Ctrl+6", "the six steps"},
			{"F6", "to the panel and back"},
			{"L", "light or dark"},
			{"'", "millimetres or inches, shown and typed"},
			{"Esc", "leave a tool, stop work, select nothing"},
			{"?, F1", "this sheet"},
		},
		nudges: bySystem{"1, 0.1 mm", "0.04, 0.004 in"},
		failed: map[string]string{
			"open":   "%s could not be opened: %v.",
			"trace":  "%v.",
			"export": "The PDF was not written: %v.",
			"place":  "The PDF was not written: %v. Choose another place and try again.",
		},
		badAngle:     "%q is not an angle between 0 and 90 degrees. Type one like 45 or 22.5.",
		badThickness: "%q is not a thickness up to %s. Type one like 5 mm or 3/8 in.",
		badQuantity:  "%q is not a number of pieces. Type a whole number from 1 to 999.", badCount: "%q is not a number of squares. Type a whole number like 0, 7 or -2.",
		findUncertain: "Piece %s is known to ± %s only. Photograph it again, nearer to the middle of the mat.",
		pages:         "%d pages", cuts: "%d leaning cuts",
		notFile: "That was not a file on this computer. Drop a photograph.", megapixels: "%.1f MP", savedTo: "Saved to %s. Print at 100 %%.",
		tapeHint: "Measuring tape: click the first point, then the second.",
		onePiece: "1 piece", onePage: "1 page", oneCut: "1 leaning cut",
		millimetres: "mm", inches: "in", inMM: "Show mm", inInches: "Show inches", pieceCount: "%d pieces", plusMinus: "± %s", wouldLose: "The cuts, names and thicknesses given here have not been printed and would be lost with the next photograph. Save the PDF first, or open anyway.",
		openAnyway: "Open anyway", closeHead: "Close Flatwright?", closeBody: "The cuts, names and thicknesses given here have not been printed and would be lost.",
		closeAnyway: "Close and lose them", stay: "Stay",
		poorFit:  "The mat's lines miss by %.1f px on average, so lengths would come out wrong. Check the columns and rows of the corners, or place corners by hand.",
		insideBy: "%s inside", outsideBy: "%s outside", pxPer: bySystem{"%.1f px per mm", "%.0f px per in"},
		average: "%.2f px", unclear: "%q may be \"%s\" or \"%s\". Type the one that is meant.",
		square:  englishSquare(),
		seam:    englishSeam(),
		tape:    englishTape(),
		print:   englishPrint(),
		writing: englishWriting(),
		side:    englishSide(),
		groove:  englishGroove(),
		point:   englishPoint(),
		repair:  englishRepair(),
		shots:   englishShots(),
		seen:    englishSeen(),
		journal: englishJournal(),
		keep:    englishKeep(),
		place:   englishPlace(),
	}
}
