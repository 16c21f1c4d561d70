package main

import (
	"io"
	"os"
	"path/filepath"

	"flatwright/assets"
	"flatwright/export"
)

// demoPath is where the demo photograph lies: beside the program, in the folder
// it is run from, or else in the user's folder of data, where it is put. Empty
// when nothing can be written there.
func demoPath() string {
	for _, t := range demoPlaces() {
		if _, err := os.Stat(t); err == nil {
			return t
		}
	}
	config, err := os.UserConfigDir()
	if err != nil {
		return ""
	}
	path, err := writeDemo(filepath.Join(dataFolder(config), "flatwright"))
	if err != nil {
		return "" // the window offers no demo, and does its work
	}
	return path
}

// demoPlaces are where the photograph lies with the program's source.
func demoPlaces() (tries []string) {
	if exe, err := os.Executable(); err == nil {
		dir := filepath.Dir(exe)
		tries = append(tries, filepath.Join(dir, "assets", assets.DemoName), filepath.Join(dir, "..", "assets", assets.DemoName))
	}
	return append(tries, filepath.Join("assets", assets.DemoName))
}

// writeDemo puts the program's own copy of the demo photograph into a folder,
// whole or not at all, unless that very file is there already.
func writeDemo(dir string) (string, error) {
	path := filepath.Join(dir, assets.DemoName)
	if have, err := os.ReadFile(path); err == nil && string(have) == assets.Demo() {
		return path, nil
	}
	err := export.Replace(dir, []export.File{{Name: assets.DemoName, Write: func(w io.Writer) error {
		_, err := io.WriteString(w, assets.Demo())
		return err
	}}})
	return path, err
}
