package curve

import (
	"math/rand"
	"syscall"
	"testing"
)

// BenchmarkFitSixteenPieces fits sixteen outlines of four thousand samples,
// a full mat. cpu-ms/op is the processor time of the whole process, which
// means more than the clock on a busy machine.
func BenchmarkFitSixteenPieces(b *testing.B) {
	var pieces [][]Sample
	for i, s := range append(shapes(), shapes()[:2]...) {
		p := s.path.Transform(Transform{A: 2.2, E: 2.2})
		c := blurredContour(p, 0.3)
		step := Polygon(c...).Length() / 4000
		r := rand.New(rand.NewSource(int64(i)))
		pieces = append(pieces, spoil(resample(c, step), noise{sigmaMM: testNoiseMM, outliers: 12, bridges: 12}, r))
	}
	nodes := 0
	start := cpuMillis(b)
	for b.Loop() {
		for _, samples := range pieces {
			p, _, err := FitClosed(samples, FitOptions{})
			if err != nil {
				b.Fatal(err)
			}
			nodes += len(p.Segments)
		}
	}
	b.ReportMetric((cpuMillis(b)-start)/float64(b.N), "cpu-ms/op")
	if nodes == 0 {
		b.Fatal("no nodes")
	}
}

func cpuMillis(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e6
}
