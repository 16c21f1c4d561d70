// Package scene draws test photographs whose truth is known: a gridded
// cutting mat with taped pieces on it, seen through a real camera in real
// light, and scores what was read from them.
//
// The camera here is written from the textbook on its own, apart from the
// solver's, so that a mistake in the one cannot hide a mistake in the other.
// Everything is deterministic by the seed: the same Spec gives the same bytes
// on any number of processors.
//
// Mat, table, tape and objects lie in the plane z = 0 and have a shadow, no
// parallax. Pieces of foam stand up from it (Piece.ThicknessMM).
package scene
