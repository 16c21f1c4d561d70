// Package assets holds the demo photograph, so that the program has it wherever
// it is run from. Its truth and the pictures of the README lie beside it and are
// no part of the program.
package assets

import _ "embed"

//go:embed demo.jpg
var demo string

// DemoName is the name of the demo photograph's file.
const DemoName = "demo.jpg"

// Demo returns the demo photograph as its file's bytes, a JPEG: tape pieces on a
// mat with lines 1 in apart.
func Demo() string { return demo }
