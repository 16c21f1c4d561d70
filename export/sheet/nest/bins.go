package nest

func (s *solver) packBins() {
	l := newLayout(s)
	s.left = s.fill(l, s.bySize())
	l.measure()
	s.keep(l)
}
