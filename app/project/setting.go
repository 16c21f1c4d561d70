package project

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
)

// Keys of settings. Undo does not touch them.
const (
	// ForExport is how the pattern was last written to files: type Export.
	ForExport = "export"
	// ForMat is the profile of the mat that was used, as matprofile writes it.
	ForMat = "mat"
	// ForReport is what was learnt of the photographs, as export/report writes it.
	ForReport = "report"
)

// Export is how a pattern is written to files; the correction of the printer
// is part of it.
type Export struct {
	// Paper is the paper's name as page.PaperByName reads it, and Orientation
	// how it lies: auto, portrait or landscape.
	Paper       string `json:"paper"`
	Orientation string `json:"orientation,omitempty"`
	// Packed: the pieces are turned and packed instead of as they lay.
	Packed bool `json:"packed,omitempty"`
	// MarginMM is left free on every side, OverlapMM shared by neighbours.
	MarginMM  float64 `json:"margin_mm"`
	OverlapMM float64 `json:"overlap_mm"`
	// ShiftXMM and ShiftYMM move the sheets over the pattern from their usual
	// place.
	ShiftXMM float64 `json:"shift_x_mm,omitempty"`
	ShiftYMM float64 `json:"shift_y_mm,omitempty"`
	// PrinterShort and PrinterLong are the printer's true lengths over nominal
	// ones along the paper's shorter and longer side, 0 for true.
	PrinterShort float64 `json:"printer_short,omitempty"`
	PrinterLong  float64 `json:"printer_long,omitempty"`
	// DXF is the form of the DXF file, empty for none; Bundle asks for the zip.
	DXF    string `json:"dxf,omitempty"`
	Bundle bool   `json:"bundle,omitempty"`
	// Author is the maker's name, for the files' properties.
	Author string `json:"author,omitempty"`
}

// SetSetting stores a value as JSON under a key. Errors: *LimitError, a value
// that JSON has no form for, *NotStoredError as with CommitState.
func (p *Project) SetSetting(key string, value any) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	b, err := json.Marshal(value)
	if err != nil {
		return fmt.Errorf("the setting %s: %w", key, err)
	}
	if err := checkSetting(b); err != nil {
		return err
	}
	return p.write(func(tx *sql.Tx) error {
		var n int
		if err := tx.QueryRow("SELECT count(*) FROM setting WHERE key <> ?", key).Scan(&n); err != nil {
			return err
		}
		if n >= MaxSettings {
			return &LimitError{What: "settings", Most: MaxSettings, Got: n + 1}
		}
		_, err := tx.Exec("INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value", key, string(b))
		return err
	})
}

// Setting reads a value that SetSetting stored; false when there is none.
// Errors: what is stored does not fit the value.
func (p *Project) Setting(key string, value any) (bool, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	var text string
	err := p.active().db.QueryRow("SELECT value FROM setting WHERE key = ?", key).Scan(&text)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	if err != nil {
		return false, trouble(err)
	}
	if err := json.Unmarshal([]byte(text), value); err != nil {
		return false, fmt.Errorf("the project's setting %s cannot be read: %w", cleanName(key), err)
	}
	return true, nil
}

// settingText is a caller's JSON without its white space; empty for none.
func settingText(b json.RawMessage) (string, error) {
	if len(b) == 0 {
		return "", nil
	}
	if err := checkSetting(b); err != nil {
		return "", err
	}
	var out bytes.Buffer
	if err := json.Compact(&out, b); err != nil {
		return "", fmt.Errorf("the settings are not JSON: %w", err)
	}
	return out.String(), nil
}

func checkSetting(b []byte) error {
	if len(b) > MaxSettingBytes {
		return &LimitError{What: "bytes in one setting", Most: MaxSettingBytes, Got: len(b)}
	}
	return nil
}
