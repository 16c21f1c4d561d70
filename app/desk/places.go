package desk

import (
	"encoding/json"
	"os"
	"reflect"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/view"
	"flatwright/trace/pattern"
)

// placesVariable names a file into which the window writes what it shows and
// where, for programs that drive it from outside. Without it nothing is written.
const placesVariable = "FLATWRIGHT_PLACES"

// placesEvery is how often the file is written.
const placesEvery = 200 * time.Millisecond

// Places is what the window shows and where, in its own units from the top left
// corner of what it holds. It is written to the file that FLATWRIGHT_PLACES
// names.
type Places struct {
	// Serial grows with every state written.
	Serial int
	// Rung is the one looked at, 1 to 6; Busy tells that work is running; Strip
	// is the sentence above the work.
	Rung  int
	Busy  bool
	Strip string
	// Photo is the photograph's name, PitchMM the distance between the mat's
	// lines, Squared whether it has been squared up.
	Photo   string
	PitchMM float64
	Squared bool
	// Selected is the chosen edge.
	Selected string
	Pieces   []PlacedPiece
	Edges    []PlacedEdge
	Seams    []pattern.Seam
	Findings int
	Pages    int
	// Saved is the PDF written last.
	Saved  string
	Things []PlacedThing
}

// PlacedPiece is a piece and the thickness of its sheet in mm.
type PlacedPiece struct {
	ID          string
	ThicknessMM float64
}

// PlacedEdge is an edge, its length and cut, and the middle of it on the window.
type PlacedEdge struct {
	ID, Piece string
	LengthMM  float64
	Cut       pattern.Cut
	X, Y      float32
}

// PlacedThing is a button or a line to type in.
type PlacedThing struct {
	// Kind is "button", "entry" or "choice". Text is what it says, Hint what an
	// empty entry says; Usable that it is not greyed out, Keyed that it has the
	// keyboard.
	Kind, Text, Hint string
	Usable, Keyed    bool
	X, Y, W, H       float32
}

// tellPlaces goes on writing the window's places, when they are asked for.
func (d *desk) tellPlaces() {
	path := os.Getenv(placesVariable)
	if path == "" {
		return
	}
	go func() {
		for serial := 1; ; serial++ {
			var p Places
			fyne.DoAndWait(func() { p = d.places() })
			p.Serial = serial
			if raw, err := json.Marshal(p); err == nil && os.WriteFile(path+".new", raw, 0o600) == nil {
				_ = os.Rename(path+".new", path)
			}
			time.Sleep(placesEvery)
		}
	}()
}

func (d *desk) places() Places {
	doc := d.s.Document()
	p := Places{
		Rung: int(d.stage) + 1, Busy: d.runner.busy(), PitchMM: doc.PitchMM, Squared: doc.Squared != nil,
		Seams: doc.Pattern.Seams, Findings: len(d.s.Findings()), Pages: d.pages, Saved: d.saved,
	}
	if d.strip.shown() {
		p.Strip = d.strip.text.Text
	}
	if ph := d.s.Photo(); ph != nil {
		p.Photo = ph.Name
	}
	if e, ok := d.s.SelectedEdge(); ok {
		p.Selected = e.ID
	}
	for _, x := range doc.Pattern.Pieces {
		p.Pieces = append(p.Pieces, PlacedPiece{x.ID, x.ThicknessMM})
		for _, e := range x.Edges {
			p.Edges = append(p.Edges, d.placedEdge(x.ID, e))
		}
	}
	d.placeThings(d.win.Content(), &p.Things)
	for _, o := range d.win.Canvas().Overlays().List() {
		d.placeThings(o, &p.Things)
	}
	return p
}

func (d *desk) placedEdge(piece string, e pattern.Edge) PlacedEdge {
	out := PlacedEdge{ID: e.ID, Piece: piece, Cut: e.Cut, X: -1, Y: -1}
	shape, ok := d.editor.shapes().Edge(e.ID)
	if !ok {
		return out
	}
	out.LengthMM = shape.LengthMM
	line := shape.Line.In(d.editor.space)
	if len(line) < 2 || d.editor.px == 0 {
		return out
	}
	k := (len(line) - 1) / 2
	a, b := line[k], line[k+1]
	at := d.editor.view().ToDevice(view.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2})
	origin := d.app.Driver().AbsolutePositionForObject(d.editor)
	out.X = origin.X + float32(at.X/d.editor.px)
	out.Y = origin.Y + float32(at.Y/d.editor.px)
	return out
}

// typedIn is the toolkit's line to type in, and whatever is built upon it.
type typedIn interface {
	fyne.Disableable
	SelectedText() string
	SetPlaceHolder(text string)
}

// placeThings adds what can be pressed or typed in, in the order it stands.
func (d *desk) placeThings(o fyne.CanvasObject, out *[]PlacedThing) {
	if o == nil || !o.Visible() {
		return
	}
	t := PlacedThing{Usable: true, Keyed: d.keyed(o)}
	switch x := o.(type) {
	case *fyne.Container:
		for _, in := range x.Objects {
			d.placeThings(in, out)
		}
		return
	case *container.Scroll:
		d.placeThings(x.Content, out)
		return
	case *container.Split:
		d.placeThings(x.Leading, out)
		d.placeThings(x.Trailing, out)
		return
	case *widget.PopUp:
		d.placeThings(x.Content, out)
		return
	case *widget.Button:
		t.Kind, t.Text, t.Usable = "button", x.Text, !x.Disabled()
	case *button:
		t.Kind, t.Text, t.Usable = "button", x.Text, !x.Disabled()
	case *shutButton:
		t.Kind, t.Text = "button", x.Text
	case typedIn:
		in := reflect.ValueOf(o).Elem()
		t.Kind, t.Text, t.Hint, t.Usable = "entry", in.FieldByName("Text").String(), in.FieldByName("PlaceHolder").String(), !x.Disabled()
	case *choiceList:
		t.Kind, t.Text, t.Usable = "choice", x.Selected, !x.Disabled()
	default:
		return
	}
	at := d.app.Driver().AbsolutePositionForObject(o)
	t.X, t.Y, t.W, t.H = at.X, at.Y, o.Size().Width, o.Size().Height
	*out = append(*out, t)
}

func (d *desk) keyed(o fyne.CanvasObject) bool {
	f, ok := o.(fyne.Focusable)
	return ok && d.win.Canvas().Focused() == f
}
