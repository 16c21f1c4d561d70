// Flatwright turns phone photographs of taped pieces on a gridded cutting mat
// into true-scale patterns. With a command it does the whole job in one go;
// without, it opens the window.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"

	_ "flatwright/app/locale" // before the window toolkit
	"flatwright/export/page/lettering"
)

const usage = `Flatwright: taped pieces on a cutting mat, photographed, become a true-scale pattern.

  flatwright [PHOTO] [--pitch 1in]     open the window
  flatwright make PHOTO... --pitch 1in|10mm|… --out DIR [--paper a4|letter|…]
                                       photograph in; pattern.pdf, pattern.svg,
                                       pattern.dxf and report.json out
  flatwright square PHOTO --pitch 1in|10mm|…
                                       say how well a photograph squares up
  flatwright sheet PROJECT --stock 24x60in --out DIR
                                       which sheets the pieces are cut from,
                                       and how they lie on them
  flatwright export PROJECT --out DIR [--format pdf,svg,…]
                                       the files of a project that was saved
  flatwright mats                      the mats that are kept
  flatwright make --help               every option of a command
  flatwright PHOTO --picture FILE [--cut A2=B45] [--thickness 10mm]
                                       save a picture of the window and quit
  flatwright help                      this text

The pitch is the distance between the mat's major lines. Lengths are written
like 9.5mm, 9,5mm, 3/8in or 1 1/2in, sizes like 24x60in or 61,0x91,4cm; a bare
number is millimetres, a bare fraction inches. The window takes
--appearance light|dark.
`

// The process's exit statuses.
const (
	statusDone   = 0
	statusFailed = 1
	statusUsage  = 2
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// run is the whole program but for the process around it; it returns the exit
// status.
func run(ctx context.Context, args []string, out, errs io.Writer) int {
	if len(args) > 0 {
		switch args[0] {
		case "make":
			return tell(runMake(ctx, args[1:], out, errs), errs)
		case "square":
			return tell(runSquare(ctx, args[1:], out, errs), errs)
		case "sheet":
			return tell(runSheets(ctx, args[1:], out, errs), errs)
		case "export":
			return tell(runExport(ctx, args[1:], out, errs), errs)
		case "mats":
			return tell(runMats(args[1:], out), errs)
		case "help", "-h", "-help", "--help":
			fmt.Fprint(out, usage)
			return statusDone
		}
	}
	return tell(openWindow(args), errs)
}

// usageError is a mistake on the command line.
type usageError struct{ text string }

func (e *usageError) Error() string { return e.text }

// tell prints what went wrong in one sentence, and returns the exit status.
func tell(err error, errs io.Writer) int {
	if err == nil {
		return statusDone
	}
	if errors.Is(err, context.Canceled) {
		fmt.Fprintln(errs, "flatwright: stopped; nothing was written.")
		return statusFailed
	}
	// A file's name may hold what a terminal obeys, or a line's end.
	fmt.Fprintf(errs, "flatwright: %s\n", lettering.OneLine(err.Error()))
	var u *usageError
	if errors.As(err, &u) {
		return statusUsage
	}
	return statusFailed
}
