package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"flatwright/app/desk"
	"flatwright/app/desk/units"
	"flatwright/export"
	"flatwright/export/page/draw"
	"flatwright/export/picture"
	"flatwright/trace/pattern"
)

// pictureDPI is the resolution of a printed page's picture: enough for a
// screen, too coarse to cut from.
const pictureDPI = 100

// pagePicture finds the page to be drawn, before anything is written; nil when
// no picture is wanted.
func pagePicture(doc draw.Document, a makeArguments) (*draw.Page, error) {
	if a.picture == "" {
		return nil, nil
	}
	set, err := draw.Pages(doc)
	if err != nil {
		return nil, err
	}
	if a.picturePage > len(set.Pages) {
		return nil, &usageError{fmt.Sprintf("--picture-page %d is beyond the last, page %d", a.picturePage, len(set.Pages))}
	}
	return &set.Pages[a.picturePage-1], nil
}

// writePicture saves a page's picture, whole or not at all.
func writePicture(path string, p *draw.Page) error {
	return export.Replace(filepath.Dir(path), []export.File{{
		Name:  filepath.Base(path),
		Write: func(w io.Writer) error { return picture.WritePNG(w, p, pictureDPI) },
	}})
}

// posed reads what the window shall show before its picture is taken.
func posed(path, cut, thick string) (desk.Screenshot, error) {
	s := desk.Screenshot{Path: path}
	if path == "" {
		if cut != "" || thick != "" {
			return s, &usageError{"--cut and --thickness go with --picture; in the window, click an edge instead"}
		}
		return s, nil
	}
	var err error
	if s.ThicknessMM, err = readThickness(thick); err != nil {
		return s, err
	}
	if cut != "" {
		if s.Edge, s.Cut, err = parseCut(cut); err != nil {
			return s, err
		}
	}
	return s, nil
}

// parseCut reads an edge and its cut, written like B2=U30: the window's
// letters S, B and U, and the angle from square in degrees.
func parseCut(text string) (edge string, c pattern.Cut, err error) {
	edge, how, ok := strings.Cut(text, "=")
	kinds := map[string]pattern.CutKind{"S": pattern.Straight, "B": pattern.Bevel, "U": pattern.Undercut}
	if ok && edge != "" && how != "" {
		c.Kind = kinds[strings.ToUpper(how[:1])]
	}
	if c.Kind != pattern.Straight && c.Kind != "" {
		c.AngleDeg, err = units.ParseAngleDeg(how[1:])
	} else if len(how) > 1 {
		c.Kind = ""
	}
	if err == nil && c.Validate() == nil {
		return edge, c, nil
	}
	return "", pattern.Cut{}, &usageError{fmt.Sprintf("--cut %q is not an edge and its cut; write it like A2=B45, A2=U30 or A2=S", text)}
}
