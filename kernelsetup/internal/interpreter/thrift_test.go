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
	th.begin(muchText-1, 0)
	if th.kept || percent() != 100 {
		t.Error("kept for little text")
	}
	if th.begin(muchText, fewBytes+1); th.kept {
		t.Error("kept while the user has much in memory")
	}
	runtime.GC()
	th.begin(muchText, fewBytes)
	if !th.kept || percent() != loadingGrowth {
		t.Errorf("kept %v at %d", th.kept, percent())
	}
	th.end()
	runtime.GC()
	if th.kept || percent() != 100 {
		t.Errorf("%d afterwards", percent())
	}
	debug.SetGCPercent(70)
	th.begin(muchText, 0)
	th.end()
	if p := percent(); p != 70 {
		t.Errorf("a chosen 70 became %d", p)
	}
}
