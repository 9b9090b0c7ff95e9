//go:build ignore

package iter

import "runtime"

// A puller runs seq in a goroutine of its own; at any time either it or the
// caller of next and stop runs, never both.
type puller[T any] struct {
	resume, yield    chan struct{}
	started, waiting bool
	done, finished   bool
	value            T
	ok, panicked     bool
	reason           any
}

func (p *puller[T]) turn(run func()) {
	if !p.started {
		p.started = true
		p.resume, p.yield = make(chan struct{}), make(chan struct{})
		go func() {
			<-p.resume
			defer func() {
				if !p.finished {
					p.reason = recover()
					p.panicked = true
				}
				p.done = true
				p.yield <- struct{}{}
			}()
			run()
			var zero T
			p.value, p.ok = zero, false
			p.finished = true
		}()
	}
	p.resume <- struct{}{}
	<-p.yield
	if p.panicked {
		p.panicked = false
		if p.reason == nil {
			runtime.Goexit()
		}
		panic(p.reason)
	}
}

func (p *puller[T]) offer(v T) bool {
	if p.done {
		return false
	}
	if !p.waiting {
		panic("iter.Pull: yield called again before next")
	}
	p.waiting = false
	p.value, p.ok = v, true
	p.yield <- struct{}{}
	<-p.resume
	return !p.done
}

func (p *puller[T]) next(run func()) (v T, ok bool) {
	if p.done {
		return v, false
	}
	if p.waiting {
		panic("iter.Pull: next called again before yield")
	}
	p.waiting = true
	p.turn(run)
	p.waiting = false
	return p.value, p.ok
}

func (p *puller[T]) stop(run func()) {
	if p.done {
		return
	}
	p.done = true
	if p.started {
		p.turn(run)
	}
}

func Pull[V any](seq Seq[V]) (next func() (V, bool), stop func()) {
	p := new(puller[V])
	run := func() { seq(p.offer) }
	return func() (V, bool) { return p.next(run) }, func() { p.stop(run) }
}

type pullPair[K, V any] struct {
	k K
	v V
}

func Pull2[K, V any](seq Seq2[K, V]) (next func() (K, V, bool), stop func()) {
	p := new(puller[pullPair[K, V]])
	run := func() { seq(func(k K, v V) bool { return p.offer(pullPair[K, V]{k, v}) }) }
	next = func() (K, V, bool) {
		pair, ok := p.next(run)
		return pair.k, pair.v, ok
	}
	return next, func() { p.stop(run) }
}
