package vm

import (
	"math"
	"math/bits"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"
)

// largeAllocation is what is added to the process's memory before it is made.
const largeAllocation = 32 << 20

// memoryLookTime is how often the memory is looked at while a cell runs.
const memoryLookTime = 25 * time.Millisecond

// inUse returns the bytes that the process takes and that a collection would
// not free at once: objects, the holes between them, stacks, and what the run
// time needs to know of them.
func inUse() uint64 {
	samples := [...]metrics.Sample{
		{Name: "/memory/classes/heap/objects:bytes"},
		{Name: "/memory/classes/heap/unused:bytes"},
		{Name: "/memory/classes/heap/stacks:bytes"},
		{Name: "/memory/classes/metadata/mspan/inuse:bytes"},
		{Name: "/memory/classes/metadata/other:bytes"},
		{Name: "/memory/classes/other:bytes"},
	}
	metrics.Read(samples[:])
	total := uint64(0)
	for _, s := range samples {
		if s.Value.Kind() == metrics.KindUint64 {
			total += s.Value.Uint64()
		}
	}
	return total
}

// alive returns the bytes that the last collection has left.
func alive() uint64 {
	sample := [...]metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(sample[:])
	if sample[0].Value.Kind() != metrics.KindUint64 {
		return 0
	}
	return sample[0].Value.Uint64()
}

// reserve panics when an allocation is beyond a limit. Only large ones are
// looked at closely: the small ones are watched from outside.
func (m *Machine) reserve(n uint64) {
	if n > m.limits.Memory {
		panic(outOfMemory{n, m.limits.Memory, false})
	}
	if n < largeAllocation || m.limits.Total == 0 {
		return
	}
	if used, over := m.over(n); over {
		panic(outOfMemory{used + n, m.limits.Total, true})
	}
}

// reserveTimes is reserve for n things of a size.
func (m *Machine) reserveTimes(size, n int) {
	if size > 0 && n > 0 {
		hi, lo := bits.Mul64(uint64(size), uint64(n))
		if hi > 0 {
			lo = math.MaxUint64 >> 1
		}
		m.reserve(lo)
	}
}

// over reports whether n bytes more would be too much even after garbage has
// been collected.
func (m *Machine) over(n uint64) (used uint64, over bool) {
	if used = inUse(); used+n <= m.limits.Total {
		return used, false
	}
	runtime.GC()
	used = inUse()
	return used, used+n > m.limits.Total
}

var self = os.Getpid()

// grown is over for whoever watches a cell that goes on: a collection would
// take seconds in which it takes more. What the last one has left alive tells
// whether the next would help; where it does not, patience is how many looks
// are left before one is made.
func (m *Machine) grown(patience *int) (used uint64, over bool) {
	limit := m.limits.Total
	if used = inUse(); used <= limit {
		// The system may see more than the run time counts.
		if r, ok := memory.Resident(self); ok && r > limit+limit/12 && alive() > limit/4*3 {
			return r, true
		}
		return used, false
	}
	if debug.SetMemoryLimit(-1) > int64(limit+limit/16) { // garbage may be what there is so much of
		return m.over(0)
	}
	// Beyond a sixteenth the collector does not keep up.
	if used > limit+limit/16 || alive() > limit/5*4 {
		return used, true
	}
	if *patience--; *patience > 0 {
		return used, false
	}
	*patience = looksBeforeGC
	return m.over(0)
}

// looksBeforeGC is how often too much memory is seen before it is collected.
const looksBeforeGC = 20
