package cv

import (
	"bytes"
	"context"
	"image/png"
	"math"
	"slices"
	"testing"

	"gocv.io/x/gocv"

	"flatwright/rectify/photo/jpeg"
)

// labOf is CIE L*a*b* of an sRGB colour (IEC 61966-2-1; CIE 15:2004, section
// 8.2.1; white D65), from memory.
func labOf(r, g, b byte) [3]float64 {
	linear := func(v byte) float64 {
		c := float64(v) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	lr, lg, lb := linear(r), linear(g), linear(b)
	x := f((0.4124*lr + 0.3576*lg + 0.1805*lb) / 0.9505)
	y := f(0.2126*lr + 0.7152*lg + 0.0722*lb)
	z := f((0.0193*lr + 0.1192*lg + 0.9505*lb) / 1.089)
	return [3]float64{(116*y - 16) * 2.55, 500*(x-y) + 128, 200*(y-z) + 128}
}

func TestToLab(t *testing.T) {
	src := RGB{W: 125, H: 1}
	for i := range 125 {
		src.Pix = append(src.Pix, byte(i%5*63), byte(i/5%5*63), byte(i/25*63))
	}
	got, err := ToLab(src)
	if err != nil {
		t.Fatal(err)
	}
	for i := range src.W {
		want := labOf(src.Pix[3*i], src.Pix[3*i+1], src.Pix[3*i+2])
		for c, w := range want {
			if math.Abs(float64(got.Pix[3*i+c])-w) > 1.5 {
				t.Errorf("%v: %v, want %.1f", src.Pix[3*i:3*i+3], got.Pix[3*i:3*i+3], want)
				break
			}
		}
	}
}

func TestKMeansRepeats(t *testing.T) {
	points := [][]float32{{0, 0}, {1, 0}, {0, 1}, {50, 50}, {51, 50}, {50, 51}, {0, 90}, {1, 91}}
	first, err := KMeans(points, 3, 5, 0)
	if err != nil {
		t.Fatal(err)
	}
	l := first.Label
	if l[0] != l[1] || l[0] != l[2] || l[3] != l[4] || l[3] != l[5] || l[6] != l[7] || l[0] == l[3] || l[3] == l[6] || l[0] == l[6] {
		t.Errorf("labels %v", l)
	}
	if c := first.Centre[l[6]]; c[0] != 0.5 || c[1] != 90.5 {
		t.Errorf("centre %v", c)
	}
	for range 3 {
		again, err := KMeans(points, 3, 5, 0)
		if err != nil || !slices.Equal(again.Label, l) {
			t.Errorf("labels %v, error %v the second time", again.Label, err)
		}
	}
}

func TestGrabCutDecidesByColour(t *testing.T) {
	const w, h = 40, 30
	src, mask := RGB{w, h, make([]byte, 3*w*h)}, NewGray(w, h)
	for i := range w * h {
		x, y := i%w, i/w
		noise := byte(i * 7919 % 23)
		src.Pix[3*i+1] = 100 + noise
		mask.Pix[i] = CutLikelyGround
		if x > 12 && x < 30 && y > 8 && y < 24 {
			copy(src.Pix[3*i:], []byte{220 + noise, 210 - noise, 190})
		}
		if x > 18 && x < 22 && y > 12 && y < 20 {
			mask.Pix[i] = CutPiece
		}
		if x == 0 {
			mask.Pix[i] = CutGround
		}
	}
	got, err := GrabCut(src, mask, 3, 1)
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range got.Pix {
		x, y := i%w, i/w
		if isPiece := x > 12 && x < 30 && y > 8 && y < 24; isPiece != (v == CutPiece || v == CutLikelyPiece) {
			t.Fatalf("(%d, %d) is %d", x, y, v)
		}
	}
}

func wavy() RGB {
	p := RGB{64, 48, make([]byte, 3*64*48)}
	for i := range 64 * 48 {
		x, y := float64(i%64), float64(i/64)
		p.Pix[3*i] = byte(128 + 100*math.Sin(x/9))
		p.Pix[3*i+1] = byte(128 + 90*math.Cos(y/7))
		p.Pix[3*i+2] = byte(2*x + y)
	}
	return p
}

func TestEncodePNG(t *testing.T) {
	src := wavy()
	file, err := EncodePNG(src)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	for i := range src.W * src.H {
		r, g, b, _ := img.At(i%src.W, i/src.W).RGBA()
		if got := []byte{byte(r >> 8), byte(g >> 8), byte(b >> 8)}; !bytes.Equal(got, src.Pix[3*i:3*i+3]) {
			t.Fatalf("pixel %d: %v, want %v", i, got, src.Pix[3*i:3*i+3])
		}
	}
}

// TestDecodersAgree: the photograph that jpeg decodes is OpenCV's, which uses
// libjpeg too but converts colours by itself: within 2 levels.
func TestDecodersAgree(t *testing.T) {
	file, err := EncodeJPEG(wavy(), 92)
	if err != nil {
		t.Fatal(err)
	}
	p, err := jpeg.Decode(context.Background(), file, 1)
	if err != nil {
		t.Fatal(err)
	}
	m, err := gocv.IMDecode(file, gocv.IMReadColor)
	if err != nil || m.Empty() {
		t.Fatalf("error %v", err)
	}
	defer m.Close()
	bgr := m.ToBytes()
	for i := range p.Luma {
		for c := range 3 {
			if d := int(p.RGB[3*i+c]) - int(bgr[3*i+2-c]); max(d, -d) > 2 {
				t.Fatalf("pixel %d: %v, OpenCV has (blue first) %v", i, p.RGB[3*i:3*i+3], bgr[3*i:3*i+3])
			}
		}
	}
}
