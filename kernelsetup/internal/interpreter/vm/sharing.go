package vm

import (
	"sync"
	"sync/atomic"
	"unsafe"
)

// Alone reports whether no goroutine of a cell lives.
func (m *Machine) Alone() bool { return atomic.LoadInt32(&m.runs.live) < 1 }

// MapLock returns what cells' goroutines hold while they use a map.
func (m *Machine) MapLock(at unsafe.Pointer) sync.Locker { return mapLock(at) }
