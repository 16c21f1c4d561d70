package tape

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// cluster is runs of one tape.
type cluster struct {
	mean  lab
	mm    float64
	items []int
}

// group gathers runs by colour: the two nearest clusters are joined until the
// nearest are apart by more than apart (agglomerative clustering, centroid
// linkage weighted by length). It sets the runs' Group.
func group(runs []Run, apart float64) []Group {
	var cs []cluster
	for i, r := range runs {
		cs = append(cs, cluster{r.colour, r.ToMM - r.FromMM, []int{i}})
	}
	for {
		i, j, d := nearestPair(cs)
		if i < 0 || d > apart {
			break
		}
		cs[i] = cs[i].joined(cs[j])
		cs = append(cs[:j], cs[j+1:]...)
	}
	slices.SortStableFunc(cs, func(a, b cluster) int { return cmp.Compare(b.mm, a.mm) })
	out := make([]Group, len(cs))
	for g, c := range cs {
		out[g] = c.group(runs, g)
		out[g].Confidence *= clearness(cs, g, apart)
	}
	nameAll(out)
	return out
}

func nearestPair(cs []cluster) (int, int, float64) {
	i, j, best := -1, -1, math.Inf(1)
	for a := range cs {
		for b := a + 1; b < len(cs); b++ {
			if d := unlike(cs[a].mean, cs[b].mean); d < best {
				i, j, best = a, b, d
			}
		}
	}
	return i, j, best
}

// unlike is how far two tapes' colours are apart: hue and strength at one
// lightness, since pieces lie in different light, and lightness itself counted
// a quarter. Scaling the light scales a* and b* with L* + 16.
func unlike(a, b lab) float64 {
	const weight = 0.25
	mid := (a[0]+b[0])/2 + 16
	p, q := mid/max(a[0]+16, 1), mid/max(b[0]+16, 1)
	return lab{weight * (a[0] - b[0]), p*a[1] - q*b[1], p*a[2] - q*b[2]}.size()
}

func (c cluster) joined(d cluster) cluster {
	sum := c.mm + d.mm
	for k := range c.mean {
		c.mean[k] = (c.mean[k]*c.mm + d.mean[k]*d.mm) / sum
	}
	c.mm = sum
	c.items = append(c.items, d.items...)
	return c
}

// group makes the cluster group number g.
func (c cluster) group(runs []Run, g int) Group {
	out := Group{LengthMM: c.mm}
	var sum rgb
	for _, i := range c.items {
		r := &runs[i]
		r.Group = g
		out.Confidence = max(out.Confidence, r.Confidence)
		for k := range sum {
			sum[k] += r.seen[k] * (r.ToMM - r.FromMM) / c.mm
		}
	}
	for k := range sum {
		out.SRGB[k] = encoded(sum[k])
	}
	return out
}

// clearness is how far the nearest other group lies, 1 from twice the distance
// at which they would be joined.
func clearness(cs []cluster, g int, apart float64) float64 {
	best := 1.0
	for i := range cs {
		if i != g {
			best = min(best, unlike(cs[i].mean, cs[g].mean)/(2*apart))
		}
	}
	return best
}

// nameAll proposes a name for each group. Groups of one hue are told apart by
// lightness, or else numbered.
func nameAll(gs []Group) {
	same := map[string][]int{}
	for i, g := range gs {
		n := Name(g.SRGB)
		gs[i].Name = n
		same[n] = append(same[n], i)
	}
	for n, of := range same {
		if len(of) == 2 {
			a, b := lightness(gs[of[0]].SRGB), lightness(gs[of[1]].SRGB)
			if math.Abs(a-b) > 10 {
				light, dark := of[0], of[1]
				if a < b {
					light, dark = dark, light
				}
				gs[light].Name, gs[dark].Name = "light "+n, "dark "+n
				continue
			}
		}
		for k, i := range of {
			if k > 0 {
				gs[i].Name = fmt.Sprintf("%s %d", n, k+1)
			}
		}
	}
}

func lightness(c [3]uint8) float64 { return labOf(c)[0] }

func labOf(c [3]uint8) lab {
	t := linearOf()
	return rgb{t[c[0]], t[c[1]], t[c[2]]}.toLab()
}

// Name returns a plain word for an sRGB colour, by its hue in CIELAB; colours
// that hardly have one are black, grey or white. The bounds between hues are a
// matter of taste.
func Name(srgb [3]uint8) string {
	c := labOf(srgb)
	chroma := math.Hypot(c[1], c[2])
	if chroma < 12 {
		switch {
		case c[0] < 28:
			return "black"
		case c[0] < 76:
			return "grey"
		}
		return "white"
	}
	hue := math.Mod(math.Atan2(c[2], c[1])*180/math.Pi+360, 360)
	switch {
	case hue < 20 || hue >= 345:
		if c[0] > 55 {
			return "pink"
		}
		return "red"
	case hue < 48:
		return "red"
	case hue < 75:
		if c[0] < 45 || chroma < 35 {
			return "brown"
		}
		return "orange"
	case hue < 108:
		if chroma < 38 {
			return "tan"
		}
		return "yellow"
	case hue < 185:
		return "green"
	case hue < 225:
		return "turquoise"
	case hue < 300:
		return "blue"
	}
	return "purple"
}
