package interpreter

import (
	"runtime"
	"runtime/debug"
	"testing"
)

// While packages are loaded the collector follows the size of the heap, and
// afterwards the user's choice again.
func TestThriftEnds(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	percent := func() int {
		p := debug.SetGCPercent(100)
		debug.SetGCPercent(p)
		return p
	}
	var th thrift
	th.begin(muchText - 1)
	if th.kept || percent() != 100 {
		t.Error("kept for little text")
	}
	runtime.GC()
	th.begin(muchText)
	live := max(int(living()), 1<<20)
	if want := min(max((fullHeap-live)*100/live, leastGrowth), mostGrowth); !th.kept || percent() != want {
		t.Errorf("kept %v with %d, want %d", th.kept, percent(), want)
	}
	th.end()
	runtime.GC()
	if th.kept || percent() != 100 {
		t.Errorf("%d afterwards", percent())
	}
	debug.SetGCPercent(70)
	th.begin(muchText)
	th.end()
	if p := percent(); p != 70 {
		t.Errorf("a chosen 70 became %d", p)
	}
}
