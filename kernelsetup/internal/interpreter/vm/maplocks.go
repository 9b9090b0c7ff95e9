package vm

import (
	"sync"
	"sync/atomic"
	"unsafe"
)

// mapLocks keep two goroutines of a cell out of one map: the run time would
// end the process. A cell's main goroutine takes them only while others live or
// compiled code may start one.
var mapLocks [64]sync.Mutex

func mapLock(m unsafe.Pointer) *sync.Mutex {
	return &mapLocks[(uintptr(m)>>4^uintptr(m)>>12)%uintptr(len(mapLocks))]
}

func (t *Thread) lockMap(m unsafe.Pointer) {
	if m != nil && (t.shares || atomic.LoadInt32(&t.m.runs.live) > 1 || t.m.runs.wakers.Load()) {
		mapLock(m).Lock()
		t.locked = m
	}
}

func (t *Thread) unlockMap(m unsafe.Pointer) {
	if t.locked != nil {
		t.locked = nil
		mapLock(m).Unlock()
	}
}
