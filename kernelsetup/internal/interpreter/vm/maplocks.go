package vm

import (
	"go/types"
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

// beside reports whether other goroutines of cells may run beside t.
func (t *Thread) beside() bool {
	return t.shares || atomic.LoadInt32(&t.m.runs.live) > 1 || t.m.runs.wakers.Load()
}

// compiledMaps is held for reading while compiled code may be writing to maps
// that it was given, of which it is not known which.
var compiledMaps sync.RWMutex

// writesMaps returns call so that maps are not copied meanwhile, where a
// compiled function may write to a map of its caller's.
func writesMaps(name string, fn *types.Signature, call ext) ext {
	takes := name == "(reflect.Value).SetMapIndex" || fn.Recv() != nil && isMap(fn.Recv().Type())
	for i := range fn.Params().Len() {
		takes = takes || isMap(fn.Params().At(i).Type())
	}
	if !takes || call == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		if !t.beside() {
			call(t, s, p)
			return
		}
		compiledMaps.RLock()
		defer compiledMaps.RUnlock()
		call(t, s, p)
	}
}

// isMap reports whether a value of a type is a map, leads to one directly, or
// may do so as a value of any type.
func isMap(t types.Type) bool {
	switch t := t.Underlying().(type) {
	case *types.Map:
		return true
	case *types.Pointer:
		_, ok := t.Elem().Underlying().(*types.Map)
		return ok
	case *types.Interface:
		return t.Empty()
	}
	return false
}

func (t *Thread) lockMap(m unsafe.Pointer) {
	if m != nil && t.beside() {
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
