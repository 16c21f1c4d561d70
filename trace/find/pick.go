package find

// pickPieces sorts the things found into pieces and others.
func (f *finder) pickPieces() {
	for i := range f.regions {
		r := &f.regions[i]
		if r.cut || !r.outlineOf(f.sheet) {
			continue
		}
		if r.areaMM2 < minPieceMM2 || r.deep < minDepthMM {
			continue
		}
		f.found = append(f.found, &traced{region: r})
	}
}
