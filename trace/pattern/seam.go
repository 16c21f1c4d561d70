package pattern

// EdgeRef names an edge of a pattern and the direction it is sewn in.
type EdgeRef struct {
	Edge string
	// Reversed runs against the outline's direction.
	Reversed bool
}

// Seam is a pair of edges that are glued together.
type Seam struct {
	ID   string
	A, B EdgeRef
}
