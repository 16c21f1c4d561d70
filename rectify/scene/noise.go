package scene

import "math"

// mix64 is a 64-bit finaliser (SplitMix64, Steele, Lea and Flood 2014).
func mix64(z uint64) uint64 {
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9
	z = (z ^ (z >> 27)) * 0x94d049bb133111eb
	return z ^ (z >> 31)
}

func hash2(seed uint64, x, y int64) uint64 {
	return mix64(seed ^ uint64(x)*0x9e3779b97f4a7c15 ^ uint64(y)*0xc2b2ae3d27d4eb4f)
}

// lattice is a repeatable random number from -1 to 1 for a lattice point.
func lattice(seed uint64, x, y int64) float32 {
	return float32(int32(hash2(seed, x, y)>>32)) * (1.0 / (1 << 31))
}

// noise is smooth value noise of unit wavelength, about -1 to 1.
func noise(seed uint64, x, y float64) float32 {
	// Turned, so that the lattice does not show along the mat's lines.
	x, y = 0.8*x-0.6*y, 0.6*x+0.8*y
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int64(fx), int64(fy)
	u, v := float32(x-fx), float32(y-fy)
	u, v = u*u*(3-2*u), v*v*(3-2*v)
	a, b := lattice(seed, ix, iy), lattice(seed, ix+1, iy)
	c, d := lattice(seed, ix, iy+1), lattice(seed, ix+1, iy+1)
	top, bottom := a+(b-a)*u, c+(d-c)*u
	return top + (bottom-top)*v
}

// floorDiv is the number of the cell of a given size that v lies in.
func floorDiv(v, size float64) int64 { return int64(math.Floor(v / size)) }

// normals gives three roughly normal numbers of unit deviation for a pixel:
// sums of four uniforms each (Irwin-Hall).
func normals(seed uint64, x, y int) (a, b, c float32) {
	h := hash2(seed, int64(x), int64(y))
	a = irwinHall(h)
	h = mix64(h + 0x9e3779b97f4a7c15)
	b = irwinHall(h)
	return a, b, irwinHall(mix64(h + 0x9e3779b97f4a7c15))
}

func irwinHall(h uint64) float32 {
	sum := h&0xffff + h>>16&0xffff + h>>32&0xffff + h>>48
	const unit = 1.7320508 / 65536 // four uniforms have a variance of 1/3
	return (float32(sum) - 2*65535) * unit
}
