// Package locale gives the process a well-formed locale before the window
// toolkit looks at it: with LANG=C, or none, the toolkit complains on standard
// error while it is being initialised, even when no window is wanted.
//
// It imports nothing but os, and its path sorts before the toolkit's, so it
// is initialised first (The Go Programming Language Specification, "Package
// initialization": by import path among those ready).
package locale

import "os"

func init() {
	for _, name := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		switch os.Getenv(name) {
		case "":
			continue
		case "C", "POSIX", "C.UTF-8", "C.utf8":
			// The language of the text table; nothing else depends on it.
			os.Setenv(name, "en")
		}
		return
	}
	os.Setenv("LANG", "en")
}
