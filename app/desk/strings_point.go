package desk

// pointWords is every text about points where three pieces meet.
type pointWords struct {
	head, found, seam, same, open, other string
	inwards, bevel, done, show           string
	curved                               string
}

func englishPoint() pointWords {
	return pointWords{
		head:    "Where three pieces meet",
		found:   "Pieces %s have corners of %s here. Kept flat, they can only meet so:",
		seam:    "Seam %s: %.1f° inside, bevels %s and %s from square (the cuts now give %.1f°).",
		same:    "Seam %s: %.1f° inside, bevels %s and %s from square. The cuts give that.",
		open:    "Seam %s: %.1f° inside, which cannot be cut: %s.",
		other:   "At its other end the corners ask for %.1f° in seam %s: flat pieces cannot do both.",
		inwards: "It points inwards", bevel: "Bevel these three seams", done: "The cuts give these angles", show: "Show",
		curved: "A seam that bends keeps this angle at this end only.",
	}
}
