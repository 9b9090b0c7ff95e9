package machine

import (
	"math"
	"math/bits"
	"runtime"
	"runtime/metrics"
	"time"
)

// largeAllocation is what is added to the process's memory before it is made.
const largeAllocation = 32 << 20

// memoryLookTime is how often the memory is looked at while a cell runs.
const memoryLookTime = 25 * time.Millisecond

// inUse returns the bytes that the process's heap and stacks take.
func inUse() uint64 {
	samples := [...]metrics.Sample{
		{Name: "/memory/classes/heap/objects:bytes"},
		{Name: "/memory/classes/heap/stacks:bytes"},
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
