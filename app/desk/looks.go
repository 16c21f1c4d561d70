package desk

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"flatwright/app/desk/units"
)

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
	d.strip.frame.StrokeColor = d.pal.hairline
	d.strip.frame.Refresh()
	d.hints.frame.Refresh()
	d.editor.pal = d.pal
	for _, p := range d.panels {
		refreshAll(p.object())
	}
	d.changed()
}

// refreshAll draws all that is in a thing anew. The toolkit does so for what is
// in the window when its colours change; panels of other rungs are not.
func refreshAll(o fyne.CanvasObject) {
	switch c := o.(type) {
	case *fyne.Container:
		for _, x := range c.Objects {
			refreshAll(x)
		}
	case *container.Scroll:
		refreshAll(c.Content)
	case *choiceList:
		renewArrow(c)
	}
	o.Refresh()
}

// renewArrow has a list's arrow drawn in the present colours: the toolkit draws
// an icon anew only when it is another, as it is while the list is disabled.
func renewArrow(s *choiceList) {
	if !s.Disabled() {
		s.Disable()
		s.Enable()
	}
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
