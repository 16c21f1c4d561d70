package main

import "testing"

// A slip of an option is told in a plain sentence that names it as it is written.
func TestBadFlags(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"make", "--bogus"}, "there is no option --bogus; see flatwright make --help"},
		{[]string{"square", "-pich=1in"}, "there is no option --pich; see flatwright square --help"},
		{[]string{"export", "x", "--out"}, "--out needs a value behind it; see flatwright export --help"},
		{[]string{"make", "x.jpg", "--lines", "two"}, `--lines "two" is not a number that it can take; see flatwright make --help`},
		{[]string{"sheet", "x", "--seconds", "1e999"}, `--seconds "1e999" is not a number that it can take; see flatwright sheet --help`},
		{[]string{"make", "x.jpg", "--json=maybe"}, `--json stands alone, without "maybe"; see flatwright make --help`},
		{[]string{"make", "---x"}, "---x is not how an option is written; see flatwright make --help"},
		{[]string{"--pitsch", "1in"}, "there is no option --pitsch; see flatwright help"},
		{[]string{"--rung", "six"}, `--rung "six" is not a number that it can take; see flatwright help`},
		{[]string{"nowhere.jpg"}, "nowhere.jpg is neither a command nor a file that is there; see flatwright help"},
		{[]string{"square"}, "no photograph given; see flatwright square --help"},
	} {
		if status, out, errs := command(c.args...); status != statusUsage || out != "" || errs != "flatwright: "+c.want+"\n" {
			t.Errorf("%v: status %d, %q%q, want %q", c.args, status, out, errs, c.want)
		}
	}
}
