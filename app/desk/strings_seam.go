package desk

import "flatwright/app/desk/session"

// seamWords is every text about seams, marks and mends.
type seamWords struct {
	head, none, pick, pair, stop, apart              string
	likely, likelySure, likelyTwin, join             string
	sides, same, longer, shorter                     string
	inside, gapFront, gapBack, step, noThickness     string
	want, wantHint, badWant                          string
	marksHead, marksMeet, marksAlone, noMarks        string
	copyMarks, copied                                string
	setMarks, spacing, spacingHint, badSpacing, set  string
	matesHead, matesNone, matesAll, matesSome, joinN string
	joined, joinedOne                                string
	actions                                          map[session.Action]string
}

func englishSeam() seamWords {
	return seamWords{
		head: "Seam", none: "This edge is in no seam yet.", pick: "Click the edge that %s will be glued to. Esc stops.",
		pair: "Pair with another edge", stop: "Stop pairing", apart: "Take the seam apart",
		likely: "Looks like the mate of %s", likelySure: "Fits %s like a key", likelyTwin: "Fits %s, its mirror image: join them only if they really meet", join: "Join them",
		sides: "%s and %s", same: "equally long", longer: "%s longer (%.1f %%)", shorter: "%s shorter (%.1f %%)",
		inside: "%s inside", gapFront: "gapes %s at the front", gapBack: "gapes %s at the back",
		step: "a step of %s inside", noThickness: "Give both pieces a thickness to see the joint.",
		want: "Angle inside", wantHint: "90", badWant: "%q is no angle between faces. Type it like 90 or 116.6.",
		marksHead: "Marks", marksMeet: "%d meet", marksAlone: "%d meet, %d without partner", noMarks: "none",
		copyMarks: "Copy to the other side", copied: "%d marks copied.",
		setMarks: "Set marks anew", spacing: "Every", spacingHint: "60 mm", badSpacing: "%q is no distance of marks. Type it like 60 mm.", set: "%d marks set on either side.",
		matesHead: "Mates", matesNone: "No edges look like mates. Pair them by hand: choose an edge, then Pair.",
		matesAll: "%d pairs of edges look like mates, all sure", matesSome: "%d pairs of edges look like mates, %d of them sure",
		joinN: "Join the sure ones (%d)", joined: "%d seams joined.", joinedOne: "1 seam joined.",
		actions: map[session.Action]string{
			session.ActionPair: "seam of %s", session.ActionUnpair: "taking %s apart", session.ActionTurn: "angle of %s",
			session.ActionMarks: "marks of %s", session.ActionMend: "%s", session.ActionBreak: "dividing an edge of %s",
			session.ActionJoin: "joining %s with the next", session.ActionWords: "words on %s", session.ActionFace: "face of %s",
			session.ActionMirrored: "turning over of %s", session.ActionAllowance: "allowance of %s",
			session.ActionLineWork: "work along a line", session.ActionScalePattern: "size of the pattern", session.ActionLimits: "limits",
		},
	}
}
