package interpreter

import (
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync"
)

// Loading a module leaves as much garbage as it leaves syntax and types, and
// the room that the collector leaves for it would be most of what the process
// ever takes. So meanwhile the collector runs when the heap has a certain size
// rather than when it has doubled: later than usual at first, and sooner then.
const (
	fullHeap = 26 << 20
	// What lives may grow by that much all the same, in percent.
	leastGrowth, mostGrowth = 30, 400
	// A package with less text does not matter, and where more is in memory
	// than this the collector would be busy with what is the user's.
	muchText = 64 << 10
	fewBytes = 128 << 20
)

// thrift is kept from the first package of much text to the end of the check of
// the cell that imports it.
type thrift struct {
	mu   sync.Mutex
	kept bool
	was  int // the growth that is usual
}

// begin is told how much text a package has that is to be checked, and how much
// memory was in use before.
func (t *thrift) begin(text int, live uint64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.kept || text < muchText || live > fewBytes {
		return
	}
	t.was = debug.SetGCPercent(mostGrowth)
	if t.was != 100 { // somebody has chosen it
		debug.SetGCPercent(t.was)
		return
	}
	t.kept = true
	t.tune()
}

// tune lets the next collection begin at a full heap.
func (t *thrift) tune() {
	live := max(int(living()), 1<<20)
	debug.SetGCPercent(min(max((fullHeap-live)*100/live, leastGrowth), mostGrowth))
	runtime.AddCleanup(new([16]byte), func(t *thrift) { // after the next collection
		t.mu.Lock()
		defer t.mu.Unlock()
		if t.kept {
			t.tune()
		}
	}, t)
}

// end is called when all is checked.
func (t *thrift) end() {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.kept {
		t.kept = false
		debug.SetGCPercent(t.was)
		runtime.GC() // else what comes now would have room for all that again
	}
}

// living is how much memory the last collection has found in use.
func living() uint64 {
	s := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}
