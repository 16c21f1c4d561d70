package numbers

import (
	"runtime"
	"testing"
)

func TestDecimalComma(t *testing.T) {
	for _, c := range []struct {
		all, numeric, lang string
		want               bool
	}{
		{"", "", "de_DE.UTF-8", true},
		{"", "", "fr_CA.UTF-8", true},
		{"", "", "pt_BR", true},
		{"", "", "de_CH.UTF-8", false},
		{"", "", "es_MX.UTF-8", false},
		{"", "", "en_GB.UTF-8", false},
		{"", "", "en", false},
		{"", "", "C", false},
		{"", "", "", false},
		{"", "", "no such place", false},
		{"", "de_DE.UTF-8", "en_US.UTF-8", true},
		{"", "C", "de_DE.UTF-8", false},
		{"", "en_US.UTF-8@euro", "de_DE.UTF-8", false},
		{"en_US.UTF-8", "de_DE.UTF-8", "de_DE.UTF-8", false},
		{"de_AT.UTF-8@euro", "en_US.UTF-8", "C", true},
	} {
		if c.all+c.numeric == "" && (runtime.GOOS == "windows" || runtime.GOOS == "darwin") {
			continue // LANG says nothing there
		}
		t.Setenv("LC_ALL", c.all)
		t.Setenv("LC_NUMERIC", c.numeric)
		t.Setenv("LANG", c.lang)
		if got := DecimalComma(); got != c.want {
			t.Errorf("LC_ALL=%s LC_NUMERIC=%s LANG=%s: %v", c.all, c.numeric, c.lang, got)
		}
	}
}
