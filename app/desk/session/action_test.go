package session_test

import (
	"testing"

	"flatwright/app/desk/session"
)

// Every kind of edit is kept under a name of its own, or a kept history would
// come back with another's words.
func TestActionsAreKeptUnderNamesOfTheirOwn(t *testing.T) {
	for a := session.NoAction + 1; a <= session.LastAction; a++ {
		back, ok := session.ActionOf(a.Key())
		if a.Key() == "" || !ok || back != a {
			t.Errorf("action %d is kept as %q, which comes back as %d", a, a.Key(), back)
		}
	}
}
