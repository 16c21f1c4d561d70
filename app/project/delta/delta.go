// Package delta writes a run of bytes as what has changed against another, so
// that an edit of a large pattern costs a few dozen bytes. Plain bytes in and
// out; time and memory grow linearly with both runs.
package delta

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// blockBytes is the length of the stretches that are looked for: shorter finds
// more, and costs more instructions than it saves below about this.
const blockBytes = 16

// ErrDamaged tells that a delta cannot be applied: it is damaged, or was made
// against other bytes.
var ErrDamaged = errors.New("the change does not fit what it is a change of")

// Make returns a delta that turns base into target: a list of instructions,
// each a number of bytes to take literally, those bytes, then a number of
// bytes to copy and where in base they begin (after Tichy 1984, "The
// string-to-string correction problem with block moves", by hashed blocks;
// from memory). All numbers are unsigned varints.
func Make(base, target []byte) []byte {
	w := writer{target: target}
	// What an edit leaves alone at both ends needs no search.
	head := shared(base, target)
	if head >= blockBytes {
		w.copy(0, 0, head)
	}
	tail := sharedEnd(base[w.done:], target[w.done:])
	middle := target[:len(target)-tail]
	var index map[[blockBytes]byte]int32
	for at := w.done; at+blockBytes <= len(middle); {
		if index == nil {
			index = indexOf(base)
		}
		from, ok := w.find(base, index, at)
		if !ok {
			at++
			continue
		}
		start, end := grow(base, middle, from, at, w.done)
		w.copy(start.from, start.at, end-start.at)
		at = end
	}
	if tail >= blockBytes {
		w.copy(len(base)-tail, len(target)-tail, tail)
	}
	w.finish()
	return w.out
}

// shared is how many bytes two runs begin with alike.
func shared(a, b []byte) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// sharedEnd is how many bytes two runs end with alike.
func sharedEnd(a, b []byte) int {
	n := 0
	for n < len(a) && n < len(b) && a[len(a)-1-n] == b[len(b)-1-n] {
		n++
	}
	return n
}

// find returns where in base a block of target stands: where the last copy
// would go on if that fits, else in the first such place.
func (w *writer) find(base []byte, index map[[blockBytes]byte]int32, at int) (int, bool) {
	if from := w.likely(at); same(base, from, w.target[at:]) {
		return from, true
	}
	from, ok := index[block(w.target[at:])]
	return int(from), ok
}

// block is what blocks are found by.
func block(b []byte) [blockBytes]byte { return [blockBytes]byte(b[:blockBytes]) }

// indexOf tells where each aligned block of base begins, the first such place
// where there are several: a copy from there can become the longest.
func indexOf(base []byte) map[[blockBytes]byte]int32 {
	index := make(map[[blockBytes]byte]int32, len(base)/blockBytes+1)
	for i := (len(base)/blockBytes - 1) * blockBytes; i >= 0; i -= blockBytes {
		index[block(base[i:])] = int32(i)
	}
	return index
}

// same tells whether a block stands at a place of base.
func same(base []byte, from int, want []byte) bool {
	return from >= 0 && from+blockBytes <= len(base) && bytes.Equal(base[from:from+blockBytes], want[:blockBytes])
}

// pair is a place in base and the place in target that equals it.
type pair struct{ from, at int }

// grow makes a match as long as it can be: back to what is done at the
// earliest, and on to the end. It returns where the match begins and where it
// ends in target.
func grow(base, target []byte, from, at, done int) (start pair, end int) {
	end = at
	for f := from; f < len(base) && end < len(target) && base[f] == target[end]; f++ {
		end++
	}
	for from > 0 && at > done && base[from-1] == target[at-1] {
		from--
		at--
	}
	return pair{from, at}, end
}

// writer collects instructions.
type writer struct {
	target, out []byte
	// done is how much of target is written, and ended where in base the last
	// copy ended.
	done, ended int
}

// likely is the place in base that a copy at a place of target would go on
// from, were everything between changed in place.
func (w *writer) likely(at int) int { return w.ended + at - w.done }

// copy writes the bytes since the last instruction, and a copy.
func (w *writer) copy(from, at, n int) {
	w.literal(at)
	w.out = binary.AppendUvarint(w.out, uint64(n))
	w.out = binary.AppendUvarint(w.out, uint64(from))
	w.done, w.ended = at+n, from+n
}

func (w *writer) literal(upTo int) {
	w.out = binary.AppendUvarint(w.out, uint64(upTo-w.done))
	w.out = append(w.out, w.target[w.done:upTo]...)
	w.done = upTo
}

// finish writes what is left; an end without a copy needs no more.
func (w *writer) finish() {
	if w.done < len(w.target) {
		w.literal(len(w.target))
	}
}

// Apply turns base into what the delta was made for. At most limit bytes come
// out, whatever the delta claims. Errors: ErrDamaged, wrapped.
func Apply(base, change []byte, limit int) ([]byte, error) {
	r := reader{left: change}
	var out []byte
	for len(r.left) > 0 {
		literal := r.take(r.number())
		out = append(out, literal...)
		if r.failed || len(out) > limit {
			break
		}
		if len(r.left) == 0 {
			return out, nil
		}
		n, from := r.number(), r.number()
		if r.failed || from > uint64(len(base)) || n > uint64(len(base))-from || n > uint64(limit-len(out)) {
			r.failed = true
			break
		}
		out = append(out, base[from:from+n]...)
	}
	if r.failed || len(out) > limit {
		return nil, fmt.Errorf("%w, at byte %d of %d", ErrDamaged, len(change)-len(r.left), len(change))
	}
	return out, nil
}

// reader takes a delta apart.
type reader struct {
	left   []byte
	failed bool
}

func (r *reader) number() uint64 {
	v, n := binary.Uvarint(r.left)
	if n <= 0 {
		r.failed = true
		return 0
	}
	r.left = r.left[n:]
	return v
}

func (r *reader) take(n uint64) []byte {
	if r.failed || n > uint64(len(r.left)) {
		r.failed = true
		return nil
	}
	b := r.left[:n]
	r.left = r.left[n:]
	return b
}
