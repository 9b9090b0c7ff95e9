package vm

import (
	"sync/atomic"
	"time"
	"unsafe"
)

// Alone reports whether no goroutine of a cell lives, and none can begin by
// itself: compiled code calls functions of cells when a timer is due or a
// server is asked.
func (m *Machine) Alone() bool {
	return atomic.LoadInt32(&m.runs.live) < 1 && !m.runs.wakers.Load()
}

// LockMap keeps cells' goroutines from a map until unlock is called. ok is
// false while compiled code may be writing to it, which can take any time.
func (m *Machine) LockMap(at unsafe.Pointer) (unlock func(), ok bool) {
	for i := 0; !compiledMaps.TryLock(); i++ {
		if i == 20 {
			return nil, false
		}
		time.Sleep(50 * time.Microsecond)
	}
	l := mapLock(at)
	l.Lock()
	return func() { l.Unlock(); compiledMaps.Unlock() }, true
}
