package session_test

import "testing"

// The sheets go as far as the furthest and no further, each way on its own.
func TestSheetsGoAsFarAsTheFurthest(t *testing.T) {
	for _, way := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		s := traced(t)
		lies := func(dx, dy, wantX, wantY float64) {
			t.Helper()
			s.MoveSheets(dx, dy, 100)
			if p := s.Document().Print; p.ShiftXMM != wantX || p.ShiftYMM != wantY {
				t.Errorf("moved by %g, %g mm the sheets lie at %g, %g, want %g, %g", dx, dy, p.ShiftXMM, p.ShiftYMM, wantX, wantY)
			}
		}
		lies(100*way[0], 100*way[1], 100*way[0], 100*way[1])
		lies(0.5*way[0], 0.5*way[1], 100*way[0], 100*way[1])
		lies(-30*way[0], -30*way[1], 70*way[0], 70*way[1])
		lies(31*way[0], 31*way[1], 70*way[0], 70*way[1])
		lies(30*way[0]+20*way[1], 30*way[1]+20*way[0], 100*way[0]+20*way[1], 100*way[1]+20*way[0])
	}
}
