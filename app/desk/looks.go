package desk

import "flatwright/app/desk/units"

// recolour follows the system between light and dark.
func (d *desk) recolour() {
	d.pal = d.look.palette(d.app.Settings().ThemeVariant())
	for _, g := range d.grounds {
		g.FillColor = d.pal.panel
		g.Refresh()
	}
	for _, l := range d.lines {
		l.FillColor = d.pal.hairline
		l.Refresh()
	}
	d.hints.frame.StrokeColor = d.pal.accent
	d.hints.frame.Refresh()
	d.editor.pal = d.pal
	d.changed()
}

func (d *desk) toggleAppearance() {
	d.kept.prefs.Appearance = "dark"
	if d.look.dark(d.app.Settings().ThemeVariant()) {
		d.kept.prefs.Appearance = "light"
	}
	d.appear(d.kept.prefs.Appearance)
	d.writePreferences()
}

// toggleUnits shows lengths in millimetres or in inches, and takes bare numbers
// as such. With a suffix, what is typed may be either at any time.
func (d *desk) toggleUnits() {
	to := units.Inches
	if d.editor.system == units.Inches {
		to = units.Millimetres
	}
	d.showIn(to)
	d.kept.prefs.Inches = to == units.Inches
	d.writePreferences()
}

func (d *desk) showIn(s units.System) {
	from := d.editor.system
	d.editor.system = s
	if from != s {
		d.turnLengths(from)
	}
	d.inches.SetText(tr.inInches)
	if s == units.Inches {
		d.inches.SetText(tr.inMM)
	}
	d.changed()
}

// appear shows the window light or dark, whatever the system is.
func (d *desk) appear(as string) {
	d.look = &appearance{Theme: d.look.Theme, forced: as}
	d.app.Settings().SetTheme(d.look)
	d.recolour()
}
