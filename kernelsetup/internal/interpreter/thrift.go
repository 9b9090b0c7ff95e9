package interpreter

import (
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// Loading a module leaves as much garbage as it leaves syntax and types, and
// the room that the collector leaves for it would be most of what the process
// ever takes. So meanwhile it is collected between packages.
const (
	// loadingGrowth is how much may be added to what lives before the collector
	// runs by itself, in percent, muchGarbage how much before it is waited for.
	loadingGrowth = 200
	muchGarbage   = 6 << 20
	// A package with less text does not matter, and where more is in memory
	// than this the collector would be busy with what is the user's.
	muchText = 64 << 10
	fewBytes = 128 << 20
)

// thrift is kept from the first package of much text to the end of the check of
// the cell, or of the question, that imports it; with packages.mu held.
type thrift struct {
	kept bool
	was  int    // the growth that is usual
	seen uint64 // what was in use after the last collection
}

// begin is told how much text a package has that is to be checked, and how much
// memory was in use before.
func (t *thrift) begin(text int, live uint64) {
	if t.kept || text < muchText || live > fewBytes {
		return
	}
	t.was = debug.SetGCPercent(loadingGrowth)
	if t.was != 100 { // somebody has chosen it
		debug.SetGCPercent(t.was)
		return
	}
	t.kept = true
	t.seen = live
}

// pause is called when a package was checked. Who waits for the collector makes
// no garbage meanwhile, however busy the machine is.
func (t *thrift) pause() {
	if t.kept && inUse() > t.seen+muchGarbage {
		runtime.GC()
		t.seen = living()
	}
}

// end is called when all is checked.
func (t *thrift) end() {
	if t.kept {
		t.kept = false
		debug.SetGCPercent(t.was)
		runtime.GC() // else what comes now would have room for all that again
	}
}

// living is how much memory the last collection has found in use, inUse how much
// is taken now.
func living() uint64 { return metric("/gc/heap/live:bytes") }
func inUse() uint64  { return metric("/memory/classes/heap/objects:bytes") }

func metric(name string) uint64 {
	s := []metrics.Sample{{Name: name}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}
