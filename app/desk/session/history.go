package session

// Action names a kind of edit, for the words beside undo.
type Action uint8

// The kinds of edit.
const (
	NoAction Action = iota
	ActionPitch
	ActionSquareUp
	ActionTrace
	ActionCorner
	ActionMoveCorner
	ActionRemoveCorner
	ActionCornerCount
	ActionClearCorners
	ActionScale
	ActionMat
	ActionTurned
	ActionKind
	ActionRaised
	ActionSheet
	ActionSheetCorner
	ActionMoveSheetCorner
	ActionRemoveSheetCorner
	ActionCheck
	ActionRemoveCheck
	ActionCut
	ActionThickness
	ActionName
	ActionQuantity
	ActionPair
	ActionUnpair
	ActionTurn
	ActionMarks
	ActionMend
	ActionBreak
	ActionJoin
	ActionWords
	ActionFace
	ActionMirrored
	ActionAllowance
	ActionLineWork
	ActionScalePattern
	ActionLimits
	ActionTape
	ActionSide
	ActionTurnSeam
	ActionGrooves
	ActionPoint
	ActionSeen
	ActionRim
	ActionLeaveOut
	ActionAddPiece
	ActionMoveNode
	ActionMoveHandle
	ActionAddNode
	ActionRemoveNode
	ActionSmoothNode
	ActionCornerNode
	ActionStraighten
	ActionRetrace
	ActionSmoothness
	ActionSplit
	ActionUnite
	ActionMirrorCopy
	ActionComplete
	ActionAddPhoto
	ActionJoinPhotos
	ActionMoveMark
	ActionAddMark
	ActionRemoveMark
	ActionPaper
	ActionSheets
	ActionPrinter
	ActionFiles
	ActionAddLine
	ActionMoveLine
	ActionRemoveLine
	// LastAction is the last of them.
	LastAction = ActionRemoveLine
)

// keepsWork tells actions that change nothing that is drawn of the pattern or
// of the mat's lines.
func (a Action) keepsWork() bool {
	return a == ActionPitch || a >= ActionCorner && a <= ActionRemoveCheck || a.ofPrint()
}

// ofPrint tells actions that change how the pattern is printed, and nothing of it.
func (a Action) ofPrint() bool { return a >= ActionPaper && a <= ActionFiles }

// ofSettings tells actions that change a setting from which a solution follows.
func (a Action) ofSettings() bool { return a == ActionPitch || a >= ActionScale && a <= ActionRaised }

// Edit tells what an undo or redo step does: the action and what it was done
// to, an edge or piece ID or the like.
type Edit struct {
	Action Action
	Target string
}

// depth bounds the history; a step costs a few kilobytes.
const depth = 500

// history is the stack of edits: for each the document before it.
type history struct {
	undo, redo []step
	// open tells that the last step still takes further changes of its kind
	// (a drag, an angle being tried out).
	open bool
	// last and first are the highest and the lowest serial given.
	last, first int64
}

// step is an edit and the document on its other side: before it while it can
// be undone, after it while it can be done again. Serials grow along the
// history.
type step struct {
	edit   Edit
	before Document
	serial int64
}

// record stores the document as it was before an edit. While the last step is
// open and of the same edit, nothing is stored: one undo takes it all back.
func (h *history) record(e Edit, before Document) {
	h.redo = nil
	if h.open && len(h.undo) > 0 && h.undo[len(h.undo)-1].edit == e {
		return
	}
	h.last++
	h.undo = append(h.undo, step{e, before, h.last})
	if len(h.undo) > depth {
		h.undo = append([]step(nil), h.undo[1:]...)
	}
}

// top returns the edit a stack would act on.
func top(stack []step) Edit {
	if len(stack) == 0 {
		return Edit{}
	}
	return stack[len(stack)-1].edit
}

// move takes the last step of one stack, and leaves the current document on
// the other.
func move(from, to *[]step, now Document) (Document, Edit, bool) {
	n := len(*from)
	if n == 0 {
		return now, Edit{}, false
	}
	s := (*from)[n-1]
	*from = (*from)[:n-1]
	*to = append(*to, step{s.edit, now, s.serial})
	return s.before, s.edit, true
}

// Undo takes the last edit back and tells which it was; false when there was
// none.
func (s *Session) Undo() (Edit, bool) {
	s.history.open = false
	doc, e, ok := move(&s.history.undo, &s.history.redo, s.doc)
	s.replace(doc)
	return e, ok
}

// Redo does again what Undo took back.
func (s *Session) Redo() (Edit, bool) {
	s.history.open = false
	doc, e, ok := move(&s.history.redo, &s.history.undo, s.doc)
	s.replace(doc)
	return e, ok
}

// NextUndo returns the edit that Undo would take back; its Action is NoAction
// when there is none.
func (s *Session) NextUndo() Edit { return top(s.history.undo) }

// NextRedo returns the edit that Redo would do again.
func (s *Session) NextRedo() Edit { return top(s.history.redo) }

// MarkedUp reports whether the pattern carries the maker's own edits that no
// export holds: they would be lost with the session.
func (s *Session) MarkedUp() bool {
	return !s.Printed() && s.Worked()
}

// EndGesture closes the step that a drag has kept open. It may be called more
// than once.
func (s *Session) EndGesture() { s.history.open = false }

// edit changes the document as one step of the history.
func (s *Session) edit(e Edit, change func(*Document)) {
	s.history.open = false
	s.do(e, change)
}

// do changes the document as a step, which joins the last one while that is open
// and of the same edit.
func (s *Session) do(e Edit, change func(*Document)) {
	next := s.doc.clone()
	change(&next)
	s.history.record(e, s.doc)
	s.history.open = false
	work := s.work
	s.replace(next)
	if e.Action.keepsWork() {
		s.work = work
	}
}

// gesture is edit for one of a run of changes that undo takes back together.
func (s *Session) gesture(e Edit, change func(*Document)) {
	s.do(e, change)
	s.history.open = true
}
