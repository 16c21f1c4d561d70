package find

import (
	"fmt"
	"os"
	"testing"

	"flatwright/rectify/scene"
)

func TestDbg(t *testing.T) {
	if os.Getenv("DBG") == "" {
		t.Skip()
	}
	var seed uint64
	var x0, y0, x1, y1 float64
	fmt.Sscanf(os.Getenv("DBG"), "%d:%f,%f,%f,%f", &seed, &x0, &y0, &x1, &y1)
	s := scene.Random(seed, scene.RandomOptions{Megapixels: 12})
	p := shoot(t, fmt.Sprintf("s%d-%d", seed, 12), s)
	in := Input{Photo: p, View: s.Camera.View(), PitchMM: s.Mat.PitchMM, Grid: gridOf(s.Mat)}
	f := finder{in: &in}
	f.lookForThings()
	t.Log("spread", f.spread, "res", f.sheet.res)
	for k := 0.0; k <= 1; k += 0.05 {
		x, y := x0+k*(x1-x0), y0+k*(y1-y0)
		i := f.sheet.index(int((x-f.sheet.x0)/f.sheet.res), int((y-f.sheet.y0)/f.sheet.res))
		l, a, b := f.sheet.ch[0][i], f.sheet.ch[1][i], f.sheet.ch[2][i]
		t.Logf("%.0f,%.0f  l %.3f c1 %.3f c2 %.3f  q %.0f verdict %d bare %.0f cov %.0f", x, y, l, a, b, f.spread.distance(l, a, b),
			dbgTable.verdict(binOf(l, a, b)), dbgTable.bare[binOf(l, a, b)], dbgTable.covered[binOf(l, a, b)])
	}
}
