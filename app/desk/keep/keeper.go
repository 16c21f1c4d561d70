// Package keep keeps the work in the window: every edit goes into a project's
// file as it is done, with the photographs and the whole history, and comes
// back from there.
package keep

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"sync"

	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify/photo"
)

// sums are the checksums of the photographs' files. Both goroutines ask.
type sums struct {
	mu  sync.Mutex
	all map[*photo.Photo]string
}

func (s *sums) of(p *photo.Photo) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.all[p]
}

func (s *sums) photo(sum string) *photo.Photo {
	s.mu.Lock()
	defer s.mu.Unlock()
	for p, x := range s.all {
		if x == sum {
			return p
		}
	}
	return nil
}

func (s *sums) set(p *photo.Photo, sum string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.all == nil {
		s.all = map[*photo.Photo]string{}
	}
	s.all[p] = sum
}

// Keeper keeps one project. Its methods belong to one goroutine, the window's;
// edits are written by another.
type Keeper struct {
	p    *project.Project
	sums sums
	// told hears of edits that were not stored, from the writing goroutine.
	told func(error)

	mu      sync.Mutex
	chain   chain
	pending *session.Past
	writing bool
	// failing tells that the last writing ended with an error.
	failing bool
	idle    *sync.Cond
	closed  bool
}

// New keeps a project. Title puts edits into words for the project's history;
// told is called from another goroutine with every error of writing, and with
// nil at the first that goes well again.
func New(p *project.Project, title func(session.Edit) string, told func(error)) *Keeper {
	k := &Keeper{p: p, told: told}
	k.chain = chain{p: p, title: title, sums: &k.sums}
	k.idle = sync.NewCond(&k.mu)
	return k
}

// Project returns what is kept.
func (k *Keeper) Project() *project.Project { return k.p }

// AddPhoto stores a photograph's file in the project, as it came. On
// *project.NotStoredError it is in memory.
func (k *Keeper) AddPhoto(ctx context.Context, p *photo.Photo, file io.Reader) error {
	hash := sha256.New()
	_, err := k.p.AddPhoto(ctx, p.Name, io.TeeReader(file, hash), nil)
	k.sums.set(p, sumText([sha256.Size]byte(hash.Sum(nil))))
	return err
}

// sumText is how a checksum stands in a project's work.
func sumText(sum [sha256.Size]byte) string { return hex.EncodeToString(sum[:]) }

// Follow writes what has changed in the session, soon and elsewhere. Only the
// latest state of a history counts, so that a slow disk holds nothing up.
func (k *Keeper) Follow(past session.Past) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.closed {
		return
	}
	k.pending = &past
	if !k.writing {
		k.writing = true
		go k.write()
	}
}

// write goes on until nothing is pending.
func (k *Keeper) write() {
	for {
		k.mu.Lock()
		past := k.pending
		k.pending = nil
		if past == nil {
			k.writing = false
			k.idle.Broadcast()
			k.mu.Unlock()
			return
		}
		k.mu.Unlock()
		// Chain and failing are only touched here while writing is set, and by those who
		// waited for its end.
		err := k.chain.follow(*past)
		if err != nil || k.failing {
			k.told(err)
		}
		k.failing = err != nil
	}
}

// Flush returns once all edits are written.
func (k *Keeper) Flush() {
	k.mu.Lock()
	defer k.mu.Unlock()
	for k.writing {
		k.idle.Wait()
	}
}

// Close writes what is left and lets go of the file. What is only in memory is
// lost.
func (k *Keeper) Close() error {
	k.Flush()
	k.mu.Lock()
	k.closed = true
	k.mu.Unlock()
	return k.p.Close()
}

// Current returns the present document and the photograph it has without
// Shots. Active is the photograph to be looked at, usual how a document is
// printed that does not say it: see printed.
// Errors: ErrWork, a damaged file.
func (k *Keeper) Current(active int, usual session.Print) (session.Document, *photo.Photo, error) {
	s, err := k.p.Current()
	if err != nil {
		return session.Document{}, nil, err
	}
	var d session.Document
	only := k.only(s)
	if len(Sums(s)) == 0 {
		d, only, err = k.bare(s, active)
	} else {
		d, _, err = Decode(s, active, k.sums.photo)
	}
	if err == nil {
		d.Print = k.printed(d, usual)
	}
	return d, only, err
}

// keyUnsaid is the setting of how documents are printed that do not say it.
const keyUnsaid = "paper_unsaid"

// printed is how a document is printed. Older programs, and those without a
// window, do not say it: the first time that such a document is met, usual is
// kept for all of them, so that choices of paper can be taken back to it at any
// time. It is called while nothing is being written.
func (k *Keeper) printed(d session.Document, usual session.Print) session.Print {
	if d.Print != (session.Print{}) || usual == (session.Print{}) {
		return d.Print
	}
	if k.chain.unsaid != nil {
		return *k.chain.unsaid
	}
	var w paperWork
	if k.Get(keyUnsaid, &w) {
		usual = session.Print(w)
	} else if err := k.Put(keyUnsaid, paperWork(usual)); err != nil && !inMemory(err) {
		return usual
	}
	k.chain.unsaid = &usual
	return usual
}

// only is the photograph of a state that has one.
func (k *Keeper) only(s project.State) *photo.Photo {
	if all := Sums(s); len(all) > 0 {
		return k.sums.photo(all[0])
	}
	return nil
}

// Reach lets the session's history reach one edit further back and forward,
// where it ends and the project's goes on. Errors: a damaged history, which
// then ends there.
func (k *Keeper) Reach(s *session.Session) error {
	past := s.Past()
	if len(past.Done) > 0 && len(past.Undone) > 0 {
		return nil
	}
	k.Flush()
	if err := k.chain.follow(past); err != nil && !inMemory(err) {
		return nil // told already; the history reaches no further while it cannot be written
	}
	if len(past.Done) == 0 {
		if err := k.reachBack(s, past.Now); err != nil {
			return err
		}
	}
	if len(past.Undone) == 0 {
		return k.reachOn(s, past.Now)
	}
	return nil
}

func (k *Keeper) reachBack(s *session.Session, looked session.Document) error {
	now, err := k.p.Current()
	if err != nil {
		return err
	}
	_, e, err := Decode(now, 0, k.sums.photo)
	if err != nil || e.Action == session.NoAction {
		return err
	}
	d, _, ok, err := k.beside(k.p.Before, looked)
	if !ok {
		return err
	}
	k.chain.links = append([]link{{serial: s.PutBefore(e, d)}}, k.chain.links...)
	k.chain.at++
	return nil
}

func (k *Keeper) reachOn(s *session.Session, looked session.Document) error {
	d, e, ok, err := k.beside(k.p.After, looked)
	if !ok || e.Action == session.NoAction {
		return err
	}
	k.chain.links = append(k.chain.links, link{serial: s.PutAfter(e, d)})
	return nil
}

// beside returns the document of the state next to the present one, and the edit
// that led to it; false where the history ends, or has photographs that are not
// at hand.
func (k *Keeper) beside(step func() (project.State, error), looked session.Document) (d session.Document, e session.Edit, ok bool, err error) {
	s, err := step()
	if errors.Is(err, project.ErrNothingToUndo) || errors.Is(err, project.ErrNothingToRedo) {
		return d, e, false, nil
	}
	if err == nil {
		d, e, err = Decode(s, looked.Active, k.sums.photo)
	}
	if err != nil || !k.known(s) {
		return d, e, false, err
	}
	d.Print = k.printed(d, looked.Print)
	return d, e, true, nil
}

// known reports whether a state has photographs, and all of them are at hand.
func (k *Keeper) known(s project.State) bool {
	all := Sums(s)
	for _, sum := range all {
		if k.sums.photo(sum) == nil {
			return false
		}
	}
	return len(all) > 0
}

// Load reads all photographs of the project with a decoder. What cannot be
// read is left out and told as an error; the others are there.
func (k *Keeper) Load(ctx context.Context, decode func(ctx context.Context, name string, file []byte) (*photo.Photo, error)) ([]*photo.Photo, error) {
	list, err := k.p.Photos()
	if err != nil {
		return nil, err
	}
	var out []*photo.Photo
	var lost []error
	for _, x := range list {
		file, err := k.p.PhotoBytes(ctx, x.ID)
		var p *photo.Photo
		if err == nil {
			p, err = decode(ctx, x.Name, file)
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			lost = append(lost, err)
			continue
		}
		k.sums.set(p, sumText(x.SHA256))
		out = append(out, p)
	}
	return out, errors.Join(lost...)
}

// Put stores a value under a key of the project's settings, and Get reads it;
// false when there is none, or none that fits.
func (k *Keeper) Put(key string, value any) error { return k.p.SetSetting(key, value) }

// Get reads a setting.
func (k *Keeper) Get(key string, value any) bool {
	ok, err := k.p.Setting(key, value)
	return ok && err == nil
}

// Sum returns the checksum of a photograph's file, SHA-256 in hexadecimal
// digits; empty for one that is not in the project.
func (k *Keeper) Sum(p *photo.Photo) string { return k.sums.of(p) }
