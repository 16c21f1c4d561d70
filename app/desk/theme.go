package desk

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"flatwright/trace/pattern"
)

// palette is the colours of the bench in one appearance.
type palette struct {
	bench, panel, ink, faint, hairline, accent color.NRGBA
	// table lies under sheets of paper, which are of the panel's colour.
	table color.NRGBA
	// halo lies under lines over a photograph: the opposite of their colour.
	halo color.NRGBA
	// onAccent is text on the accent colour.
	onAccent color.NRGBA
	// field is the background of what can be typed in or pressed.
	field color.NRGBA
	// done, needs and wrong are the colours of states, always with a shape.
	done, needs, wrong color.NRGBA
	// gridline and miss are the mat's lines where they fit and where they do not.
	gridline, miss color.NRGBA
}

func hex(rgb uint32) color.NRGBA {
	return color.NRGBA{R: uint8(rgb >> 16), G: uint8(rgb >> 8), B: uint8(rgb), A: 255}
}

func lightPalette() palette {
	return palette{
		bench: hex(0xF7F4EE), table: hex(0xDDD9D0), panel: hex(0xFFFDF8), ink: hex(0x22262B), faint: hex(0x62676D),
		hairline: hex(0xD8D2C6), accent: hex(0x0072B2), halo: hex(0xFFFDF8), onAccent: hex(0xFFFFFF),
		field: hex(0xF1ECE2), done: hex(0x007A57), needs: hex(0xA85F00), wrong: hex(0xB03A00),
		gridline: hex(0x56B4E9), miss: hex(0xE69F00),
	}
}

func darkPalette() palette {
	return palette{
		bench: hex(0x1F2224), table: hex(0x121416), panel: hex(0x282C2F), ink: hex(0xE9E4DA), faint: hex(0xA8ABAB),
		hairline: hex(0x3B4044), accent: hex(0x56B4E9), halo: hex(0x14171A), onAccent: hex(0x14171A),
		field: hex(0x33383C), done: hex(0x2BBF93), needs: hex(0xE69F00), wrong: hex(0xF08A52),
		gridline: hex(0x56B4E9), miss: hex(0xE69F00),
	}
}

// cutStyle is how a cut is told from others: colour (Okabe and Ito's set),
// dash and letter together.
type cutStyle struct {
	colour color.NRGBA
	dash   []float64
	letter string
}

// styleOf returns a cut's style; dashes in device-independent px.
func styleOf(k pattern.CutKind) cutStyle {
	switch k {
	case pattern.Bevel:
		return cutStyle{hex(0xD55E00), []float64{9, 4}, tr.letterBevel}
	case pattern.Undercut:
		return cutStyle{hex(0x009E73), []float64{3, 3}, tr.letterUndercut}
	}
	return cutStyle{color.NRGBA{}, nil, tr.letterStraight}
}

// appearance is the toolkit's theme with the bench's colours.
type appearance struct {
	fyne.Theme
	// forced is "light" or "dark"; else the system's variant is followed.
	forced string
}

func (a *appearance) dark(v fyne.ThemeVariant) bool {
	if a.forced != "" {
		return a.forced == "dark"
	}
	return v == theme.VariantDark
}

func (a *appearance) palette(v fyne.ThemeVariant) palette {
	if a.dark(v) {
		return darkPalette()
	}
	return lightPalette()
}

// Color gives the toolkit's widgets the bench's colours.
func (a *appearance) Color(n fyne.ThemeColorName, v fyne.ThemeVariant) color.Color {
	p := a.palette(v)
	switch n {
	case theme.ColorNameBackground:
		return p.panel
	case theme.ColorNameForeground, theme.ColorNameForegroundOnWarning:
		return p.ink
	case theme.ColorNamePlaceHolder, theme.ColorNameDisabled:
		return p.faint
	case theme.ColorNamePrimary, theme.ColorNameHyperlink:
		return p.accent
	case theme.ColorNameForegroundOnPrimary, theme.ColorNameForegroundOnError, theme.ColorNameForegroundOnSuccess:
		return p.onAccent
	case theme.ColorNameFocus:
		return withAlpha(p.accent, 110)
	case theme.ColorNameSelection:
		return withAlpha(p.accent, 80)
	case theme.ColorNameHover:
		return withAlpha(p.ink, 18)
	case theme.ColorNamePressed:
		return withAlpha(p.ink, 40)
	case theme.ColorNameSeparator:
		return p.hairline
	case theme.ColorNameInputBorder:
		return mix(p.hairline, p.ink, 0.45)
	case theme.ColorNameInputBackground, theme.ColorNameButton, theme.ColorNameHeaderBackground:
		return p.field
	case theme.ColorNameDisabledButton:
		return p.panel
	case theme.ColorNameMenuBackground, theme.ColorNameOverlayBackground:
		return p.panel
	case theme.ColorNameError:
		return p.wrong
	case theme.ColorNameWarning:
		return p.needs
	case theme.ColorNameSuccess:
		return p.done
	case theme.ColorNameScrollBar:
		return withAlpha(p.ink, 90)
	}
	return a.Theme.Color(n, a.variant(v))
}

func (a *appearance) variant(v fyne.ThemeVariant) fyne.ThemeVariant {
	if a.dark(v) {
		return theme.VariantDark
	}
	return theme.VariantLight
}

// Size gives the three sizes of type and room for big hands.
func (a *appearance) Size(n fyne.ThemeSizeName) float32 {
	switch n {
	case theme.SizeNameText:
		return 14
	case theme.SizeNameCaptionText:
		return 12
	case theme.SizeNameHeadingText, theme.SizeNameSubHeadingText:
		return 18
	case theme.SizeNamePadding:
		return 4
	case theme.SizeNameInnerPadding:
		return 8
	case theme.SizeNameInputRadius, theme.SizeNameSelectionRadius:
		return 4
	}
	return a.Theme.Size(n)
}

func withAlpha(c color.NRGBA, a uint8) color.NRGBA {
	c.A = a
	return c
}

// mix returns the colour a part of the way from a to b.
func mix(a, b color.NRGBA, part float64) color.NRGBA {
	m := func(x, y uint8) uint8 { return uint8(float64(x) + (float64(y)-float64(x))*part + 0.5) }
	return color.NRGBA{R: m(a.R, b.R), G: m(a.G, b.G), B: m(a.B, b.B), A: m(a.A, b.A)}
}
