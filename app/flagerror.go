package main

import (
	"fmt"
	"regexp"
)

// flagTexts are the sentences of package flag, and what is said in their place of
// what they quote.
var flagTexts = []struct {
	is   *regexp.Regexp
	says string
}{
	{regexp.MustCompile(`^flag provided but not defined: -(.*)$`), "there is no option --%s"},
	{regexp.MustCompile(`^flag needs an argument: -(.*)$`), "--%s needs a value behind it"},
	{regexp.MustCompile(`(?s)^invalid value (".*") for flag -([^ ]+): .*$`), "--%[2]s %[1]s is not a number that it can take"},
	{regexp.MustCompile(`(?s)^invalid boolean value (".*") for -([^ ]+): .*$`), "--%[2]s stands alone, without %[1]s"},
	{regexp.MustCompile(`(?s)^bad flag syntax: (.*)$`), "%s is not how an option is written"},
}

// badFlags says what package flag has against a command's options, and which help
// tells them.
func badFlags(err error, help string) *usageError {
	text := err.Error()
	for _, f := range flagTexts {
		found := f.is.FindStringSubmatch(text)
		if found == nil {
			continue
		}
		words := make([]any, 0, len(found))
		for _, w := range found[1:] {
			words = append(words, w)
		}
		text = fmt.Sprintf(f.says, words...)
		break
	}
	return &usageError{text + "; see flatwright " + help}
}
