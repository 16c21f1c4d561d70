package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"os"

	"flatwright/app/matprofile"
	"flatwright/app/project"
	"flatwright/export/dxf"
	"flatwright/export/page"
	"flatwright/export/report"
)

// photoSettings say, in a project, how a photograph was squared up.
type photoSettings struct {
	PitchMM float64 `json:"pitch_mm,omitempty"`
	// Lines says which printed lines the pitch means, 0 found out.
	Lines       int                 `json:"lines,omitempty"`
	Mat         string              `json:"mat,omitempty"`
	MatTurned   bool                `json:"mat_turned,omitempty"`
	RaisedMM    float64             `json:"raised_mm,omitempty"`
	Calibration *report.Calibration `json:"calibration,omitempty"`
}

// projectIsFree refuses, before any work is done, a project's name that is
// taken.
func projectIsFree(path string) error {
	if path == "" {
		return nil
	}
	if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("there is a file %s already, and a project is never written over; choose another name with --project, or move that file away", path)
	}
	return nil
}

// saveProject writes what was done to a project's file; nothing when none is
// wanted. On an error there is no such file.
func saveProject(ctx context.Context, a makeArguments, j *job) error {
	if a.project == "" {
		return nil
	}
	p, err := project.New()
	if err != nil {
		return err
	}
	defer p.Close()
	if err := j.fill(ctx, p, a); err != nil {
		return err
	}
	if err := projectIsFree(a.project); err != nil {
		return err
	}
	return p.SaveAs(ctx, a.project)
}

// removeProject takes back what saveProject wrote.
func removeProject(path string) error {
	if path == "" {
		return nil
	}
	return os.Remove(path)
}

// fill puts photographs, pattern and settings into a project.
func (j *job) fill(ctx context.Context, p *project.Project, a makeArguments) error {
	sums := make([][sha256.Size]byte, len(a.photos))
	for k, path := range a.photos {
		var err error
		if sums[k], err = addPhoto(ctx, p, path, j.settingsOf(k, a)); err != nil {
			return err
		}
	}
	state, err := j.state(sums)
	if err != nil {
		return err
	}
	if _, err := p.CommitState("trace", state); err != nil {
		return err
	}
	var text bytes.Buffer
	if err := report.Write(&text, j.report); err != nil {
		return err
	}
	if err := p.SetSetting(project.ForReport, json.RawMessage(text.Bytes())); err != nil {
		return err
	}
	if err := j.keepMat(p, a); err != nil {
		return err
	}
	return p.SetSetting(project.ForExport, exportOf(a))
}

// keepMat puts the mat that was named or measured into the project.
func (j *job) keepMat(p *project.Project, a makeArguments) error {
	mat := j.learnt
	if mat == nil {
		mat = a.squaring.profile
	}
	if mat == nil {
		return nil
	}
	b, err := matprofile.Encode([]matprofile.Profile{*mat})
	if err != nil {
		return err
	}
	return p.SetSetting(project.ForMat, json.RawMessage(b))
}

func addPhoto(ctx context.Context, p *project.Project, path string, s photoSettings) (sum [sha256.Size]byte, err error) {
	settings, err := json.Marshal(s)
	if err != nil {
		return sum, err
	}
	f, err := os.Open(path)
	if err != nil {
		return sum, err
	}
	defer f.Close()
	added, err := p.AddPhoto(ctx, path, f, settings)
	return added.SHA256, err
}

// settingsOf tells how a photograph was squared up.
func (j *job) settingsOf(k int, a makeArguments) photoSettings {
	o := a.squaring.options
	s := photoSettings{PitchMM: o.PitchMM, Lines: o.Kind, MatTurned: a.squaring.turned, RaisedMM: o.Raised.ThicknessMM}
	if a.squaring.profile != nil {
		s.Mat = a.squaring.profile.Name
	}
	if k == 0 {
		s.Calibration = &j.report.Calibration
	} else if k <= len(j.report.FurtherPhotos) {
		s.Calibration = &j.report.FurtherPhotos[k-1].Calibration
	}
	return s
}

// exportOf is how the files were written.
func exportOf(a makeArguments) project.Export {
	s := a.setup
	return project.Export{
		Paper: s.Paper.Name, Orientation: string(s.Orientation), Packed: s.Packed, MarginMM: s.MarginMM, OverlapMM: s.OverlapMM,
		PrinterShort: s.Printer.Short, PrinterLong: s.Printer.Long,
		DXF: string(a.files.DXF), Bundle: a.files.Bundle, Author: a.author,
	}
}

// usualExport is how a project is written of which nothing was said.
func usualExport() project.Export {
	s := page.DefaultSetup()
	return project.Export{
		Paper: s.Paper.Name, Orientation: string(s.Orientation), MarginMM: s.MarginMM, OverlapMM: s.OverlapMM, DXF: string(dxf.Splines),
	}
}
