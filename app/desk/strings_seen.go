package desk

// seenWords are the words of findings that the maker has seen.
type seenWords struct {
	take, again, one, many string
}

func englishSeen() seenWords {
	return seenWords{
		take: "Seen", again: "Show them again",
		one: "1 finding was seen and is not shown.", many: "%d findings were seen and are not shown.",
	}
}
