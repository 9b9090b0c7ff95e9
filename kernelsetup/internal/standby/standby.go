// Package standby runs tasks on a goroutine that stays for the next one, as the
// stack of a fresh one has to grow again.
package standby

import "sync/atomic"

// Pool is a goroutine that stays, and another for each task that comes while it is
// not there: one may end it, or not come back.
type Pool struct {
	work  chan func()
	over  chan struct{}
	rests atomic.Bool // a goroutine waits for work, or is about to
}

// New returns a pool without a goroutine.
func New() *Pool { return &Pool{work: make(chan func()), over: make(chan struct{})} }

// Go has a goroutine run f; it does not wait.
func (p *Pool) Go(f func()) {
	select {
	case p.work <- f:
	default:
		go p.run(f)
	}
}

func (p *Pool) run(f func()) {
	for {
		f()
		if !p.rests.CompareAndSwap(false, true) {
			return
		}
		select {
		case f = <-p.work:
			p.rests.Store(false)
		case <-p.over:
			return
		}
	}
}

// Close ends the goroutine that stays, once; what runs goes on to its end.
func (p *Pool) Close() { close(p.over) }
