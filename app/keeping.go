package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"

	"flatwright/app/desk"
	kept "flatwright/app/desk/keep"
	"flatwright/app/desk/session"
	"flatwright/export/report"
	"flatwright/rectify/photo"
	"flatwright/rectify/photo/intake"
)

var (
	_ desk.PhotoDecoder = bench{}
	_ desk.Reporter     = bench{}
)

// Decode reads a photograph from its file's bytes.
func (bench) Decode(ctx context.Context, name string, file []byte) (*photo.Photo, error) {
	return intake.Decode(ctx, name, file)
}

// Report is what is known of a pattern's photographs, as report.json says it.
func (bench) Report(parts []session.Part) (json.RawMessage, error) {
	var text bytes.Buffer
	if err := report.Write(&text, reportOf(parts)); err != nil {
		return nil, err
	}
	return text.Bytes(), nil
}

// reportOf says how well each photograph was squared up.
func reportOf(parts []session.Part) report.Report {
	var r report.Report
	for i, part := range parts {
		seen, cal := report.Photo{Name: part.Squared.Photo.Name}, report.CalibrationOf(part.Squared, part.Nodes)
		if i == 0 {
			r.Photo, r.Calibration = seen, cal
		} else {
			r.FurtherPhotos = append(r.FurtherPhotos, report.FurtherPhoto{Photo: seen, Calibration: cal})
		}
	}
	return r
}

// keeping says where the window keeps work: projects in the user's folder of
// data, preferences in that of settings. Nil when the system names neither.
func keeping() *desk.Keeping {
	config, err := os.UserConfigDir()
	if err != nil {
		return nil
	}
	return &desk.Keeping{
		Folder:      filepath.Join(dataFolder(config), "flatwright", "projects"),
		Preferences: filepath.Join(config, "flatwright", kept.PreferencesName),
	}
}

// dataFolder is where programs keep what their users make: XDG_DATA_HOME where
// that is the custom (XDG Base Directory Specification 0.8), else the folder of
// settings.
func dataFolder(config string) string {
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		return config
	}
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return dir
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return config
	}
	return filepath.Join(home, ".local", "share")
}
