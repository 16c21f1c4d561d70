package lens_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/lens"
)

func BenchmarkSolve(b *testing.B) {
	for _, size := range []struct {
		name    string
		perSide int
	}{{"10k", 21}, {"20k", 42}} {
		c := overMat(26, 20, 40, 10)
		c.k1, c.k2 = -0.1, 0.05
		c.cx += 25
		points := c.samples(inchMat, noise{sigmaPx: 0.05, hidden: 0.45, gross: 0.1, grossPx: 30, perSide: size.perSide}, rand.New(rand.NewPCG(1, 1)))
		b.Run(size.name, func(b *testing.B) {
			b.ReportMetric(float64(len(points)), "points")
			for range b.N {
				if _, err := lens.Solve(context.Background(), points, options(c)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
