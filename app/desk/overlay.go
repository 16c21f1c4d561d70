package desk

import (
	"image/color"
	"math"

	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// paintBack fills the kept background when it is no longer right: the
// photograph, or paper with the pieces as flat shapes.
func (e *editor) paintBack() {
	sel, _ := e.s.SelectedPiece()
	key := backKey{e.space, e.view(), e.w, e.h, 0, e.pyramid, e.pal, "", nil, nil}
	if e.onPaper() {
		key.paper = e.paper.shapes
	}
	if e.shade && !e.placing() && key.paper == nil {
		key.sure = e.s.Sureness(e.space)
	}
	if e.space == session.OnMat {
		key.version, key.piece = e.s.Version(), sel.ID
	}
	if key == e.backKey && e.back.RGBA != nil {
		return
	}
	e.backKey = key
	e.back = raster.Resized(e.back, e.w, e.h)
	switch {
	case e.space == session.OnMat:
		e.paintPaper(sel.ID)
	case e.pyramid != nil:
		e.pyramid.Draw(e.back, e.view(), e.pal.bench)
	default:
		e.back.Fill(e.pal.bench)
	}
	e.paintShade(key.sure)
}

// paintPaper draws the sheets that the pieces are packed on, or a 10 mm grid,
// and the pieces' faces.
func (e *editor) paintPaper(selected string) {
	p := e.painter(e.back, e.view())
	plain := e.pal.panel
	if e.onPaper() {
		e.paintSheetFaces(p)
		plain = mix(e.pal.panel, e.pal.ink, 0.05)
	} else {
		e.paintMesh(p)
	}
	for _, s := range e.shapes().Pieces {
		loops := [][]view.Point{p.mapped(s.Outline.OnMat)}
		for _, o := range s.Openings {
			loops = append(loops, p.mapped(o.OnMat))
		}
		face := plain
		if s.ID == selected {
			face = mix(e.pal.panel, e.pal.accent, 0.12)
		}
		e.back.FillPolygon(loops, face)
	}
}

// paintMesh draws a 10 mm grid on the bench.
func (e *editor) paintMesh(p painter) {
	e.back.Fill(e.pal.bench)
	step := math.Max(10, e.view().RulerStep(24*e.px))
	r := e.view().Visible(float64(e.w), float64(e.h))
	for x := math.Ceil(r.Min.X/step) * step; x < r.Max.X; x += step {
		p.line(view.Point{X: x, Y: r.Min.Y}, view.Point{X: x, Y: r.Max.Y}, 1, withAlpha(e.pal.hairline, 150))
	}
	for y := math.Ceil(r.Min.Y/step) * step; y < r.Max.Y; y += step {
		p.line(view.Point{X: r.Min.X, Y: y}, view.Point{X: r.Max.X, Y: y}, 1, withAlpha(e.pal.hairline, 150))
	}
}

// painter draws things of the world on a canvas under a view. Widths are in
// the toolkit's px.
type painter struct {
	raster.Canvas
	view    view.View
	space   session.Space
	pal     palette
	px      float64
	text    *raster.Type
	scratch *[]view.Point
	// magnified is set under the magnifier, where words would hide the place.
	magnified bool
}

func (e *editor) painter(c raster.Canvas, v view.View) painter {
	return painter{Canvas: c, view: v, space: e.space, pal: e.pal, px: e.px, text: e.text, scratch: &e.points}
}

// mapped returns a new slice of device positions.
func (p painter) mapped(pts []view.Point) []view.Point {
	out := make([]view.Point, len(pts))
	for i, q := range pts {
		out[i] = p.view.ToDevice(q)
	}
	return out
}

// brief is mapped into memory that the next call reuses.
func (p painter) brief(pts []view.Point) []view.Point {
	out := (*p.scratch)[:0]
	for _, q := range pts {
		out = append(out, p.view.ToDevice(q))
	}
	*p.scratch = out
	return out
}

// thinned is brief without points that lie closer than a pixel to the one
// before; the ends stay.
func (p painter) thinned(pts []view.Point) []view.Point {
	out := (*p.scratch)[:0]
	for i, q := range pts {
		d := p.view.ToDevice(q)
		if n := len(out); n > 0 && i < len(pts)-1 && math.Abs(d.X-out[n-1].X) < 1 && math.Abs(d.Y-out[n-1].Y) < 1 {
			continue
		}
		out = append(out, d)
	}
	*p.scratch = out
	return out
}

func (p painter) line(a, b view.Point, width float64, c color.NRGBA) {
	p.Line(p.view.ToDevice(a), p.view.ToDevice(b), width*p.px, c)
}

// stroke draws a track with a halo of the opposite value under it.
func (p painter) stroke(t session.Track, dash []float64, width float64, c color.NRGBA) {
	pts := p.thinned(t.In(p.space))
	p.Polyline(pts, (width+2)*p.px, p.pal.halo)
	if dash == nil {
		p.Polyline(pts, width*p.px, c)
		return
	}
	scaled := make([]float64, len(dash))
	for i, d := range dash {
		scaled[i] = d * p.px
	}
	p.Dashed(pts, scaled, width*p.px, c)
}

// paintOverlay draws everything that lies over the background.
func (e *editor) paintOverlay() {
	p := e.painter(e.front, e.view())
	e.paintWorld(p)
	e.paintContours(p)
	e.paintTags(p)
	e.paintFindings(p)
	e.paintChecks(p)
	e.paintTape(p)
	e.paintReshape(p)
	if e.space == session.OnMat {
		e.paintRulers(p)
	}
	e.paintLegend(p)
	if e.placing() || e.tool == toolTape {
		e.paintMagnifier()
	}
	e.paintTip(p)
	e.paintRunning()
	e.paintLaying()
	if e.focused {
		r := view.Rect{Min: view.Point{X: e.px, Y: e.px}, Max: view.Point{X: float64(e.w) - e.px, Y: float64(e.h) - e.px}}
		e.front.StrokeRect(r, 2*e.px, e.pal.accent)
	}
}

// paintRunning shows the running work where its result will appear, below what
// may lie over the top of the work.
func (e *editor) paintRunning() {
	if e.running == "" || e.text == nil {
		return
	}
	w, h := math.Max(e.text.Width(e.running)+32*e.px, 200*e.px), 48*e.px
	x, y := math.Round((float64(e.w)-w)/2), math.Round((float64(e.h)-h)/2)
	plate := view.Rect{Min: view.Point{X: x, Y: y}, Max: view.Point{X: x + w, Y: y + h}}
	e.front.FillRect(plate, withAlpha(e.pal.panel, 235))
	e.front.StrokeRect(plate, e.px, e.pal.hairline)
	e.front.Text(e.text, view.Point{X: x + 16*e.px, Y: y + 21*e.px}, e.running, e.pal.ink)
	bar := view.Rect{Min: view.Point{X: x + 16*e.px, Y: y + 32*e.px}, Max: view.Point{X: x + w - 16*e.px, Y: y + 37*e.px}}
	e.front.FillRect(bar, e.pal.hairline)
	bar.Max.X = bar.Min.X + (bar.Max.X-bar.Min.X)*math.Max(0, math.Min(1, e.runningPart))
	e.front.FillRect(bar, e.pal.accent)
}

// paintWorld draws what belongs to the work itself, in the window or under the
// magnifier.
func (e *editor) paintWorld(p painter) {
	if e.onPaper() {
		e.paintOnPaper(p)
		return
	}
	if e.showLines && (e.space == session.InPhoto || e.needles) {
		e.paintLines(p)
	}
	switch e.tool {
	case toolCorners:
		e.paintPreview(p)
		e.paintCorners(p)
		return
	case toolSheet:
		e.paintSheet(p)
		return
	}
	if e.needles {
		e.paintNeedles(p)
	}
	for i := range e.s.Shapes().Pieces {
		e.paintPiece(p, &e.s.Shapes().Pieces[i])
	}
	e.paintSheets(p)
}

// Misses below fineMissPx leave a found line faint, those above clearMissPx
// make it wide and mark it with ticks.
const (
	fineMissPx  = 0.4
	clearMissPx = 1.0
)

// paintLines draws the mat's lines, faint where they fit, and all faint where
// misses are not looked at. Stretches too short to be told apart are drawn
// together, by the worst of them.
func (e *editor) paintLines(p painter) {
	group := e.needleGroup()
	for _, l := range e.s.FoundLines() {
		pts := p.brief(l.Line.In(p.space))
		for i := 0; i < len(l.MissPx); i += group {
			last := min(i+group, len(l.MissPx))
			miss := worst(l.MissPx[i:last])
			if !e.showMisses {
				miss = 0 // what a miss is, is told where one squares up
			}
			p.foundStretch(pts[i], pts[last], miss)
		}
	}
}

// worst returns the miss farthest from 0; NaN when all are.
func worst(missPx []float64) float64 {
	out := math.NaN()
	for _, m := range missPx {
		if math.IsNaN(out) || math.Abs(m) > math.Abs(out) {
			out = m
		}
	}
	return out
}

// foundStretch draws a stretch of a line by how far it misses.
func (p painter) foundStretch(a, b view.Point, missPx float64) {
	m := math.Abs(missPx)
	part := math.Max(0, math.Min(1, (m-fineMissPx)/(clearMissPx-fineMissPx)))
	c := withAlpha(mix(p.pal.gridline, p.pal.miss, part), uint8(110+145*part))
	width := 1.0
	switch {
	case math.IsNaN(m):
		c = withAlpha(p.pal.gridline, 55)
	case m > clearMissPx:
		width = 2
		p.whisker(a, b, c)
	}
	p.Polyline([]view.Point{a, b}, width*p.px, c)
}

// whisker draws a tick across the middle of a stretch that misses, so that it
// is told by shape too.
func (p painter) whisker(a, b view.Point, c color.NRGBA) {
	dx, dy := b.X-a.X, b.Y-a.Y
	l := math.Hypot(dx, dy)
	if l == 0 {
		return
	}
	k := 5 * p.px / l
	m := view.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
	p.Line(view.Point{X: m.X - dy*k, Y: m.Y + dx*k}, view.Point{X: m.X + dy*k, Y: m.Y - dx*k}, 2*p.px, c)
}

// paintPiece draws one piece: other face, marks, lines, outline, nodes.
func (e *editor) paintPiece(p painter, s *session.PieceShape) {
	line := e.s.LineNumber()
	chosen, _ := e.s.SelectedPiece()
	for i, l := range s.Lines {
		if i == line && chosen.ID == s.ID {
			p.stroke(l, nil, 2.5, p.pal.accent)
			continue
		}
		p.stroke(l, nil, 1.2, p.pal.ink)
	}
	for _, o := range s.Openings {
		p.stroke(o, nil, 1.5, p.pal.ink)
	}
	for i := range s.Edges {
		k := styleOf(s.Edges[i].Cut.Kind)
		for _, other := range s.Edges[i].OtherFace {
			p.stroke(other, k.dash, 1.2, k.colour)
		}
	}
	for _, m := range s.Marks {
		p.stroke(m, nil, 1.5, p.pal.ink)
	}
	for _, l := range s.Printed {
		p.stroke(l, nil, 1, p.pal.faint)
	}
	sel, _ := e.s.SelectedEdge()
	e.mates = e.s.SeamMates()
	for _, pass := range []bool{false, true} {
		for i := range s.Edges {
			if lifted := s.Edges[i].ID == sel.ID || s.Edges[i].ID == e.hover; lifted == pass {
				e.paintEdge(p, &s.Edges[i], sel.ID)
			}
		}
	}
	if piece, _ := e.s.SelectedPiece(); piece.ID == s.ID && e.tool == toolReshape {
		return
	} else if piece.ID == s.ID || e.view().Scale*e.worldPerMM() > nodesFromPxPerMM*e.px {
		e.paintNodes(p, s.Nodes)
	}
}

// nodesFromPxPerMM is the zoom from which every piece shows its nodes; the
// selected one always does.
const nodesFromPxPerMM = 5

// worldPerMM returns world units of one millimetre, roughly; 1 in the flat view.
func (e *editor) worldPerMM() float64 {
	if e.space == session.OnMat {
		return 1
	}
	v, ok := e.s.View()
	p := e.s.Photo()
	if !ok || p == nil {
		return 1
	}
	at, ok := v.ToMat(photo.Point{X: float64(p.Width) / 2, Y: float64(p.Height) / 2})
	if !ok {
		return 1
	}
	a, b := v.ToPhoto(at), v.ToPhoto(mat.Point{X: at.X + 1, Y: at.Y})
	return math.Max(math.Hypot(b.X-a.X, b.Y-a.Y), 1e-6)
}

func (e *editor) paintEdge(p painter, s *session.EdgeShape, selected string) {
	w, h := p.Size()
	if seen := p.view.Visible(float64(w), float64(h)).Grown(4 * p.px / p.view.Scale); !s.Bounds(p.space).Overlaps(seen) {
		return
	}
	width, c := 1.5, p.pal.ink
	if e.alsoPicked(s) {
		width, c = 2.5, p.pal.accent
	}
	switch s.ID {
	case selected:
		width, c = 2.5, p.pal.accent
	case e.hover:
		width = 2
	}
	if e.mates[s.ID] || e.offered[s.ID] {
		width, c = 2.5, p.pal.accent
	}
	p.stroke(s.Line, nil, width, c)
}

// paintNodes draws corners as squares and smooth nodes as circles.
func (e *editor) paintNodes(p painter, nodes []session.Node) {
	for _, n := range nodes {
		if len(n.In(p.space)) == 0 {
			continue
		}
		at := p.view.ToDevice(n.In(p.space)[0])
		if !n.Corner {
			p.FillDisc(at, 3*p.px, p.pal.panel)
			p.Circle(at, 3*p.px, 1.2*p.px, p.pal.ink)
			continue
		}
		r := 3 * p.px
		box := view.Rect{Min: view.Point{X: at.X - r, Y: at.Y - r}, Max: view.Point{X: at.X + r, Y: at.Y + r}}
		p.FillRect(box, p.pal.panel)
		p.StrokeRect(box, 1.2*p.px, p.pal.ink)
	}
}
