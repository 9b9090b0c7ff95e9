package vm

import (
	"sync"
	"time"
	"weak"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// timers are the calls that cells have put off, by time.AfterFunc.
type timers struct {
	mu  sync.Mutex
	all map[weak.Pointer[time.Timer]]putOff
}

// putOff is a call that is due later.
type putOff struct {
	run  *Run
	done *bool // under the lock of timers
}

// after is time.AfterFunc for a run.
func (ts *timers) after(r *Run, d time.Duration, f func()) *time.Timer {
	done := new(bool)
	label := abi.ProfLabel()
	ts.mu.Lock()
	defer ts.mu.Unlock()
	timer := time.AfterFunc(d, func() {
		abi.SetProfLabel(label) // whoever's timer it is owns what it starts
		ts.mu.Lock()
		*done = true
		ts.mu.Unlock()
		f()
	})
	if ts.all == nil {
		ts.all = map[weak.Pointer[time.Timer]]putOff{}
	}
	if len(ts.all)%64 == 63 {
		for p, o := range ts.all {
			if *o.done || p.Value() == nil {
				delete(ts.all, p)
			}
		}
	}
	ts.all[weak.Make(timer)] = putOff{r, done}
	return timer
}
