package desk

import (
	"context"
	"errors"
	"strings"
	"sync/atomic"
	"time"
)

// runner does one piece of work at a time off the window's goroutine. Starting
// another stops the one before; what a stopped one returns is thrown away, so
// that the last good state stays.
type runner struct {
	// post runs a function on the window's goroutine.
	post    func(func())
	changed func()
	// The fields below belong to the window's goroutine.
	name   string
	part   float64
	cancel context.CancelFunc
	serial int
	since  time.Time
	// journal remembers what happened.
	journal journal
}

// work is the slow part; it returns what to do with its result on the
// window's goroutine.
type work func(ctx context.Context, told func(part float64)) (apply func(), err error)

// toldEvery bounds how often progress is passed to the window.
const toldEvery = 50 * time.Millisecond

func (r *runner) busy() bool { return r.cancel != nil }

// start begins work; failed is told of an error unless it was stopped.
func (r *runner) start(name string, w work, failed func(error)) {
	r.startHolding(name, w, failed, func() {})
}

// startHolding is start for work whose result holds something: drop lets go of
// it, on the window's goroutine, when the work was stopped too late to notice.
func (r *runner) startHolding(name string, w work, failed func(error), drop func()) {
	r.stop()
	ctx, cancel := context.WithCancel(context.Background())
	r.serial++
	serial := r.serial
	r.name, r.part, r.cancel, r.since = name, 0, cancel, time.Now()
	r.journal.note(tr.journal.began, strings.TrimRight(name, "… "))
	r.changed()
	time.AfterFunc(showWorkAfter, func() { r.post(r.changed) })
	go func() {
		apply, err := w(ctx, r.teller(serial))
		r.post(func() {
			if apply != nil && (r.serial != serial || !r.busy()) {
				drop()
				return
			}
			r.finish(serial, apply, err, failed)
		})
	}()
}

// teller returns a progress function that any goroutine may call.
func (r *runner) teller(serial int) func(float64) {
	var last atomic.Int64
	return func(part float64) {
		now := time.Now().UnixNano()
		before := last.Load()
		if now-before < int64(toldEvery) || !last.CompareAndSwap(before, now) {
			return
		}
		r.post(func() {
			if r.serial == serial && r.busy() && part >= r.part {
				r.part = part
				r.changed()
			}
		})
	}
}

func (r *runner) finish(serial int, apply func(), err error, failed func(error)) {
	if r.serial != serial || !r.busy() {
		return
	}
	r.cancel()
	r.cancel = nil
	r.journal.done(r.name, r.since, err)
	switch {
	case errors.Is(err, context.Canceled):
	case err != nil:
		failed(err)
	case apply != nil:
		apply()
	}
	r.changed()
}

// stop ends the work that runs, if any.
func (r *runner) stop() {
	if r.cancel == nil {
		return
	}
	r.cancel()
	r.cancel = nil
	r.journal.done(r.name, r.since, context.Canceled)
	r.changed()
}
