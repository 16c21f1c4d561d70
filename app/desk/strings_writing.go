package desk

// writingWords is every text about what is written on pieces.
type writingWords struct {
	nth, turn, next string
}

func englishWriting() writingWords {
	return writingWords{
		nth:  "Written on it, %d of %d:",
		turn: "Turn over", next: "Next word",
	}
}
