package nest

import "math/rand/v2"

// islands is how many searches run side by side; it is fixed, so that an answer
// does not depend on the machine.
const islands = 2

// meetEvery is after how many of its moves a search compares notes.
const meetEvery = 1500

// ferry carries the best layouts from one search to the other; it is closed
// when that search ends.
type ferry chan snapshot

// search runs the islands and returns the one that found the best.
func (s *solver) search(pack func(*solver)) *solver {
	all := make([]*solver, islands)
	ferries := make([]ferry, islands)
	for i := range all {
		ferries[i] = make(ferry, 1)
	}
	for i := range all {
		own := *s
		own.rng = rand.New(rand.NewPCG(s.o.Seed, uint64(2*i)))
		own.seeker = &searcher{s: &own, rng: rand.New(rand.NewPCG(s.o.Seed, uint64(2*i+1)))}
		own.o.Moves = (s.o.Moves + islands - 1) / islands
		own.out, own.in = ferries[i], ferries[(i+1)%islands]
		own.nextMeet = meetEvery
		if i > 0 {
			own.o.Progress = nil
			own.tuning = thoroughTuning()
		}
		all[i] = &own
	}
	done := make(chan struct{})
	for _, own := range all[1:] {
		go func() {
			defer func() { done <- struct{}{} }()
			pack(own)
			close(own.out)
		}()
	}
	pack(all[0])
	close(all[0].out)
	for range all[1:] {
		<-done
	}
	best := all[0]
	moves := 0
	for _, own := range all {
		moves += own.moves
		if own.best.betterThan(best.best) {
			best = own
		}
	}
	best.moves = moves
	return best
}

// meet compares notes with the other search when it is time, and takes over a
// better layout. It reports whether it did.
func (s *solver) meet() bool {
	if s.moves < s.nextMeet {
		return false
	}
	for s.nextMeet <= s.moves {
		s.nextMeet += meetEvery
	}
	if s.alone {
		return false
	}
	s.out <- s.best
	other, open := <-s.in
	s.alone = !open
	if !open || !other.betterThan(s.best) {
		return false
	}
	s.best = other
	s.tell()
	return true
}

// betterThan reports whether fewer items are left, then whether fewer bins are
// used, then whether less of the last one's length is.
func (a snapshot) betterThan(b snapshot) bool {
	switch {
	case len(a.left) != len(b.left):
		return len(a.left) < len(b.left)
	case a.bins != b.bins:
		return a.bins < b.bins
	}
	return a.reach < b.reach
}
