package session

import "flatwright/trace/writing"

// Writing returns pictures of what is written on a piece, the largest first;
// none when nothing was found.
func (s *Session) Writing(pieceID string) []writing.Picture {
	var out []writing.Picture
	for _, t := range s.doc.allTraced() {
		for _, b := range t.Writing {
			if b.Piece >= 0 && b.Piece < len(t.Pattern.Pieces) && t.Pattern.Pieces[b.Piece].ID == pieceID {
				out = append(out, b.Picture)
			}
		}
	}
	return out
}
