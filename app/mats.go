package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"flatwright/app/matprofile"
)

const matsUsage = `flatwright mats                 lists the mats that are kept
flatwright mats forget NAME     takes one off the list

A mat is kept with --save-mat NAME, and used with --mat NAME, of the commands
make and square.
`

// runMats lists the mats that are kept, or forgets one.
func runMats(args []string, out io.Writer) error {
	path, err := matprofile.DefaultPath()
	if err != nil {
		return err
	}
	switch {
	case len(args) == 0:
		return listMats(out, path)
	case len(args) == 1 && isHelp(args[0]):
		fmt.Fprint(out, matsUsage)
		return nil
	case args[0] == "forget" && len(args) == 2:
		all, err := matprofile.Load(path)
		if err != nil {
			return err
		}
		p, err := matprofile.Find(all, args[1])
		if err != nil {
			return &usageError{err.Error()}
		}
		if err := matprofile.Forget(path, p.Name); err != nil {
			return err
		}
		fmt.Fprintf(out, "The mat %q is forgotten.\n", p.Name)
		return nil
	case args[0] == "forget":
		return &usageError{"say which mat to forget, its name in quotes if it has blanks; see flatwright mats"}
	}
	return &usageError{fmt.Sprintf("flatwright mats does not know %q; see flatwright mats --help", args[0])}
}

func isHelp(arg string) bool { return arg == "-h" || arg == "-help" || arg == "--help" }

func listMats(out io.Writer, path string) error {
	all, err := matprofile.Load(path)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		fmt.Fprintln(out, "No mats are kept yet: lay a steel rule on yours, and keep what it reads with --across, --down and --save-mat.")
		return nil
	}
	for _, p := range all {
		fmt.Fprintf(out, "%s: %s\n", p.Name, described(p))
	}
	return nil
}

// described says what is known of a mat, on one line.
func described(p matprofile.Profile) string {
	parts := []string{fmt.Sprintf("lines %g mm apart", p.PitchMM)}
	switch sigma := max(p.SigmaX, p.SigmaY); {
	case !p.Measured():
		parts = append(parts, "not measured")
	case p.SigmaX == 0 || p.SigmaY == 0:
		parts = append(parts, fmt.Sprintf("measured one way, a square is %.3f × %.3f mm, ± %.2f %%", p.PitchMM*p.XFactor, p.PitchMM*p.YFactor, ceilPercent(200*sigma)))
	default:
		parts = append(parts, fmt.Sprintf("a square is %.3f × %.3f mm, ± %.2f %%", p.PitchMM*p.XFactor, p.PitchMM*p.YFactor, ceilPercent(200*sigma)))
	}
	if p.Columns > 0 {
		parts = append(parts, fmt.Sprintf("%d × %d squares", p.Columns, p.Rows))
	}
	if p.Ground != nil {
		parts = append(parts, "colour "+p.Ground.String())
	}
	if p.MeasuredOn != "" {
		parts = append(parts, p.MeasuredOn)
	}
	if p.Note != "" {
		parts = append(parts, p.Note)
	}
	return strings.Join(parts, "; ")
}

// ceilPercent rounds a percentage up to two decimals.
func ceilPercent(percent float64) float64 { return math.Ceil(percent*100) / 100 }
