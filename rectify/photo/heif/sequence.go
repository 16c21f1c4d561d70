package heif

// sequence is what is needed of a sequence parameter set (ITU-T H.265,
// section 7.3.2.2).
type sequence struct {
	width, height int // within the conformance window, px
}

// bits reads a bit stream of which the bytes against false start codes have
// been taken out. Past the end it reads zeros and is bad.
type bits struct {
	data []byte
	at   int
	bad  bool
}

func (b *bits) bit() uint32 {
	if b.at >= 8*len(b.data) {
		b.bad = true
		return 0
	}
	v := b.data[b.at/8] >> (7 - b.at%8) & 1
	b.at++
	return uint32(v)
}

func (b *bits) uint(n int) uint32 {
	v := uint32(0)
	for range n {
		v = v<<1 | b.bit()
	}
	return v
}

func (b *bits) skip(n int) {
	b.at += n
	b.bad = b.bad || b.at > 8*len(b.data)
}

// golomb reads an unsigned Exp-Golomb number (section 9.2).
func (b *bits) golomb() int {
	zeros := 0
	for b.bit() == 0 && !b.bad {
		zeros++
	}
	if zeros > 31 {
		b.bad = true
		return 0
	}
	return 1<<zeros - 1 + int(b.uint(zeros))
}

// payload takes the emulation prevention bytes out of a NAL unit (section
// 7.4.2) and its head off.
func payload(unit []byte) []byte {
	var out []byte
	zeros := 0
	for _, b := range unit[min(2, len(unit)):] {
		if zeros >= 2 && b == 3 {
			zeros = 0
			continue
		}
		if zeros++; b != 0 {
			zeros = 0
		}
		out = append(out, b)
	}
	return out
}

func readSequence(unit []byte) (sequence, bool) {
	b := &bits{data: payload(unit)}
	b.skip(4) // video parameter set
	layers := int(b.uint(3))
	b.skip(1)
	skipProfile(b, layers)
	b.golomb() // number of the set
	chroma := b.golomb()
	if chroma == 3 {
		b.skip(1)
	}
	w, h := b.golomb(), b.golomb()
	if b.bit() == 1 { // conformance window, in units of the chroma sampling
		left, right, top, bottom := b.golomb(), b.golomb(), b.golomb(), b.golomb()
		unitX, unitY := 1, 1
		if chroma == 1 || chroma == 2 {
			unitX = 2
		}
		if chroma == 1 {
			unitY = 2
		}
		w -= unitX * (left + right)
		h -= unitY * (top + bottom)
	}
	return sequence{w, h}, !b.bad && w > 0 && h > 0
}

// skipProfile skips profile_tier_level (section 7.3.3).
func skipProfile(b *bits, layers int) {
	const profileBits, levelBits = 88, 8
	b.skip(profileBits + levelBits)
	if layers == 0 {
		return
	}
	sum := 0
	for range layers {
		if b.bit() == 1 {
			sum += profileBits
		}
		if b.bit() == 1 {
			sum += levelBits
		}
	}
	b.skip(2*(8-layers) + sum)
}
