package keep

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/export"
)

// PreferencesName is the name of the file of preferences in the program's
// folder of settings.
const PreferencesName = "bench.json"

const (
	// mostRecent bounds the projects that are remembered.
	mostRecent          = 12
	maxPreferencesBytes = 1 << 20
	preferencesVersion  = 1
)

// Recent is a project that was worked on, and when. What it holds is not
// remembered: another window, or another computer, may have changed it since.
type Recent struct {
	Path string    `json:"path"`
	At   time.Time `json:"at"`
}

// Preferences are what the window remembers from one day to the next.
type Preferences struct {
	Version int `json:"version"`
	// Recent are the projects worked on, the latest first.
	Recent []Recent `json:"recent,omitempty"`
	// HintsSeen tells that the maker has put the first hints away.
	HintsSeen bool `json:"hints_seen,omitempty"`
	// Appearance is "light", "dark", or empty for the system's.
	Appearance string `json:"appearance,omitempty"`
	// Inches shows lengths on the work in inches.
	Inches bool `json:"inches,omitempty"`
	// Folder is where files were last saved.
	Folder string `json:"folder,omitempty"`
	// Print is how a pattern was last printed, nil before the first time.
	Print *session.Print `json:"print,omitempty"`
}

// ReadPreferences reads a file of preferences. Without one, or with one that
// cannot be read, they are empty, and the error says why: nil for no file.
func ReadPreferences(path string) (Preferences, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Preferences{}, nil
	}
	if err != nil {
		return Preferences{}, fmt.Errorf("the preferences cannot be read: %w", err)
	}
	defer f.Close()
	var p Preferences
	b, err := io.ReadAll(io.LimitReader(f, maxPreferencesBytes))
	if err == nil {
		err = json.Unmarshal(b, &p)
	}
	if err != nil {
		return Preferences{}, fmt.Errorf("the preferences in %s cannot be read (%w); the usual ones are used", path, err)
	}
	p.Recent = p.Recent[:min(len(p.Recent), mostRecent)]
	return p, nil
}

// Write writes preferences whole or not at all.
func (p Preferences) Write(path string) error {
	p.Version = preferencesVersion
	b, err := json.MarshalIndent(p, "", "  ")
	if err != nil {
		return fmt.Errorf("the preferences cannot be written: %w", err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return fmt.Errorf("the preferences cannot be written: %w", err)
	}
	write := func(w io.Writer) error { _, err := w.Write(append(b, '\n')); return err }
	if err := export.Replace(filepath.Dir(path), []export.File{{Name: filepath.Base(path), Write: write}}); err != nil {
		return fmt.Errorf("the preferences cannot be written: %w", err)
	}
	return nil
}

// Remember puts a project before the others.
func (p *Preferences) Remember(r Recent) {
	p.Forget(r.Path)
	p.Recent = append([]Recent{r}, p.Recent...)
	p.Recent = p.Recent[:min(len(p.Recent), mostRecent)]
}

// Forget takes a project out of the list.
func (p *Preferences) Forget(path string) {
	var kept []Recent
	for _, x := range p.Recent {
		if x.Path != path {
			kept = append(kept, x)
		}
	}
	p.Recent = kept
}

// There are the recent projects whose files are there, with the time that each
// was changed last, by whomever. The files are looked at, not opened: that takes no
// time, and neither locks nor changes them.
func (p Preferences) There() []Recent {
	var out []Recent
	for _, x := range p.Recent {
		if i, err := os.Stat(x.Path); err == nil && i.Mode().IsRegular() {
			x.At = i.ModTime()
			out = append(out, x)
		}
	}
	return out
}

// FreePath is a path for a new project in a folder, after the name of a
// photograph.
func FreePath(folder, stem string) string {
	for n := 1; ; n++ {
		name := stem
		if n > 1 {
			name = fmt.Sprintf("%s %d", stem, n)
		}
		path := filepath.Join(folder, name+Ending)
		if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) || n > 1000 {
			return path
		}
	}
}

// Ending is the ending of a project's file.
const Ending = project.Extension
