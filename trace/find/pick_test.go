package find

import "testing"

func TestRoundThingsAreShadedBothWays(t *testing.T) {
	for _, c := range []struct {
		what  string
		shade []float64
		round bool
	}{
		{"a white pen", []float64{184, 196, 202, 205, 206, 213, 222, 200, 183}, true},
		{"a shining pen", []float64{156, 172, 192, 180, 173, 173, 169, 163, 152}, true},
		{"tape in even light", []float64{200, 201, 200, 199, 201, 202, 200, 201, 200}, false},
		{"tape in falling light", []float64{170, 175, 180, 185, 190, 195, 200, 205, 210}, false},
		{"tape with a dark edge", []float64{100, 104, 104, 105, 105, 104, 104, 105, 80}, false},
		{"tape between dark tapes", []float64{90, 140, 200, 201, 202, 200, 199, 140, 90}, false},
	} {
		if got := isRound(c.shade); got != c.round {
			t.Errorf("%s: round %v", c.what, got)
		}
	}
}
