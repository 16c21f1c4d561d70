package nest_test

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"flatwright/export/sheet/nest"
	"flatwright/export/sheet/nest/stripset"
)

// referenceSets are laid beside the project on some machines only.
const referenceSets = "../../../../shared/reference/nesting"

// shapely is Debian's python3-shapely, which rests on GEOS.
const shapely = `
import json, sys
from shapely.geometry import Polygon
worst = 0
polygons = [Polygon(p) for p in json.load(sys.stdin)]
assert all(p.is_valid for p in polygons)
for i, p in enumerate(polygons):
    for q in polygons[:i]:
        if p.intersects(q):
            worst = max(worst, p.intersection(q).area)
bounds = [p.bounds for p in polygons]
print(json.dumps([worst, min(b[0] for b in bounds), min(b[1] for b in bounds), max(b[2] for b in bounds), max(b[3] for b in bounds), sum(p.area for p in polygons)]))
`

// outside returns what the independent library finds: the largest area of any
// two polygons in common, the bounds of all, and their area.
func outside(t *testing.T, polygons [][][2]float64) [6]float64 {
	t.Helper()
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import shapely").Run(); err != nil {
		t.Skip("SKIPPED: python3-shapely is not installed")
	}
	data, err := json.Marshal(polygons)
	if err != nil {
		t.Fatal(err)
	}
	in, err := os.CreateTemp(t.TempDir(), "")
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	if _, err := in.Write(data); err != nil {
		t.Fatal(err)
	}
	if _, err := in.Seek(0, 0); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", shapely)
	cmd.Stdin, cmd.Stderr = in, os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("the library cannot read the layout: %v", err)
	}
	var got [6]float64
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	return got
}

// The public sets in a short search: dense enough to show that nothing is
// broken, and free of overlaps by another library's word. The densities that
// are reached in a minute are printed by the command strips.
func TestReferenceSets(t *testing.T) {
	least := map[string]float64{"albano": 80, "fu": 84, "jakobs1": 74, "shapes0": 54, "shirts": 78, "swim": 64}
	for name, want := range least {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(referenceSets, name+".json")
			if _, err := os.Stat(path); err != nil {
				t.Skipf("SKIPPED: %s is not on this machine", path)
			}
			set, err := stripset.Read(path)
			if err != nil {
				t.Fatal(err)
			}
			r, err := nest.Solve(context.Background(), set.Problem, nest.Options{Seed: 1, Moves: 6000})
			if err != nil {
				t.Fatal(err)
			}
			density := stripset.DensityPercent(set.Problem, r.LengthMM)
			t.Logf("density %.2f %% in %d moves; the mean of the published runs is %.2f %%", density, r.Moves, set.MeanDensity)
			if density < want {
				t.Errorf("density %.2f %%, want %g", density, want)
			}
			check(t, set, r)
		})
	}
}

func check(t *testing.T, set stripset.Set, r nest.Result) {
	t.Helper()
	count := 0
	for _, p := range set.Problem.Pieces {
		count += p.Count
	}
	if len(r.Placements) != count {
		t.Fatalf("%d of %d pieces are placed", len(r.Placements), count)
	}
	var polygons [][][2]float64
	area := 0.0
	for _, p := range r.Placements {
		shape := set.Problem.Pieces[p.Piece].Shape
		area += shape.AreaMM2()
		var ring [][2]float64
		for _, v := range shape.Placed(p.TurnDeg, p.ShiftMM).Outline {
			ring = append(ring, [2]float64{v.X, v.Y})
		}
		polygons = append(polygons, ring)
	}
	got := outside(t, polygons)
	slack := 1e-9 * (r.LengthMM + set.Problem.StripWidthMM)
	if got[0] > 1e-9*area {
		t.Errorf("two pieces have %g in common", got[0])
	}
	if got[1] < -slack || got[2] < -slack || got[3] > r.LengthMM+slack || got[4] > set.Problem.StripWidthMM+slack {
		t.Errorf("pieces reach from (%g, %g) to (%g, %g), the strip is %g × %g", got[1], got[2], got[3], got[4], r.LengthMM, set.Problem.StripWidthMM)
	}
	if math.Abs(got[5]-area) > 1e-9*area {
		t.Errorf("the library counts an area of %g, we %g", got[5], area)
	}
}
