package heif

import (
	"bytes"
	"context"
	"errors"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"flatwright/rectify/photo"
)

func mustDecode(t testing.TB, file []byte) *photo.Photo {
	t.Helper()
	head, err := Describe(file)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Decode(context.Background(), head)
	if err != nil {
		t.Fatal(err)
	}
	if p.Width != head.Width || p.Height != head.Height || len(p.RGB) != 3*p.Width*p.Height || len(p.Luma) != p.Width*p.Height {
		t.Fatalf("%d × %d pixels, %d and %d bytes for %+v", p.Width, p.Height, len(p.RGB), len(p.Luma), head)
	}
	return p
}

// rms is the root mean square of the difference of two pictures, in levels.
func rms(a, b []byte) float64 {
	if len(a) != len(b) {
		return math.Inf(1)
	}
	sum := 0.0
	for i, v := range a {
		d := float64(v) - float64(b[i])
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(a)))
}

// TestAgainstHeifConvert compares with another build of libheif, as a program
// of its own, which takes the file's turns, tiles and colours by itself. It
// repeats colours of halved sampling where they are weighed here, so that
// RGB may lie 4 levels apart; the luminance, of which that makes none, 1 level
// for roundings and what the other's RGB clamps.
func TestAgainstHeifConvert(t *testing.T) {
	tool, err := exec.LookPath("heif-convert")
	if err != nil {
		t.Skip("heif-convert is not installed (libheif-examples): HEIC is not compared with another program")
	}
	nclx := func(matrix int, full byte) []byte {
		p := codedIn(t, read(t, "tile0.heic"))
		p.properties = append(p.properties, pack("colr", []byte("nclx"), u16(1, 13, matrix), []byte{full}))
		return fileOf(p)
	}
	crop := pack("clap", u32(41, 1, 31, 1, 5, 1, -3, 1))
	for name, c := range map[string]struct {
		file []byte
		most float64
	}{
		"still":        {read(t, "still.heic"), 4},
		"half":         {read(t, "half.heic"), 4},
		"full":         {read(t, "full.heic"), 0.8},
		"lossless":     {read(t, "lossless.heic"), 0},
		"deep":         {read(t, "deep.heic"), 4},
		"grey":         {read(t, "grey.heic"), 0.8},
		"thumb":        {read(t, "thumb.heic"), 4},
		"grid":         {gridFile(t, 120, 100), 4},
		"turned":       {with(t, nil, pack("irot", []byte{1})), 4},
		"upside down":  {with(t, nil, pack("irot", []byte{2})), 4},
		"clockwise":    {with(t, nil, pack("irot", []byte{3})), 4},
		"mirrored":     {with(t, nil, pack("imir", []byte{0})), 4},
		"mirrored 1":   {with(t, nil, pack("imir", []byte{1})), 4},
		"both":         {with(t, nil, pack("irot", []byte{1}), pack("imir", []byte{1})), 4},
		"cropped":      {with(t, nil, crop), 4},
		"grid turned":  {gridFile(t, 128, 100, pack("irot", []byte{3})), 4},
		"limited 709":  {nclx(1, 0), 4},
		"limited 601":  {nclx(6, 0), 4},
		"full 709":     {nclx(1, 0x80), 4},
		"tag ignored":  {with(t, exif(6)), 4},
		"turn and tag": {with(t, exif(6), pack("irot", []byte{3})), 4},
	} {
		in, out := filepath.Join(t.TempDir(), "a.heic"), filepath.Join(t.TempDir(), "a.png")
		if err := os.WriteFile(in, c.file, 0o600); err != nil {
			t.Fatal(err)
		}
		if text, err := exec.Command(tool, in, out).CombinedOutput(); err != nil {
			t.Errorf("%s: heif-convert: %v: %s", name, err, text)
			continue
		}
		p := mustDecode(t, c.file)
		want, w := readPNG(t, out)
		if p.Width != w || len(p.RGB) != len(want) {
			t.Errorf("%s: %d × %d pixels, heif-convert makes rows of %d", name, p.Width, p.Height, w)
			continue
		}
		off := rms(p.RGB, want)
		grey := rms(p.Luma, lumaOf(want))
		t.Logf("%-12s %3d × %3d: RGB %.2f, luminance %.2f levels", name, p.Width, p.Height, off, grey)
		if grey > 1 {
			t.Errorf("%s: luminance %.2f levels off", name, grey)
		}
		if off > c.most {
			t.Errorf("%s: %.2f levels off, at most %g", name, off, c.most)
		}
	}
}

func lumaOf(rgb []byte) (luma []byte) {
	for i := 0; i < len(rgb); i += 3 {
		luma = append(luma, jpegLuma(rgb[i], rgb[i+1], rgb[i+2]))
	}
	return luma
}

func readPNG(t *testing.T, path string) (rgb []byte, width int) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			r, g, b, _ := img.At(x, y).RGBA()
			rgb = append(rgb, byte(r>>8), byte(g>>8), byte(b>>8))
		}
	}
	return rgb, img.Bounds().Dx()
}

// exif is a TIFF stream with an orientation.
func exif(o byte) []byte {
	return []byte{'I', 'I', '*', 0, 8, 0, 0, 0, 1, 0, 0x12, 1, 3, 0, 1, 0, 0, 0, o, 0, 0, 0, 0, 0, 0, 0}
}

// TestTurnedOnce: each of the eight orientations as the container says it
// (ISO/IEC 23008-12, sections 6.5.10 and 6.5.12: a turn anticlockwise in
// quarters, a mirror 0 of top and bottom or 1 of left and right), with the tag that says the
// same, gives the picture that the tag alone would give of the stored one.
func TestTurnedOnce(t *testing.T) {
	stored := mustDecode(t, read(t, "still.heic"))
	irot := func(n byte) []byte { return pack("irot", []byte{n}) }
	imir := func(axis byte) []byte { return pack("imir", []byte{axis}) }
	for o, turns := range map[photo.Orientation][][]byte{
		1: nil, 2: {imir(1)}, 3: {irot(2)}, 4: {imir(0)},
		5: {irot(1), imir(0)}, 6: {irot(3)}, 7: {irot(3), imir(0)}, 8: {irot(1)},
	} {
		file := with(t, exif(byte(o)), turns...)
		p := mustDecode(t, file)
		place := o.Place(stored.Width, stored.Height)
		if p.Width != place.Width || p.Height != place.Height {
			t.Errorf("orientation %d: %d × %d pixels", o, p.Width, p.Height)
			continue
		}
		for i, v := range stored.Luma {
			at := place.Base + i%stored.Width*place.StepX + i/stored.Width*place.StepY
			if p.Luma[at] != v {
				t.Errorf("orientation %d: stored pixel %d is not at %d", o, i, at)
				break
			}
		}
	}
}

func TestTilesLieInOrder(t *testing.T) {
	grid := mustDecode(t, gridFile(t, 120, 100))
	for i, name := range []string{"tile0.heic", "tile1.heic", "tile2.heic", "tile3.heic"} {
		tile := mustDecode(t, read(t, name))
		for y := range min(64, 100-i/2*64) {
			n := min(64, 120-i%2*64)
			got := grid.Luma[(i/2*64+y)*120+i%2*64:]
			if !bytes.Equal(got[:n], tile.Luma[y*64:y*64+n]) {
				t.Errorf("%s: row %d is not in its place", name, y)
				break
			}
		}
	}
}

func TestDescribe(t *testing.T) {
	p, err := Describe(with(t, exif(6), pack("irot", []byte{3}), pack("clap", u32(41, 1, 31, 1, 0, 1, 0, 1))))
	if err != nil || p.StoredWidth != 83 || p.StoredHeight != 61 || p.Width != 41 || p.Height != 31 || !p.Cropped {
		t.Errorf("%+v, error %v", p, err)
	}
	if !bytes.Equal(p.Exif, exif(6)) {
		t.Errorf("tags %q", p.Exif)
	}
}

// TestShowsThePicture: the lossless file is the picture that the others were
// coded from at quality 90; those of halved sampling also blur its colours,
// at the edges of its pale rectangle most.
func TestShowsThePicture(t *testing.T) {
	want := mustDecode(t, read(t, "lossless.heic"))
	for name, most := range map[string][2]float64{
		"full.heic": {3, 2}, "half.heic": {7, 2}, "still.heic": {9, 2}, "deep.heic": {9, 2}, "thumb.heic": {9, 2},
	} {
		p := mustDecode(t, read(t, name))
		if rgb, luma := rms(p.RGB, want.RGB), rms(p.Luma, want.Luma); rgb > most[0] || luma > most[1] {
			t.Errorf("%s: RGB %.2f, luminance %.2f levels off", name, rgb, luma)
		}
	}
}

// TestEveryCut: a file that ends before its picture does is refused before
// anything is decoded, wherever it ends.
func TestEveryCut(t *testing.T) {
	for name, file := range map[string][]byte{"still": with(t, nil), "grid": gridFile(t, 128, 128)} {
		for n := range len(file) {
			if _, err := Describe(file[:n]); !errors.Is(err, ErrDamaged) {
				t.Fatalf("%s cut to %d of %d bytes: error %v", name, n, len(file), err)
			}
		}
		if _, err := Describe(append(bytes.Clone(file), pack("mpvd", make([]byte, 5000))...)); err != nil {
			t.Errorf("%s with a film after it: error %v", name, err)
		}
		if _, err := Describe(append(bytes.Clone(file), "stray bytes"...)); err != nil {
			t.Errorf("%s with stray bytes after it: error %v", name, err)
		}
	}
}

func TestContradictions(t *testing.T) {
	still := codedIn(t, read(t, "still.heic"))
	config, size := still.properties[0], still.properties[1]
	again := func(change func(p *part)) []byte {
		p := still
		p.data = bytes.Clone(still.data)
		change(&p)
		return fileOf(p)
	}
	tile := codedIn(t, read(t, "tile0.heic"))
	grid := func(w, h int, rows, columns byte, dimg ...int) []byte {
		return fileOf(part{
			kind: "grid", data: append([]byte{0, 0, rows - 1, columns - 1}, u16(w, h)...),
			properties: [][]byte{ispe(w, h)}, dimg: dimg,
		}, tile)
	}
	for name, c := range map[string]struct {
		file []byte
		kind error
	}{
		"blank middle":         {again(func(p *part) { clear(p.data[len(p.data)/2 : len(p.data)/2+40]) }), ErrDamaged},
		"blank end":            {again(func(p *part) { clear(p.data[len(p.data)-20:]) }), ErrDamaged},
		"other size":           {again(func(p *part) { p.properties = [][]byte{config, ispe(8300, 6100)} }), ErrDamaged},
		"no size":              {again(func(p *part) { p.properties = [][]byte{config} }), ErrDamaged},
		"no settings":          {again(func(p *part) { p.properties = [][]byte{size} }), ErrDamaged},
		"cut settings":         {again(func(p *part) { p.properties = [][]byte{pack("hvcC", config[8:60]), size} }), ErrDamaged},
		"no data":              {again(func(p *part) { p.data = nil }), ErrDamaged},
		"AV1":                  {again(func(p *part) { p.kind = "av01" }), ErrKind},
		"overlay":              {again(func(p *part) { p.kind = "iovl" }), ErrKind},
		"grid of itself":       {grid(64, 64, 1, 1, 1), ErrDamaged},
		"tile missing":         {grid(64, 64, 1, 1, 9), ErrDamaged},
		"fewer tiles":          {grid(128, 64, 1, 2, 2), ErrDamaged},
		"grid too large":       {grid(200, 64, 1, 2, 2, 2), ErrDamaged},
		"hidden pixels":        {fileOf(part{kind: "grid", data: append([]byte{0, 0, 0, 0}, u16(10, 10)...), properties: [][]byte{ispe(10, 10)}, dimg: []int{2}}, part{kind: "hvc1", data: still.data, properties: [][]byte{config, ispe(5000, 5000)}}), ErrDamaged},
		"grid too small":       {grid(64, 64, 1, 2, 2, 2), ErrDamaged},
		"main picture missing": {fileOf(), ErrDamaged},
	} {
		if _, err := Describe(c.file); !errors.Is(err, c.kind) {
			t.Errorf("%s: error %v, want %v", name, err, c.kind)
		}
	}
	if _, err := Describe(grid(128, 64, 1, 2, 2, 2)); err != nil {
		t.Errorf("the same tile twice: error %v", err)
	}
}

// TestManyExtents: places that take no bytes of the file cannot multiply.
func TestManyExtents(t *testing.T) {
	places := u32(0)
	places = append(append(places, 0, 0), u16(2000)...)
	for range 2000 {
		places = append(places, u16(1, 0, 65535)...)
	}
	file := append(pack("ftyp", []byte("heic"), u32(0)), pack("meta", u32(0), pack("iloc", places))...)
	if _, err := Describe(file); !errors.Is(err, ErrDamaged) {
		t.Errorf("error %v", err)
	}
}

func TestCancelled(t *testing.T) {
	file := read(t, "still.heic")
	head, err := Describe(file)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if p, err := Decode(ctx, head); !errors.Is(err, context.Canceled) {
		t.Errorf("%v, error %v", p, err)
	}
}

// TestNothingRunsOn: whenever the context ends, no run of the decoder is left
// soon after.
func TestNothingRunsOn(t *testing.T) {
	head, err := Describe(gridFile(t, 128, 128))
	if err != nil {
		t.Fatal(err)
	}
	mustDecode(t, read(t, "still.heic"))
	before := runtime.NumGoroutine()
	for wait := range 8 {
		ctx, cancel := context.WithTimeout(context.Background(), time.Duration(wait)*3*time.Millisecond)
		_, err := Decode(ctx, head)
		cancel()
		if err != nil && !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("error %v", err)
		}
	}
	if _, err := decode(context.Background(), head, 0); !errors.Is(err, ErrDecoder) {
		t.Errorf("without patience: error %v", err)
	}
	for end := time.Now().Add(10 * time.Second); runtime.NumGoroutine() > before; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%d goroutines, %d before", runtime.NumGoroutine(), before)
		}
	}
}

// TestRunIsEnded: nonsense in its memory ends a run or makes it finish.
func TestRunIsEnded(t *testing.T) {
	head, err := Describe(read(t, "still.heic"))
	if err != nil {
		t.Fatal(err)
	}
	box, err := newSandbox(head.memoryPages())
	if err != nil {
		t.Fatal(err)
	}
	defer box.close()
	m, err := box.start()
	if err != nil {
		t.Fatal(err)
	}
	defer m.close()
	stop, finished := make(chan struct{}), make(chan struct{})
	close(stop)
	go m.watch(stop, finished)
	time.Sleep(10 * time.Millisecond)
	if _, _, err := m.decode(single(head.tiles[0], head.tileWidth, head.tileHeight)); err == nil {
		t.Error("a run with its memory overwritten came to a picture")
	}
	close(finished)
}
