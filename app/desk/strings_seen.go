package desk

import "flatwright/trace/pattern"

// seenWords are the words of findings that the maker has seen, and of dealing with
// all of a kind.
type seenWords struct {
	take, takeAll, again, one, many string
	someLeft, turnedAll             string
	// mendAll are the words on a button that makes all mends of a kind; a mend that
	// is not among them is made one by one.
	mendAll map[pattern.MendKind]string
}

func englishSeen() seenWords {
	return seenWords{
		take: "Seen", takeAll: "All %d like this are seen", again: "Show them again",
		one: "1 finding was seen and is not shown.", many: "%d findings were seen and are not shown.",
		someLeft:  "%d of %d are mended. The rest need you: %s.",
		turnedAll: "%d pieces are turned, and no longer lie on their pictures. Undo takes it back.",
		mendAll: map[pattern.MendKind]string{
			pattern.LeaveRim: "All %d are the rim", pattern.JoinMates: "Join all %d pairs",
			pattern.CopyMarks: "Copy the marks in all %d", pattern.SetMarks: "Set marks in all %d",
			pattern.EvenSides: "Make all %d equally long", pattern.ShareTurn: "Bevel all %d for their angle",
			pattern.CutStraight: "Cut all %d straight", pattern.CutGentler: "Cut all %d gentler",
			pattern.Rename:          "Give all %d a name of their own",
			pattern.NarrowAllowance: "Narrow all %d allowances", pattern.TurnPiece: "Turn all %d to fit",
			pattern.CutLoop: "Cut all %d loops off", pattern.DropSpike: "Cut all %d spikes off",
			pattern.DropSliver: "Take all %d edges out", pattern.FindEdges: "Find the edges of all %d",
			pattern.DropOpening: "Fill all %d openings", pattern.CutOne: "Cut one each of all %d",
			pattern.ShowFront: "All %d show the front", pattern.MarkToOutline: "Move all %d marks",
			pattern.CapCuts: "Bound the cuts of all %d",
		},
	}
}
