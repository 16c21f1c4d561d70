// Package lettering knows the letters that are printed: their outlines and
// widths, what can be written with them, and where words go inside a piece.
package lettering

import (
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Face is one of the fonts that travel with the program (the Go fonts,
// Bigelow & Holmes 2016).
type Face struct {
	// Name is the family's style for writers: "regular" or "bold".
	Name string
	// TTF is the font file.
	TTF  []byte
	once sync.Once
	font *sfnt.Font
	err  error
	mu   sync.Mutex
	buf  sfnt.Buffer
	wide map[rune]int
}

// The two faces.
var (
	Regular = &Face{Name: "regular", TTF: goregular.TTF}
	Bold    = &Face{Name: "bold", TTF: gobold.TTF}
)

// CapOfEm is the height of a capital as a part of the em: 1480 of 2048 units
// in both faces (the fonts' OS/2 table).
const CapOfEm = 1480.0 / 2048

// unitsPerEm is the fonts' grid.
const unitsPerEm = 2048

// EmMM returns the font size in mm whose capitals are capMM high.
func EmMM(capMM float64) float64 { return capMM / CapOfEm }

// Missing stands for a letter that the font lacks.
const Missing = '□'

func (f *Face) load() error {
	f.once.Do(func() {
		f.font, f.err = sfnt.Parse(f.TTF)
		f.wide = map[rune]int{}
	})
	return f.err
}

// advance returns a letter's width in font units; 0 when the font lacks it.
func (f *Face) advance(r rune) int {
	if f.load() != nil {
		return 0
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if w, known := f.wide[r]; known {
		return w
	}
	w := 0
	if g, err := f.font.GlyphIndex(&f.buf, r); err == nil && g != 0 {
		if a, err := f.font.GlyphAdvance(&f.buf, g, fixed.I(unitsPerEm), font.HintingNone); err == nil {
			w = a.Round()
		}
	}
	f.wide[r] = w
	return w
}

// WidthMM returns how wide a text is with capitals capMM high. Kerning is
// not used, in print as here.
func (f *Face) WidthMM(s string, capMM float64) float64 {
	units := 0
	for _, r := range s {
		units += f.advance(r)
	}
	return float64(units) / unitsPerEm * EmMM(capMM)
}

// Clean returns a text on one line that can be written with the face:
// control and invisible characters dropped, any space a plain space, letters
// that the font lacks (writing from right to left among them) replaced by □.
func (f *Face) Clean(s string) string {
	var b strings.Builder
	for _, r := range OneLine(s) {
		if f.advance(r) == 0 {
			r = Missing
		}
		b.WriteRune(r)
	}
	return b.String()
}

// OneLine drops control, format and private characters and joins lines,
// keeping every script.
func OneLine(s string) string {
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(s, "\ufffd") {
		switch {
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Co, unicode.Cs), r == 0xfffe, r == 0xffff:
		default:
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// Fit returns the text, cut short with an ellipsis when it is wider than
// widthMM.
func (f *Face) Fit(s string, capMM, widthMM float64) string {
	s = f.Clean(s)
	if f.WidthMM(s, capMM) <= widthMM {
		return s
	}
	runes := []rune(s)
	for n := len(runes) - 1; n > 0; n-- {
		short := strings.TrimRight(string(runes[:n]), " ") + "…"
		if f.WidthMM(short, capMM) <= widthMM {
			return short
		}
	}
	return ""
}

// Wrap breaks a text into lines no wider than widthMM. A word that is too
// long alone is cut short.
func (f *Face) Wrap(s string, capMM, widthMM float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(f.Clean(s)) {
		longer := strings.TrimSpace(line + " " + word)
		if f.WidthMM(longer, capMM) <= widthMM {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = f.Fit(word, capMM, widthMM)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// Contour is one closed stroke of a letter, as font units turned into ems:
// y down, the baseline at 0.
type Contour []Stroke

// Stroke is a step of a contour: to To, by a quadratic curve over Via when
// Curved. The first step of a contour only says where it begins.
type Stroke struct {
	Curved           bool
	ViaX, ViaY, X, Y float64
}

// Glyph returns a letter's contours and its advance, in ems.
func (f *Face) Glyph(r rune) ([]Contour, float64) {
	w := f.advance(r)
	if w == 0 {
		return nil, 0
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	g, err := f.font.GlyphIndex(&f.buf, r)
	if err != nil {
		return nil, 0
	}
	segments, err := f.font.LoadGlyph(&f.buf, g, fixed.I(unitsPerEm), nil)
	if err != nil {
		return nil, 0
	}
	return contours(segments), float64(w) / unitsPerEm
}

func contours(segments sfnt.Segments) []Contour {
	var all []Contour
	em := func(v fixed.Int26_6) float64 { return float64(v) / 64 / unitsPerEm }
	for _, s := range segments {
		p, q := s.Args[0], s.Args[1]
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			all = append(all, Contour{{X: em(p.X), Y: em(p.Y)}})
		case sfnt.SegmentOpLineTo:
			all[len(all)-1] = append(all[len(all)-1], Stroke{X: em(p.X), Y: em(p.Y)})
		case sfnt.SegmentOpQuadTo:
			all[len(all)-1] = append(all[len(all)-1], Stroke{Curved: true, ViaX: em(p.X), ViaY: em(p.Y), X: em(q.X), Y: em(q.Y)})
		}
	}
	return all
}
