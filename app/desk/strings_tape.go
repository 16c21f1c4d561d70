package desk

// tapeWords is every text about coloured tape along edges.
type tapeWords struct {
	head, what                 string
	oneEdge, edges, show, hide string
	means, unsaid              string
	angle, sameAs, pick        string
	noTape                     string
	name, along, none          string
	oneColour, colours         string
	unsaidCount                string
}

func englishTape() tapeWords {
	return tapeWords{
		head: "Tape colours",
		what: "Tape of these colours runs along edges. Say what each colour means, and all its edges are cut so.",
		name: "Called", oneEdge: "1 edge", edges: "%d edges", show: "Show", hide: "Hide",
		means: "Means", unsaid: "not said yet", angle: "Angle", sameAs: "Same as", pick: "choose", noTape: "Not a tape",
		along: "Tape along it", none: "none",
		oneColour: "1 colour", colours: "%d colours", unsaidCount: "%d of %d undecided",
	}
}
