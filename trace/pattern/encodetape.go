package pattern

import (
	"encoding/hex"
	"fmt"
	"strings"
)

// wireTape is a colour of tape; means is left out while the maker has not said
// what it stands for.
type wireTape struct {
	ID    string    `json:"id"`
	Name  string    `json:"name,omitempty"`
	SRGB  string    `json:"colour_srgb"`
	Means *wireEdge `json:"means,omitempty"`
}

func encodeTapes(list []Tape) []wireTape {
	var out []wireTape
	for _, t := range list {
		w := wireTape{ID: t.ID, Name: t.Name, SRGB: "#" + hex.EncodeToString(t.SRGB[:])}
		if t.Meant {
			c := encodeEdge(Edge{Cut: t.Cut})
			w.Means = &c
		}
		out = append(out, w)
	}
	return out
}

func decodeTapes(list []wireTape) ([]Tape, error) {
	var out []Tape
	ids := map[string]bool{}
	for i, w := range list {
		if w.ID == "" || ids[w.ID] {
			return nil, fmt.Errorf("tape %d: its name %q is empty or used twice", i+1, w.ID)
		}
		ids[w.ID] = true
		t := Tape{ID: w.ID, Name: w.Name, Cut: Cut{Kind: Straight}}
		b, err := hex.DecodeString(strings.TrimPrefix(w.SRGB, "#"))
		if err != nil || len(b) != len(t.SRGB) {
			return nil, fmt.Errorf("tape %s: %q is no colour like #2f6fb5", w.ID, w.SRGB)
		}
		copy(t.SRGB[:], b)
		if w.Means != nil {
			e, err := decodeEdge(*w.Means)
			if err != nil {
				return nil, fmt.Errorf("tape %s: %w", w.ID, err)
			}
			t.Meant, t.Cut = true, e.Cut
		}
		out = append(out, t)
	}
	return out, nil
}
