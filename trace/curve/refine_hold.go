package curve

// hold keeps every unknown loosely where it began, and corners where their
// sides were found to meet.
func (r *refiner) hold(v []float64) (cost float64) {
	variance := r.t.noise * r.t.noise * r.t.spread
	loose := func(at int, sigma float64) {
		k := variance / (sigma * sigma)
		r.system.addAt(at, at, k)
		e := v[at] - r.home[at]
		r.system.g[at] += k * e
		cost += k * e * e / 2
	}
	for k := range r.node {
		loose(r.nodeAt[k], 2)
		loose(r.nodeAt[k]+1, 2)
	}
	for i, line := range r.lines {
		if line {
			continue
		}
		chord := dist(r.node[i], r.node[r.next(i)])
		loose(r.armAt[i], 0.3*chord)
		loose(r.armAt[i]+1, 0.3*chord)
		if p := r.startRef[i].param; p >= 0 {
			loose(p, 0.3)
		}
		if p := r.endRef[i].param; p >= 0 {
			loose(p, 0.3)
		}
	}
	for _, c := range r.pull {
		k := variance * r.pullShare(c.node)
		x, y := r.nodeAt[c.node], r.nodeAt[c.node]+1
		dx, dy := v[x]-c.c.at.X, v[y]-c.c.at.Y
		r.system.addAt(x, x, k*c.c.pxx)
		r.system.addAt(y, x, k*c.c.pxy)
		r.system.addAt(y, y, k*c.c.pyy)
		r.system.g[x] += k * (c.c.pxx*dx + c.c.pxy*dy)
		r.system.g[y] += k * (c.c.pxy*dx + c.c.pyy*dy)
		cost += k * (c.c.pxx*dx*dx + 2*c.c.pxy*dx*dy + c.c.pyy*dy*dy) / 2
	}
	for i, line := range r.lines {
		if prev := (i + len(r.lines) - 1) % len(r.lines); r.smooth[i] && !line && !r.lines[prev] {
			cost += r.holdSlide(i, v, variance)
		}
	}
	return cost
}

// pullShare is how much of the local evidence for a corner counts beside the
// samples: half where a curve has to be extended to it, next to nothing
// between two lines, which are determined all along.
func (r *refiner) pullShare(k int) float64 {
	n := len(r.lines)
	if k < n && r.lines[k] && r.lines[(k+n-1)%n] {
		return 0.02
	}
	return 0.5
}

// holdSlide keeps a smooth node between two cubics from wandering along the
// outline, which the samples hardly notice: half a millimetre.
func (r *refiner) holdSlide(i int, v []float64, variance float64) float64 {
	const slideMM = 0.5
	k := variance / (slideMM * slideMM)
	x, y := r.nodeAt[i], r.nodeAt[i]+1
	d := direction(r.start[i])
	e := (v[x]-r.home[x])*d.X + (v[y]-r.home[y])*d.Y
	r.system.addAt(x, x, k*d.X*d.X)
	r.system.addAt(y, x, k*d.X*d.Y)
	r.system.addAt(y, y, k*d.Y*d.Y)
	r.system.g[x] += k * e * d.X
	r.system.g[y] += k * e * d.Y
	return k * e * e / 2
}
