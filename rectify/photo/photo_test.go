package photo

import (
	"errors"
	"io/fs"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestLumaAt(t *testing.T) {
	p := &Photo{Width: 3, Height: 2, Luma: []byte{0, 100, 200, 50, 150, 250}}
	for _, c := range []struct{ x, y, want float64 }{
		{0, 0, 0},
		{2, 1, 250},
		{0.5, 0, 50},
		{1, 0.5, 125},
		{1.5, 0.5, 175},
		{-5, -5, 0},
		{9, 9, 250},
		{9, 0, 200},
		{math.NaN(), 0, 0},
		{math.Inf(1), 1, 250},
	} {
		if got := p.LumaAt(Point{c.x, c.y}); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("LumaAt(%g, %g) = %g, want %g", c.x, c.y, got, c.want)
		}
	}
}

func TestInside(t *testing.T) {
	p := &Photo{Width: 10, Height: 5}
	for _, c := range []struct {
		x, y, margin float64
		want         bool
	}{
		{0, 0, 0, true},
		{9, 4, 0, true},
		{9.01, 4, 0, false},
		{-0.01, 0, 0, false},
		{2, 2, 2, true},
		{7.5, 2, 2, false},
		{math.NaN(), 2, 0, false},
	} {
		if got := p.Inside(Point{c.x, c.y}, c.margin); got != c.want {
			t.Errorf("Inside(%g, %g; %g) = %v", c.x, c.y, c.margin, got)
		}
	}
}

// TestPlaceByDefinition holds every orientation against the wording of TIFF
// 6.0, section 8: where the stored row 0 and column 0 are to be seen.
func TestPlaceByDefinition(t *testing.T) {
	const w, h = 3, 2                               // stored
	for o, want := range map[Orientation][6]string{ // stored row 0, row 1 named a b c / d e f
		1: {"abc", "def"},
		2: {"cba", "fed"},
		3: {"fed", "cba"},
		4: {"def", "abc"},
		5: {"ad", "be", "cf"}, // row 0 is the left side, column 0 the top
		6: {"da", "eb", "fc"}, // row 0 is the right side, column 0 the top
		7: {"fc", "eb", "da"}, // row 0 is the right side, column 0 the bottom
		8: {"cf", "be", "ad"}, // row 0 is the left side, column 0 the bottom
	} {
		p := o.Place(w, h)
		got := make([]byte, w*h)
		for i, c := range []byte("abcdef") {
			got[p.Base+i%w*p.StepX+i/w*p.StepY] = c
		}
		if all := strings.Join(want[:], ""); string(got) != all || p.Width != len(want[0]) {
			t.Errorf("orientation %d: %q, want %q", o, got, all)
		}
		if o.Swaps() != (p.Width == h) {
			t.Errorf("orientation %d: Swaps is %v", o, o.Swaps())
		}
	}
}

// TestPlaceIsOneToOne: every pixel has a place of its own in the picture.
func TestPlaceIsOneToOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 9).Draw(t, "w"), rapid.IntRange(1, 9).Draw(t, "h")
		o := Orientation(rapid.IntRange(-3, 12).Draw(t, "o"))
		p := o.Place(w, h)
		seen := make([]bool, w*h)
		for i := range w * h {
			seen[p.Base+i%w*p.StepX+i/w*p.StepY] = true
		}
		for i, s := range seen {
			if !s {
				t.Fatalf("nothing is placed at %d", i)
			}
		}
	})
}

func TestLimits(t *testing.T) {
	l := Limits{MaxPixels: 120e6, MaxSide: 32767, MaxBytes: 10e6}
	for _, c := range []struct {
		w, h int
		kind error
		says string
	}{
		{12000, 10000, nil, ""},
		{32767, 3662, nil, ""},
		{12000, 10001, ErrTooLarge, "12000 × 10001 pixels, which makes 120 megapixels"},
		{65500, 65500, ErrTooLarge, "65500 × 65500 pixels, and at most 32767"},
		{32768, 1, ErrTooLarge, "at most 32767 pixels a side"},
		{0, 5, ErrDamaged, "0 × 5 pixels"},
		{math.MaxInt32, math.MaxInt32, ErrTooLarge, "32767"},
	} {
		err := l.CheckSize("mat.jpg", c.w, c.h)
		if !errors.Is(err, c.kind) {
			t.Errorf("%d × %d: error %v", c.w, c.h, err)
		}
		if err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%d × %d: %q does not say %q", c.w, c.h, err, c.says)
		}
	}
	if err := l.CheckBytes("mat.jpg", 10e6); err != nil {
		t.Error(err)
	}
	if err := l.CheckBytes("mat.jpg", 23e6); !errors.Is(err, ErrTooLarge) || !strings.Contains(err.Error(), "23 MB long, and at most 10 MB") {
		t.Errorf("error %v", err)
	}
}

func TestErrorSaysBoth(t *testing.T) {
	err := error(&Error{Name: "mat.jpg", What: "it is gone", Do: "Look elsewhere", Kind: ErrUnreadable, Cause: fs.ErrNotExist})
	if err.Error() != "mat.jpg: it is gone. Look elsewhere." {
		t.Errorf("%q", err)
	}
	if !errors.Is(err, ErrUnreadable) || !errors.Is(err, fs.ErrNotExist) || errors.Is(err, ErrDamaged) {
		t.Error("kind or cause is lost")
	}
}
