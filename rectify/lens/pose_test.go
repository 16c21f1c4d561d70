package lens_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// footAndHeight of the independent camera: -Rᵀt.
func (c truth) footAndHeight() (mat.Point, float64) {
	var e [3]float64
	for i := range 3 {
		for k := range 3 {
			e[i] -= c.r[k][i] * c.t[k]
		}
	}
	return mat.Point{X: e[0], Y: e[1]}, -e[2]
}

func solved(t *testing.T, c truth, sigmaPx, focalPx float64, seed uint64) *lens.Fit {
	t.Helper()
	points := c.samples(inchMat, noise{sigmaPx: sigmaPx, hidden: 0.5, perSide: 5}, rand.New(rand.NewPCG(seed, 11)))
	o := options(c)
	o.FocalPx = focalPx
	fit, err := lens.Solve(context.Background(), points, o)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

// The true pose must lie within three of the claimed standard errors, and the
// claims must follow the geometry: straight down only f/Z is known, so the
// tag's 3 % is all there is; at a good tilt the picture beats the tag.
func TestPose(t *testing.T) {
	for seed, tilt := range []float64{0, 2, 5, 10, 20, 30} {
		for _, tag := range []float64{0, 0.98, 1.03} {
			t.Run(fmt.Sprintf("tilt%g tag%g", tilt, tag), func(t *testing.T) {
				c := overMat(26, tilt, float64(seed)*57+20, float64(seed)*31)
				c.cx, c.cy = c.cx+25, c.cy-18
				c.k1, c.k2 = -0.03, 0.01
				fit := solved(t, c, 0.05, tag*c.f, uint64(seed))
				pose, err := fit.Pose()
				if err != nil {
					t.Fatal(err)
				}
				foot, height := c.footAndHeight()
				t.Logf("f %.0f±%.0f (%.0f) height %.1f±%.1f (%.1f) foot off %.1f±%.1f tilt %.2f", pose.FocalPx, pose.FocalSigmaPx, c.f, pose.HeightMM, pose.HeightSigmaMM, height, math.Hypot(pose.FootMM.X-foot.X, pose.FootMM.Y-foot.Y), pose.FootSigmaMM, pose.TiltDeg)
				if d := math.Abs(pose.FocalPx - c.f); d > 3*pose.FocalSigmaPx {
					t.Errorf("f %.1f ± %.1f px, want %.1f", pose.FocalPx, pose.FocalSigmaPx, c.f)
				}
				if d := math.Abs(pose.HeightMM - height); d > 3*pose.HeightSigmaMM {
					t.Errorf("height %.1f ± %.1f mm, want %.1f", pose.HeightMM, pose.HeightSigmaMM, height)
				}
				if d := math.Hypot(pose.FootMM.X-foot.X, pose.FootMM.Y-foot.Y); d > 3.5*pose.FootSigmaMM {
					t.Errorf("foot off by %.1f mm, claimed ± %.1f", d, pose.FootSigmaMM)
				}
				if tag != 0 && pose.FocalSigmaPx > 0.031*pose.FocalPx {
					t.Errorf("f ± %.1f px is worse than the tag's", pose.FocalSigmaPx)
				}
				if tilt == 0 && tag != 0 && math.Abs(pose.HeightSigmaMM/(0.03*height)-1) > 0.1 {
					t.Errorf("height ± %.1f mm straight down, want the tag's 3 %%", pose.HeightSigmaMM)
				}
				if tilt >= 20 && pose.HeightSigmaMM > 0.01*height {
					t.Errorf("height ± %.1f mm at a good tilt", pose.HeightSigmaMM)
				}
			})
		}
	}
}

func TestPoseOfAPerfectTiltedPictureNeedsNoTag(t *testing.T) {
	c := overMat(26, 25, 40, 10)
	fit := solved(t, c, 1e-4, 0, 1)
	pose, err := fit.Pose()
	if err != nil {
		t.Fatal(err)
	}
	foot, height := c.footAndHeight()
	if math.Abs(pose.FocalPx/c.f-1) > 0.01 || math.Abs(pose.HeightMM/height-1) > 0.01 {
		t.Errorf("f %.1f height %.2f, want %.1f %.2f", pose.FocalPx, pose.HeightMM, c.f, height)
	}
	if math.Hypot(pose.FootMM.X-foot.X, pose.FootMM.Y-foot.Y) > 3 {
		t.Errorf("foot %v, want %v", pose.FootMM, foot)
	}
	if math.Abs(pose.TiltDeg-25) > 0.3 {
		t.Errorf("tilt %.2f", pose.TiltDeg)
	}
}

func TestAtHeight(t *testing.T) {
	c := overMat(20, 20, 130, 40)
	c.k1, c.k2 = -0.1, 0.03
	foot, height := c.footAndHeight()
	pose := lens.Pose{FootMM: foot, HeightMM: height}
	for _, z := range []float64{0, 0.13, 3, 10, 25.4, -5} {
		m, err := c.model().AtHeight(pose, z)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for x := 0.0; x <= 600; x += 60 {
			for y := 0.0; y <= 450; y += 50 {
				want, ok := c.see(x, y, z)
				if !ok {
					continue
				}
				n++
				u := m.ToPhoto(mat.Point{X: x, Y: y})
				if math.Hypot(u.X-want.X, u.Y-want.Y) > 1e-6 {
					t.Fatalf("height %g: (%g, %g) seen at %v, want %v", z, x, y, u, want)
				}
			}
		}
		if n < 50 {
			t.Fatalf("only %d points in the picture", n)
		}
	}
	var failed *lens.FitError
	if _, err := c.model().AtHeight(pose, height+1); !errors.As(err, &failed) {
		t.Errorf("a piece above the camera: %v", err)
	}
}

// Over many cameras the errors of the pose must be of the size claimed: the
// mean square of (error / standard error) is 1 for honest claims, and less
// here, since the claims allow for tangential terms that these lenses lack.
func TestPoseErrorsAreHonest(t *testing.T) {
	var focal, height, n float64
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 31))
		c := overMat(20+15*random.Float64(), 25*random.Float64(), 360*random.Float64(), 360*random.Float64())
		c.cx += 40 * random.NormFloat64()
		c.cy += 40 * random.NormFloat64()
		c.k1 = 0.03 * random.NormFloat64()
		fit := solved(t, c, 0.07, c.f*math.Exp(0.03*random.NormFloat64()), seed)
		pose, err := fit.Pose()
		if err != nil {
			t.Fatal(err)
		}
		_, h := c.footAndHeight()
		f := (pose.FocalPx - c.f) / pose.FocalSigmaPx
		z := (pose.HeightMM - h) / pose.HeightSigmaMM
		focal, height, n = focal+f*f, height+z*z, n+1
	}
	t.Logf("mean square of error over claim: f %.2f, height %.2f", focal/n, height/n)
	for _, v := range []float64{focal / n, height / n} {
		if v < 0.4 || v > 1.4 {
			t.Errorf("mean square of error over claim %.2f, want 1", v)
		}
	}
}
