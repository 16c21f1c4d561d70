package find

import (
	"math"
	"strings"
	"testing"

	"flatwright/rectify/mat"
)

// onTable is a photograph from straight above, 4 px a mm, of what a function
// says lies at a place: its mask and its brightness.
func onTable(wMM, hMM float64, what func(p mat.Point) (thing bool, light byte)) (*finder, []uint8) {
	const res = 0.25
	w, h := int(wMM/res), int(hMM/res)
	p := greyPhoto(w+80, h+80, 60)
	s := &sheet{res: res, w: w, h: h, maxX: float64(w - 1), maxY: float64(h - 1), seen: make([]uint8, w*h)}
	for k := range s.ch {
		s.ch[k] = make([]float32, w*h)
	}
	mask := make([]uint8, w*h)
	for i := range mask {
		s.seen[i] = 1
		at := s.toMM(float64(i%w), float64(i/w))
		thing, light := what(at)
		if !thing {
			continue
		}
		mask[i] = 1
		q := flat{}.ToPhoto(at)
		k := int(q.Y)*p.Width + int(q.X)
		p.Luma[k] = light
		p.RGB[3*k], p.RGB[3*k+1], p.RGB[3*k+2] = light, light, light
	}
	return &finder{in: &Input{Photo: p, View: flat{}}, sheet: s, mask: mask}, mask
}

// slanted are coordinates along and across a line at 12 degrees through (110, 60).
func slanted(p mat.Point) (along, across float64) {
	sin, cos := math.Sincos(12 * math.Pi / 180)
	x, y := p.X-110, p.Y-60
	return x*cos + y*sin, y*cos - x*sin
}

// ruleAt is a rule of 180 x 26 mm with ticks every mm along one side.
func ruleAt(p mat.Point) (bool, byte) {
	along, across := slanted(p)
	if math.Abs(along) > 90 || math.Abs(across) > 13 {
		return false, 0
	}
	if across > 8 && math.Abs(along-math.Round(along)) < 0.2 {
		return true, 40
	}
	return true, 210
}

func penAt(p mat.Point) bool {
	return math.Abs(p.X-90) < 5 && p.Y > 55 && p.Y < 150
}

func TestARuleUnderAPenIsLeftOut(t *testing.T) {
	f, mask := onTable(220, 160, func(p mat.Point) (bool, byte) {
		if penAt(p) {
			return true, 120
		}
		return ruleAt(p)
	})
	list := f.sheet.regions(mask)
	if len(list) != 1 || !list[0].outlineOf(f.sheet) {
		t.Fatalf("%d regions", len(list))
	}
	rest := f.takeOffRules(&list[0])
	if len(f.problems) != 1 || !strings.Contains(f.problems[0].Text, "180 x 26 mm") {
		t.Fatalf("%v", f.problems)
	}
	if at := f.problems[0].At; math.Hypot(at.X-110, at.Y-60) > 1 {
		t.Errorf("the rule is told at %.1f", at)
	}
	if len(rest) != 1 {
		t.Fatalf("%d things are left beside the rule", len(rest))
	}
	box := boxAround(f.sheet.samplesOf(rest[0].outline))
	// The pen's end lies on the rule.
	if math.Abs(box.wide-10) > 0.7 || box.long < 75 || box.long > 85 {
		t.Errorf("the pen is %.1f x %.1f mm", box.long, box.wide)
	}
}

func TestOnlyRulesAreTakenOff(t *testing.T) {
	for what, thing := range map[string]func(p mat.Point) (bool, byte){
		"a rule by itself": ruleAt,
		"a plain strap under a pen": func(p mat.Point) (bool, byte) {
			in, _ := ruleAt(p)
			return in || penAt(p), 200
		},
		"a wide piece": func(p mat.Point) (bool, byte) { return p.X > 30 && p.X < 190 && p.Y > 20 && p.Y < 140, 200 },
	} {
		f, mask := onTable(220, 160, thing)
		list := f.sheet.regions(mask)
		if len(list) != 1 || !list[0].outlineOf(f.sheet) {
			t.Fatalf("%s: %d regions", what, len(list))
		}
		if rest := f.takeOffRules(&list[0]); len(rest) != 1 || rest[0].areaMM2 != list[0].areaMM2 || len(f.problems) != 0 {
			t.Errorf("%s: %d things, %v", what, len(rest), f.problems)
		}
	}
}

// An even edge of another hue is covered, the blurred ground in a slit is not.
func TestColouredEdgesAreCovered(t *testing.T) {
	const w, h = 120, 60
	s := &sheet{res: 0.4, w: w, h: h, maxX: w - 1, maxY: h - 1, seen: make([]uint8, w*h)}
	for k := range s.ch {
		s.ch[k] = make([]float32, w*h)
	}
	d := spread{0.02, 0.02, 0.02, shadowDepth}
	mask := make([]uint8, w*h)
	for i := range mask {
		s.seen[i] = 1
		switch x := i % w; {
		case x < 30, x >= 36 && x < 60: // white pieces, 2.4 mm apart
			mask[i], s.ch[0][i], s.ch[1][i] = 1, 1, 0.4
		case x < 36: // ground between them, blurred into both
			far := float32(min(x-29, 36-x))
			s.ch[0][i], s.ch[1][i] = 1-0.28*far, 0.4-0.1*far
		case x < 76: // a blue edge
			s.ch[0][i], s.ch[1][i], s.ch[2][i] = 0.26, -0.18, 0.07
		case x >= 100: // a shadow
			s.ch[0][i], s.ch[1][i] = -0.4, -0.2
		}
	}
	s.coverColoured(mask, d)
	for _, c := range []struct {
		x    int
		want uint8
	}{{20, 1}, {32, 0}, {33, 0}, {50, 1}, {66, 1}, {73, 1}, {80, 0}, {90, 0}, {110, 0}} {
		if got := mask[30*w+c.x]; got != c.want {
			t.Errorf("column %d: %d", c.x, got)
		}
	}
}
