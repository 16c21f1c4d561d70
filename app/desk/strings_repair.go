package desk

// repairWords is every text about repairs by hand.
type repairWords struct {
	head, what                                                            string
	leaveOut, leaveOutPiece, leftOut, edgeNotPiece                        string
	add, addHow, added, already, bare, looking                            string
	reshape, reshapeHow, measuring                                        string
	addMark, removeMark                                                   string
	addLine, removeLine, lineHow                                          string
	meetsMark, atMiddle, atNode, level, atMark, onOutline, fromStart      string
	addNode, removeNode, toggleNode, straighten                           string
	retrace, retracing, retraced, joinThese                               string
	smoothness, closer, smoother, following                               string
	deviation, noDeviation, nodeOff, tolerance                            string
	addShort, splitShort, completeShort, unite, pickPiece, oneNode, nodes string
	worstOff                                                              string
	split, splitHow, splitNodes, isSplit                                  string
	uniteEdges, byPoints, united                                          string
	meetHow, meetWrong                                                    string
	mirrorCopy, copied, completeEdge, completeLine                        string
	axisHow, completed, bowed, drawAxis                                   string
	cornerNode, smoothNode                                                string
	takePart, replaced, laidApart                                         string
	name, selectAll, endReshape                                           string
}

func englishRepair() repairWords {
	return repairWords{
		head: "Repairs", what: "What was missed, wrongly taken or wrongly drawn is put right here. Each step can be undone.",
		leaveOut: "Leave out", leaveOutPiece: "Leave out piece %s", leftOut: "%s left out of the pattern. Ctrl+Z brings it back.",
		edgeNotPiece: "Edge %s is chosen, and an edge cannot be left out by itself: leave out its piece, or join it with the next edge.",
		add:          "Add a missed piece", addHow: "Click on a piece that was missed: it is followed in the photograph. Esc ends it.",
		added: "Piece %s added. Click on the next one, or press Esc.", already: "That is piece %s already. Click on one that was missed.",
		bare:    "This place looks like bare mat. Click well inside the piece, not on its edge or on a printed line.",
		looking: "Following the piece",
		reshape: "Reshape", reshapeHow: "Drag nodes and handles; Shift chooses several. I adds a node, Delete takes it out, C makes it a corner or smooth, K adds a registration mark, L straightens and T traces again between two. Esc ends it.",
		measuring: "Measuring the outline",
		addMark:   "Add registration mark", removeMark: "Remove registration mark",
		meetsMark: "meets a mark of %s", atMiddle: "middle", atNode: "at a node", level: "level or plumb",
		atMark: "at a mark", onOutline: "on the outline", fromStart: "%s from its start",
		addLine: "Draw a line inside", removeLine: "Remove this line",
		lineHow: "Click on both ends of a line inside the piece: a fold, a score or a slit. What is done along it is said on the right once it is chosen. Esc ends it.",
		addNode: "Add node", removeNode: "Remove node", toggleNode: "Corner or smooth", straighten: "Straighten",
		retrace: "Trace this stretch again", retracing: "Tracing the stretch", retraced: "%s of piece %s traced again.",
		joinThese:  "Join %s and %s",
		smoothness: "Smoothness", closer: "Outline closer", smoother: "Outline smoother", following: "Following the outline",
		deviation: "%s off what was measured at worst, %s on average, %s", noDeviation: "Not measured in the photograph yet.",
		splitShort: "Split", addShort: "Missed piece", completeShort: "Complete half", unite: "Join two", pickPiece: "click a piece to repair it", oneNode: "1 node", nodes: "%d nodes",
		nodeOff: "%s off", worstOff: "(piece: %s at worst)",
		split: "Split along a line", splitNodes: "Split between these nodes", isSplit: "Split: the new part is piece %s.",
		splitHow:   "Click on one side of the piece, then on the other: it is cut in two along that line. Esc ends it.",
		uniteEdges: "Join both pieces along these edges", byPoints: "Join two pieces by two points each",
		united:  "One piece now: %s. The ends miss each other by %s, the edges by %s at worst.",
		meetHow: "Click two points on the first piece, then the two points of the second that meet them, in the same order. Esc ends it.", meetWrong: "Two points have to lie on the outline of one piece and two on that of another, at most %s off. Choose the four again.",
		mirrorCopy: "Mirrored copy", copied: "Piece %s is the mirror image of %s. It lies beside the others.",
		completeEdge: "Complete the half about this edge", completeLine: "Complete the half about a line",
		axisHow: "Click on both ends of the centre line, across the piece: what lies on the smaller side is cut off, the rest mirrored. Esc ends it.", completed: "Piece %s is whole now; its centre line is %s long.", bowed: "The edge had strayed %s from that line.", drawAxis: "Draw the line",
		replaced: "Traced again: what was repaired by hand is as it was traced now.", cornerNode: "corner", smoothNode: "smooth", laidApart: "It lies beside the others, off its picture.", takePart: "Take the part that is seen", name: "Name it", selectAll: "Choose all pieces", endReshape: "End reshaping",
		tolerance: "within %s",
	}
}
