// Package numbers tells how numbers are written where the maker lives. It stands
// apart from its parent, which has to be initialised before all that this one
// needs.
package numbers

import (
	"os"
	"runtime"
	"strings"

	system "github.com/jeandeaual/go-locale"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"
)

// DecimalComma reports whether decimals stand behind a comma in the locale of
// the process (LC_ALL, LC_NUMERIC or LANG, the first that is set: POSIX.1-2017,
// Base Definitions, section 8.2, from memory; elsewhere what the system says),
// by the tables of the Unicode CLDR. An unknown locale has a point.
func DecimalComma() bool {
	place, _, _ := strings.Cut(name(), ".") // without the encoding, "de_CH.UTF-8"
	place, _, _ = strings.Cut(place, "@")
	tag := language.Make(place)
	return strings.Contains(message.NewPrinter(tag).Sprint(number.Decimal(1.5)), ",")
}

// name is the locale that numbers are written by, empty when none is set.
func name() string {
	for _, variable := range []string{"LC_ALL", "LC_NUMERIC"} {
		if s := os.Getenv(variable); s != "" {
			return s
		}
	}
	if runtime.GOOS != "windows" && runtime.GOOS != "darwin" {
		return os.Getenv("LANG")
	}
	s, err := system.GetLocale()
	if err != nil {
		return ""
	}
	return s
}
