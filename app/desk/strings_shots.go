package desk

// shotWords is every text about patterns from several photographs.
type shotWords struct {
	head, what, add, addInstead, shown, look string
	onePiece, pieces, fromOne, adding        string
	parts, partsHow, pair, missing, joinThem string
	joined, oneMore, wrongPieces, noOther    string
}

func englishShots() shotWords {
	return shotWords{
		head: "Photographs of this pattern", add: "Add a photograph…", addInstead: "Add it to this pattern",
		what:  "Its pieces are lettered on and laid below the others; each keeps the photograph it came from.",
		shown: "shown", look: "Look at it", onePiece: "1 piece", pieces: "%d pieces", fromOne: "(photograph %s)", adding: "Adding a photograph",
		parts:    "Join two parts of one piece",
		partsHow: "For a piece too large for one photograph: click a point of the first part, then the same point of the second, such as a registration mark; two pairs at least, far apart, on both sides of the place where they overlap. Enter joins, Esc ends it.",
		pair:     "Pair %d: click its point on the second part.", oneMore: "One pair. Click the next point on the first part.",
		missing:  "%d pairs miss each other by %s on average, %s at worst. Enter joins the parts, or click further pairs.",
		joinThem: "Join them", joined: "One piece now: %s. Its shared points miss each other by %s on average, %s at worst, and its outlines by %s.",
		wrongPieces: "The first point of each pair has to lie on one piece, the second on another. Choose the pairs again.",
		noOther:     "There is one photograph only. Add another with Ctrl+Shift+O.",
	}
}
