package lens

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Drawing of lines: how many tries, how far (in pitches) a sample may lie
// from its line before its distance counts no more, and the mean at which the
// best draw is refused. Random indices would give 0.25.
const (
	draws           = 300
	drawReach       = 0.3
	startScoreLimit = 0.2
)

// drawLines returns the homography from pitches to normalised coordinates
// that explains the most samples, and its mean bounded distance in pitches.
func drawLines(lines []startLine) (best [9]float64, score float64, ok bool) {
	var family [2][]startLine
	for _, l := range lines {
		f := familyIndex(l.family)
		family[f] = append(family[f], l)
	}
	if len(family[0]) < 2 || len(family[1]) < 2 {
		return best, 0, false
	}
	random := rand.New(rand.NewPCG(1, 2))
	score = math.Inf(1)
	for range draws {
		c, r := drawPair(random, family[0]), drawPair(random, family[1])
		h, good := homographyOfLines(c, r)
		if !good {
			continue
		}
		if s := drawScore(h, lines, score); s < score {
			best, score, ok = h, s, true
		}
	}
	return best, score, ok
}

func drawPair(random *rand.Rand, lines []startLine) [2]startLine {
	i := random.IntN(len(lines))
	k := random.IntN(len(lines) - 1)
	if k >= i {
		k++
	}
	return [2]startLine{lines[i], lines[k]}
}

// homographyOfLines maps the four lines' indices on the lines themselves.
func homographyOfLines(columns, rows [2]startLine) ([9]float64, bool) {
	var seen, flat [4]photo.Point
	for i := range 4 {
		c, r := columns[i&1], rows[i>>1]
		w := c.a*r.b - c.b*r.a
		if math.Abs(w) < 1e-6 {
			return [9]float64{}, false
		}
		seen[i] = photo.Point{X: (c.b*r.c - c.c*r.b) / w, Y: (c.c*r.a - c.a*r.c) / w}
		flat[i] = photo.Point{X: c.index, Y: r.index}
	}
	return homographyOfFour(flat, seen)
}

// drawScore returns the mean bounded distance in pitches of all samples from
// their lines; it gives up once it is worse than enough.
func drawScore(h [9]float64, lines []startLine, enough float64) float64 {
	inv, ok := invert(h)
	if !ok {
		return math.Inf(1)
	}
	count := 0
	for i := range lines {
		count += len(lines[i].at)
	}
	sum, stop := 0.0, enough*float64(count)
	for i := range lines {
		l := &lines[i]
		row := inv[0:3]
		if l.family != mat.Columns {
			row = inv[3:6]
		}
		for _, p := range l.at {
			d := drawReach
			if w := inv[6]*p.X + inv[7]*p.Y + inv[8]; w > 0 {
				d = min(drawReach, math.Abs((row[0]*p.X+row[1]*p.Y+row[2])/w-l.index))
			}
			sum += d
		}
		if sum > stop {
			return math.Inf(1)
		}
	}
	return sum / float64(count)
}
