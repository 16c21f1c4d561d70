package session

// actionNames are the names under which kinds of edits are kept in files. They
// never change.
var actionNames = map[Action]string{
	ActionPitch: "pitch", ActionSquareUp: "square up", ActionTrace: "trace",
	ActionCorner: "corner", ActionMoveCorner: "move corner", ActionRemoveCorner: "remove corner",
	ActionCornerCount: "corner count", ActionClearCorners: "clear corners",
	ActionScale: "scale", ActionMat: "mat", ActionTurned: "mat turned", ActionKind: "lines", ActionRaised: "raised",
	ActionSheet: "sheet", ActionSheetCorner: "sheet corner", ActionMoveSheetCorner: "move sheet corner",
	ActionRemoveSheetCorner: "remove sheet corner", ActionCheck: "check", ActionRemoveCheck: "remove check",
	ActionCut: "cut", ActionThickness: "thickness", ActionName: "name", ActionQuantity: "quantity",
	ActionPair: "pair", ActionUnpair: "unpair", ActionTurn: "seam angle", ActionMarks: "marks", ActionMend: "mend",
	ActionBreak: "divide edge", ActionJoin: "join edges", ActionWords: "words", ActionFace: "face", ActionMirrored: "turn over",
	ActionAllowance: "allowance", ActionLineWork: "line work", ActionScalePattern: "scale pattern", ActionLimits: "limits",
	ActionTape: "tape", ActionSide: "seam sides", ActionTurnSeam: "turn seam", ActionGrooves: "grooves", ActionPoint: "point",
	ActionSeen: "seen", ActionRim: "rim", ActionLeaveOut: "leave out", ActionAddPiece: "add piece",
	ActionMoveNode: "move node", ActionMoveHandle: "move handle", ActionAddNode: "add node", ActionRemoveNode: "remove node",
	ActionSmoothNode: "smooth node", ActionCornerNode: "corner node", ActionStraighten: "straighten", ActionRetrace: "trace again",
	ActionSmoothness: "smoothness", ActionSplit: "split", ActionUnite: "unite", ActionMirrorCopy: "mirror copy",
	ActionComplete: "complete", ActionAddPhoto: "add photograph", ActionJoinPhotos: "join photographs",
	ActionMoveMark: "move mark", ActionAddMark: "add mark", ActionRemoveMark: "remove mark",
	ActionPaper: "paper", ActionSheets: "sheets", ActionPrinter: "printer", ActionFiles: "files",
	ActionAddLine: "add line", ActionMoveLine: "move line", ActionRemoveLine: "remove line",
}

// Key is the name under which an action is kept in files.
func (a Action) Key() string { return actionNames[a] }

// ActionOf returns the action of a name; false for one that is not known.
func ActionOf(name string) (Action, bool) {
	for a, n := range actionNames {
		if n == name {
			return a, true
		}
	}
	return NoAction, false
}
