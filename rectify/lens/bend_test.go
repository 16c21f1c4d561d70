package lens_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// relief is the height of a mat's surface above the plane it should lie in.
type relief func(x, y float64) float64

func flat(float64, float64) float64 { return 0 }

// liftedCorner rises towards the mat's far corner within 200 mm of it.
func liftedCorner(mm float64) relief {
	w, h := inchMat.size()
	return func(x, y float64) float64 {
		d := math.Hypot(w-x, h-y) / 200
		return mm * math.Pow(max(1-d, 0), 2)
	}
}

// wave runs across the mat, 300 mm from crest to crest.
func wave(mm float64) relief {
	return func(x, y float64) float64 { return mm / 2 * (1 + math.Cos(2*math.Pi*(x+0.3*y)/300)) }
}

// swell is a bubble about 150 mm wide off the middle.
func swell(mm float64) relief {
	return func(x, y float64) float64 { return mm * math.Exp(-(math.Pow(x-470, 2)+math.Pow(y-120, 2))/(2*60*60)) }
}

// bentSamples draws samples of a mat with a relief and with printing errors,
// each line off by printMM, 1 sigma.
func (c truth) bentSamples(s sheet, z relief, n noise, printMM float64, random *rand.Rand) []mat.LinePoint {
	var points []mat.LinePoint
	for family := range 2 {
		lines, along := s.columns, s.rows
		if family == 1 {
			lines, along = s.rows, s.columns
		}
		for i := 0; i <= lines; i++ {
			across := float64(i)*s.pitchMM + printMM*random.NormFloat64()
			for k := range along {
				if random.Float64() < n.hidden {
					continue
				}
				for j := range n.perSide {
					at := float64(k) + 0.1 + 0.8*(float64(j)+0.5)/float64(n.perSide)
					x, y := across, at*s.pitchMM
					if family == 1 {
						x, y = y, x
					}
					u, ok := c.see(x, y, z(x, y))
					if !ok {
						continue
					}
					off := n.sigmaPx
					if random.Float64() < n.gross {
						off = n.grossPx
					}
					u.X += off * random.NormFloat64()
					u.Y += off * random.NormFloat64()
					points = append(points, mat.LinePoint{Family: mat.Family(family), Index: i, Along: at, At: u, SigmaPx: n.sigmaPx})
				}
			}
		}
	}
	return points
}

// wideLens stands over the mat with all the terms a phone's lens may have.
func wideLens(equivalent float64, random *rand.Rand) truth {
	c := overMat(equivalent, 25*random.Float64(), 360*random.Float64(), 360*random.Float64())
	c.cx += 20 * random.NormFloat64()
	c.cy += 20 * random.NormFloat64()
	for {
		c.k1, c.k2, c.k3 = 0.06*random.NormFloat64(), 0.03*random.NormFloat64(), 0.004*random.NormFloat64()
		if c.fillsPicture() {
			break
		}
	}
	c.p1, c.p2 = 0.0005*random.NormFloat64(), 0.0005*random.NormFloat64()
	return c
}

// fillsPicture reports whether the lens makes a picture out to its corners: a
// mm there takes up a tenth of the px at least that it would without terms.
func (c truth) fillsPicture() bool {
	corner := math.Hypot(c.cx, c.cy) / c.f
	for r := 0.0; ; r += 0.01 {
		r2 := r * r
		if 1+r2*(3*c.k1+r2*(5*c.k2+r2*7*c.k3)) < 0.1 {
			return false
		}
		if r*(1+r2*(c.k1+r2*(c.k2+r2*c.k3))) > corner {
			return true
		}
	}
}

func bendOf(t *testing.T, c truth, z relief, printMM float64, random *rand.Rand) (lens.Bend, *lens.Fit, bool) {
	t.Helper()
	points := c.bentSamples(inchMat, z, noise{sigmaPx: 0.1, hidden: 0.5, gross: 0.03, grossPx: 6, perSide: 6}, printMM, random)
	fit, err := lens.Solve(context.Background(), points, options(c))
	if err != nil {
		return lens.Bend{}, nil, false
	}
	return fit.Bend(), fit, true
}

// bentAtMM is the shared miss worth speaking of, which no flat mat reaches;
// at refuseAtMM a photograph is refused.
const (
	bentAtMM   = 0.21
	refuseAtMM = 0.4
)

// Flat mats under strong lenses, each line printed off by 0.1 mm (1 sigma),
// must not look bent.
func TestFlatMatsAreNotBent(t *testing.T) {
	for _, equivalent := range []float64{13, 16, 26} {
		for _, printMM := range []float64{0, 0.1} {
			t.Run(fmt.Sprintf("%g mm print %g", equivalent, printMM), func(t *testing.T) {
				var most lens.Bend
				for seed := range uint64(6) {
					random := rand.New(rand.NewPCG(seed, uint64(equivalent)))
					b, _, ok := bendOf(t, wideLens(equivalent, random), flat, printMM, random)
					if !ok {
						t.Fatal("not solved")
					}
					most = lens.Bend{RMSMM: max(most.RMSMM, b.RMSMM), WorstMM: max(most.WorstMM, b.WorstMM)}
				}
				t.Logf("most: rms %.3f, worst %.3f mm", most.RMSMM, most.WorstMM)
				if most.WorstMM > bentAtMM || most.RMSMM > 0.1 {
					t.Errorf("a flat mat looks bent by rms %.3f, worst %.3f mm", most.RMSMM, most.WorstMM)
				}
			})
		}
	}
}

// A mat that stands up must be seen to, by a good part of the error that the
// flat fit really makes, and in the place where it makes it.
func TestBentMatsAreSeen(t *testing.T) {
	for _, s := range []struct {
		name  string
		shape relief
	}{
		{"corner 5 mm", liftedCorner(5)},
		{"wave 3 mm", wave(3)},
		{"swell 3 mm", swell(3)},
		{"swell 8 mm", swell(8)},
	} {
		t.Run(s.name, func(t *testing.T) {
			for seed := range uint64(5) {
				random := rand.New(rand.NewPCG(seed, 3))
				c := wideLens(26, random)
				b, fit, ok := bendOf(t, c, s.shape, 0.05, random)
				if !ok {
					t.Fatal("not solved")
				}
				worst, there := c.missOver(fit, s.shape, b.At)
				t.Logf("rms %.2f worst %.2f at %.0f, %.0f; true worst %.2f, there %.2f", b.RMSMM, b.WorstMM, b.At.X, b.At.Y, worst, there)
				if worst > 1 && b.WorstMM < bentAtMM {
					t.Errorf("errors up to %.2f mm, but a bend of %.2f mm", worst, b.WorstMM)
				}
				if b.WorstMM > bentAtMM && (b.WorstMM > 1.3*worst || there < worst/3) {
					t.Errorf("a bend of %.2f mm where the error is %.2f mm (worst %.2f)", b.WorstMM, there, worst)
				}
			}
		})
	}
}

func TestBendOfLittleIsNone(t *testing.T) {
	if b := (&lens.Fit{}).Bend(); b != (lens.Bend{}) {
		t.Errorf("an empty fit is bent: %+v", b)
	}
	c := overMat(26, 10, 20, 30)
	points := c.samples(sheet{25.4, 3, 3}, noise{sigmaPx: 0.1, perSide: 8}, rand.New(rand.NewPCG(1, 1)))
	if b := solveOnce(t, c, points).Bend(); b != (lens.Bend{}) {
		t.Errorf("four lines each way are bent: %+v", b)
	}
}

// missOver is the worst error of a flat fit over a mat with a relief, and the
// worst near one place.
func (c truth) missOver(m lens.Mapping, z relief, near mat.Point) (worst, there float64) {
	for i := range 49 {
		for k := range 37 {
			x, y := float64(i)*12.7, float64(k)*12.7
			u, ok := c.see(x, y, z(x, y))
			p, ok2 := m.ToMat(u)
			if !ok || !ok2 {
				continue
			}
			d := math.Hypot(p.X-x, p.Y-y)
			worst = max(worst, d)
			if math.Hypot(near.X-x, near.Y-y) < 30 {
				there = max(there, d)
			}
		}
	}
	return worst, there
}
