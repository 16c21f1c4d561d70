package delta

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Whatever two runs hold, the delta turns one into the other.
func TestApplyUndoesMake(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Few letters, so that blocks stand in many places.
		letters := rapid.SliceOfN(rapid.SampledFrom([]byte("ab")), 0, 400)
		base := letters.Draw(t, "base")
		target := letters.Draw(t, "target")
		if n := len(base); n > 0 && rapid.Bool().Draw(t, "from base") {
			cut := rapid.IntRange(0, n).Draw(t, "cut")
			target = append(append(append([]byte{}, base[cut:]...), target...), base[:cut]...)
		}
		got, err := Apply(base, Make(base, target), len(target))
		if err != nil || !bytes.Equal(got, target) {
			t.Fatalf("%q became %q: %v", target, got, err)
		}
	})
}

// One number changed in a long list costs a few bytes, also where the list
// says the same thing many times over.
func TestSmallChangesAreSmall(t *testing.T) {
	var b strings.Builder
	for i := range 5000 {
		fmt.Fprintf(&b, `{"x":%d.125,"cut":"straight","angle_deg":30},`, i%7)
	}
	base := b.String()
	for _, at := range []int{0, 7, len(base) / 2, len(base) - 5} {
		target := base[:at] + "41.5" + base[at+1:]
		d := Make([]byte(base), []byte(target))
		if len(d) > 64 {
			t.Errorf("a change at byte %d of %d costs %d bytes", at, len(base), len(d))
		}
		if got, err := Apply([]byte(base), d, len(target)); err != nil || string(got) != target {
			t.Errorf("the change at byte %d is not what comes back: %v", at, err)
		}
	}
}

// A damaged delta is refused, and never makes more than the limit.
func TestApplyRefuses(t *testing.T) {
	base := []byte(strings.Repeat("0123456789", 10))
	for _, c := range []struct {
		name   string
		change []byte
	}{
		{"literal beyond the end", []byte{9, 1}},
		{"copy beyond the base", []byte{0, 101, 0}},
		{"copy from beyond the base", []byte{0, 1, 200, 1}},
		{"copy without a place", []byte{0, 5}},
		{"no number", bytes.Repeat([]byte{0xff}, 12)},
		{"more than the limit", []byte{0, 100, 0, 0, 100, 0, 0, 100, 0}},
		{"a literal above the limit", append([]byte{201, 1}, make([]byte, 201)...)},
	} {
		if out, err := Apply(base, c.change, 200); !errors.Is(err, ErrDamaged) {
			t.Errorf("%s: gave %d bytes and %v", c.name, len(out), err)
		}
	}
}

// FuzzApply: whatever the delta, the result is bounded.
func FuzzApply(f *testing.F) {
	base := []byte("the quick brown fox jumps over the lazy dog, and over again")
	f.Add(base, Make(base, append([]byte("see: "), base...)))
	f.Add(base, []byte{0, 5, 2})
	f.Fuzz(func(t *testing.T, base, change []byte) {
		out, err := Apply(base, change, 4096)
		if err == nil && len(out) > 4096 {
			t.Fatalf("%d bytes came out", len(out))
		}
		if got, err := Apply(base, Make(base, change), len(change)); err != nil || !bytes.Equal(got, change) {
			t.Fatalf("%q became %q: %v", change, got, err)
		}
	})
}
