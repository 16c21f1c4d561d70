package lens_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// curledCorner rises within a reach of one of the corners, 0 to 3.
func curledCorner(mm, reach float64, corner int) relief {
	w, h := inchMat.size()
	x0, y0 := w*float64(corner&1), h*float64(corner>>1)
	return func(x, y float64) float64 {
		return mm * math.Pow(max(1-math.Hypot(x-x0, y-y0)/reach, 0), 2)
	}
}

// curledEdge rises within a reach of one of the sides, 0 to 3.
func curledEdge(mm, reach float64, side int) relief {
	w, h := inchMat.size()
	return func(x, y float64) float64 {
		return mm * math.Pow(max(1-[4]float64{x, y, w - x, h - y}[side]/reach, 0), 2)
	}
}

// bubble is a round swell with a foot.
func bubble(mm, radius, x0, y0 float64) relief {
	return func(x, y float64) float64 {
		return mm * (1 + math.Cos(math.Pi*min(math.Hypot(x-x0, y-y0)/radius, 1))) / 2
	}
}

// longWave runs in any direction.
func longWave(mm, length, angle, phase float64) relief {
	c, s := math.Cos(angle), math.Sin(angle)
	return func(x, y float64) float64 { return mm / 2 * math.Cos(2*math.Pi*(x*c+y*s)/length+phase) }
}

// rolled is a mat that was kept rolled up: its rims stand up, or its middle.
func rolled(mm, angle float64) relief {
	w, h := inchMat.size()
	c, s := math.Cos(angle), math.Sin(angle)
	return func(x, y float64) float64 {
		return mm * math.Pow(((x-w/2)*c+(y-h/2)*s)/(w/2), 2)
	}
}

// bentKind is a way of not lying flat; most is the part of such mats, in the
// trials below, with more than 0.5 mm of error of which nothing is said: a
// lift that is covered, or so steep that no line of it was followed.
type bentKind struct {
	name  string
	shape func(r *rand.Rand) relief
	most  int
}

func bentKinds() []bentKind {
	w, h := inchMat.size()
	pick := func(r *rand.Rand, v ...float64) float64 { return v[r.IntN(len(v))] }
	return []bentKind{
		{"flat", func(*rand.Rand) relief { return flat }, 0},
		{"corner 5 to 12 mm", func(r *rand.Rand) relief { return curledCorner(pick(r, 5, 8, 12), 120+130*r.Float64(), r.IntN(4)) }, 2},
		{"edge 5 to 12 mm", func(r *rand.Rand) relief { return curledEdge(pick(r, 5, 8, 12), 80+120*r.Float64(), r.IntN(4)) }, 1},
		{"swell 8 mm", func(r *rand.Rand) relief { return bubble(8, 60+140*r.Float64(), w*r.Float64(), h*r.Float64()) }, 1},
		{"bump 12 mm in the corner", func(r *rand.Rand) relief { return bubble(12, 70+130*r.Float64(), 40, 40) }, 3},
		{"wave 1 to 3 mm", func(r *rand.Rand) relief {
			return longWave(pick(r, 1, 2, 3), 150+600*r.Float64(), 2*math.Pi*r.Float64(), 2*math.Pi*r.Float64())
		}, 0},
		{"roll 3 to 10 mm", func(r *rand.Rand) relief { return rolled(pick(r, 3, 6, 10, -5), 2*math.Pi*r.Float64()) }, 0},
	}
}

// followedMM is how far from its place a line is still followed.
const followedMM = 1.2

// follow solves, and drops the samples that reading the mat would not follow.
func follow(t *testing.T, c truth, all []mat.LinePoint) *lens.Fit {
	t.Helper()
	points := all
	for range 2 {
		fit := solveOnce(t, c, points)
		points = nil
		for _, p := range all {
			on, ok := fit.ToMat(p.At)
			off := on.X
			if p.Family == mat.Rows {
				off = on.Y
			}
			if ok && math.Abs(off-float64(p.Index)*25.4) < followedMM {
				points = append(points, p)
			}
		}
	}
	return solveOnce(t, c, points)
}

// Mats of all shapes under all lenses, up to 70 % of them covered in patches:
// what stands up is told of, and what is flat is not. Figures by kind are
// logged.
func TestBendsOfAllShapes(t *testing.T) {
	const trials = 10
	for i, k := range bentKinds() {
		var refused, told, small, silent int
		for trial := range uint64(trials) {
			r := rand.New(rand.NewPCG(trial, uint64(i)+500))
			c := wideLens([]float64{16, 20, 26, 35}[r.IntN(4)], r)
			z := k.shape(r)
			part := 0.7 * r.Float64()
			points := c.bentSamples(inchMat, z, noise{sigmaPx: 0.03 + 0.07*r.Float64(), hidden: part / 2, gross: 0.01, grossPx: 5, perSide: 3}, 0.05*r.Float64(), r)
			fit := follow(t, c, patched(points, 0.7*part, r))
			b := fit.Bend()
			worst, _ := c.missOver(fit, z, b.At)
			switch {
			case b.WorstMM > refuseAtMM:
				refused++
			case b.WorstMM > bentAtMM:
				told++
			case worst < 0.5:
				small++
			default:
				silent++
			}
			if worst < 0.2 && b.WorstMM > bentAtMM {
				t.Errorf("%s %d: a bend of %.2f mm where no error is above %.2f mm", k.name, trial, b.WorstMM, worst)
			}
		}
		t.Logf("%-25s of %d: refused %d, told of %d, error below 0.5 mm %d, nothing said %d", k.name, trials, refused, told, small, silent)
		if silent > k.most {
			t.Errorf("%s: %d of %d with an error above 0.5 mm passed, want at most %d", k.name, silent, trials, k.most)
		}
	}
}

// patched takes out patches of a mat, as pieces cover it, up to about a part.
func patched(points []mat.LinePoint, part float64, r *rand.Rand) (kept []mat.LinePoint) {
	w, h := inchMat.size()
	var patches [][4]float64
	for area := 0.0; area < part*w*h; {
		bw, bh := 60+150*r.Float64(), 60+150*r.Float64()
		x, y := (w-bw)*r.Float64(), (h-bh)*r.Float64()
		patches = append(patches, [4]float64{x, y, x + bw, y + bh})
		area += bw * bh
	}
	for _, p := range points {
		x, y := float64(p.Index)*25.4, p.Along*25.4
		if p.Family == mat.Rows {
			x, y = y, x
		}
		covered := false
		for _, b := range patches {
			covered = covered || x > b[0] && x < b[2] && y > b[1] && y < b[3]
		}
		if !covered {
			kept = append(kept, p)
		}
	}
	return kept
}
