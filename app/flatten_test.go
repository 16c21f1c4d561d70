package main

import (
	"encoding/json"
	"image"
	_ "image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// flatReport is what the square command tells of the picture it saved.
type flatReport struct {
	Picture *struct {
		File    string  `json:"file"`
		MMPerPx float64 `json:"mm_per_px"`
		Left    float64 `json:"left_mm"`
		Top     float64 `json:"top_mm"`
	} `json:"picture"`
}

// The flattened picture shows the mat's lines where the report says that the
// mat lies: straight, square, and at their measured distance.
func TestFlattenedPicture(t *testing.T) {
	ownMats(t)
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	path, shown := d.write(t, 0), filepath.Join(t.TempDir(), "flat.png")
	args := slices.Concat([]string{"square", path, "--pitch", "1in", "--json", "--picture", shown}, rule("--across", 15, stretchX), rule("--down", 10, stretchY))
	status, out, errs := command(args...)
	if status != 0 {
		t.Fatal(errs)
	}
	var r flatReport
	if err := json.Unmarshal([]byte(out), &r); err != nil || r.Picture == nil {
		t.Fatalf("%v, %+v", err, r)
	}
	img := readPNG(t, shown)
	columns, rows := offLines(img, r, 25.4*stretchX, 25.4*stretchY)
	t.Logf("%v at %g mm a pixel: columns off by %.3f mm, rows by %.3f mm in the median", img.Bounds().Size(), r.Picture.MMPerPx, columns, rows)
	if columns > 0.15 || rows > 0.15 || math.IsNaN(columns+rows) {
		t.Errorf("the lines lie %.3f and %.3f mm beside their places", columns, rows)
	}
	// One that cannot be saved is an error, and leaves nothing.
	refused(t, []string{"square", path, "--pitch", "1in", "--picture", filepath.Join(path, "flat.png")}, statusFailed, "flat.png")
	if status, out, _ := command("square", path, "--pitch", "1in", "--json"); status != 0 || json.Unmarshal([]byte(out), &r) != nil || r.Picture != nil {
		t.Errorf("a picture nobody asked for: %+v", r.Picture)
	}
}

func readPNG(t *testing.T, path string) image.Image {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// offLines returns how far beside their places the bright lines are found, in
// the median over profiles across them, in mm.
func offLines(img image.Image, r flatReport, pitchXMM, pitchYMM float64) (columns, rows float64) {
	size := img.Bounds().Size()
	find := func(length, across int, startMM, pitchMM float64, at func(along, k int) float64) float64 {
		var offs []float64
		reach := int(2 / r.Picture.MMPerPx)
		for n := math.Ceil(startMM / pitchMM); ; n++ {
			place := (n*pitchMM - startMM) / r.Picture.MMPerPx
			middle := int(math.Round(place))
			if middle+reach >= across {
				break
			}
			if middle < reach {
				continue
			}
			for along := 0; along < length; along += 7 {
				if off, ok := peak(func(k int) float64 { return at(along, middle+k) }, reach); ok {
					offs = append(offs, math.Abs(off+float64(middle)-place)*r.Picture.MMPerPx)
				}
			}
		}
		if len(offs) < 100 {
			return math.NaN()
		}
		slices.Sort(offs)
		return offs[len(offs)/2]
	}
	columns = find(size.Y, size.X, r.Picture.Left, pitchXMM, func(along, k int) float64 { return grey(img, k, along) })
	rows = find(size.X, size.Y, r.Picture.Top, pitchYMM, func(along, k int) float64 { return grey(img, along, k) })
	return columns, rows
}

// peak returns where a profile is brightest, to a fraction of a pixel, when a
// line stands out of it.
func peak(at func(k int) float64, reach int) (float64, bool) {
	base := (at(-reach) + at(reach)) / 2
	sum, weight := 0.0, 0.0
	for k := -reach; k <= reach; k++ {
		v := max(at(k)-base-15, 0)
		sum, weight = sum+v*float64(k), weight+v
	}
	return sum / max(weight, 1), weight > 40 && math.Abs(at(-reach)-at(reach)) < 10
}

func grey(img image.Image, x, y int) float64 {
	r, g, b, _ := img.At(x, y).RGBA()
	return (0.299*float64(r) + 0.587*float64(g) + 0.114*float64(b)) / 257
}
