package cv

import (
	"bytes"
	"image"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// flood numbers regions by flooding, for comparison.
func flood(mask Gray, diagonal bool) []int32 {
	labels := make([]int32, len(mask.Pix))
	next := int32(0)
	for start, v := range mask.Pix {
		if v == 0 || labels[start] != 0 {
			continue
		}
		next++
		labels[start] = next
		for todo := []int{start}; len(todo) > 0; {
			at := todo[0]
			todo = todo[1:]
			for _, n := range neighbours(mask, at, diagonal) {
				if mask.Pix[n] != 0 && labels[n] == 0 {
					labels[n] = next
					todo = append(todo, n)
				}
			}
		}
	}
	return labels
}

func neighbours(mask Gray, at int, diagonal bool) []int {
	var list []int
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			x, y := at%mask.W+dx, at/mask.W+dy
			if x < 0 || y < 0 || x >= mask.W || y >= mask.H || (!diagonal && dx*dy != 0) {
				continue
			}
			list = append(list, y*mask.W+x)
		}
	}
	return list
}

func TestComponentsAgreeWithFlooding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mask, diagonal := drawMask(t), rapid.Bool().Draw(t, "diagonal")
		labels, regions, err := Components(mask, diagonal)
		if err != nil {
			t.Fatal(err)
		}
		want := flood(mask, diagonal)
		same := map[int32]int32{}
		area := make([]int, len(regions))
		for i, l := range labels.Pix {
			if had, ok := same[l]; ok && had != want[i] {
				t.Fatalf("label %d holds regions %d and %d", l, had, want[i])
			}
			same[l] = want[i]
			area[l]++
			if !image.Pt(i%mask.W, i/mask.W).In(regions[l].Bounds) {
				t.Fatalf("pixel %d of label %d lies outside %v", i, l, regions[l].Bounds)
			}
		}
		if int(slices.Max(want)) != len(regions)-1 {
			t.Fatalf("%d regions instead of %d", len(regions)-1, slices.Max(want))
		}
		for i, r := range regions {
			if r.Area != area[i] {
				t.Fatalf("label %d: area %d instead of %d", i, r.Area, area[i])
			}
		}
	})
}

// ring is a square of 8 px with a square hole of 2 px, and a pixel in the hole
// of which none touches.
func ring() Gray {
	g := NewGray(14, 12)
	fill := func(r image.Rectangle, v byte) {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				g.Pix[y*g.W+x] = v
			}
		}
	}
	fill(image.Rect(2, 2, 11, 11), 1)
	fill(image.Rect(4, 4, 9, 9), 0)
	fill(image.Rect(6, 6, 7, 7), 1)
	return g
}

func TestFindContours(t *testing.T) {
	for nesting, want := range map[Nesting][]int{Outermost: {32}, TwoLevels: {1, 20, 32}, Tree: {1, 20, 32}} {
		contours, err := FindContours(ring(), nesting)
		if err != nil {
			t.Fatal(err)
		}
		var lengths []int
		for i, c := range contours {
			lengths = append(lengths, len(c.Points))
			for j, p := range c.Points {
				d := p.Sub(c.Points[(j+1)%len(c.Points)])
				if max(d.X, -d.X, d.Y, -d.Y) > 1 || ring().Pix[p.Y*14+p.X] == 0 {
					t.Errorf("nesting %d: contour %d goes astray at %v", nesting, i, p)
				}
			}
			if c.Parent >= len(contours) || c.Parent < -1 {
				t.Errorf("parent %d", c.Parent)
			}
			switch {
			case len(c.Points) == 20 && len(contours[c.Parent].Points) != 32:
				t.Error("the hole does not lie in the ring")
			case len(c.Points) == 32 && c.Parent != -1:
				t.Error("the ring lies in something")
			case len(c.Points) == 1 && nesting == TwoLevels && c.Parent != -1:
				t.Error("the dot lies in something")
			case len(c.Points) == 1 && nesting == Tree && len(contours[c.Parent].Points) != 20:
				t.Error("the dot does not lie in the hole")
			}
		}
		slices.Sort(lengths)
		if !slices.Equal(lengths, want) {
			t.Errorf("nesting %d: lengths %v, want %v", nesting, lengths, want)
		}
	}
	if none, err := FindContours(NewGray(5, 5), Tree); err != nil || len(none) != 0 {
		t.Errorf("%v, error %v of an empty mask", none, err)
	}
}

func TestDistanceTransform(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mask := drawMask(t)
		mask.Pix[rapid.IntRange(0, len(mask.Pix)-1).Draw(t, "zero")] = 0
		got, err := DistanceTransform(mask)
		if err != nil {
			t.Fatal(err)
		}
		for i, d := range got.Pix {
			want := math.Inf(1)
			for j, v := range mask.Pix {
				if v == 0 {
					want = min(want, math.Hypot(float64(i%mask.W-j%mask.W), float64(i/mask.W-j/mask.W)))
				}
			}
			if math.Abs(float64(d)-want) > 1e-4 {
				t.Fatalf("pixel %d: %g, want %g", i, d, want)
			}
		}
	})
}

func TestFillPolygons(t *testing.T) {
	got, err := FillPolygons(6, 5, [][]image.Point{{{1, 1}, {4, 1}, {4, 3}, {1, 3}}, nil, {{-9, 4}, {0, 4}}})
	want := []byte{
		0, 0, 0, 0, 0, 0,
		0, 1, 1, 1, 1, 0,
		0, 1, 1, 1, 1, 0,
		0, 1, 1, 1, 1, 0,
		1, 0, 0, 0, 0, 0,
	}
	for i := range want {
		want[i] *= 255
	}
	if err != nil || !bytes.Equal(got.Pix, want) {
		t.Errorf("%v, error %v", got.Pix, err)
	}
	if none, err := FillPolygons(2, 1, nil); err != nil || !bytes.Equal(none.Pix, []byte{0, 0}) {
		t.Errorf("%v, error %v of no polygons", none, err)
	}
}
