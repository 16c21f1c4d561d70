package rectify

import "strings"

// KnownSheet is a sheet of paper of a standard size, upright.
type KnownSheet struct {
	Name              string
	WidthMM, HeightMM float64
}

// KnownSheets returns the sheets that makers have at hand: A5 to A0 after ISO
// 216:2007, which allows ±1.5 mm up to 150 mm, ±2 mm to 600 mm and ±3 mm
// beyond, and the North American sizes after ANSI/ASME Y14.1 and common
// practice (from memory).
func KnownSheets() []KnownSheet {
	return []KnownSheet{
		{"A5", 148, 210},
		{"A4", 210, 297},
		{"A3", 297, 420},
		{"A2", 420, 594},
		{"A1", 594, 841},
		{"A0", 841, 1189},
		{"Letter", 215.9, 279.4},
		{"Legal", 215.9, 355.6},
		{"Tabloid", 279.4, 431.8},
	}
}

// SheetNamed returns the known sheet of a name, in whatever case; false when
// there is none.
func SheetNamed(name string) (KnownSheet, bool) {
	for _, s := range KnownSheets() {
		if strings.EqualFold(strings.TrimSpace(name), s.Name) {
			return s, true
		}
	}
	return KnownSheet{}, false
}

// Turned returns the sheet lying on its side.
func (s KnownSheet) Turned() KnownSheet {
	s.WidthMM, s.HeightMM = s.HeightMM, s.WidthMM
	return s
}
